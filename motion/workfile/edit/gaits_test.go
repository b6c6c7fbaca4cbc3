// SPDX-License-Identifier: MIT

package edit_test

import (
	"math"
	"strings"
	"testing"

	"gaitwright/assets"
	"gaitwright/motion/gait"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// Every gait of the library can be added and walked; its phases are those of
// package gait.
func TestLibrary(t *testing.T) {
	for _, text := range [][]byte{assets.Demo, assets.Walker} {
		f := opened(t, text)
		all, err := edit.Library(f)
		if err != nil || len(all) < 4 {
			t.Fatalf("%d gaits, %v", len(all), err)
		}
		b, err := f.Build()
		if err != nil {
			t.Fatal(err)
		}
		left, right, err := gait.Sides(&b.Robot)
		if err != nil {
			t.Fatal(err)
		}
		want, err := gait.Library(left, right)
		if err != nil {
			t.Fatal(err)
		}
		for i := range all {
			if all[i].Name != want[i].Name || math.Abs(all[i].Duty-want[i].Duty) > 1e-6 {
				t.Errorf("%s with %v, want %s with %v", all[i].Name, all[i].Duty, want[i].Name, want[i].Duty)
			}
			for k, l := range f.Legs {
				if p, ok := edit.PhaseOf(&all[i], l.Name); !ok || math.Abs(p-want[i].Phase[k]) > 1e-6 {
					t.Errorf("%s: phase %v of %s, want %v", all[i].Name, p, l.Name, want[i].Phase[k])
				}
			}
			g := f.Clone()
			at := edit.AddGait(g, all[i])
			edit.AddEntry(g, -1, edit.NewWalk(g, at))
			r := replayed(t, g)
			if got := r.Built.Gaits[at].LeastDown(); got != want[i].LeastDown() {
				t.Errorf("%s leaves %d feet down, want %d", all[i].Name, got, want[i].LeastDown())
			}
		}
	}
}

// A wave of any duty factor keeps its order after rounding: as many feet down
// as package gait says.
func TestWave(t *testing.T) {
	f := opened(t, assets.Demo)
	for _, duty := range []float64{0.5, 0.6, 2. / 3, 0.75, 5. / 6, 0.9} {
		g, err := edit.Wave(f, duty)
		if err != nil {
			t.Fatal(err)
		}
		h := f.Clone()
		at := edit.AddGait(h, g)
		want := gait.Gait{Duty: duty, Phase: gait.Wave(3, duty)}
		if got := replayed(t, h).Built.Gaits[at].LeastDown(); got != want.LeastDown() {
			t.Errorf("duty factor %v: %d feet down, want %d", duty, got, want.LeastDown())
		}
	}
	for _, duty := range []float64{0.49, 1, math.NaN()} {
		if _, err := edit.Wave(f, duty); err == nil {
			t.Errorf("a wave of %v was made", duty)
		}
	}
}

// Legs that do not form two rows have no gaits by rows, but one in which they
// step one by one.
func TestOneByOne(t *testing.T) {
	f := opened(t, assets.Demo)
	mid := *f.Legs[1].Mount
	mid[1] = 0
	f.Legs[1].Mount = &mid
	if _, err := edit.Library(f); err == nil || !strings.Contains(err.Error(), "midline") {
		t.Errorf("%v", err)
	}
	for _, text := range [][]byte{assets.Demo, assets.Walker} {
		f := opened(t, text)
		at := edit.AddGait(f, edit.OneByOne(f))
		g := replayed(t, f).Built.Gaits[at]
		if got := g.LeastDown(); got != len(f.Legs)-1 {
			t.Errorf("%d of %d feet are down at the least", got, len(f.Legs))
		}
		// Each leg swings just before the next one does.
		for i := range f.Legs {
			from, to := float64(i)/float64(len(f.Legs)), float64(i+1)/float64(len(f.Legs))
			if g.Down(i, (from+to)/2) {
				t.Errorf("leg %d stands when it is its turn", i)
			}
		}
	}
}

// Names differ, and follow into the sequence.
func TestGaitNames(t *testing.T) {
	f := opened(t, assets.Demo)
	for _, want := range []string{"tripod 2", "tripod 3"} {
		if at := edit.AddGait(f, f.Gaits[0]); f.Gaits[at].Name != want {
			t.Errorf("%q, want %q", f.Gaits[at].Name, want)
		}
	}
	long := strings.Repeat("ä", 60)
	f.Gaits[2].Name = long
	if at := edit.AddGait(f, f.Gaits[2]); len([]rune(f.Gaits[at].Name)) > 60 || f.Gaits[at].Name == long {
		t.Errorf("%q", f.Gaits[at].Name)
	}
	edit.RenameGait(f, 0, "by three")
	if f.Sequence[1].Gait != "by three" || f.Sequence[4].Gait != "by three" || f.Sequence[2].Gait != "ripple" {
		t.Errorf("%+v", f.Sequence)
	}
	edit.RenameGait(f, 99, "nobody")
	replayed(t, f)
}

func TestDuplicateGait(t *testing.T) {
	f := opened(t, assets.Demo)
	if at := edit.DuplicateGait(f, 0); at != 1 || f.Gaits[1].Name != "tripod 2" || f.Gaits[2].Name != "ripple" {
		t.Fatalf("at %d: %q", at, f.Gaits[1].Name)
	}
	edit.SetPhase(&f.Gaits[1], "LF", 0.3)
	edit.SetOwn(&f.Gaits[1], "LF", true)
	if f.Gaits[0].Phase["LF"] != 0 || f.Gaits[0].Duties != nil {
		t.Error("the copy shares its legs")
	}
	replayed(t, f)
	if at := edit.DuplicateGait(f, 99); at != 99 {
		t.Errorf("a copy of none is at %d", at)
	}
}

// A gait that is played stays, and the entries are named.
func TestDeleteGait(t *testing.T) {
	f := opened(t, assets.Demo)
	whole := f.Clone()
	for i, want := range map[int]string{
		0: "edit: entries 2 and 5 of the sequence have the gait “tripod”: give them another one first, or delete them",
		1: "edit: entry 3 of the sequence has the gait “ripple”: give it another one first, or delete it",
	} {
		if err := edit.DeleteGait(f, i); err == nil || err.Error() != want {
			t.Errorf("%v, want %s", err, want)
		}
	}
	f.Sequence[0].Kind, f.Sequence[0].Duration, f.Sequence[0].Gait = "recover", nil, "tripod"
	if err := edit.DeleteGait(f, 0); err == nil || !strings.Contains(err.Error(), "entries 1, 2 and 5 of") {
		t.Errorf("%v", err)
	}
	f = whole.Clone()
	if err := edit.DeleteGait(f, 2); err != nil || len(f.Gaits) != 2 || edit.GaitIndex(f, "wave") >= 0 {
		t.Errorf("%v, %d gaits", err, len(f.Gaits))
	}
	replayed(t, f)
	if err := edit.DeleteGait(f, 9); err != nil || len(f.Gaits) != 2 {
		t.Errorf("%v, %d gaits", err, len(f.Gaits))
	}
}

// Phases stay in [0,1) and in six decimals; duty factors go to the leg or to
// all.
func TestLegsOfAGait(t *testing.T) {
	for v, want := range map[float64]float64{0: 0, 0.25: 0.25, 1: 0, 1.2: 0.2, -0.1: 0.9, 0.9999999: 0, 1. / 3: 0.333333, 7.125: 0.125} {
		var g workfile.Gait
		edit.SetPhase(&g, "LF", v)
		if got, ok := edit.PhaseOf(&g, "LF"); !ok || math.Abs(got-want) > 1e-12 || got < 0 || got >= 1 {
			t.Errorf("%v: %v, want %v", v, got, want)
		}
	}
	g := workfile.Gait{Duty: 0.6}
	if _, ok := edit.PhaseOf(&g, "LF"); ok {
		t.Error("a phase that is not there")
	}
	edit.SetDuty(&g, "LF", 0.7)
	if g.Duty != 0.7 || g.Duties != nil {
		t.Errorf("%+v", g)
	}
	edit.SetOwn(&g, "LF", true)
	edit.SetDuty(&g, "LF", 0.8)
	if g.Duty != 0.7 || edit.DutyOf(&g, "LF") != 0.8 || edit.DutyOf(&g, "RF") != 0.7 || !edit.OwnDuty(&g, "LF") || edit.OwnDuty(&g, "RF") {
		t.Errorf("%+v", g)
	}
	edit.SetOwn(&g, "LF", true) // has one already: nothing changes
	if edit.DutyOf(&g, "LF") != 0.8 {
		t.Errorf("%+v", g)
	}
	edit.SetOwn(&g, "LF", false)
	if g.Duties != nil || edit.DutyOf(&g, "LF") != 0.7 {
		t.Errorf("%+v", g)
	}
}

// What cannot be walked is walked on the spot.
func TestEasyOfNothing(t *testing.T) {
	f := opened(t, assets.Demo)
	f.Gaits[0].StepHeight = 400 // no leg lifts its foot so high
	if v := edit.Easy(f, 0); v != 0 {
		t.Errorf("%v mm/s", v)
	}
	for _, i := range []int{-1, 99} {
		if v := edit.Easy(f, i); v != 0 {
			t.Errorf("gait %d: %v mm/s", i, v)
		}
	}
}
