// SPDX-License-Identifier: MIT

package edit

import (
	"math"

	"gaitwright/motion/curve"
)

// timingOf reads the text of a timing; one left out is ease-in-out.
func timingOf(s string) curve.Timing {
	if s == "" {
		s = "ease-in-out"
	}
	t, err := curve.ParseTiming(s)
	if err != nil { // Check refuses such a file
		return curve.Timing{}
	}
	return t
}

// timingText is the inverse, shortest first.
func timingText(t curve.Timing) string {
	if t.Kind == curve.CubicBezier {
		for _, v := range [...]*float64{&t.X1, &t.Y1, &t.X2, &t.Y2} {
			*v = math.Round(*v*1e5) / 1e5
		}
		if t.X1 == t.Y1 && t.X2 == t.Y2 {
			t = curve.Timing{}
		}
	}
	s := t.String()
	if s == "ease-in-out" {
		return ""
	}
	return s
}

// splitTiming cuts a timing at the share x of its duration into one for the
// time before and one for the time after, each over progress of its own, and
// gives the progress y at the cut.
//
// A cubic Bézier timing is a plane curve, which de Casteljau's construction
// cuts exactly (Farin, Curves and Surfaces for CAGD). A part may need a handle
// outside of [0,1], which a timing cannot have; then exact is false and the
// part is the nearest timing that can be written.
func splitTiming(t curve.Timing, x float64) (a, b curve.Timing, y float64, exact bool) {
	switch t.Kind {
	case curve.Linear:
		return t, t, x, true
	case curve.Hold:
		return t, t, 0, true
	}
	y, _, _ = t.At(x)
	s := parameter(t, x)
	mix := func(a, b float64) float64 { return a + s*(b-a) }
	cut := func(p1, p2 float64) (p01, p012, p123, p23 float64) {
		p01, p12, p23 := mix(0, p1), mix(p1, p2), mix(p2, 1)
		return p01, mix(p01, p12), mix(p12, p23), p23
	}
	x01, x012, x123, x23 := cut(t.X1, t.X2)
	y01, y012, y123, y23 := cut(t.Y1, t.Y2)
	part := func(h [4]float64, at func(float64) float64, still bool) (curve.Timing, bool) {
		if still { // nothing moves in this part
			return curve.Timing{}, true
		}
		for i := range h {
			if h[i] > -1e-9 && h[i] < 1+1e-9 {
				h[i] = max(0, min(1, h[i]))
				continue
			}
			return fitTiming(at, clampTiming(h)), false
		}
		return curve.Timing{Kind: curve.CubicBezier, X1: h[0], Y1: h[1], X2: h[2], Y2: h[3]}, true
	}
	var okA, okB bool
	a, okA = part([4]float64{x01 / x, y01 / y, x012 / x, y012 / y}, func(v float64) float64 {
		p, _, _ := t.At(v * x)
		return p / y
	}, y < 1e-9)
	b, okB = part([4]float64{(x123 - x) / (1 - x), (y123 - y) / (1 - y), (x23 - x) / (1 - x), (y23 - y) / (1 - y)}, func(v float64) float64 {
		p, _, _ := t.At(x + v*(1-x))
		return (p - y) / (1 - y)
	}, 1-y < 1e-9)
	return a, b, y, okA && okB
}

// parameter gives the curve parameter at which a cubic timing is at x, by
// bisection.
func parameter(t curve.Timing, x float64) float64 {
	lo, hi := 0.0, 1.0
	for range 80 {
		s := (lo + hi) / 2
		v := 1 - s
		if 3*v*v*s*t.X1+3*v*s*s*t.X2+s*s*s < x {
			lo = s
		} else {
			hi = s
		}
	}
	return (lo + hi) / 2
}

// joinTiming finds the timing that two cubic timings were cut from at the share
// x of the duration and y of the progress: de Casteljau's construction read
// backwards. It is exact for parts of one curve, and a first guess for others.
func joinTiming(a, b curve.Timing, x, y float64) curve.Timing {
	ha, hb := handlesOf(a), handlesOf(b)
	in, out := math.Hypot((1-ha[2])*x, (1-ha[3])*y), math.Hypot(hb[0]*(1-x), hb[1]*(1-y))
	if in+out == 0 {
		return curve.Timing{}
	}
	s := max(1e-3, min(in/(in+out), 1-1e-3))
	return clampTiming([4]float64{
		ha[0] * x / s, ha[1] * y / s,
		1 - (1-hb[2])*(1-x)/(1-s), 1 - (1-hb[3])*(1-y)/(1-s),
	})
}

// handlesOf gives the handles of a timing; of a straight one those at thirds.
func handlesOf(t curve.Timing) [4]float64 {
	if t.Kind == curve.CubicBezier {
		return [4]float64{t.X1, t.Y1, t.X2, t.Y2}
	}
	return [4]float64{1. / 3, 1. / 3, 2. / 3, 2. / 3}
}

func clampTiming(h [4]float64) curve.Timing {
	for i, v := range h {
		if !(v > 0) { // also for what is no number
			h[i] = 0
		}
		h[i] = min(h[i], 1)
	}
	return curve.Timing{Kind: curve.CubicBezier, X1: h[0], Y1: h[1], X2: h[2], Y2: h[3]}
}

// fitSteps is how finely two timings are compared.
const fitSteps = 64

// fitTiming finds the timing nearest to a progress over time (both shares), by
// the sum of squares at equal times: a pattern search (Hooke and Jeeves,
// Journal of the ACM 8, 1961; from memory) from a guess and from the timings
// with a name. Some thousand evaluations.
func fitTiming(want func(x float64) float64, guess curve.Timing) curve.Timing {
	var y [fitSteps]float64
	for i := 1; i < fitSteps; i++ {
		y[i] = want(float64(i) / fitSteps)
	}
	off := func(h *[4]float64) (sum float64) {
		t := curve.Timing{Kind: curve.CubicBezier, X1: h[0], Y1: h[1], X2: h[2], Y2: h[3]}
		for i := 1; i < fitSteps; i++ {
			v, _, _ := t.At(float64(i) / fitSteps)
			sum += (v - y[i]) * (v - y[i])
		}
		return sum
	}
	best, least := handlesOf(guess), math.Inf(1)
	for _, start := range [...]curve.Timing{
		guess, {}, {Kind: curve.CubicBezier, X1: 0.42, X2: 0.58, Y2: 1}, {Kind: curve.CubicBezier, X1: 0.7, X2: 1, Y2: 0.8}, {Kind: curve.CubicBezier, Y1: 0.2, X2: 0.3, Y2: 1},
	} {
		h := handlesOf(start)
		v := off(&h)
		for step := 0.1; step > 1e-5; {
			better := false
			for i := range h {
				for _, by := range [...]float64{step, -step} {
					g := h
					g[i] = max(0, min(1, g[i]+by))
					if w := off(&g); w < v {
						h, v, better = g, w, true
						break
					}
				}
			}
			if !better {
				step /= 2
			}
		}
		if v < least {
			best, least = h, v
		}
		if least < 1e-12 {
			break
		}
	}
	return curve.Timing{Kind: curve.CubicBezier, X1: best[0], Y1: best[1], X2: best[2], Y2: best[3]}
}
