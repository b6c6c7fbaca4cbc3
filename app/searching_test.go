// SPDX-License-Identifier: MIT

package app

import (
	"fmt"
	"strings"
	"testing"

	"gioui.org/io/key"

	"gaitwright/app/camera"
	"gaitwright/app/finder"
	"gaitwright/assets"
)

// search opens the search, types, and takes the first that fits.
func (r *rig) search(typed string) {
	r.T.Helper()
	r.Press("/", 0)
	r.Settle()
	if r.modal.kind != findModal {
		r.T.Fatalf("the search is not open")
	}
	r.Type(typed)
	r.Settle()
	r.Press(key.NameReturn, 0)
	r.Settle()
}

// By keyboard alone, from a key to the thing done.
func TestSearchDoes(t *testing.T) {
	t.Parallel()
	r := open(t, assets.Demo)
	r.search("front look")
	if v := r.view.Camera.View(); v != camera.Front || r.modal.open() {
		t.Fatalf("view %v, open %v", v, r.modal.open())
	}
	r.search("limits page")
	if r.shapes.Value != shapeLimits {
		t.Errorf("page %d", r.shapes.Value)
	}
	r.search("stabilty margin") // a letter is missing
	if r.shapes.Value != shapeLimits || !r.Focused(r.limits.Tag("stability_margin_mm")) {
		t.Errorf("page %d, or its field has not the keys", r.shapes.Value)
	}
	r.Press(key.NameF6, 0) // a field takes the / as a letter
	r.Settle()
	r.search("leg rr")
	if got := r.legName(r.at.Leg); got != "RR" {
		t.Errorf("leg %s", got)
	}
	r.search("strike")
	if r.shapes.Value != shapeMove || r.at.Time != r.strike() {
		t.Errorf("page %d, time %v", r.shapes.Value, r.at.Time)
	}
	r.search("hold tibia")
	if !r.doc.OnStand() || len(r.at.Held) != 1 {
		t.Errorf("on a stand %v, held %v", r.doc.OnStand(), r.at.Held)
	}
	dark := r.th.Dark
	r.search("light look")
	if r.th.Dark == dark {
		t.Error("the look is the same")
	}
	r.search("duty factor")
	if r.modal.kind != tellModal || !strings.Contains(r.modal.text, "share of the cycle in which the foot stands") {
		t.Errorf("card %v: %s", r.modal.kind, r.modal.text)
	}
}

func TestSearchFindings(t *testing.T) {
	r := fault(t, "low-strike")
	r.search("low strike")
	if r.at.Finding < 0 || r.doc.Result().Findings[r.at.Finding].Word != "low-strike" {
		t.Errorf("finding %d", r.at.Finding)
	}
	r.at.Finding = -1
	n := len(r.doc.Result().Findings)
	for i := range n + 1 {
		r.Press("N", 0)
		if r.at.Finding != i%n {
			t.Errorf("press %d: finding %d of %d", i, r.at.Finding, n)
		}
	}
	r.Press("N", key.ModShift)
	if r.at.Finding != n-1 {
		t.Errorf("back: finding %d of %d", r.at.Finding, n)
	}
}

// What cannot be done now is found, says why, and is not done.
func TestSearchSaysWhyNot(t *testing.T) {
	r := open(t, assets.Demo)
	r.Press("/", 0)
	r.Settle()
	r.Type("undo")
	r.Settle()
	r.MustFind("nothing to undo")
	r.Press(key.NameReturn, 0)
	r.Settle()
	if r.modal.kind != findModal {
		t.Error("the card closed without doing anything")
	}
	r.Press(key.NameEscape, 0)
	r.Settle()
	if r.modal.open() {
		t.Error("Escape did not leave")
	}
}

// The arrows move in the list while the field has the keys, and a click takes
// a row.
func TestSearchArrowsAndClick(t *testing.T) {
	r := open(t, assets.Demo)
	r.Press("/", 0)
	r.Settle()
	r.Type("look from")
	r.Settle()
	for range 3 {
		r.Press(key.NameDownArrow, 0)
	}
	r.Press(key.NameUpArrow, 0)
	want := r.modal.finder.Found()[2].Name
	r.Press(key.NameReturn, 0)
	r.Settle()
	if got := "Look " + r.view.Camera.View().String(); got != want && want != "Look from ahead on the left" {
		t.Errorf("got %q, want %q", got, want)
	}
	r.Click("Find")
	r.Settle()
	r.Type("above")
	r.Settle()
	r.Click("Look from above")
	r.Settle()
	if v := r.view.Camera.View(); v != camera.Above || r.modal.open() {
		t.Errorf("view %v, open %v", v, r.modal.open())
	}
	r.Press("/", 0)
	r.Settle()
	r.Type("xyzzy plugh")
	r.Settle()
	r.MustFind("Nothing fits. Try another word, or fewer.")
	r.Press(key.NameReturn, 0)
	r.Settle()
	if r.modal.kind != findModal {
		t.Error("Enter on nothing closed the card")
	}
}

// Typing in a field of the window is not a search.
func TestSearchNotWhileTyping(t *testing.T) {
	r := open(t, assets.Demo)
	r.Click("playback speed")
	r.Settle()
	r.Type("/")
	r.Settle()
	if r.modal.open() {
		t.Error("the search opened while a number was typed")
	}
}

// Every action is told, can be found by its own words, and its words and keys
// are its own.
func TestActionsTable(t *testing.T) {
	r := open(t, assets.Demo)
	ids, keys := map[string]bool{}, map[string]string{}
	for i := range r.acts {
		a := &r.acts[i]
		if ids[a.id] {
			t.Errorf("%s: twice in the table", a.id)
		}
		ids[a.id] = true
		if a.words == "" || a.can == nil || a.do == nil {
			t.Errorf("%s: incomplete", a.id)
		}
		if a.say == "" && len(a.keys) > 0 {
			t.Errorf("%s: says %q and has %d keys", a.id, a.say, len(a.keys))
		}
		if a.special() {
			continue // its keys are its own only then
		}
		if _, told := abouts()[a.id]; !told && a.about == "" {
			t.Errorf("%s: does not say what it does", a.id)
		}
		if a.mode == whileTrying || a.mode == whileFlipped || a.mode == whileDriving {
			continue // one of them at a time
		}
		for _, k := range a.keys {
			for _, shift := range []key.Modifiers{0, key.ModShift} {
				if k.Optional&shift == shift {
					id := fmt.Sprint(k.Name, k.Required|shift)
					if other := keys[id]; other != "" && other != a.id {
						t.Errorf("%s and %s share %s", other, a.id, id)
					}
					keys[id] = a.id
				}
			}
		}
	}
	all := r.findable()
	kinds := map[string]int{}
	for i := range all {
		kinds[all[i].Kind]++
		if all[i].Name == "" || all[i].Hint == "" || all[i].Do == nil {
			t.Errorf("incomplete: %+v", all[i])
		}
		if all[i].Kind != "action" {
			continue
		}
		if found := finder.Rank(all, all[i].Name); len(found) == 0 || all[found[0]].Name != all[i].Name {
			t.Errorf("%q is not found by its own words", all[i].Name)
		}
	}
	for _, k := range []string{"action", "leg", "move", "gait", "entry", "limit", "term"} {
		if kinds[k] == 0 {
			t.Errorf("no %s can be found", k)
		}
	}
}
