// SPDX-License-Identifier: MIT

package timeline

import (
	"image"
	"math"
	"testing"
	"time"

	"gioui.org/f32"
	"gioui.org/io/key"
	"gioui.org/io/pointer"

	"gaitwright/motion/workfile"
)

// standing gives a stance of a leg that lies within an entry of the sequence.
func (r *rig) standing(leg, entry int) stretch {
	r.T.Helper()
	p := r.doc.Result().Trajectory.Parts[entry]
	for _, s := range r.panel.derived.stance[leg] {
		if s.from > p.From+0.3 && s.to < p.To-0.3 {
			return s
		}
	}
	r.T.Fatalf("leg %d has no stance in entry %d", leg, entry)
	return stretch{}
}

// in gives the height of a leg's row.
func (r *rig) in(leg int) float32 {
	b := r.panel.lanes.leg(leg)
	return float32(b.Min.Y+b.Max.Y)/2 + 38*r.Metric.PxPerDp
}

// A bar dragged by a time changes the leg's phase by its share of the period;
// its end changes the duty factor. Each drag is one undo step.
func TestDragBar(t *testing.T) {
	for _, scale := range []float32{1, 2} {
		r := open(t, demo, scale, image.Pt(int(1280*scale), int(240*scale)))
		const walked, leg = 1, 2
		was := r.doc.File().Clone()
		g := &was.Gaits[0]
		name := was.Legs[leg].Name
		s := r.standing(leg, walked)
		px := r.doc.Result().Trajectory.Duration() / (1166 * float64(scale))

		mid := (s.from + s.to) / 2
		r.Drag(f32.Pt(r.x(mid), r.in(leg)), f32.Pt(r.x(mid+0.12), r.in(leg)), 6)
		r.Settle()
		if r.at.Leg != leg {
			t.Errorf("leg %d is chosen", r.at.Leg)
		}
		want := g.Phase[name] + 0.12/(g.Period/1000)
		if got := r.doc.File().Gaits[0].Phase[name]; math.Abs(got-want) > px+0.001 {
			t.Errorf("phase %v, want %v", got, want)
		}
		for i, l := range was.Legs {
			if i != leg && r.doc.File().Gaits[0].Phase[l.Name] != g.Phase[l.Name] {
				t.Errorf("the phase of %s changed too", l.Name)
			}
		}
		r.undone(was)

		r.Drag(f32.Pt(r.x(s.to), r.in(leg)), f32.Pt(r.x(s.to+0.1), r.in(leg)), 6)
		r.Settle()
		if got, want := r.doc.File().Gaits[0].Duty, g.Duty+0.1/(g.Period/1000); math.Abs(got-want) > px+0.001 {
			t.Errorf("duty factor %v, want %v", got, want)
		}
		if r.doc.File().Gaits[0].Phase[name] != g.Phase[name] {
			t.Error("the phase changed with the duty factor")
		}
		r.undone(was)
	}
}

// undone takes one step back and fails when that is not the file as it was.
func (r *rig) undone(was *workfile.File) {
	r.T.Helper()
	r.doc.Undo()
	if _, more := r.doc.CanUndo(); more || !r.doc.File().Equal(was) {
		r.T.Errorf("one undo does not take the drag back")
	}
	r.Frame()
}

// A click on a bar goes to its time, a swing and a bar of a move scrub, and
// Escape takes a drag back.
func TestBarLeavesTheRestAlone(t *testing.T) {
	r := open(t, demo, 1, image.Pt(1280, 240))
	was := r.doc.File().Clone()
	px := r.doc.Result().Trajectory.Duration() / 1166
	s := r.standing(2, 1)
	mid := (s.from + s.to) / 2
	r.ClickAt(f32.Pt(r.x(mid), r.in(2)))
	near(t, "the time clicked", r.at.Time, mid, px)

	r.Drag(f32.Pt(r.x(s.to+0.2), r.in(2)), f32.Pt(r.x(5), r.in(2)), 4)
	near(t, "the time after a drag from a swing", r.at.Time, 5, px)
	move := r.doc.Result().Trajectory.Parts[3]
	r.Drag(f32.Pt(r.x(move.From+1), r.in(2)), f32.Pt(r.x(move.From+2), r.in(2)), 4)
	near(t, "the time after a drag in a move", r.at.Time, move.From+2, px)

	p := f32.Pt(r.x(mid), r.in(2))
	ev := pointer.Event{Kind: pointer.Press, Source: pointer.Mouse, Buttons: pointer.ButtonPrimary, Position: p, Time: time.Hour}
	r.Queue(ev)
	r.Frame()
	ev.Kind, ev.Position.X = pointer.Move, p.X+20
	r.Queue(ev)
	r.Frame()
	if !r.doc.Dragging() || r.doc.File().Equal(was) {
		t.Error("nothing is dragged")
	}
	r.Press(key.NameEscape, 0)
	ev.Position.X += 20
	r.Queue(ev)
	r.Frame()
	ev.Kind, ev.Buttons = pointer.Release, 0
	r.Queue(ev)
	r.Settle()
	if _, can := r.doc.CanUndo(); can || r.doc.Dragging() || !r.doc.File().Equal(was) {
		t.Error("escape did not take the drag back")
	}
}

// A leg with a duty factor of its own keeps the others' as it is.
func TestDragOwnDuty(t *testing.T) {
	r := open(t, demo, 1, image.Pt(1280, 240))
	name := r.doc.File().Legs[2].Name
	if err := r.doc.Change("own", func(f *workfile.File) { f.Gaits[0].Duties = map[string]float64{name: 0.55} }); err != nil {
		t.Fatal(err)
	}
	r.Settle()
	s := r.standing(2, 1)
	r.Drag(f32.Pt(r.x(s.to), r.in(2)), f32.Pt(r.x(s.to-0.1), r.in(2)), 4)
	r.Settle()
	g := &r.doc.File().Gaits[0]
	if got := g.Duties[name]; math.Abs(got-0.45) > 0.015 || g.Duty != 0.5 {
		t.Errorf("duty factors %v and %v", g.Duties, g.Duty)
	}
	r.doc.Undo()
	if got := r.doc.File().Gaits[0].Duties[name]; got != 0.55 {
		t.Errorf("undone it is %v", got)
	}
}
