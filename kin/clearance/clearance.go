// SPDX-License-Identifier: MIT

// Package clearance says how far parts of the robot are from each other.
// Links are capsules: a segment with a radius.
package clearance

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Capsule is every point within R of the segment A-B.
type Capsule struct {
	A, B r3.Vec  // m
	R    float64 // m
}

// Between gives the distance between two capsules, negative where they
// overlap (then less the deeper they do, down to minus the sum of radii), m.
func Between(p, q *Capsule) float64 {
	return Segments(p.A, p.B, q.A, q.B) - p.R - q.R
}

// Segments gives the distance between the segments a-b and c-d, m. Points
// (segments of no length) and parallel segments are allowed. No allocation.
// Method: clamped closest points of two lines (Ericson, Real-Time Collision
// Detection, 2005, section 5.1.9; from memory).
func Segments(a, b, c, d r3.Vec) float64 {
	const tiny = 1e-24
	u, v, w := r3.Sub(b, a), r3.Sub(d, c), r3.Sub(a, c)
	uu, vv := r3.Dot(u, u), r3.Dot(v, v)
	vw := r3.Dot(v, w)
	var s, t float64
	switch {
	case uu <= tiny && vv <= tiny:
	case uu <= tiny:
		t = unit(vw / vv)
	default:
		uw := r3.Dot(u, w)
		if vv <= tiny {
			s = unit(-uw / uu)
			break
		}
		uv := r3.Dot(u, v)
		// By cross products: uu·vv-uv² would lose the angle of nearly
		// parallel segments.
		n := r3.Cross(u, v)
		if nn := r3.Dot(n, n); nn > 1e-30*uu*vv {
			s = unit(-r3.Dot(r3.Cross(w, v), n) / nn)
		}
		t = (uv*s + vw) / vv
		if t < 0 {
			t, s = 0, unit(-uw/uu)
		} else if t > 1 {
			t, s = 1, unit((uv-uw)/uu)
		}
	}
	e := r3.Add(w, r3.Sub(r3.Scale(s, u), r3.Scale(t, v)))
	return math.Sqrt(r3.Dot(e, e))
}

func unit(x float64) float64 { return max(0, min(1, x)) }

// Box is an upright box of the body: a convex outline seen from above,
// counter-clockwise, between two heights, all in B.
type Box struct {
	Outline     []r3.Vec // z unused, m
	Bottom, Top float64  // m
}

// Point gives the distance of p (in B, m) from the box, negative inside
// (minus the way to the nearest face).
func (x *Box) Point(p r3.Vec) float64 {
	// Signed distance to the outline in the plane.
	in, d2 := len(x.Outline) > 2, math.Inf(1)
	for i, a := range x.Outline {
		b := x.Outline[(i+1)%len(x.Outline)]
		ux, uy, wx, wy := b.X-a.X, b.Y-a.Y, p.X-a.X, p.Y-a.Y
		if ux*wy-uy*wx < 0 {
			in = false
		}
		t := 0.0
		if n := ux*ux + uy*uy; n > 0 {
			t = unit((ux*wx + uy*wy) / n)
		}
		dx, dy := wx-t*ux, wy-t*uy
		d2 = min(d2, dx*dx+dy*dy)
	}
	h := math.Sqrt(d2)
	if in {
		h = -h
	}
	v := max(x.Bottom-p.Z, p.Z-x.Top)
	if h <= 0 && v <= 0 {
		return max(h, v)
	}
	return math.Hypot(max(h, 0), max(v, 0))
}

// Segment gives the least distance of the segment a-b (in B, m) from the box.
// The distance to a convex body is a convex function along a line, so a
// golden-section search finds it; 40 halvings, to about 1e-8 of the length.
func (x *Box) Segment(a, b r3.Vec) float64 {
	const g = 0.6180339887498949
	at := func(s float64) float64 { return x.Point(r3.Add(a, r3.Scale(s, r3.Sub(b, a)))) }
	lo, hi := 0.0, 1.0
	s, t := hi-g*(hi-lo), lo+g*(hi-lo)
	fs, ft := at(s), at(t)
	for range 40 {
		if fs < ft {
			hi, t, ft = t, s, fs
			s = hi - g*(hi-lo)
			fs = at(s)
		} else {
			lo, s, fs = s, t, ft
			t = lo + g*(hi-lo)
			ft = at(t)
		}
	}
	return min(fs, ft, at(0), at(1))
}
