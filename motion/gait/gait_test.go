// SPDX-License-Identifier: MIT

package gait

import (
	"errors"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"gaitwright/motion/curve"
)

// Touch-down lags of wave gaits, left legs front to rear and then right legs,
// and the feet that are down. The rule is that of Song and Waldron, Int. J.
// Robotics Research 6(2), 1987 (from memory); the lags are calculated from it.
func TestWavePhases(t *testing.T) {
	for _, c := range []struct {
		duty        float64
		phase       []float64
		least, most int
		mean        float64
	}{
		{1. / 2, []float64{0, 1. / 2, 0, 1. / 2, 0, 1. / 2}, 3, 3, 3},
		{2. / 3, []float64{0, 2. / 3, 1. / 3, 1. / 2, 1. / 6, 5. / 6}, 4, 4, 4},
		{3. / 4, []float64{0, 3. / 4, 1. / 2, 1. / 2, 1. / 4, 0}, 4, 5, 4.5},
		{5. / 6, []float64{0, 5. / 6, 2. / 3, 1. / 2, 1. / 3, 1. / 6}, 5, 5, 5},
		{11. / 12, []float64{0, 11. / 12, 5. / 6, 1. / 2, 5. / 12, 1. / 3}, 5, 6, 5.5},
	} {
		got := Wave(3, c.duty)
		for i := range got {
			if d := math.Abs(got[i] - c.phase[i]); d > 1e-12 && math.Abs(d-1) > 1e-12 {
				t.Errorf("duty %v, leg %d: got=%v, want=%v", c.duty, i, got[i], c.phase[i])
			}
		}
		// Counted between the events, which all are multiples of 1/12.
		g := Gait{Duty: c.duty, Phase: got}
		least, most, sum := 6, 0, 0
		for k := range 12 {
			n := 0
			for i := range 6 {
				if g.Down(i, (float64(k)+0.5)/12) {
					n++
				}
			}
			least, most, sum = min(least, n), max(most, n), sum+n
		}
		if least != c.least || most != c.most || float64(sum)/12 != c.mean {
			t.Errorf("duty %v: feet down got=%d to %d, mean %v, want=%d to %d, mean %v", c.duty, least, most, float64(sum)/12, c.least, c.most, c.mean)
		}
	}
}

// The order of a wave: each leg lifts as the one behind it touches down, and
// the sides are half a cycle apart.
func TestWaveRule(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 6).Draw(t, "pairs")
		duty := rapid.Float64Range(0.5, 0.99).Draw(t, "duty")
		p := Wave(n, duty)
		apart := func(a, b float64) float64 { x := a - b; return math.Abs(x - math.Round(x)) }
		for m := range n {
			if !(p[m] >= 0 && p[m] < 1 && p[n+m] >= 0 && p[n+m] < 1) {
				t.Fatalf("phase outside [0,1): %v", p)
			}
			if apart(p[n+m], p[m]+0.5) > 1e-12 {
				t.Fatalf("sides of pair %d: %v and %v", m, p[m], p[n+m])
			}
			if m+1 < n && apart(p[m]+duty, p[m+1]) > 1e-12 {
				t.Fatalf("leg %d lifts at %v, leg %d touches down at %v", m, p[m]+duty, m+1, p[m+1])
			}
		}
	})
}

func TestFrac(t *testing.T) {
	for _, c := range []struct{ x, want float64 }{
		{0, 0}, {1, 0}, {-1, 0}, {2.25, 0.25}, {-0.25, 0.75}, {-1e-18, 0}, {-5e-324, 0},
		{math.Nextafter(1, 0), math.Nextafter(1, 0)}, {1e300, 0}, {-7, 0},
	} {
		if got := Frac(c.x); got != c.want {
			t.Errorf("Frac(%v): got=%v, want=%v", c.x, got, c.want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-1e15, 1e15).Draw(t, "x")
		if f := Frac(x); !(f >= 0 && f < 1) {
			t.Fatalf("Frac(%v) = %v", x, f)
		}
	})
}

// Down is true from each touchdown on for the duty factor, and First is the
// first lift-off of any leg.
func TestDownAndFirst(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := Gait{
			Duty:  rapid.Float64Range(0.05, 0.95).Draw(t, "duty"),
			Phase: rapid.SliceOfN(rapid.Float64Range(0, 0.999), 4, 12).Draw(t, "phase"),
		}
		if rapid.Bool().Draw(t, "duty of each leg") {
			g.Duties = rapid.SliceOfN(rapid.Float64Range(0.05, 0.95), len(g.Phase), len(g.Phase)).Draw(t, "duties")
		}
		const hair = 1e-9
		first := math.Inf(1)
		for i, p := range g.Phase {
			cycles := float64(rapid.IntRange(-3, 3).Draw(t, "cycles"))
			down, up := cycles+p, cycles+p+g.DutyOf(i)
			if !g.Down(i, down+hair) || !g.Down(i, up-hair) || g.Down(i, up+hair) || g.Down(i, down-hair) {
				t.Fatalf("leg %d is not down exactly from %v to %v", i, down, up)
			}
			first = min(first, Frac(p+g.DutyOf(i)))
		}
		if g.First() != first {
			t.Fatalf("first: got=%v, want=%v", g.First(), first)
		}
	})
}

// A swing peaks at the step height over level ends: a cubic Bézier is at 3/4
// of the height of its two handles half-way (de Casteljau).
func TestPath(t *testing.T) {
	g := Gait{StepHeight: 0.03, Swing: PlainSwing}
	a, b := r3.Vec{X: 0.1, Y: 0.2, Z: 0.01}, r3.Vec{X: 0.16, Y: 0.19, Z: 0.01}
	s := curve.Span{Path: g.Path(a, b)}
	if s.Path.P0 != a || s.Path.P3 != b {
		t.Errorf("ends: %+v", s.Path)
	}
	top := 0.0
	for k := range 1001 {
		p, v, _ := s.At(float64(k) / 1000)
		top = max(top, p.Z-a.Z)
		if (k == 0 || k == 1000) && math.Hypot(v.X, v.Y) > 1e-15 {
			t.Errorf("not straight up or down at %d: %v", k, v)
		}
	}
	if math.Abs(top-g.StepHeight) > 1e-9 {
		t.Errorf("apex: got=%v, want=%v", top, g.StepHeight)
	}
	g.Swing = Swing{LiftAlong: -0.5, LiftUp: 1.5, LandAlong: 1.25, LandUp: 0.5}
	p := g.Path(a, b)
	if want := (r3.Vec{X: 0.1 - 0.03, Y: 0.2 + 0.005, Z: 0.01 + 0.06}); r3.Norm(r3.Sub(p.P1, want)) > 1e-15 {
		t.Errorf("lift-off handle: got=%v, want=%v", p.P1, want)
	}
	if want := (r3.Vec{X: 0.1 + 0.075, Y: 0.2 - 0.0125, Z: 0.01 + 0.02}); r3.Norm(r3.Sub(p.P2, want)) > 1e-15 {
		t.Errorf("touchdown handle: got=%v, want=%v", p.P2, want)
	}
}

func TestCheck(t *testing.T) {
	good := Gait{Period: 1, Duty: 0.5, Phase: make([]float64, 6)}
	if err := good.Check(6); err != nil {
		t.Errorf("a good gait: %v", err)
	}
	for name, change := range map[string]func(*Gait){
		"no period":       func(g *Gait) { g.Period = 0 },
		"tiny period":     func(g *Gait) { g.Period = 1e-6 },
		"endless period":  func(g *Gait) { g.Period = math.Inf(1) },
		"period NaN":      func(g *Gait) { g.Period = math.NaN() },
		"never down":      func(g *Gait) { g.Duty = 0 },
		"never up":        func(g *Gait) { g.Duty = 1 },
		"duty NaN":        func(g *Gait) { g.Duty = math.NaN() },
		"too few phases":  func(g *Gait) { g.Phase = g.Phase[:5] },
		"phase 1":         func(g *Gait) { g.Phase[3] = 1 },
		"negative phase":  func(g *Gait) { g.Phase[3] = -0.1 },
		"phase NaN":       func(g *Gait) { g.Phase[3] = math.NaN() },
		"swing held":      func(g *Gait) { g.Timing.Kind = curve.Hold },
		"height NaN":      func(g *Gait) { g.StepHeight = math.NaN() },
		"height endless":  func(g *Gait) { g.StepHeight = math.Inf(1) },
		"negative sway":   func(g *Gait) { g.Sway = -1 },
		"handle infinite": func(g *Gait) { g.Swing.LiftUp = math.Inf(-1) },
	} {
		g := good
		g.Phase = slices.Clone(good.Phase)
		change(&g)
		if err := g.Check(6); !errors.Is(err, ErrGait) {
			t.Errorf("%s: %v", name, err)
		}
	}
	for name, change := range map[string]func(*Gait){
		"too few duties":        func(g *Gait) { g.Duties = []float64{0.5} },
		"no duties at all":      func(g *Gait) { g.Duties = []float64{} },
		"a leg never up":        func(g *Gait) { g.Duties = []float64{0.5, 0.5, 0.5, 0.5, 0.5, 1} },
		"a leg's duty NaN":      func(g *Gait) { g.Duties = []float64{0.5, 0.5, 0.5, 0.5, 0.5, math.NaN()} },
		"early lift too long":   func(g *Gait) { g.EarlyLift = 0.51 },
		"early lift negative":   func(g *Gait) { g.EarlyLift = -0.01 },
		"late touch NaN":        func(g *Gait) { g.LateTouch = math.NaN() },
		"nothing left to go in": func(g *Gait) { g.EarlyLift, g.LateTouch = 0.5, 0.45 },
	} {
		g := good
		change(&g)
		if err := g.Check(6); !errors.Is(err, ErrGait) {
			t.Errorf("%s: %v", name, err)
		}
	}
	g := good
	g.EarlyLift, g.LateTouch, g.Duties = 0.5, 0.4, []float64{0.5, 0.6, 0.5, 0.6, 0.5, 0.6}
	if err := g.Check(6); err != nil {
		t.Errorf("a good gait with shares and duty factors: %v", err)
	}
	g = good
	g.Timing = curve.Timing{Kind: curve.CubicBezier, X1: 2}
	if g.Check(6) == nil {
		t.Error("a bad timing passes")
	}
}
