// SPDX-License-Identifier: MIT

package curve

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/floats/scalar"
	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// pythagorean has the speed 3(2u²−2u+1), a polynomial, so its length up to u is
// 2u³−3u²+3u and 2 in all (a Pythagorean-hodograph curve).
var pythagorean = Bezier{P1: r3.Vec{Y: 1}, P2: r3.Vec{X: 1, Y: 1}, P3: r3.Vec{X: 1}}

// cusp turns back at u = ½: with w = 1−2u its speed is 3|w|√(1+w²), and its length
// 2√2−1, by hand.
var cusp = Bezier{P1: r3.Vec{X: 1, Y: 1}, P2: r3.Vec{Y: 1}, P3: r3.Vec{X: 1}}

func TestLength(t *testing.T) {
	for _, c := range []struct {
		name string
		path Bezier
		want float64
	}{
		// Closed forms.
		{"straight", Bezier{P1: r3.Vec{X: 1, Y: 1}, P2: r3.Vec{X: 2, Y: 2}, P3: r3.Vec{X: 3, Y: 3}}, 3 * math.Sqrt2},
		{"pythagorean", pythagorean, 2},
		{"parabola", Bezier{P1: r3.Vec{X: 1. / 3}, P2: r3.Vec{X: 2. / 3, Y: 1. / 3}, P3: r3.Vec{X: 1, Y: 1}},
			(2*math.Sqrt(5) + math.Asinh(2)) / 4},
		{"cusp", cusp, 2*math.Sqrt2 - 1},
		{"out and back", Bezier{P1: r3.Vec{X: 1}, P2: r3.Vec{X: 1}}, 1.5}, // to ¾ and back
		{"stops half-way", Bezier{P1: r3.Vec{X: 1}, P3: r3.Vec{X: 1}}, 1},
		{"handles on the ends", Bezier{P2: r3.Vec{X: 1}, P3: r3.Vec{X: 1}}, 1},
		{"one point", Bezier{r3.Vec{X: 1}, r3.Vec{X: 1}, r3.Vec{X: 1}, r3.Vec{X: 1}}, 0},
		// Quadrature with 20 digits (mpmath).
		{"textbook", textbook, 5.8299272246266438},
		{"arch", arch, 121.49203688970986},
		{"quarter circle", quarter(), 1.5710166980738557},
	} {
		if got := c.path.Length(); !scalar.EqualWithinAbsOrRel(got, c.want, 0, 1e-13) {
			t.Errorf("%s: got=%.17g, want=%.17g", c.name, got, c.want)
		}
		e := NewEven(c.path)
		if got := e.Length(); !scalar.EqualWithinAbsOrRel(got, c.want, 0, 1e-13) {
			t.Errorf("%s, even: got=%.17g, want=%.17g", c.name, got, c.want)
		}
	}
	for _, v := range [...]float64{math.NaN(), math.Inf(1)} {
		if got := (Bezier{P1: r3.Vec{X: v}}).Length(); !math.IsNaN(got) && !math.IsInf(got, 1) {
			t.Errorf("with a coordinate of %v: got=%v", v, got)
		}
	}
	// Short and long: the relative error does not depend on the size.
	for _, k := range [...]float64{1e-100, 1e-9, 1e9, 1e100} {
		c := Bezier{r3.Scale(k, arch.P0), r3.Scale(k, arch.P1), r3.Scale(k, arch.P2), r3.Scale(k, arch.P3)}
		if got := c.Length() / k; !scalar.EqualWithinRel(got, 121.49203688970986, 1e-13) {
			t.Errorf("arch times %g: got=%v", k, got)
		}
	}
}

// Nearly a cusp, close to but not at the middle, where halving alone puts it
// between the end of a piece and the first node and never sees it.
func TestLengthNearCusp(t *testing.T) {
	c := Bezier{
		r3.Vec{X: 1.5e-05, Y: -1, Z: 2}, r3.Vec{X: 4e-06, Y: 0.0039, Z: -2},
		r3.Vec{X: 1.5e-05, Y: 0.0029, Z: 2}, r3.Vec{Y: -1, Z: -2},
	}
	if got, want := c.Length(), slowLength(c, 1e-11, 40); !scalar.EqualWithinAbs(got, want, 1e-11) {
		t.Errorf("got=%.17g, want=%.17g", got, want)
	}
}

// slowLength adds up control polygons and chords, between which the length lies,
// until they agree to tol in each piece.
func slowLength(c Bezier, tol float64, depth int) float64 {
	poly, chord := c.polygon(), r3.Norm(r3.Sub(c.P3, c.P0))
	if poly-chord <= tol || depth == 0 {
		return (poly + chord) / 2
	}
	a, b := c.Split(0.5)
	return slowLength(a, tol, depth-1) + slowLength(b, tol, depth-1)
}

func TestLengthAgainstPolygons(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := genBezier().Draw(t, "c")
		got, want := c.Length(), slowLength(c, 1e-10, 30)
		if !scalar.EqualWithinAbs(got, want, 1e-9) {
			t.Fatalf("got=%v, want=%v", got, want)
		}
	})
}

// The rule of gonum/integrate/quad with as many nodes.
func TestGaussAgainstGonum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := genBezier().Draw(t, "c")
		a := rapid.Float64Range(0, 1).Draw(t, "a")
		b := rapid.Float64Range(0, 1).Draw(t, "b")
		a, b = min(a, b), max(a, b)
		want := 0.0
		if a < b {
			want = quad.Fixed(func(u float64) float64 { return r3.Norm(c.Deriv(u)) }, a, b, 8, quad.Legendre{}, 0)
		}
		if got := c.gauss(a, b); !scalar.EqualWithinAbs(got, want, 1e-13) {
			t.Fatalf("got=%v, want=%v", got, want)
		}
	})
}

func TestEvenU(t *testing.T) {
	// The textbook curve's parameters at quarters of its length: mpmath, 20 digits.
	e := NewEven(textbook)
	for _, c := range [...]struct{ s, u float64 }{
		{0, 0}, {0.25, 0.2314436516589178}, {0.5, 0.5176793764061723}, {0.75, 0.8113184286485805}, {1, 1},
	} {
		if u, _, _ := e.U(c.s); !scalar.EqualWithinAbs(u, c.u, 1e-14) {
			t.Errorf("textbook at %v: got=%.17g, want=%.17g", c.s, u, c.u)
		}
	}
	// The closed form of the length of the other curve, all along it.
	e = NewEven(pythagorean)
	for i := range 1001 {
		s := float64(i) / 1000
		u, d, dd := e.U(s)
		if got := ((2*u-3)*u + 3) * u / 2; !scalar.EqualWithinAbs(got, s, 1e-14) {
			t.Fatalf("share of length at U(%v): got=%v", s, got)
		}
		want := 1 / ((3*u-3)*u + 1.5)
		if !scalar.EqualWithinAbs(d, want, 1e-12) || !scalar.EqualWithinAbs(dd, -want*want*want*(6*u-3), 1e-11) {
			t.Fatalf("derivatives at %v: got=%v, %v", s, d, dd)
		}
	}
}

func TestEvenEdges(t *testing.T) {
	e := NewEven(arch)
	point := NewEven(Bezier{r3.Vec{X: 1}, r3.Vec{X: 1}, r3.Vec{X: 1}, r3.Vec{X: 1}})
	bad := NewEven(Bezier{P1: r3.Vec{X: math.Inf(1)}})
	for _, c := range []struct {
		name string
		e    *Even
		s    float64
		want [3]float64
	}{
		{"before", &e, -1, [3]float64{0, 0, 0}},
		{"after", &e, 2, [3]float64{1, 0, 0}},
		{"no number", &e, math.NaN(), [3]float64{0, 0, 0}},
		{"one point", &point, 0.3, [3]float64{0.3, 1, 0}},
		{"one point, after", &point, 1.3, [3]float64{1, 0, 0}},
		{"zero value", new(Even), 0.3, [3]float64{0.3, 1, 0}},
		{"not finite", &bad, 0.3, [3]float64{0.3, 1, 0}},
	} {
		u, d, dd := c.e.U(c.s)
		if got := [3]float64{u, d, dd}; got != c.want {
			t.Errorf("%s: got=%v, want=%v", c.name, got, c.want)
		}
	}
	if p, d, dd := point.At(0.3); p != (r3.Vec{X: 1}) || d != (r3.Vec{}) || dd != (r3.Vec{}) {
		t.Errorf("one point: got=%v, %v, %v", p, d, dd)
	}
	for _, c := range [...]struct {
		s    float64
		want r3.Vec
	}{{-1, arch.P0}, {0, arch.P0}, {1, arch.P3}, {2, arch.P3}} {
		if p, _, _ := e.At(c.s); p != c.want {
			t.Errorf("At(%v): got=%v, want=%v", c.s, p, c.want)
		}
	}
}

func TestEvenProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := genBezier().Draw(t, "c")
		s := rapid.Float64Range(0, 1).Draw(t, "s")
		e := NewEven(c)
		u, duds, d2uds2 := e.U(s)
		if !(u >= 0 && u <= 1) || !(duds > 0 && duds <= 1.001/standstill) || math.IsNaN(d2uds2) || math.IsInf(d2uds2, 0) {
			t.Fatalf("U(%v): got=%v, %v, %v", s, u, duds, d2uds2)
		}
		l := c.Length()
		if l == 0 {
			if u != s {
				t.Fatalf("no length: got=%v, want=%v", u, s)
			}
			return
		}
		first, _ := c.Split(u)
		if got := slowLength(first, 1e-10, 30); !scalar.EqualWithinAbs(got, s*l, 1e-9) {
			t.Fatalf("length to U(%v): got=%v, want=%v", s, got, s*l)
		}
		// Equal steps are equal distances, and acceleration is across the path.
		p, dp, ddp := e.At(s)
		if !near(p, c.At(u), 1e-14) || !scalar.EqualWithinRel(r3.Norm(dp), l, 1e-12) {
			t.Fatalf("At(%v): got=%v, %v, want=%v, a speed of %v", s, p, dp, c.At(u), l)
		}
		if along := r3.Dot(dp, ddp); !(math.Abs(along) <= 1e-12*r3.Norm(dp)*r3.Norm(ddp)) {
			t.Fatalf("At(%v): acceleration along the path %v", s, along)
		}
		// Monotone, also across the knots.
		z := rapid.Float64Range(0, 1).Draw(t, "z")
		if v, _, _ := e.U(z); z > s && v < u-1e-12 || z < s && v > u+1e-12 {
			t.Fatalf("U(%v)=%v but U(%v)=%v", s, u, z, v)
		}
	})
}

// Straight paths do not bend, wherever their handles lie on the line: on the ends,
// past them, in the wrong order.
func TestEvenStraight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := genVec().Draw(t, "a"), genVec().Draw(t, "b")
		share := rapid.OneOf(rapid.SampledFrom([]float64{0, 1, 0.5, -1, 2}), rapid.Float64Range(-1, 2))
		handle := func(name string) r3.Vec {
			return r3.Add(a, r3.Scale(share.Draw(t, name), r3.Sub(b, a)))
		}
		e := NewEven(Bezier{a, handle("P1"), handle("P2"), b})
		s := rapid.OneOf(genShare(), rapid.Float64Range(0, 1)).Draw(t, "s")
		if _, _, ddp := e.At(s); ddp != (r3.Vec{}) {
			t.Fatalf("At(%v): got=%v, want=0", s, ddp)
		}
	})
}

// Central differences of gonum/diff/fd, at and between knots of paths without a
// cusp.
func TestEvenDerivatives(t *testing.T) {
	for _, c := range []Bezier{textbook, pythagorean, quarter(), swing} {
		e := NewEven(c)
		shares := []float64{0.1, 0.37, 0.61, 0.93}
		for _, k := range e.knots[1 : len(e.knots)-1] {
			shares = append(shares, k.l/e.length)
		}
		for _, s := range shares {
			_, d, dd := e.U(s)
			u := func(s float64) float64 { u, _, _ := e.U(s); return u }
			du := func(s float64) float64 { _, d, _ := e.U(s); return d }
			set := &fd.Settings{Formula: fd.Central, Step: 1e-5}
			if want := fd.Derivative(u, s, set); !scalar.EqualWithinAbsOrRel(d, want, 0, 1e-7) {
				t.Errorf("du/ds at %v: got=%v, want=%v", s, d, want)
			}
			if want := fd.Derivative(du, s, set); !scalar.EqualWithinAbsOrRel(dd, want, 1e-7, 1e-6) {
				t.Errorf("d²u/ds² at %v: got=%v, want=%v", s, dd, want)
			}
		}
	}
}

// The acceleration of even motion is the squared length times the curvature,
// towards the inside. At an end the curvature of a cubic is ⅔·h/l², l being the
// distance of the first handle and h that of the second from the tangent (Farin,
// Curves and Surfaces for CAGD); elsewhere that of the quarter circle is nearly 1.
func TestEvenCurvature(t *testing.T) {
	const kappa = 0.5522847498307933984
	e := NewEven(quarter())
	l2 := e.Length() * e.Length()
	_, _, a := e.At(0)
	if want := (r3.Vec{X: -l2 * 2 / 3 * (1 - kappa) / (kappa * kappa)}); !near(a, want, 1e-13) {
		t.Errorf("at the start: got=%v, want=%v", a, want)
	}
	for i := range 101 {
		p, _, a := e.At(float64(i) / 100)
		if want := r3.Scale(-l2, p); !near(a, want, 0.025*r3.Norm(want)) {
			t.Errorf("at %d/100: got=%v, want about %v", i, a, want)
		}
	}
}
