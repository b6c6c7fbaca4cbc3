// SPDX-License-Identifier: MIT

package app

import (
	"gioui.org/layout"

	"gaitwright/app/control"
)

// What the right column is for.
const (
	shapeRobot = iota
	shapeWalk
	shapeMove
	shapeSequence
	shapeLimits
	walkLive
	robotLine
)

// desks names them, in this order.
func desks() []control.Option {
	o := control.Options("robot", "walk", "move", "sequence", "limits", "live", "link")
	for i, hint := range [...]string{
		shapeRobot:    "Describe the robot: body, legs, joints, servos",
		shapeWalk:     "Shape a walk: gait, swing, command",
		shapeMove:     "Shape a move: paths and timing of feet and body",
		shapeSequence: "What is played, in which order",
		shapeLimits:   "Thresholds of the review, ground and supply",
		walkLive:      "Walk live, by the keys (L)",
		robotLine:     "Let a robot on a serial port follow, and see what it did",
	} {
		o[i].Hint = hint
	}
	return o
}

// deskTyping tells whether a number field of the right column has the keys.
func (w *Workbench) deskTyping(gtx layout.Context) bool {
	return w.machine.Typing(gtx) || w.walk.Typing(gtx) || w.shape.Typing(gtx) ||
		w.sequence.Typing(gtx) || w.limits.Typing(gtx) || w.wire.Typing(gtx)
}

// rightColumn is where the robot and its motion are edited.
func (w *Workbench) rightColumn(gtx layout.Context) layout.Dimensions {
	if w.shapes.Update(gtx) {
		to := w.shapes.Value
		if w.trying() {
			w.endTrial()
			w.shapes.Value = to
		}
		if to == shapeMove && !w.doc.Showing() {
			w.legTrack()
		}
		if (to == walkLive) != w.liveOn() {
			w.toggleLive()
			if !w.liveOn() && to != walkLive {
				w.shapes.Value = to
			}
		}
	}
	if !w.doc.Showing() {
		w.shaped = w.shapes.Value
	}
	return layout.Flex{Axis: layout.Vertical}.Layout(gtx,
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			return layout.Inset{Left: 8, Right: 8, Top: 8}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
				gtx.Constraints.Min.X = gtx.Constraints.Max.X
				return control.Pick(w.th, &w.shapes, desks()...).Layout(gtx)
			})
		}),
		layout.Flexed(1, w.area(areaPage, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints = layout.Exact(gtx.Constraints.Max)
			if w.shapes.Value != shapeRobot || w.liveOn() || w.trying() {
				w.machine.Update(gtx, w.doc) // what was typed there counts
			}
			switch {
			case w.liveOn():
				return w.live.panel.layout(gtx, w)
			case w.trying():
				return w.trial.layout(gtx, w)
			}
			if w.doc.Showing() { // a snapshot: to be read
				gtx = control.Reading(gtx)
			}
			switch w.shapes.Value {
			case shapeRobot:
				return w.machine.Layout(gtx, w.th, w.doc, &w.at)
			case shapeWalk:
				return w.walk.Layout(gtx, w.th, w.doc, &w.at)
			case shapeSequence:
				return w.sequence.Layout(gtx, w.th, w.doc, &w.at)
			case robotLine:
				return w.wire.Layout(gtx, w.th, w.doc, &w.at)
			case shapeLimits:
				return w.limits.Layout(gtx, w.th, w.doc, &w.at)
			}
			return w.shape.Layout(gtx, w.th, w.doc, &w.at)
		})),
	)
}
