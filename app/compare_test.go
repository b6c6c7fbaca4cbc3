// SPDX-License-Identifier: MIT

package app

import (
	"errors"
	"fmt"
	"hash/fnv"
	"image"
	"math"
	"strings"
	"testing"

	"gioui.org/io/key"

	"gaitwright/app/compare"
	"gaitwright/app/document"
	"gaitwright/assets"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/workfile"
)

// sink lets the demo's strike come too low.
func sink(f *workfile.File) { f.Moves[0].Feet[0].Spans[hit].End[2] -= 15 }

// sum is a checksum of a rehearsal's numbers.
func sum(r *rehearsal.Rehearsal) uint64 {
	h := fnv.New64a()
	for _, a := range [][]float64{r.Trajectory.Q, r.Trajectory.Foot, r.Loads.Torque} {
		for _, v := range a {
			fmt.Fprintf(h, "%x", math.Float64bits(v))
		}
	}
	return h.Sum64()
}

// A snapshot is kept, the file edited; flipping shows the one in place of the
// other at the same time, and the comparison says what is different.
func TestCompare(t *testing.T) {
	for _, size := range []image.Point{normal, small} {
		r := openWith(t, Config{Name: "demo", Text: assets.Demo}, size, 1)
		r.at.GoTo(r.doc, r.strike()+1.685)
		r.Settle()
		r.Press("C", 0)
		r.Press("C", key.ModShift)
		r.Settle()
		if r.doc.Showing() || r.versus.over {
			t.Fatal("it flips to nothing")
		}
		r.Press("K", 0)
		r.Settle()
		snap := r.versus.list.Chosen()
		if snap == nil || snap.Label != "as it was opened" || !r.versus.open {
			t.Fatalf("kept %+v", snap)
		}
		r.MustFind("The same in both.")
		first, err := snap.Result(false)
		if err != nil {
			t.Fatal(err)
		}
		before := sum(first)
		if err := r.doc.Change("sink", sink); err != nil {
			t.Fatal(err)
		}
		r.Settle()
		second := r.doc.Result()
		if first == second || sum(first) != before {
			t.Fatal("the snapshot's motion was written over")
		}
		changes, _ := compare.Findings(first, second)
		struck := 0
		for i := range changes {
			if c := &changes[i]; c.Kind != compare.Appeared {
				t.Errorf("%v %s", c.Kind, c.Finding().Word)
			} else if c.After.Word == "low-strike" {
				struck++
			}
		}
		if struck != 2 {
			t.Fatalf("%d strikes are too low", struck)
		}
		r.MustFind(fmt.Sprintf("%d new, 0 same", len(changes)))

		// A finding that appeared is gone to.
		r.at.GoTo(r.doc, 1)
		r.Settle()
		r.goToChange(&changes[0])
		r.Settle()
		if r.at.Finding < 0 || math.Abs(r.at.Time-changes[0].After.Worst) > 1e-9 {
			t.Errorf("at %v s, finding %d", r.at.Time, r.at.Finding)
		}

		at := r.at.Time
		r.Press("C", 0)
		r.Settle()
		if r.doc.Result() != first || r.at.Time != at || !r.doc.File().Equal(snap.File) || r.stops() != 0 {
			t.Fatalf("at %v s of %p, the snapshot is %p", r.at.Time, r.doc.Result(), first)
		}
		r.MustFind("Snapshot 1, not the file. C shows the file again.")
		if _, _, _, said := r.judge(); !strings.HasPrefix(said, "This is snapshot 1, not the file.") {
			t.Errorf("the line at the top says %q", said)
		}
		if err := r.doc.Change("raise", raise); !errors.Is(err, document.ErrShowing) {
			t.Errorf("the file can be changed under it: %v", err)
		}
		r.Press("H", 0)
		r.Press("Z", key.ModShortcut)
		if r.doc.OnStand() || r.doc.Result() != first {
			t.Error("an action of the file ran")
		}
		r.Press(key.NameRightArrow, 0)
		at = r.at.Time
		r.Press(key.NameEscape, 0)
		r.Settle()
		if r.doc.Showing() || r.doc.Result() != second || r.at.Time != at || r.doc.Err() != nil {
			t.Errorf("back at %v s, want %v; %v", r.at.Time, at, r.doc.Err())
		}

		// Over each other.
		r.Press("C", key.ModShift)
		r.Settle()
		if r.view.Over.Of != first || r.view.Over.Name != "snapshot 1" {
			t.Errorf("%q lies over", r.view.Over.Name)
		}
		r.Press("C", 0)
		r.Settle()
		if r.view.Over.Of != second || r.view.Over.Name != "the file" {
			t.Errorf("over the snapshot lies %q", r.view.Over.Name)
		}
		r.Press("C", 0)
		r.Press("C", key.ModShift)
		r.Settle()
		if r.view.Over.Of != nil {
			t.Error("it stays")
		}

		// The snapshot again, in one step.
		changed := r.text()
		r.act("snapshot again").do()
		r.Settle()
		if !r.doc.File().Equal(snap.File) || r.stops() != 0 {
			t.Error("the file is not the snapshot")
		}
		r.Press("Z", key.ModShortcut)
		r.Settle()
		if r.text() != changed {
			t.Error("one undo does not take it back")
		}
		if sum(first) != before {
			t.Error("the snapshot's motion was written over")
		}
		r.act("forget").do()
		r.Settle()
		if r.versus.list.Chosen() != nil || r.versus.open {
			t.Error("it is not forgotten")
		}
		r.MustFind("Findings")
	}
}

// Several snapshots, chosen by a click; while one shows, another one that is
// chosen shows instead. On a stand both hang.
func TestSnapshots(t *testing.T) {
	r := atHit(t)
	r.Click("Keep a snapshot")
	r.Settle()
	if err := r.doc.Change("sink", sink); err != nil {
		t.Fatal(err)
	}
	r.Settle()
	r.Click("Keep another")
	r.Settle()
	l := &r.versus.list
	if len(l.All()) != 2 || l.Chosen().Label != "after “sink”" {
		t.Fatalf("%d snapshots, chosen %q", len(l.All()), l.Chosen().Label)
	}
	r.Click("snapshot 1")
	r.Settle()
	if l.Index() != 0 {
		t.Fatalf("number %d is chosen", l.Index())
	}
	r.Press("C", 0)
	r.Settle()
	r.Click("snapshot 2")
	r.Settle()
	if !r.snapshotShows() || r.versus.shows != l.All()[1] || l.Index() != 1 {
		t.Errorf("number %d is chosen, %v shows", l.Index(), r.versus.shows)
	}
	r.Press("C", 0)
	r.Settle()
	r.Press("H", 0)
	r.Settle()
	r.Press("C", 0)
	r.Settle()
	want, err := l.Chosen().Result(true)
	if err != nil || r.doc.Result() != want || !r.doc.OnStand() {
		t.Errorf("on a stand it does not hang: %v, shows %v, hung %v", err, r.snapshotShows(), r.doc.OnStand())
	}
	// What else shows ends it.
	r.Press("C", 0)
	r.Settle()
	r.Press("H", 0)
	r.Settle()
	r.Press("C", 0)
	r.Settle()
	r.Press("L", 0)
	r.frames(10)
	if r.snapshotShows() || !r.liveOn() {
		t.Error("it shows while walking live")
	}
	r.Press("C", 0)
	r.frames(2)
	if r.snapshotShows() {
		t.Error("it flips while walking live")
	}
	r.Press(key.NameEscape, 0)
	r.Settle()
	for len(l.All()) < compare.Most {
		r.keepSnapshot()
	}
	r.Settle()
	if r.able(r.act("keep")) {
		t.Error("one more can be kept than there is room for")
	}
	// Another document has no snapshots.
	d, err := document.Open("", "walker", assets.Walker)
	if err != nil {
		t.Fatal(err)
	}
	r.take(d)
	r.Settle()
	if l.Chosen() != nil || r.versus.open {
		t.Error("those of another document are kept")
	}
}

// frames lays some frames out while the window goes on by itself.
func (r *rig) frames(n int) {
	for range n {
		r.Frame()
	}
}

// A snapshot of another robot, with fewer moves and another length, shows in
// every page without harm.
func TestFlipToAnotherRobot(t *testing.T) {
	r := openWith(t, Config{Name: "walker", Text: assets.Walker}, normal, 1)
	r.Press("K", 0)
	demo, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	if err := r.doc.Change("another robot", func(f *workfile.File) { *f = *demo.Clone() }); err != nil {
		t.Fatal(err)
	}
	r.at.Leg, r.at.Move, r.at.Track, r.at.Span = 5, 0, 0, 4
	r.at.GoTo(r.doc, r.doc.Result().Trajectory.Duration())
	r.Settle()
	r.Press("C", key.ModShift)
	r.Settle()
	for _, page := range []int{shapeRobot, shapeWalk, shapeMove, shapeSequence, shapeLimits} {
		r.shapes.Value = page
		r.Settle()
		place := r.at
		r.Press("C", 0)
		r.Settle()
		if !r.snapshotShows() || r.at.Time > r.doc.Result().Trajectory.Duration() || r.at.Leg >= len(r.doc.Result().Built.Robot.Legs) {
			t.Fatalf("page %d: %+v", page, r.at)
		}
		r.Press("C", 0)
		r.Settle()
		if r.at.Span != place.Span || r.at.Move != place.Move || r.at.Track != place.Track {
			t.Errorf("page %d: back at %+v, was at %+v", page, r.at, place)
		}
	}
}
