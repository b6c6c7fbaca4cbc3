// SPDX-License-Identifier: MIT

package app

import (
	"errors"
	"fmt"

	"gioui.org/io/key"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/app/document"
	"gaitwright/app/look"
	"gaitwright/app/robotview"
	"gaitwright/kin"
	"gaitwright/motion/jog"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// standDrive are the legs that a person drives by hand while the robot hangs
// on a stand. Their joints are held where they were driven to; nothing of the
// file changes.
type standDrive struct {
	legs   map[int]*jog.State
	doc    *document.Document
	serial int // rehearsal that the states are of

	panel servoPanel
}

// driving tells whether a leg is driven by hand.
func (w *Workbench) driving() bool { return len(w.stand.legs) > 0 }

// drivable tells whether a leg can be driven by hand now.
func (w *Workbench) drivable() bool {
	return w.doc.OnStand() && !w.doc.Showing() && !w.at.Playing && !w.modal.open()
}

// hand tells the robot view what can be driven, and drops what no longer is.
func (w *Workbench) hand() {
	d := &w.stand
	if d.doc != w.doc || !w.doc.OnStand() || w.doc.Showing() {
		d.legs = nil
	}
	r := w.doc.Result()
	for leg, s := range d.legs {
		if leg >= len(r.Built.Robot.Legs) || !w.held(leg) {
			delete(d.legs, leg)
			w.free(leg)
			continue
		}
		if d.serial != w.doc.Serial() { // of another robot, perhaps
			want, missed := s.Want, s.Miss > 0
			*s = jog.ToAngles(r.Built, leg, s.Q)
			if missed {
				*s = jog.ToFoot(r.Built, leg, want)
			}
			w.hold(s)
		}
	}
	d.doc, d.serial = w.doc, w.doc.Serial()
	w.view.Hand = robotview.Hand{Driven: func(leg int) *jog.State { return d.legs[leg] }}
	if w.drivable() {
		w.view.Hand.Take = w.driveFoot
	}
}

// held tells whether all joints of a leg are held.
func (w *Workbench) held(leg int) bool {
	for j := range kin.Joints {
		if _, ok := w.at.Held[[2]int{leg, j}]; !ok {
			return false
		}
	}
	return true
}

// free lets the joints of a leg go.
func (w *Workbench) free(leg int) {
	for j := range kin.Joints {
		delete(w.at.Held, [2]int{leg, j})
	}
}

// hold holds the joints of a leg where it was driven.
func (w *Workbench) hold(s *jog.State) {
	if w.at.Held == nil {
		w.at.Held = map[[2]int]float64{}
	}
	for j, q := range s.Q {
		w.at.Held[[2]int{s.Leg, j}] = q
	}
}

// drive takes a leg as driven.
func (w *Workbench) drive(s jog.State) {
	if w.stand.legs == nil {
		w.stand.legs = map[int]*jog.State{}
	}
	w.stand.legs[s.Leg] = &s
	w.hold(&s)
}

// driveFoot drives the foot of a leg to a point, B, m.
func (w *Workbench) driveFoot(leg int, pBF r3.Vec) {
	if w.drivable() && leg >= 0 && leg < len(w.doc.Result().Built.Robot.Legs) {
		w.drive(jog.ToFoot(w.doc.Result().Built, leg, pBF))
	}
}

// driveJoint drives a joint of the chosen leg to an angle, rad.
func (w *Workbench) driveJoint(joint int, angle float64) {
	if !w.drivable() {
		return
	}
	s := w.legNow()
	s.Q[joint] = angle
	w.drive(jog.ToAngles(w.doc.Result().Built, w.at.Leg, s.Q))
}

// letGo lets all driven legs follow the motion again.
func (w *Workbench) letGo() {
	for leg := range w.stand.legs {
		w.free(leg)
	}
	w.stand.legs = nil
}

// legNow is the chosen leg as it stands: driven, or with some joints held, or
// as the motion has it.
func (w *Workbench) legNow() jog.State {
	if s := w.stand.legs[w.at.Leg]; s != nil {
		return *s
	}
	r := w.doc.Result()
	t := r.Trajectory
	q := t.JointsAt(t.Index(w.at.Time), w.at.Leg)
	for j := range q {
		if a, ok := w.at.Held[[2]int{w.at.Leg, j}]; ok {
			q[j] = a
		}
	}
	return jog.ToAngles(r.Built, w.at.Leg, q)
}

// drivenTo gives the angles to which the chosen leg was driven, zeros for none.
func (w *Workbench) drivenTo() (q [kin.Joints]float64) {
	if s := w.stand.legs[w.at.Leg]; s != nil {
		q = s.Q
	}
	return q
}

// spanEnd gives the end that the chosen span has to have for the chosen leg to
// stand at its end as it was driven, m, or why there is none.
func (w *Workbench) spanEnd() (end r3.Vec, err error) {
	s := w.stand.legs[w.at.Leg]
	switch {
	case s == nil:
		return end, errors.New("drive the chosen leg first")
	case w.at.Track < 0:
		return end, errors.New("the body's track is chosen: choose one of a foot")
	}
	part, ok := w.at.MovePart(w.doc)
	if !ok {
		return end, jog.ErrNotPlayed
	}
	return jog.SpanEnd(w.doc.Result(), part, w.at.Leg, w.at.Track, w.at.Span, s.Foot)
}

// useSpanEnd lets the chosen span end where the driven foot is, as one change.
func (w *Workbench) useSpanEnd() {
	end, err := w.spanEnd()
	if err != nil {
		w.notice.fail(err)
		return
	}
	at := edit.Spot{Move: w.at.Move, Track: w.at.Track, Span: w.at.Span}
	mm := [3]float64{end.X * 1000, end.Y * 1000, end.Z * 1000}
	if err := edit.EndSpan(w.doc.File().Clone(), at, mm); err != nil {
		w.notice.fail(errors.New(edit.Words(err)))
		return
	}
	err = w.doc.Change("end a span where the leg was driven", func(f *workfile.File) {
		_ = edit.EndSpan(f, at, mm) // it was tried just now
	})
	if err == nil {
		w.notice.say(fmt.Sprintf("Span %d of %s now ends there. Let go to see the motion.", at.Span+1, w.doc.File().Moves[at.Move].Name))
	}
}

// standActions are what a person can do with a leg that was driven.
func (w *Workbench) standActions() []action {
	return []action{
		{id: "let go", words: "Let the driven legs go", glyph: look.Close, say: "Esc", can: always, do: w.letGo, plain: true, mode: whileDriving,
			keys:  []key.Filter{{Name: key.NameEscape}},
			about: "They follow the motion again"},
		{id: "use span end", words: "Use as end of the chosen span", mode: whileDriving, do: w.useSpanEnd,
			can:   func() bool { _, err := w.spanEnd(); return err == nil },
			about: "The chosen span of the move ends where the driven foot is now", more: "drive leg stand teach"},
	}
}
