// SPDX-License-Identifier: MIT

package compare

import (
	"errors"
	"math"
	"slices"
	"testing"

	"gaitwright/assets"
	"gaitwright/kin"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/review"
	"gaitwright/motion/workfile"
)

func read(t testing.TB, text []byte) *workfile.File {
	t.Helper()
	f, err := workfile.Read("test", text)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func play(t testing.TB, f *workfile.File, o rehearsal.Options) *rehearsal.Rehearsal {
	t.Helper()
	r, err := rehearsal.Run(f, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func with(r *rehearsal.Rehearsal, all ...review.Finding) *rehearsal.Rehearsal {
	o := *r
	o.Findings = all
	return &o
}

// Each kind of change, matched by what a finding is about and not by when.
func TestFindings(t *testing.T) {
	r := play(t, read(t, assets.Demo), rehearsal.Options{Rate: 20})
	f := func(word string, level review.Level, leg, joint int, from, value, limit float64) review.Finding {
		return review.Finding{Word: word, Level: level, Entry: "walk", Leg: leg, Joint: joint, Other: -1, From: from, Value: value, Limit: limit}
	}
	const stop, caution = review.Stop, review.Caution
	before := with(r,
		f("joint-speed", stop, 0, 1, 2, 130, 100),     // grows
		f("tips-slow", caution, -1, -1, 1, 4, 10),     // grows: less is worse
		f("joint-torque", stop, 0, 1, 2, 120, 100),    // shrinks
		f("foot-slides", stop, 2, -1, 1, 3, 1),        // no stop any more
		f("low-strike", stop, 0, -1, 9, 50, 54),       // the same, later
		f("ground-hit", stop, 1, -1, 3, 5, 0.5),       // goes
		f("legs-touch", caution, 3, -1, 1, 2, 3),      // of two the second goes
		f("legs-touch", caution, 3, -1, 5, 1, 3),      //
		f("supply-current", caution, -1, -1, 4, 9, 8), // reads the same
	)
	after := with(r,
		f("supply-current", caution, -1, -1, 14, 9.0001, 8),
		f("low-strike", stop, 0, -1, 12, 50, 54),
		f("joint-speed", stop, 0, 1, 1, 140, 100),
		f("tips-slow", caution, -1, -1, 3, 3, 10),
		f("joint-torque", stop, 0, 1, 9, 110, 100),
		f("foot-slides", caution, 2, -1, 1, 9, 1),
		f("legs-touch", caution, 3, -1, 2, 2, 3),
		f("joint-speed", stop, 0, 2, 1, 140, 100), // another joint
		f("jump", caution, 4, -1, 1, 40, 30),
		f("airborne", stop, -1, -1, 1, 1, 3),
	)
	changes, same := Findings(before, after)
	type told struct {
		kind Kind
		word string
	}
	var got []told
	for _, c := range changes {
		got = append(got, told{c.Kind, c.Finding().Word})
		if (c.Before == nil) != (c.Kind == Appeared) || (c.After == nil) != (c.Kind == Went) {
			t.Errorf("%v %s: before %v, after %v", c.Kind, c.Finding().Word, c.Before, c.After)
		}
	}
	want := []told{
		{Appeared, "joint-speed"}, {Appeared, "airborne"}, {Appeared, "jump"},
		{Grew, "joint-speed"}, {Grew, "tips-slow"},
		{Shrank, "joint-torque"}, {Shrank, "foot-slides"},
		{Went, "ground-hit"}, {Went, "legs-touch"},
	}
	if !slices.Equal(got, want) || same != 3 {
		t.Errorf("%v, %d the same; want %v, 3", got, same, want)
	}
	if c, n := Findings(before, before); len(c) != 0 || n != len(before.Findings) {
		t.Errorf("with itself: %v, %d the same", c, n)
	}
	if c, _ := Findings(before, with(r)); len(c) != len(before.Findings) || slices.ContainsFunc(c, func(c Change) bool { return c.Kind != Went }) {
		t.Errorf("all went: %v", c)
	}
	words := map[string]bool{}
	for k := Appeared; k <= Went; k++ {
		words[k.String()] = true
	}
	if len(words) != 4 || Kind(9).String() == "" {
		t.Error("the kinds are not told apart")
	}
}

// Every faulty file, mended and as it is: what the fault says has gone, and the
// other way round it appeared. The legs are matched by name.
func TestFaultsGo(t *testing.T) {
	text, err := assets.Faults.ReadFile("faults/low-strike.toml")
	if err != nil {
		t.Fatal(err)
	}
	f := read(t, text)
	bad := play(t, f, rehearsal.Options{Rate: 100})
	g := f.Clone()
	for i := range g.Moves[0].Feet[0].Spans {
		g.Moves[0].Feet[0].Spans[i].Floor = nil
	}
	good := play(t, g, rehearsal.Options{Rate: 100})
	has := func(all []Change, k Kind) bool {
		return slices.ContainsFunc(all, func(c Change) bool { return c.Kind == k && c.Finding().Word == "low-strike" })
	}
	if c, _ := Findings(bad, good); !has(c, Went) || has(c, Appeared) {
		t.Errorf("%v", c)
	}
	if c, _ := Findings(good, bad); !has(c, Appeared) || has(c, Went) {
		t.Errorf("%v", c)
	}
	turned := *bad
	built := *bad.Built
	built.Robot.Legs = slices.Clone(built.Robot.Legs)
	slices.Reverse(built.Robot.Legs)
	turned.Built = &built
	turned.Findings = slices.Clone(bad.Findings)
	for i := range turned.Findings {
		for _, l := range []*int{&turned.Findings[i].Leg, &turned.Findings[i].Other} {
			if *l >= 0 {
				*l = len(built.Robot.Legs) - 1 - *l
			}
		}
	}
	if c, n := Findings(bad, &turned); len(c) != 0 || n != len(bad.Findings) {
		t.Errorf("the same legs in another order: %v", c)
	}
}

// The facts are the extremes of the arrays, by the slow way; on a stand there
// are no margins.
func TestFacts(t *testing.T) {
	f := read(t, assets.Demo)
	for _, hang := range []bool{false, true} {
		r := play(t, f, rehearsal.Options{Rate: 100, OnStand: hang})
		facts := map[string]Fact{}
		for _, v := range Facts(r) {
			facts[v.Name] = v
		}
		tr := r.Trajectory
		least, torque, speed, current := math.Inf(1), 0.0, 0.0, 0.0
		for k := range tr.N {
			least = min(least, tr.Margin[k]*1000)
			if c := r.Loads.Current[k]; c == c {
				current = max(current, c)
			}
			for o := range tr.Legs * kin.Joints {
				line := r.Loads.LineAt(k, o)
				i := k*tr.Legs*kin.Joints + o
				speed = max(speed, 100*math.Abs(tr.V[i])/line.NoLoad)
				if tau := r.Loads.Torque[i]; tau == tau {
					torque = max(torque, 100*math.Abs(tau)/line.Derated(r.Built.Limits.Derating).Stall)
				}
			}
		}
		for name, want := range map[string]float64{
			"duration": tr.Duration(), "stops": float64(review.Stops(r.Findings)), "least static margin": least,
			"greatest torque": torque, "greatest joint speed": speed, "greatest current": current,
		} {
			got := facts[name]
			if hang && name == "least static margin" {
				if got.Value == got.Value {
					t.Errorf("hung: a margin of %v mm", got.Value)
				}
				continue
			}
			if math.Abs(got.Value-want) > 1e-9*(1+math.Abs(want)) {
				t.Errorf("hung %v, %s: %v, want %v", hang, name, got.Value, want)
			}
		}
		if at := facts["greatest torque"]; !(at.At >= 0) || at.Leg < 0 {
			t.Errorf("greatest torque: %+v", at)
		}
	}
}

func TestBetter(t *testing.T) {
	for _, c := range []struct {
		wish          Wish
		before, after float64
		want          int
	}{
		{More, 10, 12, 1}, {More, 12, 10, -1}, {Less, 10, 12, -1}, {Less, 12, 10, 1}, {Either, 1, 2, 0},
		{More, 10, 10.001, 0}, {More, math.NaN(), 1, 0}, {Less, 1, math.NaN(), 0}, {Less, 3, 3, 0},
	} {
		a, b := Fact{Wish: c.wish, Decimals: 1, Value: c.before}, Fact{Wish: c.wish, Decimals: 1, Value: c.after}
		if got := Better(&a, &b); got != c.want {
			t.Errorf("%+v: %d", c, got)
		}
	}
}

// A list keeps some snapshots, each with rehearsals made once.
func TestList(t *testing.T) {
	f := read(t, assets.Demo)
	r := play(t, f, rehearsal.Options{Rate: 20})
	var l List
	if l.Chosen() != nil || l.Index() != -1 {
		t.Error("something is chosen of nothing")
	}
	l.Forget()
	l.Choose(0)
	for i := range Most {
		s, err := l.Keep(f, r, false, "so")
		if err != nil || s.Number != i+1 || l.Chosen() != s || l.Index() != i {
			t.Fatalf("%d: %+v, %v", i, s, err)
		}
	}
	if _, err := l.Keep(f, r, false, "so"); !errors.Is(err, ErrFull) {
		t.Errorf("one too many: %v", err)
	}
	l.Choose(2)
	l.Choose(99)
	if l.Chosen().Number != 3 {
		t.Errorf("number %d is chosen", l.Chosen().Number)
	}
	l.Forget()
	if len(l.All()) != Most-1 || l.Chosen().Number != 2 {
		t.Errorf("number %d of %d is chosen", l.Chosen().Number, len(l.All()))
	}
	if s, err := l.Keep(f, r, false, "so"); err != nil || s.Number != Most+1 {
		t.Errorf("%+v, %v", s, err)
	}
	s := l.Chosen()
	if got, err := s.Result(false); got != r || err != nil {
		t.Errorf("another rehearsal: %v", err)
	}
	a, err := s.Result(true)
	b, _ := s.Result(true)
	if err != nil || a != b || a == r {
		t.Errorf("on a stand: %v", err)
	}
	if x, y := s.Facts(false), s.Facts(false); &x[0] != &y[0] || &s.Facts(true)[0] == &x[0] {
		t.Error("the facts are made again")
	}
	bad := &Snapshot{File: &workfile.File{}}
	if _, err := bad.Result(false); err == nil || bad.Facts(false) != nil {
		t.Error("nothing plays")
	}
}
