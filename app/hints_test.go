// SPDX-License-Identifier: MIT

package app

import (
	"image"
	"testing"

	"gioui.org/io/input"
	"gioui.org/io/key"
	"gioui.org/io/semantic"

	"gaitwright/assets"
)

// unsaid lists the controls of the last frame that have neither a hint nor a
// text that a person sees in them: their places in the window.
func (r *rig) unsaid() []string {
	nodes := r.Nodes()
	byID := map[input.SemanticID]input.SemanticNode{}
	for _, n := range nodes {
		byID[n.ID] = n
	}
	within := func(n input.SemanticNode, of input.SemanticID) bool {
		for n.ID != 0 {
			if n.ParentID == of {
				return true
			}
			up, ok := byID[n.ParentID]
			if !ok || up.ID == n.ID {
				return false
			}
			n = up
		}
		return false
	}
	var out []string
	for _, n := range nodes {
		if n.Desc.Class == semantic.Unknown || byID[n.ParentID].Desc.Class == semantic.Editor {
			continue
		}
		if n.Desc.Class != semantic.Editor && n.Desc.Gestures == 0 && !n.Desc.Disabled {
			continue // a spot of a canvas, which says it when the pointer is there
		}
		// The timeline's spots say what they are when the pointer is there.
		said := n.Desc.Description != "" || byID[n.ParentID].Desc.Label == "timeline"
		for p := n; !said; {
			up, ok := byID[p.ParentID]
			if !ok || up.ID == p.ID {
				break
			}
			// A hint is laid about the control, and no larger.
			said = up.Desc.Description != "" && up.Desc.Bounds.Dx() < 2*n.Desc.Bounds.Dx()+20 && up.Desc.Class == semantic.Unknown
			p = up
		}
		if n.Desc.Class != semantic.Editor { // what stands in a field is its value
			for _, c := range nodes {
				said = said || c.Desc.Label != "" && c.Desc.Class == semantic.Unknown && within(c, n.ID)
			}
		}
		if !said {
			out = append(out, n.Desc.Class.String()+" "+n.Desc.Label+" at "+n.Desc.Bounds.String())
		}
	}
	return out
}

// Every control says in words what it is: by a text in it, or by a hint.
func TestEveryControlIsSaid(t *testing.T) {
	r := open(t, assets.Demo)
	check := func(where string) {
		t.Helper()
		if r.liveOn() || r.modal.kind == changesModal {
			r.Frame() // it does not rest
		} else {
			r.Settle()
		}
		for _, s := range r.unsaid() {
			t.Errorf("%s: %s", where, s)
		}
	}
	for i, d := range desks() {
		if i == walkLive {
			continue
		}
		r.turnTo(i)
		check("page " + d.Text)
	}
	r.at.ChooseBody(r.doc)
	r.turnTo(shapeMove)
	check("body of a move")
	r.toggleLive()
	check("walking live")
	r.endLive()
	for _, id := range []string{"export", "weigh", "changes", "find", "new"} {
		r.act(id).do()
		check(id)
		r.Press(key.NameEscape, 0)
		r.Settle()
	}
}

// A hint shows where the pointer rests, wholly in the window, and says the
// trade's word.
func TestHintIsInTheWindow(t *testing.T) {
	r := open(t, assets.Demo)
	r.turnTo(shapeWalk)
	r.Settle()
	r.MoveTo(r.spot("duty factor"))
	r.Settle()
	r.MustFind("Duty factor: the share of the cycle in which the foot stands.")
	r.MoveTo(r.spot("Light look"))
	r.Settle()
	if b := r.MustFind("hint").Desc.Bounds; !b.In(image.Rectangle{Max: r.Tester.Size}) {
		t.Errorf("the hint is at %v", b)
	}
}
