// SPDX-License-Identifier: MIT

package walk

import (
	"strings"
	"testing"

	"gioui.org/f32"

	"gaitwright/assets"
	"gaitwright/motion/review"
	"gaitwright/motion/workfile"
)

// A walk that the review stops is said to be stopped, whatever its pace.
func TestStopsOfTheWalk(t *testing.T) {
	r := open(t, assets.Demo, gaitPage)
	if r.panel.facts.stops != 0 {
		t.Fatalf("%d stops in the demo", r.panel.facts.stops)
	}
	if err := r.doc.Change("too fast", func(f *workfile.File) { v := 260.0; f.Sequence[1].Forward = &v }); err != nil {
		t.Fatal(err)
	}
	r.Settle()
	want := 0
	res := r.doc.Result()
	for _, f := range res.Findings {
		if f.Level == review.Stop && f.Part >= 0 {
			if e := r.doc.File().Sequence[res.Trajectory.Parts[f.Part].Index]; e.Gait == r.doc.File().Gaits[r.panel.last.gait].Name && (e.Kind == "walk" || e.Kind == "change") {
				want++
			}
		}
	}
	if r.panel.facts.stops != want {
		t.Errorf("%d stops, want %d", r.panel.facts.stops, want)
	}
	if want == 0 {
		t.Fatal("nothing stops this walk")
	}
	said := false
	for _, n := range r.Nodes() {
		said = said || strings.Contains(n.Desc.Label, "the review stops this walk: ")
	}
	if !said {
		t.Errorf("it is not said:\n%s", r.Dump())
	}
}

// Every number of the list whose word a builder may not know is explained.
func TestNumbersAreExplained(t *testing.T) {
	r := open(t, assets.Demo, gaitPage)
	for _, f := range r.panel.facts.rows() {
		if meaning(f.name) == "" {
			t.Errorf("%s is not told", f.name)
		}
	}
	b := r.MustFind("Froude number").Desc.Bounds
	r.MoveTo(f32.Pt(float32(b.Min.X+10), float32(b.Min.Y+6)))
	r.Settle()
	if _, ok := r.Find(meaning("Froude number")); !ok || b.Empty() {
		t.Errorf("no hint at the number:\n%s", r.Dump())
	}
}
