// SPDX-License-Identifier: MIT

package draw

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Clip cuts the segment p-q to the box lo-hi and reports whether anything is
// left. It works in float64: in float32 a segment that leaves the box by
// 1e9 px collapses to a point. Source: Liang and Barsky, 1984.
func Clip(p, q, lo, hi r2.Vec) (r2.Vec, r2.Vec, bool) {
	if !finite(p) || !finite(q) {
		return p, q, false
	}
	t0, t1, ok := clipRange(p, q, lo, hi)
	if !ok {
		return p, q, false
	}
	return along(p, q, t0), along(p, q, t1), true
}

// clipRange gives the part of the finite segment p-q inside the box as a range
// of its parameter in [0,1].
func clipRange(p, q, lo, hi r2.Vec) (t0, t1 float64, ok bool) {
	dx, dy := q.X-p.X, q.Y-p.Y
	t1 = 1
	for _, e := range [4][2]float64{
		{-dx, p.X - lo.X}, {dx, hi.X - p.X},
		{-dy, p.Y - lo.Y}, {dy, hi.Y - p.Y},
	} {
		switch d, room := e[0], e[1]; {
		case d == 0:
			if room < 0 {
				return 0, 0, false
			}
		case d < 0:
			t0 = math.Max(t0, room/d)
		default:
			t1 = math.Min(t1, room/d)
		}
		if t0 > t1 {
			return 0, 0, false
		}
	}
	return t0, t1, true
}

// clipPolygon cuts the polygon in to the box lo-hi. The result and the scratch
// share the two given buffers. Source: Sutherland and Hodgman, 1974.
func clipPolygon(in, scratch []r2.Vec, lo, hi r2.Vec) (out, spare []r2.Vec) {
	out, spare = in, scratch
	inside := [4]func(r2.Vec) float64{ // distance inside each side, px
		func(p r2.Vec) float64 { return p.X - lo.X },
		func(p r2.Vec) float64 { return hi.X - p.X },
		func(p r2.Vec) float64 { return p.Y - lo.Y },
		func(p r2.Vec) float64 { return hi.Y - p.Y },
	}
	for _, side := range inside {
		src := out
		dst := spare[:0]
		for i, p := range src {
			q := src[(i+1)%len(src)]
			dp, dq := side(p), side(q)
			if dp >= 0 {
				dst = append(dst, p)
			}
			if (dp >= 0) != (dq >= 0) {
				dst = append(dst, along(p, q, dp/(dp-dq)))
			}
		}
		out, spare = dst, src
	}
	return out, spare
}
