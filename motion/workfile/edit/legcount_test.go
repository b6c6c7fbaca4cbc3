// SPDX-License-Identifier: MIT

package edit

import (
	"strings"
	"testing"

	"gaitwright/kin"
)

func TestAddLeg(t *testing.T) {
	f := drummer(t)
	i, err := AddLeg(f, lm) // its place across is taken by itself: behind it
	if err != nil || i != 6 || f.Legs[i].Name != "LM-2" {
		t.Fatalf("%d, %v", i, err)
	}
	b := plays(t, f)
	was, now := b.Robot.Legs[lm], b.Robot.Legs[i]
	if now.Length != was.Length || now.PBH.X >= was.PBH.X || now.PBH.Y != was.PBH.Y || now.Heading != was.Heading || b.Channels[i][kin.Coxa].Set {
		t.Errorf("%+v", now)
	}
	if f.Gaits[0].Phase["LM-2"] != 0 || f.Gaits[0].Phase["LM"] != 0.5 {
		t.Errorf("phases %v", f.Gaits[0].Phase)
	}
	if err := RemoveLeg(f, i); err != nil || !f.Equal(drummer(t)) {
		t.Errorf("taking it out again does not give the file as it was: %v", err)
	}
	// Alone at its end of the body it goes to the other end.
	for _, name := range [...]string{"LR", "RR"} {
		for k := range f.Legs {
			if f.Legs[k].Name == name {
				if err := RemoveLeg(f, k); err != nil {
					t.Fatal(err)
				}
				break
			}
		}
	}
	if i, err = AddLeg(f, lf); err != nil {
		t.Fatal(err)
	}
	l := f.Legs[i]
	if *l.Mount != [3]float64{-110, 55, 0} || *l.Heading != 135 || *l.Stand != [2]float64{-206, 151} {
		t.Errorf("mount %v heading %v stand %v", *l.Mount, *l.Heading, *l.Stand)
	}
	plays(t, f)
	for len(f.Legs) < kin.MaxLegs {
		if _, err := AddLeg(f, lf); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := AddLeg(f, lf); err == nil || !strings.Contains(err.Error(), "at most 12") {
		t.Errorf("%v", err)
	}
}

// The leg that mirrored the one that goes keeps its measures and the pair's
// tracks, on its own side.
func TestRemoveLeg(t *testing.T) {
	f := drummer(t)
	before := plays(t, f)
	y := f.Moves[0].Feet[0].Spans[1].End[1]
	if err := RemoveLeg(f, lf); err != nil {
		t.Fatal(err)
	}
	b := plays(t, f)
	a, c := before.Robot.Legs[rf], b.Robot.Legs[rf-1]
	a.Mirror, c.Mirror = -1, -1
	if a != c {
		t.Errorf("got=%+v, want=%+v", c, a)
	}
	ft := f.Moves[0].Feet[0]
	if ft.Leg != "RF" || ft.Pair || ft.Spans[1].End[1] != -y {
		t.Errorf("%+v", ft)
	}
	f = drummer(t)
	if err := RemoveLeg(f, rf); err != nil || f.Moves[0].Feet[0].Pair {
		t.Errorf("%v, pair %v", err, f.Moves[0].Feet[0].Pair)
	}
	plays(t, f)
	for len(f.Legs) > kin.MinLegs {
		if err := RemoveLeg(f, 1); err != nil {
			t.Fatal(err)
		}
	}
	if err := RemoveLeg(f, 0); err == nil || len(f.Legs) != kin.MinLegs {
		t.Errorf("%v", err)
	}
	if err := RemoveLeg(f, 9); err != nil {
		t.Error(err)
	}
}
