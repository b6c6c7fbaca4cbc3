// SPDX-License-Identifier: MIT

package curve

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// lengthTol is the share of the control polygon by which two estimates of
	// the length of one piece may differ. Near a cusp the error is some 20 times that.
	lengthTol = 1e-14
	// lengthDepth bounds the halving where the path has a cusp.
	lengthDepth = 40
	// noLength is the control polygon below which squares of lengths underflow.
	noLength = 1e-150 // m
	// standstill is the speed |B′| below which a path counts as standing still, as
	// a share of the control polygon.
	standstill = 1e-6
	// straight is the sine of the angles between the sides of the control polygon
	// below which the bend of the path is rounding.
	straight = 1e-15
)

// Length returns the arc length, m. Its error is about 1e-13 of the length of the
// control polygon, also for paths with a cusp. A path with a coordinate that is not
// finite gives NaN or +Inf.
//
// It cuts the path where the speed |B′| is least or greatest, since a cusp, or
// nearly one, is the one place where quadrature of the speed goes wrong, and halves
// the pieces until 8-point Gauss–Legendre quadrature over each agrees with that over
// its halves. A few µs, no allocation.
func (c Bezier) Length() float64 {
	poly := c.polygon()
	if poly < noLength {
		return 0
	}
	return c.measure(lengthTol*poly, nil)
}

// measure returns the length. It appends the ends of the pieces it used, with the
// length of each, to knots.
func (c *Bezier) measure(tol float64, knots *[]knot) float64 {
	const least = 1e-9 // a kink so close to the end of a piece does no harm
	k1, k2, k3 := powers(c.legs())
	cuts, n := unitRoots(&[6]float64{ // B′·B″ / 2
		r3.Dot(k1, k2),
		2*r3.Dot(k2, k2) + 3*r3.Dot(k1, k3),
		9 * r3.Dot(k2, k3),
		9 * r3.Dot(k3, k3),
	}, 3)
	var l, a float64
	for _, b := range cuts[:n] {
		if b-a > least && 1-b > least {
			l += c.halve(a, b, c.gauss(a, b), tol, lengthDepth, knots)
			a = b
		}
	}
	return l + c.halve(a, 1, c.gauss(a, 1), tol, lengthDepth, knots)
}

// halve measures the piece from a to b, whose length by one quadrature is whole.
func (c *Bezier) halve(a, b, whole, tol float64, depth int, knots *[]knot) float64 {
	m := (a + b) / 2
	left, right := c.gauss(a, m), c.gauss(m, b)
	if depth > 0 && math.Abs(left+right-whole) > tol {
		return c.halve(a, m, left, tol, depth-1, knots) + c.halve(m, b, right, tol, depth-1, knots)
	}
	if knots != nil {
		*knots = append(*knots, knot{u: m, l: left}, knot{u: b, l: right})
	}
	return left + right
}

// gauss integrates |B′| from a to b by the 8-point Gauss–Legendre rule (nodes and
// weights: Abramowitz and Stegun, table 25.4).
func (c *Bezier) gauss(a, b float64) float64 {
	const (
		x0, w0 = 0.1834346424956498049394761, 0.3626837833783619829651504
		x1, w1 = 0.5255324099163289858177390, 0.3137066458778872873379622
		x2, w2 = 0.7966664774136267395915539, 0.2223810344533744705443560
		x3, w3 = 0.9602898564975362316835609, 0.1012285362903762591525314
	)
	p, q, r := c.legs()
	speed := func(u float64) float64 {
		v := 1 - u
		e, f, g := 3*v*v, 6*v*u, 3*u*u
		x := e*p.X + f*q.X + g*r.X
		y := e*p.Y + f*q.Y + g*r.Y
		z := e*p.Z + f*q.Z + g*r.Z
		return math.Sqrt(x*x + y*y + z*z)
	}
	m, h := (a+b)/2, (b-a)/2
	return h * (w3*(speed(m-h*x3)+speed(m+h*x3)) +
		w2*(speed(m-h*x2)+speed(m+h*x2)) +
		w1*(speed(m-h*x1)+speed(m+h*x1)) +
		w0*(speed(m-h*x0)+speed(m+h*x0)))
}

// knot is a point of a path whose distance from the start is known.
type knot struct {
	u float64 // parameter, [0,1]
	l float64 // length from the start (while measuring: from the knot before), m
	r float64 // du/dl, or 0 where the path stands still, 1/m
}

// Even is a path with its parameter by arc length: equal steps of s are equal
// distances. It is built once by [NewEven] and then only read, so it may be
// shared. The zero value is a path of no length at the origin.
type Even struct {
	path   Bezier
	length float64   // m
	slow   float64   // speed |B′| below which the path counts as standing still, m
	cross  [3]r3.Vec // a×b, a×c, b×c of the sides of the control polygon, m²
	knots  []knot    // ascending; the first is the start and the last the end
}

// NewEven measures the path. Some µs; the table holds a few to some tens of knots.
func NewEven(c Bezier) Even {
	e := Even{path: c}
	poly := c.polygon()
	if !(poly >= noLength) || math.IsInf(poly, 0) {
		return e
	}
	knots := make([]knot, 1, 33)
	c.measure(lengthTol*poly, &knots)
	e.slow = poly * standstill
	p, q, r := c.legs()
	e.cross = [3]r3.Vec{r3.Cross(p, q), r3.Cross(p, r), r3.Cross(q, r)}
	if bent := straight * poly * poly; r3.Norm(e.cross[0]) <= bent &&
		r3.Norm(e.cross[1]) <= bent && r3.Norm(e.cross[2]) <= bent {
		e.cross = [3]r3.Vec{}
	}
	for i := range knots {
		k := &knots[i]
		if i > 0 {
			k.l += knots[i-1].l
		}
		d, _ := c.derivs(k.u)
		if v := r3.Norm(d); v > e.slow {
			k.r = 1 / v
		}
	}
	e.length = knots[len(knots)-1].l
	e.knots = knots
	return e
}

// Path returns the path that was measured.
func (e *Even) Path() Bezier { return e.path }

// Length returns the arc length of the path, m.
func (e *Even) Length() float64 { return e.length }

// U returns the path's parameter u at the share s of its length, and the first
// and second derivative of u by s. For s below 0 or not a number it gives 0, 0, 0
// and for s above 1 it gives 1, 0, 0. On a path of no length u is s.
//
// Where the path stands still (B′ = 0: a cusp, or a handle on its end) du/ds is
// infinite; the values a hair further along the path are given instead, which are
// finite, du/ds being at most 1e6.
//
// Accurate to 1e-12 on ordinary paths; near a cusp the length stays that
// accurate. About 0.2 µs, no allocation.
func (e *Even) U(s float64) (u, duds, d2uds2 float64) {
	switch {
	case !(s >= 0):
		return 0, 0, 0
	case s > 1:
		return 1, 0, 0
	case e.knots == nil:
		return s, 1, 0
	}
	u = e.find(s)
	_, d, dd := e.moving(u)
	v2 := r3.Norm2(d)
	duds = e.length / math.Sqrt(v2)
	return u, duds, -duds * duds * r3.Dot(d, dd) / v2
}

// At returns the point at the share s of the length, and its first and second
// derivative by s: the tangent times the length, and the curvature vector times
// the length squared. All are in m. It is total in the way of [Even.U], at the
// same cost; on a path of no length the point stands still. Where the path turns
// back in a cusp the tangent is that of one side.
func (e *Even) At(s float64) (p, dp, ddp r3.Vec) {
	switch {
	case !(s >= 0):
		return e.path.P0, dp, ddp
	case s > 1:
		return e.path.P3, dp, ddp
	case e.knots == nil:
		return e.path.point(s), dp, ddp
	}
	u := e.find(s)
	w, d, _ := e.moving(u)
	k := e.length / r3.Norm(d)
	// (B′×B″)×B′ / |B′|⁴, where B′×B″ = 18·((1−u)²·a×b + (1−u)u·a×c + u²·b×c) does
	// not cancel at a handle that lies on its end.
	v := 1 - w
	n := r3.Add(r3.Scale(18*v*v, e.cross[0]), r3.Add(r3.Scale(18*v*w, e.cross[1]), r3.Scale(18*w*w, e.cross[2])))
	dp = r3.Scale(k, d)
	ddp = r3.Scale(k/r3.Norm2(d), r3.Cross(n, dp))
	return e.path.point(u), dp, ddp
}

// find solves length(u) = s·length for s in [0,1].
func (e *Even) find(s float64) float64 {
	if s == 1 {
		return 1
	}
	want := s * e.length
	i, j := 0, len(e.knots)-1
	for j-i > 1 {
		if m := (i + j) / 2; e.knots[m].l <= want {
			i = m
		} else {
			j = m
		}
	}
	k0, k1 := &e.knots[i], &e.knots[j]
	lo, hi := k0.u, k1.u
	u := hermite(k0, k1, want)
	if !(u > lo && u < hi) {
		u = lo // exact at a knot; else Newton's first step leaves it
		if want <= k0.l {
			return u
		}
	}
	// Newton with the second-order term, kept between lo and hi by bisection.
	for range 60 {
		miss := (want - k0.l) - e.path.gauss(k0.u, u)
		if miss < 0 {
			hi = u
		} else {
			lo = u
		}
		d, dd := e.path.derivs(u)
		v2 := r3.Norm2(d)
		step := miss / math.Sqrt(v2)
		bend := step * r3.Dot(d, dd) / (2 * v2)
		if math.Abs(bend) < 0.5 {
			step -= step * bend
		}
		next := u + step
		if !(next >= lo && next <= hi) {
			next = (lo + hi) / 2
			if next == lo || next == hi {
				return next
			}
		} else if math.Abs(bend) < 1e-4 && math.Abs(step) < 1e-6*(k1.u-k0.u) {
			return next // the next correction is of the order of bend² · step
		}
		u = next
	}
	return u
}

// hermite guesses u where the length is l between two knots, by the cubic with
// their slopes.
func hermite(k0, k1 *knot, l float64) float64 {
	h := k1.l - k0.l
	x := (l - k0.l) / h
	w := k1.u - k0.u
	if k0.r == 0 || k1.r == 0 {
		return k0.u + x*w
	}
	a, b := k0.r*h-w, w-k1.r*h
	y := 1 - x
	return k0.u + x*w + x*y*(a*y+b*x)
}

// moving returns the derivatives at u, or where the path stands still there, at
// the nearest parameter w towards the middle of the path where it moves.
func (e *Even) moving(u float64) (w float64, d, dd r3.Vec) {
	d, dd = e.path.derivs(u)
	w = u
	for h := 1e-9; r3.Norm2(d) < e.slow*e.slow && h < 0.5; h *= 4 {
		w = u + h
		if u > 0.5 {
			w = u - h
		}
		d, dd = e.path.derivs(w)
	}
	return w, d, dd
}
