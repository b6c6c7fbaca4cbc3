// SPDX-License-Identifier: MIT

package curve

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/floats/scalar"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// textbook is the curve of the hand-worked numbers in these tests.
var textbook = Bezier{P1: r3.Vec{X: 1, Y: 2}, P2: r3.Vec{X: 3, Y: 3}, P3: r3.Vec{X: 4}}

// arch is a swing arch in millimetres.
var arch = Bezier{
	P0: r3.Vec{X: -40}, P1: r3.Vec{X: -60, Y: 40},
	P2: r3.Vec{X: 60, Y: 40}, P3: r3.Vec{X: 40},
}

// quarter approximates a quarter of the unit circle.
func quarter() Bezier {
	k := 4 * (math.Sqrt2 - 1) / 3
	return Bezier{r3.Vec{X: 1}, r3.Vec{X: 1, Y: k}, r3.Vec{X: k, Y: 1}, r3.Vec{Y: 1}}
}

// genVec gives points of some metres, often on a coarse grid so that points
// coincide and sides align.
func genVec() *rapid.Generator[r3.Vec] {
	coord := rapid.OneOf(
		rapid.Float64Range(-2, 2),
		rapid.Map(rapid.IntRange(-2, 2), func(i int) float64 { return float64(i) }),
	)
	return rapid.Custom(func(t *rapid.T) r3.Vec {
		return r3.Vec{X: coord.Draw(t, "x"), Y: coord.Draw(t, "y"), Z: coord.Draw(t, "z")}
	})
}

func genBezier() *rapid.Generator[Bezier] {
	return rapid.Custom(func(t *rapid.T) Bezier {
		v := genVec()
		return Bezier{v.Draw(t, "P0"), v.Draw(t, "P1"), v.Draw(t, "P2"), v.Draw(t, "P3")}
	})
}

func near(a, b r3.Vec, tol float64) bool { return r3.Norm(r3.Sub(a, b)) <= tol }

// casteljau is the slow and obvious evaluation (Farin, Curves and Surfaces for
// CAGD, de Casteljau's algorithm).
func casteljau(c Bezier, u float64) r3.Vec {
	p := []r3.Vec{c.P0, c.P1, c.P2, c.P3}
	for n := 3; n > 0; n-- {
		for i := range n {
			p[i] = r3.Add(r3.Scale(1-u, p[i]), r3.Scale(u, p[i+1]))
		}
	}
	return p[0]
}

// The numbers follow by hand from de Casteljau's algorithm (Farin); all are
// binary fractions, so they must be met exactly.
func TestDeCasteljauRows(t *testing.T) {
	a, b := textbook.Split(0.25)
	want := [...]r3.Vec{{}, {X: 0.25, Y: 0.5}, {X: 0.5625, Y: 0.9375}, {X: 0.90625, Y: 1.265625},
		{X: 0.90625, Y: 1.265625}, {X: 1.9375, Y: 2.25}, {X: 3.25, Y: 2.25}, {X: 4}}
	for i, got := range [...]r3.Vec{a.P0, a.P1, a.P2, a.P3, b.P0, b.P1, b.P2, b.P3} {
		if got != want[i] {
			t.Errorf("split at 1/4, point %d: got=%v, want=%v", i, got, want[i])
		}
	}
	for _, c := range [...]struct{ got, want r3.Vec }{
		{textbook.At(0.25), r3.Vec{X: 0.90625, Y: 1.265625}},
		{textbook.At(0.5), r3.Vec{X: 2, Y: 1.875}},
		{textbook.Deriv(0.5), r3.Vec{X: 4.5, Y: 0.75}},
		{arch.At(0.5), r3.Vec{Y: 30}}, // three quarters of the handles' height
		{arch.Deriv(0), r3.Vec{X: -60, Y: 120}},
		{arch.Deriv(0.5), r3.Vec{X: 150}},
	} {
		if c.got != c.want {
			t.Errorf("got=%v, want=%v", c.got, c.want)
		}
	}
}

// The error of the usual four-arc circle, κ = 4(√2−1)/3: none at the ends and at
// ½, and at most 2.7253e-4 of the radius, at u = (3−√3)/6. From the definition.
func TestCircleApproximation(t *testing.T) {
	const worst = 2.72530007427705e-4
	c := quarter()
	if got := 4 * (math.Sqrt2 - 1) / 3; !scalar.EqualWithinAbs(got, 0.5522847498307933984, 1e-15) {
		t.Errorf("κ: got=%v", got)
	}
	if got := r3.Norm(c.At(0.5)) - 1; math.Abs(got) > 1e-15 {
		t.Errorf("radius error half-way: got=%v, want=0", got)
	}
	if got := r3.Norm(c.At((3-math.Sqrt(3))/6)) - 1; !scalar.EqualWithinAbs(got, worst, 1e-15) {
		t.Errorf("greatest radius error: got=%v, want=%v", got, worst)
	}
	for i := range 1001 {
		if e := r3.Norm(c.At(float64(i)/1000)) - 1; e < -1e-15 || e > worst+1e-15 {
			t.Fatalf("radius error at %d/1000: %v is not from 0 to %v", i, e, worst)
		}
	}
}

func TestBezierProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := genBezier().Draw(t, "c")
		u := rapid.Float64Range(0, 1).Draw(t, "u")
		s := rapid.Float64Range(0, 1).Draw(t, "s")
		if got, want := c.At(u), casteljau(c, u); !near(got, want, 1e-14) {
			t.Fatalf("At(%v): got=%v, want=%v", u, got, want)
		}
		if c.At(0) != c.P0 || c.At(1) != c.P3 {
			t.Fatalf("ends: got=%v, %v", c.At(0), c.At(1))
		}
		if still := (Bezier{c.P0, c.P0, c.P0, c.P0}); still.At(u) != c.P0 {
			t.Fatalf("a path of one point moves to %v", still.At(u))
		}
		if got := c.Reverse().At(1 - u); !near(got, c.At(u), 1e-14) {
			t.Fatalf("reverse: got=%v, want=%v", got, c.At(u))
		}
		a, b := c.Split(s)
		if a.P3 != b.P0 || a.P0 != c.P0 || b.P3 != c.P3 {
			t.Fatalf("split at %v: the ends do not meet", s)
		}
		if got, want := a.At(u), c.At(s*u); !near(got, want, 1e-14) {
			t.Fatalf("first part at %v: got=%v, want=%v", u, got, want)
		}
		if got, want := b.At(u), c.At(s+(1-s)*u); !near(got, want, 1e-14) {
			t.Fatalf("second part at %v: got=%v, want=%v", u, got, want)
		}
		if got, want := Line(c.P0, c.P3).At(u), r3.Add(c.P0, r3.Scale(u, r3.Sub(c.P3, c.P0))); !near(got, want, 1e-14) {
			t.Fatalf("line at %v: got=%v, want=%v", u, got, want)
		}
	})
}

// Central differences of gonum/diff/fd on each coordinate.
func TestBezierDerivatives(t *testing.T) {
	axes := [...]func(r3.Vec) float64{
		func(v r3.Vec) float64 { return v.X },
		func(v r3.Vec) float64 { return v.Y },
		func(v r3.Vec) float64 { return v.Z },
	}
	rapid.Check(t, func(t *rapid.T) {
		c := genBezier().Draw(t, "c")
		u := rapid.Float64Range(0, 1).Draw(t, "u")
		for i, axis := range axes {
			at := func(u float64) float64 { return axis(c.At(u)) }
			got, want := axis(c.Deriv(u)), fd.Derivative(at, u, &fd.Settings{Formula: fd.Central})
			if !scalar.EqualWithinAbs(got, want, 1e-8) {
				t.Fatalf("first derivative %c at %v: got=%v, want=%v", "xyz"[i], u, got, want)
			}
			deriv := func(u float64) float64 { return axis(c.Deriv(u)) }
			got, want = axis(c.Deriv2(u)), fd.Derivative(deriv, u, &fd.Settings{Formula: fd.Central})
			if !scalar.EqualWithinAbs(got, want, 1e-8) {
				t.Fatalf("second derivative %c at %v: got=%v, want=%v", "xyz"[i], u, got, want)
			}
		}
	})
}

func TestBounds(t *testing.T) {
	// The arch rises to 3/4 of its handles. In x, B′ = 0 where 14u²−14u+1 = 0,
	// u = (7−√35)/14, by hand.
	lo, hi := arch.Bounds()
	x := casteljau(arch, (7-math.Sqrt(35))/14).X
	if !near(lo, r3.Vec{X: x}, 1e-13) || !near(hi, r3.Vec{X: -x, Y: 30}, 1e-13) {
		t.Errorf("arch: got=%v, %v, want x from %v to %v, y from 0 to 30", lo, hi, x, -x)
	}
}

// The slow reference: 2001 points, none outside and the outermost close.
func TestBoundsAgainstSamples(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := genBezier().Draw(t, "c")
		lo, hi := c.Bounds()
		slo, shi := c.P0, c.P0
		for i := range 2001 {
			p := casteljau(c, float64(i)/2000)
			slo = r3.Vec{X: math.Min(slo.X, p.X), Y: math.Min(slo.Y, p.Y), Z: math.Min(slo.Z, p.Z)}
			shi = r3.Vec{X: math.Max(shi.X, p.X), Y: math.Max(shi.Y, p.Y), Z: math.Max(shi.Z, p.Z)}
		}
		for _, d := range [...]r3.Vec{r3.Sub(slo, lo), r3.Sub(hi, shi)} {
			for _, v := range [...]float64{d.X, d.Y, d.Z} {
				// Half a step off an extreme the curve differs by at most ½·|B″|·(1/4000)².
				if v < -1e-14 || v > 3e-6 {
					t.Fatalf("got=%v, %v, sampled=%v, %v", lo, hi, slo, shi)
				}
			}
		}
	})
}

func TestNearest(t *testing.T) {
	// The parabola y = x² as a cubic, where u is x. The nearest point to (0,1) has
	// x² = ½ and is √3/2 away, by hand.
	parabola := Bezier{P1: r3.Vec{X: 1. / 3}, P2: r3.Vec{X: 2. / 3, Y: 1. / 3}, P3: r3.Vec{X: 1, Y: 1}}
	u, d := parabola.Nearest(r3.Vec{Y: 1})
	if !scalar.EqualWithinAbs(u, math.Sqrt(0.5), 1e-14) || !scalar.EqualWithinAbs(d, math.Sqrt(3)/2, 1e-15) {
		t.Errorf("parabola: got=%v, %v, want=%v, %v", u, d, math.Sqrt(0.5), math.Sqrt(3)/2)
	}
	straight := Bezier{P0: r3.Vec{X: -1}, P1: r3.Vec{X: -1}, P2: r3.Vec{X: 1}, P3: r3.Vec{X: 1}}
	if u, d := straight.Nearest(r3.Vec{Y: 2}); !scalar.EqualWithinAbs(u, 0.5, 1e-15) || d != 2 {
		t.Errorf("straight: got=%v, %v, want=0.5, 2", u, d)
	}
	// Both ends equally near: the first.
	if u, d := arch.Nearest(r3.Vec{Y: -100}); u != 0 || d != math.Hypot(40, 100) {
		t.Errorf("below the arch: got=%v, %v, want=0, %v", u, d, math.Hypot(40, 100))
	}
	if u, d := (Bezier{}).Nearest(r3.Vec{Z: 3}); u != 0 || d != 3 {
		t.Errorf("one point: got=%v, %v, want=0, 3", u, d)
	}
}

// The slow reference: no sampled point is nearer.
func TestNearestAgainstSamples(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := genBezier().Draw(t, "c")
		p := genVec().Draw(t, "p")
		u, d := c.Nearest(p)
		if !(u >= 0 && u <= 1) || !scalar.EqualWithinAbs(d, r3.Norm(r3.Sub(casteljau(c, u), p)), 1e-14) {
			t.Fatalf("got u=%v, d=%v, but that point is %v away", u, d, r3.Norm(r3.Sub(casteljau(c, u), p)))
		}
		for i := range 501 {
			if l := r3.Norm(r3.Sub(casteljau(c, float64(i)/500), p)); l < d-1e-13 {
				t.Fatalf("got u=%v, d=%v, but %d/500 is %v away", u, d, i, l)
			}
		}
		on := rapid.Float64Range(0, 1).Draw(t, "on")
		if _, d := c.Nearest(c.At(on)); d > 1e-7 {
			t.Fatalf("the path's own point at %v is %v away from it", on, d)
		}
	})
}

func TestBezierCheck(t *testing.T) {
	if err := arch.Check(); err != nil {
		t.Error(err)
	}
	for _, v := range [...]float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if err := (Bezier{P2: r3.Vec{Y: v}}).Check(); err == nil {
			t.Errorf("a path with %v passes", v)
		}
	}
}
