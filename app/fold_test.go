// SPDX-License-Identifier: MIT

package app

import (
	"fmt"
	"image"
	"testing"

	"gioui.org/io/input"
	"gioui.org/io/key"
	"gioui.org/io/semantic"

	"gaitwright/app/settings"
	"gaitwright/assets"
)

// seen gives the part of a node that shows: within all that is around it.
func (r *rig) seen(n input.SemanticNode, byID map[input.SemanticID]input.SemanticNode) image.Rectangle {
	b := n.Desc.Bounds.Intersect(image.Rectangle{Max: r.Tester.Size})
	for n.ID != 0 {
		up, ok := byID[n.ParentID]
		if !ok || up.ID == n.ID {
			break
		}
		b, n = b.Intersect(up.Desc.Bounds), up
	}
	return b
}

// overlaps lists the controls of the last frame that lie over each other; with
// a card open, those of the card.
func (r *rig) overlaps() []string {
	nodes := r.Nodes()
	byID := map[input.SemanticID]input.SemanticNode{}
	for _, n := range nodes {
		byID[n.ID] = n
	}
	within := func(n, of input.SemanticNode) bool {
		for {
			up, ok := byID[n.ParentID]
			if !ok || up.ID == n.ID {
				return false
			}
			if up.ID == of.ID {
				return true
			}
			n = up
		}
	}
	type part struct {
		n   input.SemanticNode
		box image.Rectangle
	}
	var parts []part
	for _, n := range nodes {
		if r.modal.open() && n.Desc.Disabled {
			continue // behind the card
		}
		if n.Desc.Class == semantic.Unknown || n.Desc.Class != semantic.Editor && n.Desc.Gestures == 0 && !n.Desc.Disabled {
			continue
		}
		switch byID[n.ParentID].Desc.Label {
		case "timeline", "strips":
			continue // what lies close on a line of time is told apart by the canvas
		}
		if b := r.seen(n, byID); !b.Empty() {
			parts = append(parts, part{n, b})
		}
	}
	const touch = 2 // px that rounding may give
	var out []string
	for i, a := range parts {
		for _, b := range parts[:i] {
			if o := a.box.Intersect(b.box); o.Dx() > touch && o.Dy() > touch && !within(a.n, b.n) && !within(b.n, a.n) {
				out = append(out, fmt.Sprintf("%q at %v and %q at %v", a.n.Desc.Label, a.box, b.n.Desc.Label, b.box))
			}
		}
	}
	return out
}

// Nothing lies over another thing, at any size and scale, on any page.
func TestNoOverlap(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		size  image.Point
		scale float64
	}{
		{normal, 1}, {small, 1}, {normal, 1.25}, {normal, 1.5}, {normal, 2}, {normal, 3}, {small, 1.5}, {image.Pt(1920, 1080), 1.75},
	} {
		t.Run(fmt.Sprintf("%dx%d at %v", tt.size.X, tt.size.Y, tt.scale), func(t *testing.T) {
			r := openWith(t, Config{Name: "demo", Text: assets.Demo, Settings: settings.Settings{Scale: tt.scale}}, tt.size, 1)
			check := func(where string) {
				t.Helper()
				r.Settle()
				for _, s := range r.overlaps() {
					t.Errorf("%s: %s", where, s)
				}
			}
			for i, d := range desks() {
				if i != walkLive {
					r.turnTo(i)
					check("page " + d.Text)
				}
			}
			for part := range foldParts {
				r.fold.part = part
				check("part " + foldOptions()[part].Text)
			}
		})
	}
}

// A small window shows one part at a time, each of use, and everything in it
// is reached by keyboard.
func TestFolded(t *testing.T) {
	t.Parallel()
	for _, scale := range []float64{1.5, 2, 3} {
		r := openWith(t, Config{Name: "demo", Text: assets.Demo, Settings: settings.Settings{Scale: scale}}, normal, 1)
		for part, want := range map[string][]any{
			"findings": {r.joints.hold[2].Tag()},
			"robot":    {&r.view, &r.views.from},
			"edit":     {r.shape.Tags()[0]},
			"time":     {r.time.Tag(), r.strips.Tag()},
		} {
			r.Click(part)
			r.Settle()
			reached := make([]bool, len(want))
			for range 150 {
				r.Tab(false)
				for i, tag := range want {
					reached[i] = reached[i] || r.Focused(tag)
				}
			}
			for i, ok := range reached {
				if !ok {
					t.Errorf("scale %v, %s: Tab never reaches %T", scale, part, want[i])
				}
			}
		}
		r.MustFind("The review found nothing.")
		r.Press("0", key.ModShortcut)
		r.Settle()
		r.MustMiss("time") // all shows at once again
	}
	for _, size := range []image.Point{normal, small, image.Pt(1000, 640)} {
		r := openWith(t, Config{Name: "demo", Text: assets.Demo}, size, 1)
		r.MustMiss("time")
		r.MustFind("robot view")
		r.MustFind("timeline")
	}
}

// The cards fit a small window: their buttons show.
func TestCardsOfASmallWindow(t *testing.T) {
	t.Parallel()
	for _, scale := range []float64{1.5, 2, 3} {
		r := openWith(t, Config{Name: "demo", Text: assets.Demo, Settings: settings.Settings{Scale: scale}}, normal, 1)
		for id, button := range map[string]string{"export": "Cancel", "weigh": "Cancel", "new": "Cancel"} {
			r.act(id).do()
			r.Settle()
			n, err := r.Clickable(button)
			if err != nil {
				t.Errorf("scale %v, %s: %v", scale, id, err)
				continue
			}
			if !n.Desc.Bounds.In(image.Rectangle{Max: r.Tester.Size}) {
				t.Errorf("scale %v, %s: %s at %v", scale, id, button, n.Desc.Bounds)
			}
			for _, s := range r.overlaps() {
				t.Errorf("scale %v, %s: %s", scale, id, s)
			}
			r.Press(key.NameEscape, 0)
			r.Settle()
		}
	}
}
