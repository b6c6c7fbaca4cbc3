// SPDX-License-Identifier: MIT

package curve

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Nearest returns the parameter of the point of the path nearest to p, and its
// distance in m. Of several equally near points it gives the one with the least u.
//
// It solves the quintic (B(u)−p)·B′(u) = 0 for all its roots in [0,1] by
// separating them at the roots of its derivatives, so it does not stop at a
// nearest point of one part of the path. About 1 µs, no allocation.
func (c Bezier) Nearest(p r3.Vec) (u, dist float64) {
	a, b, d := c.legs()
	q := r3.Sub(c.P0, p)
	k1, k2, k3 := powers(a, b, d)
	poly := [6]float64{
		r3.Dot(q, k1),
		r3.Dot(k1, k1) + 2*r3.Dot(q, k2),
		3*r3.Dot(k1, k2) + 3*r3.Dot(q, k3),
		2*r3.Dot(k2, k2) + 4*r3.Dot(k1, k3),
		5 * r3.Dot(k2, k3),
		3 * r3.Dot(k3, k3),
	}
	u, dist = 0, r3.Norm(q)
	try := func(v float64) {
		if l := r3.Norm(r3.Sub(c.point(v), p)); l < dist {
			u, dist = v, l
		}
	}
	roots, n := unitRoots(&poly, 5)
	for _, v := range roots[:n] {
		try(v)
	}
	try(1)
	return u, dist
}

// powers returns the coefficients of u, u² and u³ of a path with these sides of
// its control polygon.
func powers(a, b, c r3.Vec) (k1, k2, k3 r3.Vec) {
	return r3.Scale(3, a), r3.Scale(3, r3.Sub(b, a)), r3.Add(r3.Sub(a, r3.Scale(2, b)), c)
}

// unitRoots returns the real roots in [0,1], in ascending order, of a polynomial
// of the given order up to 5, p[i] being the coefficient of the i-th power. Between neighbouring roots of its
// derivative a polynomial is monotone, so each such interval holds at most one.
// Roots of even order may be missing or listed twice.
func unitRoots(p *[6]float64, order int) (roots [12]float64, n int) {
	var stops [14]float64
	for degree := 1; degree <= order; degree++ {
		// The derivative that has this degree.
		times := order - degree
		var f [6]float64
		for i := 0; i <= degree; i++ {
			f[i] = p[i+times]
			for k := i + 1; k <= i+times; k++ {
				f[i] *= float64(k)
			}
		}
		m := 1
		stops[0] = 0
		m += copy(stops[m:], roots[:n])
		stops[m] = 1
		n = 0
		for i := 0; i < m; i++ {
			lo, hi := stops[i], stops[i+1]
			fLo, fHi := horner(&f, lo), horner(&f, hi)
			switch {
			case fLo == 0:
				roots[n] = lo
				n++
			case fLo < 0 && fHi > 0 || fLo > 0 && fHi < 0:
				roots[n] = bisect(&f, lo, hi, fLo)
				n++
			}
		}
		if horner(&f, 1) == 0 {
			roots[n] = 1
			n++
		}
	}
	return roots, n
}

func horner(f *[6]float64, u float64) float64 {
	return ((((f[5]*u+f[4])*u+f[3])*u+f[2])*u+f[1])*u + f[0]
}

// bisect finds the root of f between lo and hi, where f has the sign of fLo at lo
// and the other at hi. Newton's step is taken while it stays between them.
func bisect(f *[6]float64, lo, hi, fLo float64) float64 {
	u := (lo + hi) / 2
	for range 100 {
		v := horner(f, u)
		if v == 0 {
			return u
		}
		if (v < 0) == (fLo < 0) {
			lo = u
		} else {
			hi = u
		}
		slope := (((5*f[5]*u+4*f[4])*u+3*f[3])*u+2*f[2])*u + f[1]
		next := u - v/slope
		if !(next > lo && next < hi) {
			next = (lo + hi) / 2
		}
		if math.Abs(next-u) <= 1e-16 {
			return next
		}
		u = next
	}
	return u
}
