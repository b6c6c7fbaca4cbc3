// SPDX-License-Identifier: MIT

package app

import (
	"testing"

	"gioui.org/io/key"

	"gaitwright/app/draw"
	"gaitwright/assets"
)

// A gait of the library is walked, the walk is put into its place, made longer,
// and judged under another limit; then all is taken back: on three pages, with
// one step of undo for each edit.
func TestSequenceFromTheLibrary(t *testing.T) {
	r := open(t, assets.Demo)
	before := r.text()
	step := func(label string) {
		t.Helper()
		r.Settle()
		if got, _ := r.doc.CanUndo(); got != label {
			t.Fatalf("the step is called %q, want %q (%v)", got, label, r.doc.Err())
		}
	}
	r.Click("walk")
	r.Settle()
	r.Click("add a gait")
	r.Settle()
	r.Click("tetrapod")
	step("add a gait")
	r.Click("Add a walk with it to the sequence")
	step("add a walk")
	if r.at.Time != r.doc.Result().Trajectory.Parts[1].From {
		t.Errorf("the time is %v", r.at.Time)
	}
	r.Click("sequence")
	r.Settle()
	r.MustFind("7 entries, " + draw.Number(r.doc.Result().Trajectory.Duration(), 2) + " s")
	r.Click("cycles of the entry")
	r.Type("1.5")
	r.Press(key.NameReturn, 0)
	step("change the cycles")
	if e := r.doc.File().Sequence[1]; e.Gait != "tetrapod" || *e.Cycles != 1.5 {
		t.Errorf("%+v", e)
	}
	r.Click("later (Alt+↓)")
	step("move an entry later")
	r.Click("limits")
	r.Settle()
	r.Click("stability margin")
	r.Type("60")
	r.Press(key.NameReturn, 0)
	step("set the stability margin")
	if len(r.doc.Result().Findings) == 0 {
		t.Error("a margin of 60 mm finds nothing")
	}
	for range 5 {
		r.Press("Z", key.ModShortcut)
		r.Settle()
	}
	if _, more := r.doc.CanUndo(); more || r.text() != before {
		t.Error("five undos do not take all back")
	}
}

// Letters that are typed into a name are no shortcuts.
func TestNameOfAnEntryIsNoShortcut(t *testing.T) {
	r := open(t, assets.Demo)
	r.Click("sequence")
	r.Settle()
	r.Click("name of the entry")
	r.Type("hall lit")
	r.Press(key.NameReturn, 0)
	r.Settle()
	if got := r.doc.File().Sequence[0].Name; got != "hall lit" || r.doc.OnStand() || r.liveOn() || r.trying() || r.at.Playing {
		t.Errorf("name %q, on a stand %v, live %v", got, r.doc.OnStand(), r.liveOn())
	}
}
