// SPDX-License-Identifier: MIT

package app

import (
	"gioui.org/layout"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/look"
)

// robotSign says on every page that a robot on the line may move, and stops it.
type robotSign struct {
	stop control.Button
}

// wordySign is the width of the line, dp, from which the sign has all its words.
const wordySign unit.Dp = 900

// beside lays the parts of a line out, and while a robot may move the sign at
// its end, which takes its room first.
func (s *robotSign) beside(gtx layout.Context, w *Workbench, line layout.Flex, parts ...layout.FlexChild) layout.Dimensions {
	if !w.wire.Live() {
		return line.Layout(gtx, parts...)
	}
	if s.stop.Update(gtx) {
		w.stopRobot()
	}
	words := "Robot live: Esc stops it"
	if gtx.Constraints.Max.X < gtx.Dp(wordySign) {
		words = "Robot live"
	}
	return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions { return line.Layout(gtx, parts...) }),
		look.Gap(3),
		layout.Rigid(func(gtx layout.Context) layout.Dimensions { return w.th.Glyph(gtx, look.Warning, 16, w.th.Caution.Ink) }),
		look.Gap(1.5),
		layout.Rigid(w.th.Strong(words).Layout),
		look.Gap(2),
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			b := control.Push(w.th, &s.stop, "Stop").WithGlyph(look.Halt).As(control.Primary).WithHint("The robot stands still at once (Esc)")
			b.Label = "stop the robot that is live"
			b.Small = w.isLow
			return b.Layout(gtx)
		}),
	)
}

// leaveRobot stops a robot on the line before something else than its motion
// shows, and closes the port.
func (w *Workbench) leaveRobot() {
	if w.wire.Live() {
		w.notice.say("The robot was stopped and its port closed")
	}
	w.wire.Close()
}

// askRobot asks before the window leaves a robot that may move; then goes on
// once it is stopped.
func (w *Workbench) askRobot(then func() bool) {
	w.at.Playing = false
	w.modal.put(w, question{
		title: "The robot on the line is live",
		text:  "Closing stops it first: it stands still, and goes limp once the time for which it holds is over. A robot that stands on its feet falls then.",
		main:  1,
		answers: []answer{
			{"Stop it and close", func() {
				w.wire.Close()
				w.closing = then()
			}},
			{"Go back", nil},
		},
	})
}

// Abandon stops a robot on the line when the program is about to end by a
// fault of its own. What is unsaved was kept already.
func (w *Workbench) Abandon() { w.wire.Close() }

// layRobot lays what a robot did over the timeline and the strips.
func (w *Workbench) layRobot() {
	if s := w.wire.Seen(w.doc); s != nil {
		w.time.Measured(s.Record, s.Comparison)
		w.strips.Measured(s.Record, s.Comparison)
		return
	}
	w.time.Measured(nil, nil)
	w.strips.Measured(nil, nil)
}

// robotActions are what a person can do about a robot on the line.
func (w *Workbench) robotActions() []action {
	has := func() bool { return w.wire.Seen(w.doc) != nil }
	next := func(by int) func() {
		return func() {
			if !w.time.NextOff(w.doc, &w.at, by) {
				w.notice.say("No step further on was early, late or missing")
				if by < 0 {
					w.notice.say("No step before was early, late or missing")
				}
			}
		}
	}
	return []action{
		{id: "stop robot", words: "Stop the robot on the line", glyph: look.Halt, say: "Esc", do: w.stopRobot, can: w.wire.Live,
			about: "It stands still at once; to be armed anew", more: "link emergency halt serial"},
		{id: "next step off", words: "Next step that was early, late or missing", do: next(1), can: has,
			about: "Of a robot's log: go to the next touchdown that was not as drawn", more: "robot log touchdown missed foot switch"},
		{id: "previous step off", words: "The step before that was early, late or missing", do: next(-1), can: has,
			about: "Of a robot's log: go to the touchdown before that was not as drawn", more: "robot log touchdown missed foot switch previous"},
	}
}
