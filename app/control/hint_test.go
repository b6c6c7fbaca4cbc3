// SPDX-License-Identifier: MIT

package control

import (
	"image"
	"testing"

	"gioui.org/f32"
	"gioui.org/io/input"
	"gioui.org/io/semantic"
	"gioui.org/layout"

	"gaitwright/app/drive"
	"gaitwright/app/look"
)

// A hint adds something to the text that shows, or is none.
func TestTelling(t *testing.T) {
	for _, tt := range []struct{ hint, shown, want string }{
		{"Open (Ctrl+O)", "Open", "Ctrl+O"}, {"Save as (Ctrl+Shift+S)", "Save", "Save as (Ctrl+Shift+S)"},
		{"Open", "Open", ""}, {"Open.", "Open", ""}, {"Undo (Ctrl+Z)", "", "Undo (Ctrl+Z)"},
		{"Openings are listed", "Open", "Openings are listed"}, {"Take this corner out", "Take out", "Take this corner out"},
		{"", "Open", ""},
	} {
		if got := telling(tt.hint, tt.shown); got != tt.want {
			t.Errorf("%q at %q: %q, want %q", tt.hint, tt.shown, got, tt.want)
		}
	}
	for _, tt := range []struct{ hint, label, want string }{
		{"", "x of the mount", ""}, {"its own", "x", "its own"}, {"", "", ""},
		{"", "duty factor", "Duty factor: the share of the cycle in which the foot stands."},
	} {
		if got := explaining(tt.hint, tt.label); got != tt.want {
			t.Errorf("%q at %q: %q, want %q", tt.hint, tt.label, got, tt.want)
		}
	}
}

// A hint stands where it covers no other control, where there is such a place,
// and always in the window.
func TestBeside(t *testing.T) {
	part := func(r image.Rectangle) input.SemanticNode {
		return input.SemanticNode{Desc: input.SemanticDesc{Class: semantic.Button, Bounds: r}}
	}
	at, size, room := image.Rect(100, 100, 180, 128), image.Pt(60, 24), image.Pt(300, 300)
	below, above, right := part(image.Rect(100, 130, 180, 158)), part(image.Rect(100, 70, 180, 98)), part(image.Rect(184, 100, 264, 128))
	for _, tt := range []struct {
		name  string
		room  image.Point
		parts []input.SemanticNode
		want  image.Point
	}{
		{"free", room, nil, image.Pt(100, 132)},
		{"a field below", room, []input.SemanticNode{below}, image.Pt(100, 72)},
		{"above and below", room, []input.SemanticNode{below, above}, image.Pt(184, 102)},
		{"all but the left", room, []input.SemanticNode{below, above, right}, image.Pt(36, 102)},
		{"at the lower edge", image.Pt(300, 140), nil, image.Pt(100, 72)},
	} {
		parts := append([]input.SemanticNode{part(at)}, tt.parts...)
		if got := beside(at, size, tt.room, 4, parts); got != tt.want {
			t.Errorf("%s: %v, want %v", tt.name, got, tt.want)
		}
	}
	if p := beside(image.Rect(280, 290, 299, 299), image.Pt(290, 200), room, 4, nil); p.X < 0 || p.Y < 0 {
		t.Errorf("a large one at the corner stands at %v", p)
	}
}

// A press puts a hint away until the pointer has left, and none shows while a
// person types.
func TestHintGoes(t *testing.T) {
	th := look.New(false)
	th.HintsApart = true
	var n Number
	var b Button
	var tip Tip
	var order Order
	d := drive.For(t, drive.New(image.Pt(400, 200), func(gtx layout.Context) layout.Dimensions {
		size := gtx.Constraints.Max
		gtx = order.In(gtx)
		n.Update(gtx)
		b.Update(gtx)
		g := gtx
		g.Constraints.Min = image.Point{}
		layout.Flex{Axis: layout.Vertical, Gap: 40}.Layout(g,
			layout.Rigid(Amount(th, &n, "stride").Layout),
			layout.Rigid(Push(th, &b, "Add").WithHint("Add one more").Layout),
			layout.Rigid(func(gtx layout.Context) layout.Dimensions {
				return tip.Layout(gtx, th, "What the word means", th.Plain("a word").Layout)
			}),
		)
		Hints(gtx, th)
		return layout.Dimensions{Size: size}
	}))
	shown := func() bool { _, ok := d.Find("hint"); return ok }
	middle := func(name string) f32.Point {
		b := d.MustFind(name).Desc.Bounds
		return f32.Pt(float32(b.Min.X+8), float32(b.Min.Y+8))
	}
	for _, name := range []string{"Add", "a word"} {
		d.MoveTo(middle("stride"))
		d.Settle()
		d.MoveTo(middle(name))
		d.Settle()
		if !shown() {
			t.Fatalf("%s: no hint", name)
		}
		d.ClickAt(middle(name))
		d.Settle()
		if shown() {
			t.Errorf("%s: the hint stays after a click", name)
		}
	}
	d.Click("stride")
	d.Type("12")
	d.MoveTo(middle("Add"))
	d.Settle()
	if shown() {
		t.Error("a hint while a number is typed")
	}
	d.Press("⏎", 0)
	d.MoveTo(middle("a word"))
	d.Settle()
	if !shown() {
		t.Error("no hint after the number")
	}
	d.Click("Add") // takes the keys from the field, over which the pointer has been
	d.MoveTo(f32.Pt(390, 190))
	d.Settle()
	if shown() {
		t.Error("a hint without the pointer")
	}
}
