// SPDX-License-Identifier: MIT

package app

import (
	"math"
	"testing"

	"gioui.org/io/key"

	"gaitwright/assets"
)

// The remedy of tips-fast is done as it says, by the field beside the move's
// name: one step of undo, the same instant of the move, and nothing is found.
func TestSpeedInThisEntry(t *testing.T) {
	r := fault(t, "tips-fast")
	r.goTo(0)
	r.Settle()
	before, from := r.text(), r.strike()
	phase := r.at.Time - from
	r.Click("speed in throw")
	r.Type("0.67")
	r.Press(key.NameReturn, 0)
	r.Settle()
	e := r.doc.File().Sequence[1]
	if e.Speed == nil || *e.Speed != 0.67 || len(r.doc.Result().Findings) != 0 {
		t.Fatalf("%+v, found %+v", e, r.doc.Result().Findings)
	}
	if got := (r.at.Time - from) * 0.67; math.Abs(got-phase) > 1e-9 {
		t.Errorf("the move is at %v s of its own time, before %v s", got, phase)
	}
	if what, ok := r.doc.CanUndo(); !ok || what != "change the speed of an entry" {
		t.Errorf("undo of %q", what)
	}
	r.Press("Z", key.ModShortcut)
	r.Settle()
	if _, more := r.doc.CanUndo(); more || r.text() != before {
		t.Error("it took more than one step")
	}
	for _, bad := range []string{"0", "11", "fast"} {
		r.Click("speed in throw")
		r.Press("A", key.ModShortcut)
		r.Type(bad)
		r.Press(key.NameReturn, 0)
		r.Settle()
		if r.text() != before || r.MustFind("speed in throw").Desc.Description == "" {
			t.Errorf("%q is taken", bad)
		}
		why := r.MustFind("speed in throw").Desc.Description
		if n := r.MustFind(why); n.Desc.Label != why {
			t.Errorf("%q is not said in words beside it", why)
		}
	}
}

// Typing the speed stops the playing, which might go on to another entry, and
// the transport's own speed is another thing.
func TestEntrySpeedIsNotPlayback(t *testing.T) {
	r := open(t, assets.Demo)
	r.at.GoTo(r.doc, r.strike()+1)
	r.Settle()
	r.at.Playing = true
	r.Click("speed in strike twice")
	if r.Frame(); r.at.Playing {
		t.Error("it plays on under the typed number")
	}
	r.Settle()
	r.Click("playback at 0.5")
	r.Settle()
	if r.doc.Dirty() || r.at.Speed != 0.5 {
		t.Errorf("playback %v, dirty %v", r.at.Speed, r.doc.Dirty())
	}
}
