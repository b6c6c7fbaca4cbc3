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
)

// end gives where the right end of an entry is drawn.
func (r *rig) end(entry int) f32.Point {
	b := r.panel.lanes.entries
	p := r.doc.Result().Trajectory.Parts[entry]
	return f32.Pt(r.x(p.To), float32(b.Min.Y+b.Max.Y)/2+38*r.Metric.PxPerDp)
}

// The end of a stand dragged by a time makes it longer by that, in steps of 10
// ms; that of a walk changes its cycles by halves, that of a move its speed.
// Each drag is one undo step.
func TestDragEnd(t *testing.T) {
	for _, scale := range []float32{1, 2} {
		r := open(t, demo, scale, image.Pt(int(1280*scale), int(240*scale)))
		was := r.doc.File().Clone()
		px := r.doc.Result().Trajectory.Duration() / (1166 * float64(scale))
		by := func(entry int, s float64) {
			t.Helper()
			from := r.end(entry)
			r.Drag(from, from.Add(f32.Pt(float32(s/px), 0)), 6)
			r.Settle()
		}
		parts := r.doc.Result().Trajectory.Parts
		by(0, 0.4)
		if got := *r.doc.File().Sequence[0].Duration; math.Abs(got-1000) > px*1000+10 || math.Mod(got, 10) != 0 {
			t.Errorf("stands for %v ms", got)
		}
		r.undone(was)

		by(1, 1.4)
		period := was.Gaits[0].Period / 1000
		want := math.Round((*was.Sequence[1].Cycles+1.4/period)*2) / 2
		if got := *r.doc.File().Sequence[1].Cycles; got != want {
			t.Errorf("%v cycles, want %v", got, want)
		}
		r.undone(was)

		const played = 3
		if parts[played].Kind != "move" {
			t.Fatalf("entry %d is a %s", played+1, parts[played].Kind)
		}
		m := was.Moves[0]
		drawn := m.Marks[len(m.Marks)-1].At / 1000
		by(played, 1)
		if got, want := *r.doc.File().Sequence[played].Speed, drawn/(drawn+1); math.Abs(got-want) > 0.011 {
			t.Errorf("speed %v, want %v", got, want)
		}
		if l, _ := r.doc.CanUndo(); l != "change the length of an entry" {
			t.Errorf("the step is called %q", l)
		}
		r.undone(was)
	}
}

// A press on an end is no edit, Escape takes a drag back, and an entry whose
// length the file does not give has no end to drag.
func TestEndLeavesTheRestAlone(t *testing.T) {
	r := open(t, demo, 1, image.Pt(1280, 240))
	was := r.doc.File().Clone()
	p := r.end(1)
	r.ClickAt(p)
	r.Settle()
	if _, can := r.doc.CanUndo(); can {
		t.Error("a click changed the file")
	}
	parts := r.doc.Result().Trajectory.Parts
	if r.at.Time < parts[1].From || r.at.Time >= parts[1].To {
		t.Errorf("the time is %v", r.at.Time)
	}
	ev := pointer.Event{Kind: pointer.Press, Source: pointer.Mouse, Buttons: pointer.ButtonPrimary, Position: p, Time: time.Hour}
	r.Queue(ev)
	r.Frame()
	ev.Kind, ev.Position.X = pointer.Move, p.X+150
	r.Queue(ev)
	r.Frame()
	if !r.doc.Dragging() || r.doc.File().Equal(was) {
		t.Error("nothing is dragged")
	}
	r.Press(key.NameEscape, 0)
	ev.Kind, ev.Buttons = pointer.Release, 0
	r.Queue(ev)
	r.Settle()
	if _, can := r.doc.CanUndo(); can || r.doc.Dragging() || !r.doc.File().Equal(was) {
		t.Error("escape did not take the drag back")
	}
	for i, q := range parts {
		if q.Kind != "recover" {
			continue
		}
		if i+1 < len(parts) && parts[i+1].To-parts[i+1].From < 0.2 {
			t.Fatal("the next end is too near")
		}
		from := r.end(i)
		r.Drag(from, from.Add(f32.Pt(-40, 0)), 4)
		r.Settle()
		if !r.doc.File().Equal(was) {
			t.Error("a recovery was made shorter")
		}
	}
}

// The pointer on an end tells how long the entry is.
func TestEndTells(t *testing.T) {
	r := open(t, demo, 1, image.Pt(1280, 240))
	r.MoveTo(r.end(1))
	r.Settle()
	r.MustFind(endWords(r.doc, 1) + " (drag this end to change it)")
	r.MoveTo(r.end(1).Add(f32.Pt(-30, 0)))
	r.Settle()
	r.MustMiss(endWords(r.doc, 1) + " (drag this end to change it)")
}
