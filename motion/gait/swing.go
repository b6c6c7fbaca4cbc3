// SPDX-License-Identifier: MIT

package gait

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/motion/curve"
)

// Swing shapes the path of a foot in the air by its two handles, as shares of
// the step (along) and of 4/3 of the step height (up): with both at height 1
// the apex is the step height, since a cubic Bézier peaks at 3/4 of its
// handles' height.
type Swing struct {
	LiftAlong, LiftUp float64 // handle of lift-off, from the start
	LandAlong, LandUp float64 // handle of touchdown, from the start
}

// PlainSwing lifts and lands straight up and down.
var PlainSwing = Swing{0, 1, 1, 1}

// Bounds of the shares in which a swinging foot does not travel.
const (
	MostShare   = 0.5 // greatest early lift and late touch
	LeastTravel = 0.1 // what the two leave at least to travel in
)

// Part is a piece of a swing.
type Part struct {
	From, To float64    // shares of the swing time, [0,1]
	Span     curve.Span // m
}

// Path gives the curve of the swing from a to b, in axes whose z is up, m:
// what a foot follows by the gait's timing when there is neither early lift
// nor late touch. Parts gives what it follows in any case.
func (g *Gait) Path(a, b r3.Vec) curve.Bezier {
	s, d := g.Swing, r3.Sub(b, a)
	up := g.StepHeight * 4 / 3
	return curve.Bezier{
		P0: a,
		P1: r3.Add(r3.Add(a, r3.Scale(s.LiftAlong, d)), r3.Vec{Z: s.LiftUp * up}),
		P2: r3.Add(r3.Add(a, r3.Scale(s.LandAlong, d)), r3.Vec{Z: s.LandUp * up}),
		P3: b,
	}
}

// Parts gives the swing from a to b, in axes whose z is up, m, as pieces that
// follow one another in place and speed: Path by the gait's timing, in one
// piece, when there is neither early lift nor late touch.
//
// With them the way along runs in the middle of the swing only, from the end
// of the early lift to the beginning of the late touch, and the height over
// the whole of it as ever. Each is followed through its own values and speeds,
// by the gait's handles and timing, at the instants where the pieces meet: the
// ends of the two shares, the middle between them and the apex. So the foot
// does not travel at all within the two shares, and reaches the step height;
// between those instants it goes by cubics of the time, which do not overshoot
// their ends (limiter of Fritsch and Carlson, SIAM J. Numerical
// Analysis 17, 1980; from memory).
//
// At most six pieces; it allocates only their slice.
func (g *Gait) Parts(a, b r3.Vec) []Part {
	if g.EarlyLift == 0 && g.LateTouch == 0 {
		return []Part{{0, 1, curve.Span{Path: g.Path(a, b), Timing: g.Timing}}}
	}
	var buf [8]knot
	at := g.knots(buf[:0])
	parts := make([]Part, 0, len(at)-1)
	d := r3.Sub(b, a)
	put := func(along, up float64) r3.Vec { return r3.Add(r3.Add(a, r3.Scale(along, d)), r3.Vec{Z: up}) }
	for i := 1; i < len(at); i++ {
		p, q := &at[i-1], &at[i]
		third := (q.x - p.x) / 3
		path := curve.Bezier{
			P0: put(p.along, p.up), P1: put(p.along+third*p.alongV, p.up+third*p.upV),
			P2: put(q.along-third*q.alongV, q.up-third*q.upV), P3: put(q.along, q.up),
		}
		if i == len(at)-1 {
			path.P3 = b // without rounding
		}
		parts = append(parts, Part{p.x, q.x, curve.Span{Path: path}})
	}
	return parts
}

// knot is an instant of a swing at which two pieces meet: how far along the
// step and how high the foot is, and their slopes by the share of the swing.
type knot struct{ x, along, alongV, up, upV float64 }

// knots gives the instants of a swing with early lift or late touch, in order.
func (g *Gait) knots(k []knot) []knot {
	from, to := g.EarlyLift, 1-g.LateTouch
	for _, x := range [...]float64{0, from, to, 1} {
		k = near(k, x, 0)
	}
	k = near(k, (from+to)/2, tight)
	// The apex, and the lowest point of a swing that dips: where the slope
	// 3(p-q)y² + (2q-4p)y + p of its height by progress is 0.
	p, q := g.Swing.LiftUp, g.Swing.LandUp
	a, b := 3*(p-q), q-2*p
	var roots [2]float64
	if disc := b*b - a*p; disc >= 0 {
		// Both roots without the difference of two nearly equal numbers.
		s := -(b + math.Copysign(math.Sqrt(disc), b))
		roots = [2]float64{s / a, p / s}
	}
	// The inverse of a timing is the one with its axes exchanged.
	inverse := g.Timing
	inverse.X1, inverse.Y1, inverse.X2, inverse.Y2 = inverse.Y1, inverse.X1, inverse.Y2, inverse.X2
	for _, y := range roots {
		if y > 0 && y < 1 {
			x, _, _ := inverse.At(y)
			k = near(k, x, tight)
		}
	}
	slices.SortFunc(k, func(a, b knot) int {
		if a.x < b.x {
			return -1
		}
		return 1
	})
	for i := range k {
		g.place(&k[i], from, to)
	}
	// No place beyond those of the knots.
	for i := 1; i < len(k); i++ {
		p, q := &k[i-1], &k[i]
		slope := (q.up - p.up) / (q.x - p.x)
		p.upV, q.upV = limited(p.upV, slope), limited(q.upV, slope)
		slope = (q.along - p.along) / (q.x - p.x)
		p.alongV, q.alongV = limited(p.alongV, slope), limited(q.alongV, slope)
	}
	return k
}

// tight is how near to another an instant is not worth a piece of its own.
const tight = 1e-4

// near adds the instant x unless there is one within a distance.
func near(k []knot, x, within float64) []knot {
	for i := range k {
		if math.Abs(k[i].x-x) <= within {
			return k
		}
	}
	return append(k, knot{x: x})
}

// limited keeps a slope at the end of a rise of slope s so that a cubic does
// not overshoot.
func limited(v, s float64) float64 {
	if v*s <= 0 {
		return 0
	}
	return math.Copysign(min(math.Abs(v), 3*math.Abs(s)), s)
}

// place fills a knot.
func (g *Gait) place(k *knot, from, to float64) {
	y, dy, _ := g.Timing.At(k.x)
	up := 4 * g.StepHeight
	p, q, z := g.Swing.LiftUp, g.Swing.LandUp, 1-y
	k.up = up * y * z * (p*z + q*y)
	k.upV = up * (p*z*(z-2*y) + q*y*(2*z-y)) * dy
	switch {
	case k.x <= from && from > 0:
		k.along = 0
	case k.x >= to && to < 1:
		k.along = 1
	default:
		y, dy, _ := g.Timing.At((k.x - from) / (to - from))
		p, q, z := g.Swing.LiftAlong, g.Swing.LandAlong, 1-y
		k.along = y * (3*p*z*z + 3*q*y*z + y*y)
		k.alongV = 3 * (p*z*z + 2*(q-p)*y*z + (1-q)*y*y) * dy / (to - from)
	}
}
