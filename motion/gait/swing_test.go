// SPDX-License-Identifier: MIT

package gait

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"gaitwright/motion/curve"
)

// inAir follows the parts of a swing.
func inAir(parts []Part, x float64) (p, v r3.Vec) {
	for i := range parts {
		s := &parts[i]
		if x <= s.To || i == len(parts)-1 {
			w := s.To - s.From
			p, v, _ := s.Span.At((x - s.From) / w)
			return p, r3.Scale(1/w, v)
		}
	}
	return p, v
}

var timings = []curve.Timing{
	{},
	{Kind: curve.CubicBezier, X1: 0.42, X2: 0.58, Y2: 1},
	{Kind: curve.CubicBezier, X1: 0.25, Y1: 0.1, X2: 0.25, Y2: 1},
	{Kind: curve.CubicBezier, X1: 0.8, X2: 0.9, Y2: 0.3},
}

// Without shares a swing is the path by the timing, as ever.
func TestPartsPlain(t *testing.T) {
	g := Gait{StepHeight: 0.03, Swing: Swing{0.1, 1, 0.8, 1.2}, Timing: timings[1]}
	a, b := r3.Vec{X: 0.1, Z: 0.01}, r3.Vec{X: 0.2, Y: 0.03, Z: 0.01}
	parts := g.Parts(a, b)
	if len(parts) != 1 || parts[0] != (Part{0, 1, curve.Span{Path: g.Path(a, b), Timing: g.Timing}}) {
		t.Errorf("%+v", parts)
	}
}

// With them: no travel within the shares, from rest and to rest along; one
// path without a step in place or speed; never above the step height, which
// it reaches; the ends exact.
func TestPartsShares(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := Gait{
			StepHeight: 0.03, Swing: PlainSwing, Timing: rapid.SampledFrom(timings).Draw(t, "timing"),
			EarlyLift: rapid.SampledFrom([]float64{0, 1e-5, 0.1, 0.25, 0.5}).Draw(t, "early"),
			LateTouch: rapid.SampledFrom([]float64{0, 1e-5, 0.1, 0.3, 0.4}).Draw(t, "late"),
		}
		skewed := rapid.Bool().Draw(t, "skewed")
		if skewed {
			g.Swing = Swing{
				LiftAlong: rapid.Float64Range(-0.3, 0.5).Draw(t, "lift along"), LiftUp: rapid.Float64Range(0.2, 2).Draw(t, "lift up"),
				LandAlong: rapid.Float64Range(0.5, 1.3).Draw(t, "land along"), LandUp: rapid.Float64Range(0.2, 2).Draw(t, "land up"),
			}
		}
		if g.EarlyLift == 0 && g.LateTouch == 0 {
			return
		}
		g.Period, g.Duty, g.Phase = 1, 0.5, make([]float64, 4)
		if err := g.Check(4); err != nil {
			t.Fatal(err)
		}
		a, b := r3.Vec{X: 0.1, Y: 0.2, Z: 0.01}, r3.Vec{X: 0.16, Y: 0.19, Z: 0.01}
		parts := g.Parts(a, b)
		if len(parts) > 6 || parts[0].From != 0 || parts[len(parts)-1].To != 1 || parts[0].Span.Path.P0 != a || parts[len(parts)-1].Span.Path.P3 != b {
			t.Fatalf("ends: %+v", parts)
		}
		step := r3.Norm(r3.Sub(b, a))
		for i := 1; i < len(parts); i++ {
			p, q := &parts[i-1], &parts[i]
			wp, wq := p.To-p.From, q.To-q.From
			_, vp, _ := p.Span.At(1)
			_, vq, _ := q.Span.At(0)
			if p.To != q.From || r3.Norm(r3.Sub(p.Span.Path.P3, q.Span.Path.P0)) > 1e-15 ||
				r3.Norm(r3.Sub(r3.Scale(1/wp, vp), r3.Scale(1/wq, vq))) > 1e-9 {
				t.Fatalf("parts %d and %d do not join: %+v %+v", i-1, i, p, q)
			}
		}
		// The greatest height, with any handles: of the plain path.
		want := 0.0
		plain := g.Path(a, b)
		for k := range 10001 {
			want = max(want, plain.At(float64(k)/10000).Z-a.Z)
		}
		top := 0.0
		for k := range 2001 {
			x := float64(k) / 2000
			p, v := inAir(parts, x)
			top = max(top, p.Z-a.Z)
			from := math.Hypot(p.X-a.X, p.Y-a.Y)
			to := math.Hypot(p.X-b.X, p.Y-b.Y)
			if g.EarlyLift > 0 && x <= g.EarlyLift && (from > 1e-15 || math.Hypot(v.X, v.Y) > 1e-12) {
				t.Fatalf("at %v it has travelled %v m", x, from)
			}
			if g.LateTouch > 0 && x >= 1-g.LateTouch && (to > 1e-15 || math.Hypot(v.X, v.Y) > 1e-12) {
				t.Fatalf("at %v it has %v m to go", x, to)
			}
			if !skewed && (from > step+1e-12 || to > step+1e-12) {
				t.Fatalf("at %v it is outside of its step", x)
			}
			if p.Z < a.Z-1e-12 {
				t.Fatalf("at %v it is %v m below its ends", x, a.Z-p.Z)
			}
		}
		if math.Abs(top-want) > 1e-6 {
			t.Fatalf("apex: got=%v, want=%v", top, want)
		}
	})
}

// A swing without height, or with handles that push it down, is only what it
// says.
func TestPartsOdd(t *testing.T) {
	a, b := r3.Vec{}, r3.Vec{X: 0.1}
	for _, s := range []Swing{{}, {0, -1, 1, 1}, {0, 1, 1, -1}, {0, 0, 1, 1}, {0, 1, 1, 0}, {0, -1, 1, -1}} {
		g := Gait{StepHeight: 0.03, Swing: s, EarlyLift: 0.2, LateTouch: 0.1}
		for k := range 101 {
			if p, _ := inAir(g.Parts(a, b), float64(k)/100); !(math.Abs(p.X) <= 1 && math.Abs(p.Z) <= 0.1) {
				t.Fatalf("%v: %v", s, p)
			}
		}
	}
}
