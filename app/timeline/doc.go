// SPDX-License-Identifier: MIT

// Package timeline is the panel of the window that plays a motion and shows
// when each leg stands and swings: a line of buttons, and below it, over one
// scale of time, the entries of the sequence, the marks of its moves, the
// findings, and a row for each leg.
//
//	var p timeline.Panel
//	p.Layout(gtx, th, doc, &place)
//
// A stance is a thick bar and a swing a thin line, as in a gait diagram; what a
// robot's foot switches saw lies below it, where a log is given. All
// that is derived from the trajectory is derived once a rehearsal; a frame
// draws upright rectangles, at most one a pixel column and row, and few texts.
package timeline
