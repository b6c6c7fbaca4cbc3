// SPDX-License-Identifier: MIT

// Package support says whether a robot stands: the polygon spanned by its
// planted feet and the static stability margin.
//
// Gravity points along -z of the world, so on tilted ground too the feet and
// the centre of mass are projected straight down onto the horizontal plane;
// callers pass world x and y.
package support

import (
	"math"

	"gaitwright/kin"
)

// Point is a point of the horizontal plane.
type Point struct {
	X, Y float64 // world, m
}

// Polygon is the convex hull of up to kin.MaxLegs planted feet,
// counter-clockwise, starting from the lowest x. One or two points when the
// feet coincide or lie on a line (then the ends of the line). The zero value
// has no points.
type Polygon struct {
	V [kin.MaxLegs]Point
	N int
}

// Hull spans feet (at most kin.MaxLegs of them, more panic). Points within
// 1e-12 m of a line of others count as on it. No allocation; Andrew's
// monotone chain (Information Processing Letters 9, 1979; from memory).
func Hull(feet []Point) Polygon {
	if len(feet) > kin.MaxLegs {
		panic("support: too many feet")
	}
	var p [kin.MaxLegs]Point
	n := copy(p[:], feet)
	// Insertion sort: a dozen points at the most.
	for i := 1; i < n; i++ {
		for j := i; j > 0 && less(p[j], p[j-1]); j-- {
			p[j], p[j-1] = p[j-1], p[j]
		}
	}
	k := 0
	for i := range n {
		if k == 0 || p[i] != p[k-1] {
			p[k] = p[i]
			k++
		}
	}
	n = k
	var hull Polygon
	if n < 3 {
		copy(hull.V[:], p[:n])
		hull.N = n
		return hull
	}
	var h [2*kin.MaxLegs + 1]Point
	k = 0
	for i := 0; i < n; i++ {
		for k >= 2 && !left(h[k-2], h[k-1], p[i]) {
			k--
		}
		h[k] = p[i]
		k++
	}
	lower := k + 1
	for i := n - 2; i >= 0; i-- {
		for k >= lower && !left(h[k-2], h[k-1], p[i]) {
			k--
		}
		h[k] = p[i]
		k++
	}
	hull.N = copy(hull.V[:], h[:k-1])
	return hull
}

func less(a, b Point) bool { return a.X < b.X || (a.X == b.X && a.Y < b.Y) }

// left tells whether a, b, c turn left at b, by more than rounding where b
// lies between the two (a b that sticks out is a corner however flat).
func left(a, b, c Point) bool {
	ux, uy := b.X-a.X, b.Y-a.Y
	cross := ux*(c.Y-a.Y) - uy*(c.X-a.X)
	return cross > 0 && (cross*cross > 1e-24*(ux*ux+uy*uy) || ux*(c.X-b.X)+uy*(c.Y-b.Y) < 0)
}

// Margin is the static stability margin of a centre of mass above c: the
// distance to the nearest edge of the polygon, positive inside, negative
// outside, where beside a corner it is the distance to the corner (McGhee and
// Frank, Mathematical Biosciences 3, 1968; definition from memory). With one
// or two points, or feet in a line, nothing is inside: minus the distance to
// the point or the line, 0 on it. With no feet -Inf. m.
func (p *Polygon) Margin(c Point) float64 {
	if p.N == 0 {
		return math.Inf(-1)
	}
	if p.N == 1 {
		return -math.Hypot(c.X-p.V[0].X, c.Y-p.V[0].Y)
	}
	inside := p.N > 2
	edge2 := math.Inf(1)
	for i := range p.N {
		a, b := p.V[i], p.V[0]
		if i+1 < p.N {
			b = p.V[i+1]
		}
		ux, uy := b.X-a.X, b.Y-a.Y
		wx, wy := c.X-a.X, c.Y-a.Y
		if ux*wy-uy*wx < 0 {
			inside = false
		}
		t := 0.0
		if n := ux*ux + uy*uy; n > 0 {
			t = max(0, min(1, (ux*wx+uy*wy)/n))
		}
		dx, dy := wx-t*ux, wy-t*uy
		edge2 = min(edge2, dx*dx+dy*dy)
	}
	m := math.Sqrt(edge2)
	if !inside {
		return -m
	}
	return m
}

// Nearest gives the point of the polygon's boundary that is nearest to c: the
// one that Margin measures to. False for a polygon without points.
func (p *Polygon) Nearest(c Point) (Point, bool) {
	if p.N == 0 {
		return Point{}, false
	}
	best, least := p.V[0], math.Inf(1)
	for i := range p.N {
		a, b := p.V[i], p.V[(i+1)%p.N]
		ux, uy := b.X-a.X, b.Y-a.Y
		t := 0.0
		if n := ux*ux + uy*uy; n > 0 {
			t = max(0, min(1, (ux*(c.X-a.X)+uy*(c.Y-a.Y))/n))
		}
		q := Point{a.X + t*ux, a.Y + t*uy}
		if d := (q.X-c.X)*(q.X-c.X) + (q.Y-c.Y)*(q.Y-c.Y); d < least {
			best, least = q, d
		}
	}
	return best, true
}
