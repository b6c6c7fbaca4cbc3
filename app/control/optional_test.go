// SPDX-License-Identifier: MIT

package control

import (
	"image"
	"strings"
	"testing"

	"gioui.org/io/key"
	"gioui.org/layout"

	"gaitwright/app/drive"
	"gaitwright/app/look"
)

// An optional number may be cleared; one that is needed may not.
func TestOptionalNumber(t *testing.T) {
	th := look.New(false)
	n := Number{Value: 8, Min: 1, Max: 20, Unit: "mm", Optional: true}
	cleared, changed := 0, 0
	d := drive.For(t, drive.New(image.Pt(200, 80), func(gtx layout.Context) layout.Dimensions {
		if n.Update(gtx) {
			changed++
			n.Absent = false
		}
		if n.Cleared() {
			cleared++
			n.Value, n.Absent = 5, true
		}
		return Natural(Amount(th, &n, "radius").Layout)(gtx)
	}))
	empty := func() {
		d.Click("radius")
		d.Press("A", key.ModShortcut)
		d.Press(key.NameDeleteBackward, 0)
		d.Press(key.NameReturn, 0)
		d.Settle()
	}
	empty()
	if cleared != 1 || changed != 0 || n.Err() != nil {
		t.Fatalf("cleared %d, changed %d, %v", cleared, changed, n.Err())
	}
	if got := d.MustFind("radius").Desc.Description; got != "default" {
		t.Errorf("described as %q", got)
	}
	d.Press("A", key.ModShortcut)
	d.Type("7")
	d.Press(key.NameReturn, 0)
	d.Settle()
	if changed != 1 || n.Value != 7 || n.Absent {
		t.Errorf("changed %d, %v", changed, n.Value)
	}
	n.Optional = false
	empty()
	if cleared != 1 || n.Err() == nil || n.Value != 7 {
		t.Errorf("cleared %d, %v", cleared, n.Err())
	}
}

// The message under a number at the right edge of its row stays inside, and
// the field stays where it was.
func TestMessageInside(t *testing.T) {
	th := look.New(false)
	n := Number{Value: 8, Min: 1, Max: 20, Unit: "mm"}
	d := drive.For(t, drive.New(image.Pt(240, 120), func(gtx layout.Context) layout.Dimensions {
		gtx.Constraints.Min = image.Point{}
		return layout.Flex{}.Layout(gtx,
			layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
				return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, 0)}
			}),
			layout.Rigid(Amount(th, &n, "radius").Layout))
	}))
	before := d.MustFind("radius").Desc.Bounds
	d.Click("radius")
	d.Press("A", key.ModShortcut)
	d.Type("70")
	d.Press(key.NameReturn, 0)
	d.Settle()
	if after := d.MustFind("radius").Desc.Bounds; after != before {
		t.Errorf("the field went from %v to %v", before, after)
	}
	found := false
	for _, k := range d.Nodes() {
		if strings.Contains(k.Desc.Label, "must lie from 1 to 20 mm") {
			found = true
			if b := k.Desc.Bounds; b.Min.X < 0 || b.Min.X > before.Min.X {
				t.Errorf("the message begins at %v", b.Min)
			}
		}
	}
	if !found {
		t.Errorf("no message in\n%s", d.Dump())
	}
}
