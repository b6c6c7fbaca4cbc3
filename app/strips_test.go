// SPDX-License-Identifier: MIT

package app

import (
	"image"
	"testing"

	"gioui.org/f32"
	"gioui.org/io/key"

	"gaitwright/assets"
)

// The handle above the timeline makes room for the strips, by pointer and by
// key, and keeps its place from then on.
func TestHandleMakesRoomForTheStrips(t *testing.T) {
	r := open(t, assets.Demo)
	views := func() int { return r.MustFind("robot view").Desc.Bounds.Dy() }
	strips := func() image.Rectangle { return r.MustFind("strips").Desc.Bounds }
	if got := views(); got < 380 {
		t.Errorf("the views begin %d px high", got)
	}
	before, began := strips(), views()
	b := r.MustFind("height of the timeline").Desc.Bounds
	p := f32.Pt(float32(b.Min.X+b.Dx()/2), float32(b.Min.Y+b.Max.Y)/2)
	r.Drag(p, p.Sub(f32.Pt(0, 150)), 5)
	r.Settle()
	if got := strips().Dy() - before.Dy(); got < 40 || got != began-views() {
		t.Errorf("%d px less for the views make the strips %d px higher", began-views(), got)
	}
	// The plates stay of use: one beside the timing.
	for _, label := range []string{"plate from the side", "timing curve"} {
		if got := r.MustFind(label).Desc.Bounds.Dy(); got < 90 {
			t.Errorf("%s is %d px high", label, got)
		}
	}
	r.MustMiss("plate from above")
	if b := strips(); b.Max.Y > r.Size.Y {
		t.Errorf("the strips lie at %v", b)
	}
	was := views()
	r.Focus(&r.split)
	r.Press(key.NameDownArrow, key.ModShift)
	r.Settle()
	if got := views() - was; got != 64 {
		t.Errorf("a long step down makes the views %d px higher, want 64", got)
	}
	was = views()
	r.doc.SetOnStand(true)
	r.Settle()
	if views() != was {
		t.Error("another rehearsal moves the handle")
	}
}

// A click on a strip goes to the time in the whole window, in one frame or the
// next, and the rows are there at every size.
func TestStripsInTheWindow(t *testing.T) {
	for _, size := range []image.Point{normal, small} {
		for _, scale := range []float32{1, 2} {
			r := openWith(t, Config{Name: "demo", Text: assets.Demo}, size, scale)
			b := r.MustFind("strip stability").Desc.Bounds
			if !b.In(image.Rectangle{Max: r.Size}) {
				t.Errorf("%v at %v: stability lies at %v", size, scale, b)
			}
			n := r.MustFind("timeline").Desc.Bounds
			r.ClickAt(f32.Pt(float32(n.Min.X+n.Dx()/2), float32(b.Min.Y+5)))
			r.Settle()
			if r.at.Time < 6 || r.at.Time > 8 {
				t.Errorf("%v at %v: a click in the middle goes to %v s", size, scale, r.at.Time)
			}
		}
	}
}
