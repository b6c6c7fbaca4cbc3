// SPDX-License-Identifier: MIT

package app

import (
	"testing"

	"gioui.org/f32"

	"gaitwright/assets"
)

// An entry opens on the page where what it plays is shaped, from the list and
// from the timeline.
func TestOpenEntry(t *testing.T) {
	r := open(t, assets.Demo)
	r.turnTo(shapeSequence)
	r.Settle()
	r.DoubleClick("entry 3, change")
	r.Settle()
	f := r.doc.File()
	part := func(i int) (from, to float64) {
		p := r.doc.Result().Trajectory.Parts[i]
		return p.From, p.To
	}
	if from, to := part(2); r.shapes.Value != shapeWalk || r.at.Time < from || r.at.Time >= to {
		t.Errorf("page %d at %v s", r.shapes.Value, r.at.Time)
	}
	r.MustFind(f.Sequence[2].Gait)

	// The body's track was chosen before: the leg's shows again.
	r.at.ChooseBody(r.doc)
	lane := r.MustFind("timeline").Desc.Bounds
	entry := r.MustFind(f.Sequence[3].Name).Desc.Bounds
	if !entry.In(lane) {
		t.Logf("%v in %v", entry, lane)
	}
	r.DoubleClickAt(f32.Pt(float32(entry.Min.X+20), float32(entry.Min.Y+8)))
	r.Settle()
	if r.shapes.Value != shapeMove || r.at.Track < 0 || f.Moves[r.at.Move].Name != f.Sequence[3].Move {
		t.Errorf("page %d, track %d of move %d", r.shapes.Value, r.at.Track, r.at.Move)
	}
	// So it does when one comes back to the page.
	r.at.ChooseBody(r.doc)
	r.Click("limits")
	r.Settle()
	r.Click("move")
	r.Settle()
	if r.at.Track < 0 {
		t.Error("the page shows the body")
	}
	r.turnTo(shapeSequence)
	r.Settle()
	r.DoubleClick("entry 1, stand")
	r.Settle()
	if r.shapes.Value != shapeSequence {
		t.Error("standing was opened")
	}
}

// What is not saved is said beside a notice too, in a small window.
func TestNotSavedBesideNotice(t *testing.T) {
	for _, scale := range []float32{1, 1.5, 2} {
		r := openWith(t, Config{Name: "demo", Text: assets.Demo}, small, 1)
		r.Metric.PxPerDp, r.Metric.PxPerSp = scale, scale
		if err := r.doc.Change("raise a point", raise); err != nil {
			t.Fatal(err)
		}
		r.notice.say("The table is written, and this is a long notice that takes what room there is beside the name.")
		r.Settle()
		b := r.MustFind("not saved").Desc.Bounds
		if b.Dx() <= 0 || b.Max.X > r.Tester.Size.X {
			t.Errorf("at %v it is at %v", scale, b)
		}
	}
}
