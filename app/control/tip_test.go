// SPDX-License-Identifier: MIT

package control

import (
	"image"
	"testing"

	"gioui.org/layout"

	"gaitwright/app/drive"
	"gaitwright/app/look"
)

func TestSaying(t *testing.T) {
	for _, tt := range []struct{ hint, label, want string }{
		{"its own", "duty factor", "its own"},
		{"", "duty factor", "Duty factor: the share of the cycle in which the foot stands."},
		{"", "trim of the coxa", "Trim of the coxa. Trim: an angle added to a servo so that its joint stands where the drawing has it."},
		{"", "x of the mount", "X of the mount"},
		{"", "µs per degree", "µs per degree"},
		{"", "", ""},
	} {
		if got := saying(tt.hint, tt.label); got != tt.want {
			t.Errorf("%q, %q: got %q, want %q", tt.hint, tt.label, got, tt.want)
		}
	}
}

// A hint of a field shows under the resting pointer and does not keep the
// field from being typed in; at the edge of the window it stays inside.
func TestTipInsideTheWindow(t *testing.T) {
	th := look.New(true)
	th.HintsApart = true
	var n Number
	d := drive.For(t, drive.New(image.Pt(400, 120), func(gtx layout.Context) layout.Dimensions {
		size := gtx.Constraints.Max
		n.Update(gtx)
		layout.SE.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min = image.Point{}
			return Amount(th, &n, "stability margin").Layout(gtx)
		})
		Hints(gtx, th)
		return layout.Dimensions{Size: size}
	}))
	d.Settle()
	const says = "Stability margin: the shortest distance from the centre of mass, seen from above, to the edge of the support polygon."
	shown := func() (box image.Rectangle, ok bool) {
		n, ok := d.Find("hint")
		return n.Desc.Bounds, ok
	}
	d.Settle()
	if _, ok := shown(); ok {
		t.Error("a hint without a pointer")
	}
	d.MoveTo(d.Centre("stability margin"))
	d.Settle()
	d.MustFind(says)
	box, ok := shown()
	if !ok {
		t.Fatalf("no hint in\n%s", d.Dump())
	}
	if !box.In(image.Rect(0, 0, 400, 120)) {
		t.Errorf("the hint is at %v", box)
	}
	d.Click("stability margin")
	d.Type("7")
	d.Press("⏎", 0)
	d.Settle()
	if n.Value != 7 {
		t.Errorf("typed 7, got %v", n.Value)
	}
}
