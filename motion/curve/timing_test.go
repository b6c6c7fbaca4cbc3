// SPDX-License-Identifier: MIT

package curve

import (
	"fmt"
	"math"
	"math/big"
	"strings"
	"testing"

	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/floats/scalar"
	"pgregory.net/rapid"
)

// The curves of CSS Easing Functions Level 1, "Cubic Bézier easing functions"
// (https://www.w3.org/TR/css-easing-1/); the values are its definition worked out
// by bisection in 40 digits.
func TestTimingValues(t *testing.T) {
	for _, c := range []struct {
		timing string
		x, y   float64
	}{
		{"ease", 0.1, 0.09479630571604325},
		{"ease", 0.25, 0.4085105913553959},
		{"ease", 0.5, 0.802403387584857},
		{"ease", 0.75, 0.9604589783489741},
		{"ease", 0.9, 0.9943164774845564},
		{"ease-in", 0.1, 0.01702660965156294},
		{"ease-in", 0.25, 0.09346465071882486},
		{"ease-in", 0.5, 0.3153568125725393},
		{"ease-in", 0.75, 0.6218618691748902},
		{"ease-in", 0.9, 0.8394278457624665},
		{"ease-out", 0.1, 0.1605721542375335},
		{"ease-out", 0.25, 0.3781381308251098},
		{"ease-out", 0.5, 0.6846431874274607},
		{"ease-out", 0.75, 0.9065353492811751},
		{"ease-out", 0.9, 0.9829733903484371},
		{"ease-in-out", 0.1, 0.0197224535483112},
		{"ease-in-out", 0.25, 0.1291619310473198},
		{"ease-in-out", 0.5, 0.5},
		{"ease-in-out", 0.75, 0.8708380689526802},
		{"ease-in-out", 0.9, 0.9802775464516888},
		{"cubic-bezier(0.5, 1, 0.5, 0)", 0.25, 0.3941074569749823},
		{"cubic-bezier(0.5, 1, 0.5, 0)", 0.5, 0.5},
		{"cubic-bezier(0.5, 1, 0.5, 0)", 0.75, 0.6058925430250177},
		{"linear", 0.3, 0.3},
		{"hold", 0, 0},
		{"hold", 0.7, 0},
		{"hold", 1, 0},
	} {
		timing, err := ParseTiming(c.timing)
		if err != nil {
			t.Fatal(err)
		}
		if y, _, _ := timing.At(c.x); !scalar.EqualWithinAbs(y, c.y, 1e-15) {
			t.Errorf("%s at %v: got=%.17g, want=%.17g", c.timing, c.x, y, c.y)
		}
	}
}

// CSS Easing Functions Level 1 continues a curve outside [0,1] along its tangent,
// so its values there are the slopes of the ends: ease(−0.1) = −0.04, ease(1.1) = 1,
// ease-out(−0.1) = −0.1724137931034483, ease-in(1.1) = 1.1724137931034483.
func TestTimingEndSlopes(t *testing.T) {
	for _, c := range []struct {
		timing   string
		x, slope float64
	}{
		{"ease", 0, 0.4},
		{"ease", 1, 0},
		{"ease-out", 0, 1.724137931034483},
		{"ease-in", 1, 1.724137931034483},
		{"cubic-bezier(0, 1, 0, 1)", 0, MaxSlope}, // straight up
		{"cubic-bezier(0, 1, 0, 1)", 1, 0},
		{"cubic-bezier(1, 0, 1, 0)", 1, MaxSlope},
		{"cubic-bezier(0, 0, 0, 1)", 0, MaxSlope}, // x = s³, y = 3s²−2s³
		{"cubic-bezier(0, 0, 0, 0)", 0, 1},
		{"cubic-bezier(1, 0, 0, 1)", 0.5, MaxSlope}, // upright half-way
		{"cubic-bezier(1, 0, 0, 1)", 0, 0},
	} {
		timing, err := ParseTiming(c.timing)
		if err != nil {
			t.Fatal(err)
		}
		if _, d, _ := timing.At(c.x); !scalar.EqualWithinRel(d, c.slope, 1e-14) && d != c.slope {
			t.Errorf("%s at %v: slope got=%v, want=%v", c.timing, c.x, d, c.slope)
		}
	}
}

func TestTimingEdges(t *testing.T) {
	ease := Timing{CubicBezier, 0.25, 0.1, 0.25, 1}
	for _, c := range []struct {
		name string
		t    Timing
		x    float64
		want [3]float64
	}{
		{"before", ease, -0.1, [3]float64{}},
		{"long before", ease, math.Inf(-1), [3]float64{}},
		{"after", ease, 1.1, [3]float64{1, 0, 0}},
		{"long after", ease, math.Inf(1), [3]float64{1, 0, 0}},
		{"no number", ease, math.NaN(), [3]float64{}},
		{"linear", Timing{}, 0.3, [3]float64{0.3, 1, 0}},
		{"linear, before", Timing{}, -0.1, [3]float64{}},
		{"linear, after", Timing{}, 1.1, [3]float64{1, 0, 0}},
		{"linear, no number", Timing{}, math.NaN(), [3]float64{}},
		{"hold, after", Timing{Kind: Hold}, 1.1, [3]float64{}},
		{"unknown kind", Timing{Kind: 9}, 0.3, [3]float64{}},
		{"refused handle", Timing{CubicBezier, 0, 1.5, 1, 1}, 0.3, [3]float64{}},
		{"handle that is no number", Timing{CubicBezier, 0, math.NaN(), 1, 1}, 0.3, [3]float64{}},
		{"straight", Timing{CubicBezier, 0.3, 0.3, 0.9, 0.9}, 0.7, [3]float64{0.7, 1, 0}},
	} {
		y, d, dd := c.t.At(c.x)
		if got := [3]float64{y, d, dd}; got != c.want {
			t.Errorf("%s: got=%v, want=%v", c.name, got, c.want)
		}
	}
}

// genTiming gives handles of all kinds, many of them on or very near the border.
func genTiming() *rapid.Generator[Timing] {
	h := rapid.OneOf(
		rapid.Float64Range(0, 1),
		rapid.SampledFrom([]float64{0, 1, 0.5, 1e-300, 1e-12, 1e-6, 1 - 1e-6, 1 - 1e-12, math.Nextafter(1, 0)}),
	)
	return rapid.Custom(func(t *rapid.T) Timing {
		return Timing{CubicBezier, h.Draw(t, "x1"), h.Draw(t, "y1"), h.Draw(t, "x2"), h.Draw(t, "y2")}
	})
}

// genShare gives shares of the duration, many of them very near the ends or the middle.
func genShare() *rapid.Generator[float64] {
	return rapid.OneOf(
		rapid.Float64Range(0, 1),
		rapid.SampledFrom([]float64{0, 1, 0.5, 1e-300, 1e-15, 1e-9, 0.5 - 1e-12, 0.5 + 1e-9,
			1 - 1e-9, math.Nextafter(0.5, 1), math.Nextafter(1, 0)}),
	)
}

const digits = 300 // bits of the slow reference, some 90 digits

func bigf(v float64) *big.Float { return new(big.Float).SetPrec(digits).SetFloat64(v) }

// bigCubic evaluates 3v²s·p1 + 3vs²·p2 + s³ (order 0) or its first or second
// derivative by s, where v = 1−s.
func bigCubic(s *big.Float, p1, p2 float64, order int) *big.Float {
	f := func() *big.Float { return new(big.Float).SetPrec(digits) }
	mul := func(a ...*big.Float) *big.Float {
		m := bigf(1)
		for _, b := range a {
			m = f().Mul(m, b)
		}
		return m
	}
	a, one := bigf(p1), bigf(1)
	b := f().Sub(bigf(p2), a)
	c := f().Sub(one, bigf(p2))
	v := f().Sub(one, s)
	sum := f()
	switch order {
	case 0:
		sum.Add(mul(bigf(3), v, v, s, a), mul(bigf(3), v, s, s, bigf(p2)))
		sum.Add(sum, mul(s, s, s))
	case 1:
		sum.Add(mul(bigf(3), v, v, a), mul(bigf(6), v, s, b))
		sum.Add(sum, mul(bigf(3), s, s, c))
	case 2:
		sum.Add(mul(bigf(6), v, f().Sub(b, a)), mul(bigf(6), s, f().Sub(c, b)))
	}
	return sum
}

// slowTiming is the definition of CSS Easing Functions Level 1 by bisection in some
// 90 digits. It also gives x′ by the curve's parameter; where that is 0 the
// derivatives are NaN.
func slowTiming(t Timing, x *big.Float) (y, dydx, d2ydx2, upright float64) {
	f := func() *big.Float { return new(big.Float).SetPrec(digits) }
	lo, hi := bigf(0), bigf(1)
	for range 250 {
		m := f().Add(lo, hi)
		m.Quo(m, bigf(2))
		if bigCubic(m, t.X1, t.X2, 0).Cmp(x) < 0 {
			lo = m
		} else {
			hi = m
		}
	}
	y, _ = bigCubic(hi, t.Y1, t.Y2, 0).Float64()
	dx := bigCubic(hi, t.X1, t.X2, 1)
	upright, _ = dx.Float64()
	if upright < 1e-40 {
		return y, math.NaN(), math.NaN(), upright
	}
	dy := bigCubic(hi, t.Y1, t.Y2, 1)
	dydx, _ = f().Quo(dy, dx).Float64()
	n := f().Sub(f().Mul(bigCubic(hi, t.Y1, t.Y2, 2), dx), f().Mul(bigCubic(hi, t.X1, t.X2, 2), dy))
	d2ydx2, _ = f().Quo(n, f().Mul(dx, f().Mul(dx, dx))).Float64()
	return y, dydx, d2ydx2, upright
}

func TestTimingAgainstBisection(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		timing := genTiming().Draw(t, "timing")
		x := genShare().Draw(t, "x")
		got, d, dd := timing.At(x)
		want, dWant, ddWant, upright := slowTiming(timing, bigf(x))

		// Everywhere: the exact value at an x that differs by rounding.
		const nudge = 2e-15
		slip := bigf(nudge * math.Min(x, 1-x))
		slip.Add(slip, bigf(1e-18))
		at := func(x *big.Float) float64 {
			switch {
			case x.Sign() <= 0:
				return 0
			case x.Cmp(bigf(1)) >= 0:
				return 1
			}
			y, _, _, _ := slowTiming(timing, x)
			return y
		}
		xb := bigf(x)
		least := at(new(big.Float).SetPrec(digits).Sub(xb, slip))
		most := at(new(big.Float).SetPrec(digits).Add(xb, slip))
		if !(got >= least-1e-15 && got <= most+1e-15) {
			t.Fatalf("%v at %v: got=%v, want=%v (%v to %v)", timing, x, got, want, least, most)
		}
		if dWant < 1e3 && !scalar.EqualWithinAbs(got, want, 1e-12) {
			t.Fatalf("%v at %v: got=%v, want=%v", timing, x, got, want)
		}
		// The derivatives, where neighbours of x have nearly the same and the curve
		// is not nearly upright.
		if bend := math.Abs(ddWant); bend < 1e3 && upright > 1e-5 {
			if !scalar.EqualWithinAbs(d, dWant, 1e-12*(1+dWant+bend)+1e-14/upright) {
				t.Fatalf("%v at %v: slope got=%v, want=%v (bend %v)", timing, x, d, dWant, ddWant)
			}
			if upright > 1e-3 && !scalar.EqualWithinAbs(dd, ddWant, 1e-11*(1+bend)/upright) {
				t.Fatalf("%v at %v: bend got=%v, want=%v (x' %v)", timing, x, dd, ddWant, upright)
			}
		}
	})
}

func TestTimingProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		timing := genTiming().Draw(t, "timing")
		x := rapid.OneOf(genShare(), rapid.Float64()).Draw(t, "x")
		y, d, dd := timing.At(x)
		if !(y >= 0 && y <= 1) || !(d >= 0 && d <= MaxSlope) || !(math.Abs(dd) <= MaxBend) {
			t.Fatalf("%v at %v: got=%v, %v, %v", timing, x, y, d, dd)
		}
		if y, _, _ := timing.At(0); y != 0 {
			t.Fatalf("%v at 0: got=%v", timing, y)
		}
		if y, _, _ := timing.At(1); y != 1 {
			t.Fatalf("%v at 1: got=%v", timing, y)
		}
		// Monotone, to the rounding of x and y.
		z := rapid.OneOf(genShare(), rapid.Map(rapid.Float64Range(-1e-14, 1e-14),
			func(e float64) float64 { return x + e })).Draw(t, "z")
		if x > z {
			x, z = z, x
			y, _, _ = timing.At(x)
		}
		if w, _, _ := timing.At(z + 2e-15); y > w+1e-15 {
			t.Fatalf("%v falls from %v at %v to %v at %v", timing, y, x, w, z)
		}
	})
}

// Exchanging the ends of a curve turns it by half a turn; CSS's ease-in and
// ease-out are such a pair and ease-in-out is its own.
func TestTimingSymmetry(t *testing.T) {
	in, out, both := Timing{CubicBezier, 0.42, 0, 1, 1}, Timing{CubicBezier, 0, 0, 0.58, 1}, Timing{CubicBezier, 0.42, 0, 0.58, 1}
	for i := range 1001 {
		x := float64(i) / 1000
		for _, p := range [...][2]Timing{{in, out}, {both, both}} {
			y, d, dd := p[0].At(x)
			z, e, ee := p[1].At(1 - x)
			if !scalar.EqualWithinAbs(y+z, 1, 2e-15) || !scalar.EqualWithinAbsOrRel(d, e, 1e-13, 1e-13) ||
				!scalar.EqualWithinAbsOrRel(dd, -ee, 1e-11, 1e-11) && x > 0 && x < 1 {
				t.Fatalf("%v at %v: got=%v, %v, %v; %v at %v: got=%v, %v, %v", p[0], x, y, d, dd, p[1], 1-x, z, e, ee)
			}
		}
	}
}

// Central differences of gonum/diff/fd.
func TestTimingDerivatives(t *testing.T) {
	for _, s := range []string{"ease", "ease-in", "ease-out", "ease-in-out",
		"cubic-bezier(0.5, 1, 0.5, 0)", "cubic-bezier(0.9, 0.1, 0.2, 0.7)"} {
		timing, err := ParseTiming(s)
		if err != nil {
			t.Fatal(err)
		}
		y := func(x float64) float64 { y, _, _ := timing.At(x); return y }
		dy := func(x float64) float64 { _, d, _ := timing.At(x); return d }
		for i := 1; i < 40; i++ {
			x := float64(i) / 40
			_, d, dd := timing.At(x)
			set := &fd.Settings{Formula: fd.Central, Step: 1e-6}
			if want := fd.Derivative(y, x, set); !scalar.EqualWithinAbsOrRel(d, want, 1e-8, 1e-8) {
				t.Errorf("%s, slope at %v: got=%v, want=%v", s, x, d, want)
			}
			if want := fd.Derivative(dy, x, set); !scalar.EqualWithinAbsOrRel(dd, want, 1e-6, 1e-6) {
				t.Errorf("%s, bend at %v: got=%v, want=%v", s, x, dd, want)
			}
		}
	}
}

func TestPeakSlope(t *testing.T) {
	third := 1. / 3
	for _, c := range []struct {
		name     string
		t        Timing
		x, slope float64
	}{
		{"linear", Timing{}, 0, 1},
		{"hold", Timing{Kind: Hold}, 0, 0},
		{"straight", Timing{CubicBezier, 0.2, 0.2, 0.2, 0.2}, 0, 1},
		// 3x²−2x³, whose peak slope is 1.5 half-way (Modern Robotics, time scaling).
		{"third-order", Timing{CubicBezier, third, 0, 1 - third, 1}, 0.5, 1.5},
		// The tangent at the end, as CSS Easing Functions Level 1 continues it.
		{"ease-in", Timing{CubicBezier, 0.42, 0, 1, 1}, 1, 1 / 0.58},
		{"ease-out", Timing{CubicBezier, 0, 0, 0.58, 1}, 0, 1 / 0.58},
		{"upright at the start", Timing{CubicBezier, 0, 1, 0.5, 1}, 0, MaxSlope},
		{"upright half-way", Timing{CubicBezier, 1, 0, 0, 1}, 0.5, MaxSlope},
		// By hand: y″x′ = y′x″ at the parameters 0 and ½.
		{"steepest at parameter ½", Timing{CubicBezier, 0.25, 0.03125, 0, 0}, 0.21875, 31. / 24},
		{"the same, rounded", Timing{CubicBezier, 0.25, 0.03125000000000089, 5.551115123125783e-17, 0}, 0.21875, 31. / 24},
		{"refused", Timing{CubicBezier, 2, 0, 0, 1}, 0, 0},
	} {
		x, slope := c.t.PeakSlope()
		if !scalar.EqualWithinAbs(x, c.x, 1e-12) || !scalar.EqualWithinAbsOrRel(slope, c.slope, 1e-14, 1e-14) {
			t.Errorf("%s: got=%v, %v, want=%v, %v", c.name, x, slope, c.x, c.slope)
		}
	}
}

func TestPeakSlopeAgainstSamples(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		timing := genTiming().Draw(t, "timing")
		x, slope := timing.PeakSlope()
		if !(x >= 0 && x <= 1) || !(slope > 0 && slope <= MaxSlope) {
			t.Fatalf("%v: got=%v, %v", timing, x, slope)
		}
		if timing.X1-timing.X2 > 1-1e-4 {
			return // nearly upright half-way: At's own derivatives lose digits
		}
		if !(slope >= 1-1e-12) {
			t.Fatalf("%v: got=%v, less than the average", timing, slope)
		}
		if _, d, _ := timing.At(x); x > 1e-6 && x < 1-1e-6 && slope < 1e3 && !scalar.EqualWithinRel(d, slope, 1e-6) {
			t.Fatalf("%v: peak %v at %v, where the slope is %v", timing, slope, x, d)
		}
		for i := range 501 {
			if _, d, _ := timing.At(float64(i) / 500); d > slope*(1+1e-9) {
				t.Fatalf("%v: got=%v at %v, but %v at %d/500", timing, slope, x, d, i)
			}
		}
	})
}

func TestTimingRefused(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		x1, y1, x2, y2 float64
		names          string
	}{
		{0, 1.5, 1, 1.5, "y1 is 1.5"}, // passes 1 in the CSS test of overshoot
		{0.5, -0.1, 0.5, 1, "y1 is -0.1"},
		{0.5, 0, 0.5, 1.1, "y2 is 1.1"},
		{-0.1, 0, 0.5, 1, "x1 is -0.1"},
		{0.1, 0, 1.5, 1, "x2 is 1.5"},
		{nan, 0, 0.5, 1, "x1 is NaN"},
		{0.5, 0, 0.5, math.Inf(1), "y2 is +Inf"},
	} {
		got, err := NewCubic(c.x1, c.y1, c.x2, c.y2)
		if err == nil || !strings.Contains(err.Error(), c.names) || got != (Timing{}) {
			t.Errorf("%v: got=%v, %v, want an error with %q", c, got, err, c.names)
		}
	}
	if err := (Timing{Kind: 9}).Check(); err == nil {
		t.Error("an unknown kind passes")
	}
}

func TestParseTiming(t *testing.T) {
	for _, c := range []struct {
		in, out string
		want    Timing
	}{
		{"linear", "linear", Timing{}},
		{"hold", "hold", Timing{Kind: Hold}},
		// The keywords' numbers are those of CSS Easing Functions Level 1.
		{"ease", "ease", Timing{CubicBezier, 0.25, 0.1, 0.25, 1}},
		{"ease-in", "ease-in", Timing{CubicBezier, 0.42, 0, 1, 1}},
		{"ease-out", "ease-out", Timing{CubicBezier, 0, 0, 0.58, 1}},
		{"ease-in-out", "ease-in-out", Timing{CubicBezier, 0.42, 0, 0.58, 1}},
		{"cubic-bezier(0.42, 0, 0.58, 1)", "ease-in-out", Timing{CubicBezier, 0.42, 0, 0.58, 1}},
		{"  Cubic-Bezier( .1,0.20 ,3e-1,+1 ) ", "cubic-bezier(0.1, 0.2, 0.3, 1)", Timing{CubicBezier, 0.1, 0.2, 0.3, 1}},
		{"cubic-bezier(0,0,1,1)", "cubic-bezier(0, 0, 1, 1)", Timing{CubicBezier, 0, 0, 1, 1}},
	} {
		got, err := ParseTiming(c.in)
		if err != nil || got != c.want || got.String() != c.out {
			t.Errorf("%q: got=%v, %v, want=%q", c.in, got, err, c.out)
		}
	}
	for _, c := range []struct{ in, says string }{
		{"", "use linear"},
		{"fast", "use linear"},
		{"steps(4, end)", "use linear"},
		{"cubic-bezier", "use linear"},
		{"cubic-bezier(0, 0, 1, 1", "closing bracket"},
		{"cubic-bezier(0, 0, 1)", "has 3 numbers"},
		{"cubic-bezier(0, 0, 1, 1, 1)", "has 5 numbers"},
		{"cubic-bezier(0, , 1, 1)", "number 2"},
		{"cubic-bezier(0, nan, 1, 1)", "number 2"},
		{"cubic-bezier(0, 0x1p-2, 1, 1)", "number 2"},
		{"cubic-bezier(0, 0, 1_0, 1)", "number 3"},
		{"cubic-bezier(0, 0, inf, 1)", "number 3"},
		{"cubic-bezier(0, 1.5, 1, 1.5)", "y1 is 1.5"},
		{strings.Repeat("e", 1000), `"...`},
	} {
		got, err := ParseTiming(c.in)
		if err == nil || got != (Timing{}) || !strings.Contains(err.Error(), c.says) || len(err.Error()) > 300 {
			t.Errorf("%q: got=%v, %v, want an error with %q", c.in, got, err, c.says)
		}
	}
	for _, k := range Keywords() {
		if got, err := ParseTiming(k); err != nil || got.String() != k {
			t.Errorf("%q: got=%v, %v", k, got, err)
		}
	}
}

func FuzzParseTiming(f *testing.F) {
	for _, s := range append(Keywords(), "cubic-bezier(0.1, 0.2, 0.3, 1)", "cubic-bezier(1e-3,.5,1.,0)",
		"cubic-bezier(0,1.5,1,1)", "cubic-bezier(-0, nan, 0x1, 1_0)", "cubic-bezier(,,,)") {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got, err := ParseTiming(s)
		if err != nil {
			if got != (Timing{}) {
				t.Fatalf("got=%v beside the error %v", got, err)
			}
			return
		}
		if err := got.Check(); err != nil {
			t.Fatalf("read, but refused: %v", err)
		}
		again, err := ParseTiming(got.String())
		if err != nil || again != got {
			t.Fatalf("%q: got=%v, then %v, %v", s, got, again, err)
		}
		for _, x := range [...]float64{0, 0.25, 0.5, 0.75, 1} {
			if y, d, dd := got.At(x); !(y >= 0 && y <= 1 && d >= 0 && d <= MaxSlope && math.Abs(dd) <= MaxBend) {
				t.Fatalf("%v at %v: got=%v, %v, %v", got, x, y, d, dd)
			}
		}
	})
}

func ExampleTiming_PeakSlope() {
	t, err := ParseTiming("cubic-bezier(0.42, 0, 0.58, 1)")
	if err != nil {
		fmt.Println(err)
		return
	}
	x, slope := t.PeakSlope()
	fmt.Printf("%v is fastest at %.2f, %.3f times the average speed\n", t, x, slope)
	// Output: ease-in-out is fastest at 0.50, 1.724 times the average speed
}
