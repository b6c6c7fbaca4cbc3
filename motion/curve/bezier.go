// SPDX-License-Identifier: MIT

package curve

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Bezier is a cubic Bézier path: where a span goes. It starts at P0 and ends at
// P3; P1 and P2 are its handles. The zero value stays at the origin.
//
// Source: Farin, Curves and Surfaces for CAGD (Bernstein form, de Casteljau).
type Bezier struct {
	P0 r3.Vec // start, m
	P1 r3.Vec // handle of the start, a position and not an offset, m
	P2 r3.Vec // handle of the end, likewise, m
	P3 r3.Vec // end, m
}

// Line returns the straight path from a to b with its handles at thirds, where
// equal steps of u are equal distances.
func Line(a, b r3.Vec) Bezier {
	return Bezier{P0: a, P1: mix(a, b, 1./3), P2: mix(a, b, 2./3), P3: b}
}

// Check reports a coordinate that is not a finite number.
func (c Bezier) Check() error {
	for i, p := range [...]r3.Vec{c.P0, c.P1, c.P2, c.P3} {
		for j, v := range [...]float64{p.X, p.Y, p.Z} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return fmt.Errorf("curve: path point P%d: %c is %v: give a finite length", i, "xyz"[j], v)
			}
		}
	}
	return nil
}

// At returns the point at parameter u in [0,1]. The ends are exact: At(0) is P0
// and At(1) is P3, and a path whose four points coincide stays there exactly.
//
// [Timing.At] and [Even.U] only ever give a u in [0,1]; for any other u the same
// cubic simply goes on.
func (c Bezier) At(u float64) r3.Vec { return c.point(u) }

// Deriv returns dB/du at u, m.
func (c Bezier) Deriv(u float64) r3.Vec {
	d, _ := c.derivs(u)
	return d
}

// Deriv2 returns d²B/du² at u, m.
func (c Bezier) Deriv2(u float64) r3.Vec {
	_, dd := c.derivs(u)
	return dd
}

// Split cuts the path at u and returns both parts, which share the point there
// and together trace the path (de Casteljau).
func (c Bezier) Split(u float64) (a, b Bezier) {
	p01, p12, p23 := mix(c.P0, c.P1, u), mix(c.P1, c.P2, u), mix(c.P2, c.P3, u)
	p012, p123 := mix(p01, p12, u), mix(p12, p23, u)
	p := mix(p012, p123, u)
	return Bezier{c.P0, p01, p012, p}, Bezier{p, p123, p23, c.P3}
}

// Reverse returns the same path from its end to its start.
func (c Bezier) Reverse() Bezier { return Bezier{c.P3, c.P2, c.P1, c.P0} }

// Bounds returns the corners of the smallest box along the axes that holds the
// path (not its handles). The extremes are taken at the roots of the derivative.
func (c Bezier) Bounds() (least, most r3.Vec) {
	a, b, d := c.legs()
	least.X, most.X = extent(c.P0.X, c.P3.X, a.X, b.X, d.X)
	least.Y, most.Y = extent(c.P0.Y, c.P3.Y, a.Y, b.Y, d.Y)
	least.Z, most.Z = extent(c.P0.Z, c.P3.Z, a.Z, b.Z, d.Z)
	return least, most
}

// extent bounds one coordinate from its ends and its differences a, b, c.
func extent(p0, p3, a, b, c float64) (lo, hi float64) {
	lo, hi = math.Min(p0, p3), math.Max(p0, p3)
	// A third of the derivative is (a−2b+c)u² + 2(b−a)u + a, and the quarter
	// discriminant (b−a)² − a(a−2b+c) is b² − ac, without its cancellation.
	u0, u1 := quadraticRoots(a-2*b+c, b-a, a, b*b-a*c)
	for _, u := range [...]float64{u0, u1} {
		if u > 0 && u < 1 {
			v := blend(p0, p3, a, b, c, u)
			lo, hi = math.Min(lo, v), math.Max(hi, v)
		}
	}
	return lo, hi
}

// quadraticRoots solves a·u² + 2h·u + c = 0 with disc = h² − ac. A root that
// does not exist is NaN or infinite.
func quadraticRoots(a, h, c, disc float64) (u0, u1 float64) {
	q := -(h + math.Copysign(math.Sqrt(disc), h))
	return q / a, c / q
}

// legs returns the sides of the control polygon.
func (c *Bezier) legs() (a, b, d r3.Vec) {
	return r3.Sub(c.P1, c.P0), r3.Sub(c.P2, c.P1), r3.Sub(c.P3, c.P2)
}

// polygon returns the length of the control polygon, which bounds that of the path.
func (c *Bezier) polygon() float64 {
	a, b, d := c.legs()
	return r3.Norm(a) + r3.Norm(b) + r3.Norm(d)
}

func (c *Bezier) point(u float64) r3.Vec {
	a, b, d := c.legs()
	return r3.Vec{
		X: blend(c.P0.X, c.P3.X, a.X, b.X, d.X, u),
		Y: blend(c.P0.Y, c.P3.Y, a.Y, b.Y, d.Y, u),
		Z: blend(c.P0.Z, c.P3.Z, a.Z, b.Z, d.Z, u),
	}
}

// blend evaluates one coordinate from its ends and its differences a, b, c. It
// starts from the nearer end, so that both ends, and a standing foot, are exact.
func blend(p0, p3, a, b, c, u float64) float64 {
	v := 1 - u
	if u <= 0.5 {
		w3 := u * u * u
		w2 := 3*u*u*v + w3
		w1 := 3*u*v*v + w2
		return p0 + (w1*a + w2*b + w3*c)
	}
	w0 := v * v * v
	w1 := 3*v*v*u + w0
	w2 := 3*v*u*u + w1
	return p3 - (w2*c + w1*b + w0*a)
}

func (c *Bezier) derivs(u float64) (d, dd r3.Vec) {
	p, q, r := c.legs()
	v := 1 - u
	w0, w1, w2 := 3*v*v, 6*v*u, 3*u*u
	d = r3.Vec{
		X: w0*p.X + w1*q.X + w2*r.X,
		Y: w0*p.Y + w1*q.Y + w2*r.Y,
		Z: w0*p.Z + w1*q.Z + w2*r.Z,
	}
	v6, u6 := 6*v, 6*u
	dd = r3.Vec{
		X: v6*(q.X-p.X) + u6*(r.X-q.X),
		Y: v6*(q.Y-p.Y) + u6*(r.Y-q.Y),
		Z: v6*(q.Z-p.Z) + u6*(r.Z-q.Z),
	}
	return d, dd
}

// mix returns the point at share u from a to b, exact at both ends.
func mix(a, b r3.Vec, u float64) r3.Vec {
	d := r3.Sub(b, a)
	if u < 0.5 {
		return r3.Add(a, r3.Scale(u, d))
	}
	return r3.Sub(b, r3.Scale(1-u, d))
}
