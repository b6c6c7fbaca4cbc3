// SPDX-License-Identifier: MIT

package tour

import (
	"image"
	"testing"

	"gioui.org/layout"

	"gaitwright/app/control"
	"gaitwright/app/drive"
	"gaitwright/app/look"
)

// The card stands beside the place where there is room, hides none of it then,
// and is always in the window.
func TestBeside(t *testing.T) {
	window, card := image.Rect(0, 0, 1000, 600), image.Pt(300, 160)
	for name, tt := range map[string]struct {
		place image.Rectangle
		clear bool // there is room for a card that hides nothing
	}{
		"nothing":      {image.Rectangle{}, true},
		"left column":  {image.Rect(0, 80, 250, 400), true},
		"right column": {image.Rect(650, 80, 1000, 400), true},
		"top":          {image.Rect(300, 0, 400, 40), true},
		"bottom":       {image.Rect(0, 400, 1000, 600), true},
		"all":          {window, false},
		"thin middle":  {image.Rect(100, 100, 900, 500), false},
		"corner":       {image.Rect(0, 300, 800, 600), true},
	} {
		at := beside(tt.place, image.Rectangle{}, card, window, 8)
		box := image.Rectangle{Min: at, Max: at.Add(card)}
		if !box.In(window) {
			t.Errorf("%s: the card is at %v", name, box)
		}
		if tt.clear && box.Overlaps(tt.place) {
			t.Errorf("%s: the card at %v hides some of %v", name, box, tt.place)
		}
	}
}

// Steps go on when they are done, back and on by the buttons, and each begins
// anew.
func TestSteps(t *testing.T) {
	th := look.New(true)
	var done [3]bool
	var begun [3]int
	var tr Tour
	for i, title := range []string{"one", "two", "three"} {
		tr.Steps = append(tr.Steps, Step{
			Title: title, Text: "try it", Place: "here",
			Begin: func() { begun[i]++ }, Done: func() bool { return done[i] },
		})
	}
	var came []Event
	still := false
	d := drive.For(t, drive.New(image.Pt(800, 500), func(gtx layout.Context) layout.Dimensions {
		size := gtx.Constraints.Max
		if e := tr.Update(gtx, still); e != Nothing {
			came = append(came, e)
		}
		g := gtx
		g.Constraints = layout.Exact(image.Pt(200, 100))
		control.Mark(g, tr.Place(), func(gtx layout.Context) layout.Dimensions { return layout.Dimensions{Size: gtx.Constraints.Max} })
		at, _ := control.Where(gtx.Ops, tr.Place())
		if tr.On() && at != image.Rect(0, 0, 200, 100) {
			t.Errorf("the place is at %v", at)
		}
		tr.Layout(gtx, th, at, image.Rectangle{})
		return layout.Dimensions{Size: size}
	}))
	d.Settle()
	d.MustMiss("tour")
	tr.Offer()
	d.Settle()
	d.Click("Take the tour")
	d.Settle()
	d.MustFind("one")
	if begun[0] != 1 {
		t.Errorf("the first step began %d times", begun[0])
	}
	done[0] = true
	d.Settle() // with the pause
	d.MustFind("two")
	d.Click("Back")
	d.Settle()
	if begun[0] != 2 {
		t.Errorf("the first step began %d times after going back", begun[0])
	}
	d.Settle() // it is still done, so it goes on
	still = true
	done[1] = true
	d.Settle()
	d.MustFind("two")
	d.MustFind("Done")
	d.Click("Next")
	d.Settle()
	d.MustFind("three")
	done[2] = true
	d.Settle()
	d.Click("Finish")
	d.Settle()
	d.MustMiss("tour")
	if n := len(came); n == 0 || came[n-1] != Finished {
		t.Errorf("events %v", came)
	}
	tr.Begin(99)
	d.Settle()
	d.MustFind("three")
	d.Click("Leave")
	d.Settle()
	if came[len(came)-1] != Left || tr.On() {
		t.Errorf("events %v", came)
	}
	new(Tour).Begin(0) // without steps nothing begins
}
