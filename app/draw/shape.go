// SPDX-License-Identifier: MIT

package draw

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Polygon adds the filled simple polygon through pts, cut to the view. Either
// orientation may be given. With a non-finite point nothing is drawn.
func (b *Batch) Polygon(pts ...r2.Vec) { b.fill(pts, false) }

// Hole takes the polygon through pts out of the shapes that it lies in. It must
// lie inside exactly one of the batch's shapes, as in a ring.
func (b *Batch) Hole(pts ...r2.Vec) { b.fill(pts, true) }

func (b *Batch) fill(pts []r2.Vec, hole bool) {
	if len(pts) < 3 {
		return
	}
	inside := true
	for _, p := range pts {
		if !finite(p) {
			return
		}
		inside = inside && p.X >= b.min.X && p.X <= b.max.X && p.Y >= b.min.Y && p.Y <= b.max.Y
	}
	if !inside {
		b.poly = append(b.poly[:0], pts...)
		b.poly, b.swap = clipPolygon(b.poly, b.swap, b.min, b.max)
		if len(b.poly) >= 3 {
			b.contour(b.poly, hole)
		}
		return
	}
	b.contour(pts, hole)
}

// contour adds a closed contour that lies in the view.
func (b *Batch) contour(pts []r2.Vec, hole bool) {
	// The same orientation as the quads of lines (see Batch.quad), where the
	// shoelace sum is negative; the opposite takes away.
	if area := area2(pts); (area > 0) == hole {
		for _, p := range pts {
			b.pts = append(b.pts, pt(p))
		}
	} else {
		for i := len(pts) - 1; i >= 0; i-- {
			b.pts = append(b.pts, pt(pts[i]))
		}
	}
	b.ends = append(b.ends, len(b.pts))
}

// area2 is twice the signed area of the polygon (shoelace formula).
func area2(pts []r2.Vec) float64 {
	s := 0.0
	for i, p := range pts {
		s += r2.Cross(p, pts[(i+1)%len(pts)])
	}
	return s
}

// sides returns how many sides a polygon needs to stay within 0.06 px of a
// circle of radius r, px.
func sides(r float64) int {
	const err = 0.06
	if r <= 4*err {
		return 8
	}
	return min(max(int(math.Ceil(math.Pi/math.Acos(1-err/r))), 8), 96)
}

// arc appends points on the circle from angle a to b, both ends included.
func arc(dst []r2.Vec, c r2.Vec, r, a, b float64, n int) []r2.Vec {
	for i := 0; i <= n; i++ {
		s, k := math.Sincos(a + (b-a)*float64(i)/float64(n))
		dst = append(dst, r2.Vec{X: c.X + r*k, Y: c.Y + r*s})
	}
	return dst
}

// Disc adds a filled circle with centre c and radius r, px.
func (b *Batch) Disc(c r2.Vec, r float64) {
	if b.misses(c, r) {
		return
	}
	var buf [97]r2.Vec
	n := sides(r)
	p := arc(buf[:0], c, r, 0, 2*math.Pi, n)
	b.Polygon(p[:n]...)
}

// Ring adds a circle line with centre c, mean radius r and line width w, px.
func (b *Batch) Ring(c r2.Vec, r, w float64) {
	if w >= 2*r {
		b.Disc(c, r+w/2)
		return
	}
	if b.misses(c, r+w/2) {
		return
	}
	b.Disc(c, r+w/2)
	var buf [97]r2.Vec
	n := sides(r)
	p := arc(buf[:0], c, r-w/2, 0, 2*math.Pi, n)
	b.Hole(p[:n]...)
}

// Square adds a filled upright square with centre c and half side r, px.
func (b *Batch) Square(c r2.Vec, r float64) {
	if b.misses(c, r) {
		return
	}
	b.Polygon(r2.Vec{X: c.X - r, Y: c.Y - r}, r2.Vec{X: c.X + r, Y: c.Y - r}, r2.Vec{X: c.X + r, Y: c.Y + r}, r2.Vec{X: c.X - r, Y: c.Y + r})
}

// Diamond adds a filled square on its corner with centre c and half diagonal
// r, px.
func (b *Batch) Diamond(c r2.Vec, r float64) {
	if b.misses(c, r) {
		return
	}
	b.Polygon(r2.Vec{X: c.X, Y: c.Y - r}, r2.Vec{X: c.X + r, Y: c.Y}, r2.Vec{X: c.X, Y: c.Y + r}, r2.Vec{X: c.X - r, Y: c.Y})
}

// Triangle adds a filled triangle in the circle with centre c and radius r,
// px; its first corner lies at angle dir, rad, from the x axis towards y (so
// -π/2 points up).
func (b *Batch) Triangle(c r2.Vec, r, dir float64) {
	if b.misses(c, r) {
		return
	}
	var p [3]r2.Vec
	for i := range p {
		s, k := math.Sincos(dir + float64(i)*2*math.Pi/3)
		p[i] = r2.Vec{X: c.X + r*k, Y: c.Y + r*s}
	}
	b.Polygon(p[:]...)
}

// Cross adds two slanted bars of width w in the square with centre c and half
// side r, px.
func (b *Batch) Cross(c r2.Vec, r, w float64) {
	if b.misses(c, r+w) {
		return
	}
	l := Line{Width: w}
	b.Segment(r2.Vec{X: c.X - r, Y: c.Y - r}, r2.Vec{X: c.X + r, Y: c.Y + r}, l)
	b.Segment(r2.Vec{X: c.X + r, Y: c.Y - r}, r2.Vec{X: c.X - r, Y: c.Y + r}, l)
}

// Plus adds two upright bars of width w and half length r with centre c, px.
func (b *Batch) Plus(c r2.Vec, r, w float64) {
	if b.misses(c, r+w) {
		return
	}
	l := Line{Width: w}
	b.Segment(r2.Vec{X: c.X - r, Y: c.Y}, r2.Vec{X: c.X + r, Y: c.Y}, l)
	b.Segment(r2.Vec{X: c.X, Y: c.Y - r}, r2.Vec{X: c.X, Y: c.Y + r}, l)
}

// Taper adds a bar from p to q with round ends of diameter wp and wq, px: the
// hull of two discs.
func (b *Batch) Taper(p, q r2.Vec, wp, wq float64) {
	d := r2.Sub(q, p)
	n := math.Hypot(d.X, d.Y)
	rp, rq := wp/2, wq/2
	if !finite(p) || !finite(q) || !(rp >= 0) || !(rq >= 0) {
		return
	}
	if n <= math.Abs(rp-rq) || n < 1e-6 {
		if rp >= rq {
			b.Disc(p, rp)
		} else {
			b.Disc(q, rq)
		}
		return
	}
	if a, z, ok := Clip(p, q, r2.Sub(b.min, r2.Vec{X: rp + rq, Y: rp + rq}), r2.Add(b.max, r2.Vec{X: rp + rq, Y: rp + rq})); !ok {
		return
	} else if n > 1e5 { // keep the corners of the polygon exact
		p, q = a, z
	}
	dir := math.Atan2(d.Y, d.X)
	open := math.Acos((rp - rq) / n) // angle between the axis and the touching radius
	var buf [200]r2.Vec
	half := func(r, share float64) int { return max(int(float64(sides(r))*share/math.Pi)+1, 3) }
	pts := arc(buf[:0], q, rq, dir-open, dir+open, half(rq, open))
	pts = arc(pts, p, rp, dir+open, dir+2*math.Pi-open, half(rp, math.Pi-open))
	b.Polygon(pts...)
}

// Arrow adds a filled arrow head with its point at tip, of the given length
// and half as wide, coming from the direction of from, px.
func (b *Batch) Arrow(from, tip r2.Vec, length float64) {
	d := r2.Sub(tip, from)
	n := math.Hypot(d.X, d.Y)
	if !(n > 0) || math.IsInf(n, 0) || b.misses(tip, length) {
		return
	}
	u := r2.Scale(length/n, d)
	side := r2.Vec{X: -u.Y * 0.36, Y: u.X * 0.36}
	base := r2.Sub(tip, u)
	b.Polygon(tip, r2.Add(base, side), r2.Sub(base, side))
}

// misses reports whether a shape of radius r about c cannot touch the view.
func (b *Batch) misses(c r2.Vec, r float64) bool {
	return !(r > 0) || math.IsInf(r, 0) || !finite(c) ||
		c.X+r < b.min.X || c.X-r > b.max.X || c.Y+r < b.min.Y || c.Y-r > b.max.Y
}
