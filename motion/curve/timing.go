// SPDX-License-Identifier: MIT

package curve

import (
	"fmt"
	"math"
)

// Kind is the family of a timing.
type Kind uint8

const (
	Linear      Kind = iota // progress is the share of the duration
	Hold                    // progress stays 0 for the whole span
	CubicBezier             // the handles X1, Y1, X2, Y2 shape it
)

// In place of an infinite slope or bend of a timing stand these, which are far
// past what any servo does and yet finite: a check sees a speed that is much too
// high and not a number that spoils every sum it enters.
const (
	MaxSlope = 1e9  // greatest first derivative given
	MaxBend  = 1e18 // greatest second derivative given, in absolute value
)

// Timing is when: a monotone map from the share of a span's duration to its
// progress, both in [0,1]. The zero value is linear.
//
// CubicBezier is the family of CSS Easing Functions Level 1: the curve through
// (0,0), (X1,Y1), (X2,Y2), (1,1), read as y over x. The standard asks X1 and X2 to
// lie in [0,1] so that there is one y for each x. Here Y1 and Y2 must as well,
// which makes y monotone and keeps it in [0,1]: a progress outside would send a
// foot past the ends of its path, where its leg may not reach.
//
// Hold keeps the foot at the start of the path for the whole span and never takes
// it to the end. A span with it must therefore end where it starts, or the track
// would jump to the next span.
//
// Linear and Hold do not look at the handles.
type Timing struct {
	Kind Kind
	X1   float64 // [0,1]
	Y1   float64 // [0,1]
	X2   float64 // [0,1]
	Y2   float64 // [0,1]
}

// NewCubic returns the CubicBezier timing with these handles, or what is wrong
// with them.
func NewCubic(x1, y1, x2, y2 float64) (Timing, error) {
	t := Timing{CubicBezier, x1, y1, x2, y2}
	if err := t.Check(); err != nil {
		return Timing{}, err
	}
	return t, nil
}

// Check reports an unknown kind, or the first handle outside [0,1].
func (t Timing) Check() error {
	switch t.Kind {
	case Linear, Hold:
		return nil
	case CubicBezier:
	default:
		return fmt.Errorf("curve: timing of unknown kind %d: use linear, hold or cubic-bezier", t.Kind)
	}
	for _, h := range [...]struct {
		name string
		v    float64
		why  string
	}{
		{"x1", t.X1, "time would run backwards"},
		{"y1", t.Y1, "the foot would pass the ends of its path"},
		{"x2", t.X2, "time would run backwards"},
		{"y2", t.Y2, "the foot would pass the ends of its path"},
	} {
		if !inUnit(h.v) {
			return fmt.Errorf("curve: timing %s: %s is %v: keep it from 0 to 1, outside %s", t, h.name, h.v, h.why)
		}
	}
	return nil
}

func inUnit(v float64) bool { return v >= 0 && v <= 1 }

// At returns the progress y at the share x of the duration, and its first and
// second derivative by x. At(0) is exactly 0 and, but for Hold, At(1) exactly 1;
// there the derivatives are those towards the inside.
//
// It is total: x below 0 or not a number gives 0, 0, 0 (not begun); x above 1
// gives 1, 0, 0 (ended), or 0, 0, 0 for Hold; a timing that Check refuses gives
// 0, 0, 0.
//
// A slope is infinite at an end whose handle lies straight above or below it, and
// half-way when X1 = 1 and X2 = 0; there and close by, [MaxSlope] and ±[MaxBend]
// are given. Where the bend jumps from +Inf to −Inf, 0 is given.
//
// y is accurate to 1e-12 as long as the slope is below 1e3, and everywhere as the
// exact y at an x that differs by a few 1e-16; monotone in the same sense. The
// derivatives lose digits where the curve is nearly upright half-way (X1 near 1
// and X2 near 0 at once). Halley's iteration kept in a bracket by bisection; some
// 70 ns, no allocation.
//
// Source: CSS Easing Functions Level 1, "Cubic Bézier easing functions".
func (t Timing) At(x float64) (y, dydx, d2ydx2 float64) {
	if !(x >= 0) || t.Kind == Hold {
		return 0, 0, 0
	}
	switch t.Kind {
	case Linear:
		if x > 1 {
			return 1, 0, 0
		}
		return x, 1, 0
	case CubicBezier:
		if !(inUnit(t.X1) && inUnit(t.Y1) && inUnit(t.X2) && inUnit(t.Y2)) {
			return 0, 0, 0
		}
	default:
		return 0, 0, 0
	}
	if x > 1 {
		return 1, 0, 0
	}
	if t.X1 == t.Y1 && t.X2 == t.Y2 {
		return x, 1, 0
	}
	// The later half is solved from its own end, where 1−x is exact, so that both
	// ends are equally accurate.
	if x <= 0.5 {
		e := newEase(t.X1, t.Y1, t.X2, t.Y2)
		return e.at(e.solve(x))
	}
	e := newEase(1-t.X2, 1-t.Y2, 1-t.X1, 1-t.Y1)
	y, dydx, d2ydx2 = e.at(e.solve(1 - x))
	return 1 - y, dydx, 0 - d2ydx2
}

// PeakSlope returns where the timing is steepest and its slope there, at most
// [MaxSlope]: the peak speed of the span is slope · length / duration. Of several
// such places it gives the first. Exact, by the roots of the second derivative.
func (t Timing) PeakSlope() (x, slope float64) {
	if t.Kind == Linear {
		return 0, 1
	}
	if t.Kind != CubicBezier || t.Check() != nil {
		return 0, 0
	}
	if t.X1 == t.Y1 && t.X2 == t.Y2 {
		return 0, 1
	}
	// As in At, each half from its own end.
	e := newEase(t.X1, t.Y1, t.X2, t.Y2)
	for _, s := range e.turns() {
		if _, v, _ := e.at(s); v > slope {
			x, slope = e.x(s), v
		}
	}
	e = newEase(1-t.X2, 1-t.Y2, 1-t.X1, 1-t.Y1)
	for _, s := range e.turns() {
		if _, v, _ := e.at(s); v > slope {
			x, slope = 1-e.x(s), v
		}
	}
	return x, slope
}

// ease is a CubicBezier timing as two polynomials of the curve's parameter s:
// x = a·s³ + b·s² + c·s and y = p·s³ + q·s² + r·s.
type ease struct{ a, b, c, p, q, r float64 }

func newEase(x1, y1, x2, y2 float64) ease {
	return ease{
		a: 1 + 3*(x1-x2), b: 3 * (x2 - 2*x1), c: 3 * x1,
		p: 1 + 3*(y1-y2), q: 3 * (y2 - 2*y1), r: 3 * y1,
	}
}

func (e *ease) x(s float64) float64 { return ((e.a*s+e.b)*s + e.c) * s }

// solve returns s where x(s) = x, for x in [0, ½].
func (e *ease) solve(x float64) float64 {
	if x == 0 {
		return 0
	}
	// All such x(s) lie between s³ and 1−(1−s)³.
	lo, hi := x/3, 1.0
	s := e.guess(x)
	for range 100 {
		f := e.x(s) - x
		if f < 0 {
			lo = s
		} else {
			hi = s
		}
		d := (3*e.a*s+2*e.b)*s + e.c
		h := 3*e.a*s + e.b // half the second derivative
		next := s - f*d/(d*d-f*h)
		switch off := math.Abs(f); {
		case off <= 4e-16*x: // as near as rounding lets f come
			return s
		case off <= 1e-6*s*d && next >= lo && next <= hi:
			return next // of the third order: nothing is left
		case !(next >= lo && next <= hi && off*math.Abs(h) < d*d):
			// Outside, or where x is too flat for the step to lead anywhere.
			next = (lo + hi) / 2
			if next == lo || next == hi {
				return next
			}
		}
		s = next
	}
	return s
}

// guess starts the iteration: the root of the quadratic part, which is right near
// x = 0 also where the slope of x is 0 there, or x itself.
func (e *ease) guess(x float64) float64 {
	if disc := e.c*e.c + 4*e.b*x; disc > 0 {
		if s := 2 * x / (e.c + math.Sqrt(disc)); s < 0.75 {
			return s
		}
	}
	return 0.5
}

// bend returns the polynomial n0 + n1·s + n2·s² = y″x′ − y′x″, whose higher terms
// cancel. Over x′³ it is the second derivative of y by x.
func (e *ease) bend() (n0, n1, n2 float64) {
	return 2 * (e.q*e.c - e.b*e.r), 6 * (e.p*e.c - e.a*e.r), 6 * (e.p*e.b - e.a*e.q)
}

// turns returns the parameters in the first half where the slope may be greatest:
// the start, and where the bend is 0. What there is less of is filled with the
// start. The first half goes a little past ½, so that no rounding loses a turn there.
func (e *ease) turns() (s [3]float64) {
	n0, n1, n2 := e.bend()
	s0, s1 := quadraticRoots(n2, n1/2, n0, n1*n1/4-n2*n0)
	for i, v := range [...]float64{min(s0, s1), max(s0, s1)} {
		if v > 0 && v < 0.51 {
			s[1+i] = v
		}
	}
	return s
}

// at returns y and its derivatives by x at the parameter s.
func (e *ease) at(s float64) (y, dydx, d2ydx2 float64) {
	y = ((e.p*s+e.q)*s + e.r) * s
	y = max(0, min(y, 1)) // the exact y lies in [0,1]; rounding may not
	dx := (3*e.a*s+2*e.b)*s + e.c
	dy := max(0, (3*e.p*s+2*e.q)*s+e.r)
	if !(dx > 0) {
		return y, e.slopeAtStop(s, dy), e.bendAtStop(s)
	}
	n0, n1, n2 := e.bend()
	n := (n2*s+n1)*s + n0
	d := dx * dx * dx
	dydx = min(dy/dx, MaxSlope)
	switch {
	case n == 0:
	case math.Abs(n) < d*MaxBend:
		d2ydx2 = n / d
	default:
		d2ydx2 = math.Copysign(MaxBend, n)
	}
	return y, dydx, d2ydx2
}

// slopeAtStop is the slope where x′ = 0: at s = 0 the ratio of the first terms of
// y and x that are not zero, elsewhere infinite.
func (e *ease) slopeAtStop(s, dy float64) float64 {
	switch {
	case dy > 0:
		return MaxSlope
	case s > 0.25 || e.b == 0 && e.q == 0:
		return 1 // both handles on the ends, or as good as straight
	case e.b == 0:
		return MaxSlope
	}
	return min(e.q/e.b, MaxSlope)
}

// bendAtStop is the bend where x′ = 0: infinite at s = 0, with the sign of its
// first term; it changes sign at the stop half-way.
func (e *ease) bendAtStop(s float64) float64 {
	if s > 0.25 {
		return 0
	}
	for n0, n1, n2 := e.bend(); ; n0, n1, n2 = n1, n2, 0 {
		if n0 != 0 {
			return math.Copysign(MaxBend, n0)
		}
		if n1 == 0 && n2 == 0 {
			return 0
		}
	}
}
