// SPDX-License-Identifier: MIT

// Package strips is the part of the window below the timeline that plots, over
// the same scale of time, how near the motion comes to what the robot can
// take: the margins of stability, what each joint takes of its servo's limit,
// and the current of the supply.
//
//	var p strips.Panel
//	p.Layout(gtx, th, doc, &place, &timeline)
//
// There is a row for stability, one for the supply and one for each leg, which
// opens into its three joints. A folded row says its worst value and when; the
// rows that matter are open by themselves, until the person opens or folds
// them. In place of the loads the angle of each joint shows, with what a robot
// reported beside it. All other numbers come from the rehearsal. Where there is
// none a strip has a gap and says why.
package strips
