// SPDX-License-Identifier: MIT

package gait

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// tiles checks that a list covers the cycle without gaps, and gives its
// least, greatest and mean number of feet.
func tiles(t interface{ Fatalf(string, ...any) }, list []Standing, legs int) (least, most int, mean float64) {
	least = legs
	at := 0.0
	for i, s := range list {
		if s.From != at || !(s.To > s.From) || (i > 0 && list[i-1].Feet == s.Feet) {
			t.Fatalf("gap, overlap or repetition: %v", list)
		}
		at = s.To
		least, most, mean = min(least, s.Feet), max(most, s.Feet), mean+float64(s.Feet)*(s.To-s.From)
	}
	if at != 1 {
		t.Fatalf("ends at %v: %v", at, list)
	}
	return least, most, mean
}

// Feet down, least, most and mean: counted from the phase rule of Song and
// Waldron, Int. J. Robotics Research 6(2), 1987, and for the tetrapod from its
// pairs of legs (names and rule from memory).
func TestStanding(t *testing.T) {
	library := func(n int, name string) Gait {
		left, right := rows(n)
		all, err := Library(left, right)
		if err != nil {
			t.Fatal(err)
		}
		for _, g := range all {
			if g.Name == name {
				return g
			}
		}
		t.Fatalf("no gait %s", name)
		return Gait{}
	}
	wave := func(n int, duty float64) Gait { return Gait{Name: "wave", Duty: duty, Phase: Wave(n, duty)} }
	for _, c := range []struct {
		g           Gait
		least, most int
		mean        float64
	}{
		{wave(3, 1./2), 3, 3, 3},
		{wave(3, 2./3), 4, 4, 4},
		{wave(3, 3./4), 4, 5, 4.5},
		{wave(3, 5./6), 5, 5, 5},
		{wave(3, 11./12), 5, 6, 5.5},
		{library(3, "tetrapod"), 4, 4, 4},
		{library(3, "tripod"), 3, 3, 3},
		{library(3, "wave"), 5, 5, 5},
		{library(3, "ripple"), 4, 5, 4.5},
		{library(4, "wave"), 7, 7, 7},
		{library(4, "alternating"), 4, 4, 4},
		{library(2, "trot"), 2, 2, 2},
		{library(2, "pace"), 2, 2, 2},
		{library(2, "crawl"), 3, 4, 10. / 3},
		{library(2, "bound"), 0, 2, 1.6}, // two gaps of a tenth of the cycle in the air
	} {
		least, most, mean := tiles(t, c.g.Standing(), len(c.g.Phase))
		if least != c.least || most != c.most || math.Abs(mean-c.mean) > 1e-9 {
			t.Errorf("%s of %d legs, duty %v: got=%d to %d, mean %v, want=%d to %d, mean %v", c.g.Name, len(c.g.Phase), c.g.Duty, least, most, mean, c.least, c.most, c.mean)
		}
		if c.g.LeastDown() != c.least || math.Abs(c.g.MeanDown()-c.mean) > 1e-12 {
			t.Errorf("%s: got least=%d, mean=%v", c.g.Name, c.g.LeastDown(), c.g.MeanDown())
		}
	}
}

// Against a dense count, with duty factors that differ from leg to leg.
func TestStandingProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(4, 12).Draw(t, "legs")
		// On a grid, so that events meet.
		grid := func(lo, hi int) func(string) float64 {
			return func(s string) float64 { return float64(rapid.IntRange(lo, hi).Draw(t, s)) / 24 }
		}
		g := Gait{Phase: make([]float64, n), Duties: make([]float64, n)}
		sum := 0.0
		for i := range n {
			g.Phase[i], g.Duties[i] = grid(0, 23)("phase"), grid(1, 23)("duty")
			sum += g.Duties[i]
		}
		list := g.Standing()
		least, _, mean := tiles(t, list, n)
		slow := n
		for k := range 24 {
			at, feet := (float64(k)+0.5)/24, 0
			for i := range n {
				if x := at - g.Phase[i]; x-math.Floor(x) < g.Duties[i] {
					feet++
				}
			}
			slow = min(slow, feet)
			for _, s := range list {
				if at > s.From && at < s.To && s.Feet != feet {
					t.Fatalf("at %v: got=%d, want=%d", at, s.Feet, feet)
				}
			}
		}
		if least != slow || g.LeastDown() != slow || math.Abs(mean-sum) > 1e-9 || math.Abs(g.MeanDown()-sum) > 1e-9 {
			t.Fatalf("got least=%d, mean=%v, want least=%d, mean=%v", least, mean, slow, sum)
		}
	})
}
