// SPDX-License-Identifier: MIT

package edit

import (
	"strings"
	"testing"

	"gaitwright/kin"
	"gaitwright/motion/workfile"
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

// A track of the pair that is told by the leg that goes stays with the other
// one, whichever of the two mirrors.
func TestRemoveLegOfAPairToldByItsMirror(t *testing.T) {
	f := drummer(t)
	ft := &f.Moves[0].Feet[0]
	if !ft.Pair || ft.Leg != "LF" {
		t.Fatalf("%+v", ft)
	}
	end := *ft.Spans[1].End
	ft.Leg = "RF"
	plays(t, f)
	if err := RemoveLeg(f, rf); err != nil {
		t.Fatal(err)
	}
	plays(t, f)
	if len(f.Moves[0].Feet) == 0 {
		t.Fatal("the track is gone")
	}
	if ft := f.Moves[0].Feet[0]; ft.Leg != "LF" || ft.Pair || *ft.Spans[1].End != [3]float64{end[0], 0 - end[1], end[2]} {
		t.Errorf("%+v, end %v", ft, *ft.Spans[1].End)
	}
}

// Measured servos stay what they are, whatever becomes of the legs about them.
func TestMeasuredLegs(t *testing.T) {
	for what, act := range map[string]func(*workfile.File) error{
		"add":             func(f *workfile.File) error { _, err := AddLeg(f, rf); return err },
		"remove":          func(f *workfile.File) error { return RemoveLeg(f, lf) },
		"remove the twin": func(f *workfile.File) error { return RemoveLeg(f, rf) },
		"apart":           func(f *workfile.File) error { f.Moves = nil; f.Sequence = nil; return SetMirrors(f, rf, "") },
		"apart, together": func(f *workfile.File) error {
			f.Moves, f.Sequence = nil, nil
			if err := SetMirrors(f, rf, ""); err != nil {
				return err
			}
			return SetMirrors(f, rf, "LF")
		},
		"the other mirrors": func(f *workfile.File) error {
			f.Moves, f.Sequence = nil, nil
			if err := SetMirrors(f, rf, ""); err != nil {
				return err
			}
			return SetMirrors(f, lf, "RF")
		},
		"share": func(f *workfile.File) error { ShareLeg(f, rf); return nil },
		"number": func(f *workfile.File) error {
			for i := range f.Legs {
				for j := range kin.Joints {
					JointOf(&f.Legs[i], j).Channel = nil
				}
			}
			NumberChannels(f)
			return nil
		},
	} {
		for _, which := range []string{"both", "right", "left"} {
			f := drummer(t)
			was := plays(t, f)
			for j := range kin.Joints {
				if which != "right" {
					if err := Measure(f, lf, j, &was.Channels[lf][j], was.Robot.Legs[lf].Limits[j]); err != nil {
						t.Fatal(err)
					}
				}
				if which == "left" {
					continue
				}
				if err := Measure(f, rf, j, &was.Channels[rf][j], was.Robot.Legs[rf].Limits[j]); err != nil {
					t.Fatal(err)
				}
			}
			was = plays(t, f)
			if err := act(f); err != nil {
				t.Fatal(err)
			}
			b := plays(t, f)
			for i := range b.Robot.Legs {
				k := was.Robot.LegIndex(b.Robot.Legs[i].Name)
				for j := range kin.Joints {
					if k >= 0 { // only the output may be another one
						was.Channels[k][j].Number = b.Channels[i][j].Number
					}
					if k >= 0 && was.Channels[k][j] != b.Channels[i][j] {
						t.Errorf("%s, measured %s: leg %s joint %d: %+v, was %+v", what, which, b.Robot.Legs[i].Name, j, b.Channels[i][j], was.Channels[k][j])
					}
				}
			}
		}
	}
}
