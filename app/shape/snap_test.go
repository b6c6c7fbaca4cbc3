// SPDX-License-Identifier: MIT

package shape

import (
	"image"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/app/plate"
)

// 1 px is 1 mm, 6 of them are near.
func TestPull(t *testing.T) {
	v := plate.View{Size: image.Pt(400, 400), Scale: 1000}
	ground := magnet{name: "ground", pC: r3.Vec{Z: 0.005}, flat: true, firm: true}
	foot := magnet{name: "foot RF", pC: r3.Vec{X: 0.1, Y: -0.08, Z: 0.02}}
	start := r2.Vec{X: 0.16, Y: 0.15}
	for _, tt := range []struct {
		name  string
		side  Side
		all   []magnet
		p     r2.Vec
		to    r2.Vec
		words string
	}{
		{"far from all", FromSide, []magnet{ground, foot}, r2.Vec{X: 0.05, Y: 0.06}, r2.Vec{X: 0.05, Y: 0.06}, ""},
		{"the ground holds the height alone", FromSide, []magnet{ground}, r2.Vec{X: 0.05, Y: 0.009}, r2.Vec{X: 0.05, Y: 0.005}, "ground"},
		{"not from above", FromAbove, []magnet{ground}, r2.Vec{X: 0.05, Y: 0.009}, r2.Vec{X: 0.05, Y: 0.009}, ""},
		{"just out of reach", FromSide, []magnet{ground}, r2.Vec{X: 0.05, Y: 0.0115}, r2.Vec{X: 0.05, Y: 0.0115}, ""},
		{"a point holds both", FromAbove, []magnet{foot}, r2.Vec{X: 0.096, Y: -0.083}, r2.Vec{X: 0.1, Y: -0.08}, "foot RF"},
		{"or one", FromAbove, []magnet{foot}, r2.Vec{X: 0.02, Y: -0.083}, r2.Vec{X: 0.02, Y: -0.08}, "foot RF"},
		{"the nearer of two", FromSide, []magnet{foot, ground, {name: "near", pC: r3.Vec{X: 0.03, Z: 0.008}}}, r2.Vec{X: 0.05, Y: 0.009}, r2.Vec{X: 0.05, Y: 0.008}, "near"},
		{"one each", FromSide, []magnet{ground, foot}, r2.Vec{X: 0.098, Y: 0.004}, r2.Vec{X: 0.1, Y: 0.005}, "foot RF, ground"},
	} {
		var left [2]bool
		to, g := pull(tt.all, tt.side, v, tt.p, start, 6, &left)
		if r2.Norm(r2.Sub(to, tt.to)) > 1e-12 || g.words() != tt.words {
			t.Errorf("%s: to %v on %q, want %v on %q", tt.name, to, g.words(), tt.to, tt.words)
		}
	}
	// What it lies over when the drag begins does not hold it, until it has been
	// away.
	var left [2]bool
	start.X = 0.1
	if to, g := pull([]magnet{foot}, FromSide, v, r2.Vec{X: 0.102, Y: 0.15}, start, 6, &left); to.X != 0.102 || g.words() != "" {
		t.Errorf("held from the beginning: %v, %q", to, g.words())
	}
	pull([]magnet{foot}, FromSide, v, r2.Vec{X: 0.12, Y: 0.15}, start, 6, &left)
	if to, g := pull([]magnet{foot}, FromSide, v, r2.Vec{X: 0.102, Y: 0.15}, start, 6, &left); to.X != 0.1 || g.words() != "foot RF" {
		t.Errorf("back over the foot: %v, %q", to, g.words())
	}
}

func TestRoundToGrid(t *testing.T) {
	start := [3]float64{10.2, -3.3, 7}
	v := [3]float64{14.4, -3.3, 8.9}
	for _, tt := range []struct {
		s      Snap
		within float64
		caught [3]bool
		want   [3]float64
	}{
		{ToPoints, 9, [3]bool{}, v},
		{ToMillimetre, 9, [3]bool{}, [3]float64{14, -3.3, 9}}, // what did not move stays
		{ToFive, 9, [3]bool{}, [3]float64{15, -3.3, 10}},
		{ToTen, 2, [3]bool{}, [3]float64{14.4, -3.3, 10}}, // 4.4 mm is too far
		{ToFive, 9, [3]bool{false, false, true}, [3]float64{15, -3.3, 8.9}},
	} {
		if got := tt.s.round(v, start, tt.within, tt.caught); got != tt.want {
			t.Errorf("%v: %v, want %v", tt.s, got, tt.want)
		}
	}
	for s := range snaps {
		if g := s.grid(); (g > 0) != (s != Free && s != ToPoints) || math.IsNaN(g) {
			t.Errorf("%v: grid %v", s, g)
		}
	}
}
