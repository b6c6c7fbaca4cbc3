// SPDX-License-Identifier: MIT

package strips

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// series is one line of a strip: every stride-th number of an array from
// offset on, times scale.
type series struct {
	name           string
	data           []float64
	stride, offset int
	scale          float64
	limit          float64 // in the strip's unit, NaN for none
}

// at gives the value of sample k, NaN where there is none.
func (s *series) at(k int) float64 {
	v := s.data[k*s.stride+s.offset] * s.scale
	if math.IsInf(v, -1) { // the margin of no foot at all
		return math.NaN()
	}
	return v
}

// mapping takes samples to pixels.
type mapping struct {
	x0, perSample float64 // px of sample 0, px
	y0, perUnit   float64 // px of zero, px (negative: upwards)
	from, to      int     // first and last sample to draw
}

// far stands for a value without bound, px.
const far = 1e6

func (m *mapping) x(k int) float64 { return m.x0 + float64(k)*m.perSample }

func (m *mapping) y(v float64) float64 {
	return max(-far, min(m.y0+v*m.perUnit, far)) // NaN stays
}

// trace appends the points of a line. Of the samples in a column of pixels it
// keeps the first, the least, the greatest and the last, in order of time, so
// that the drawing covers the same pixels as all of them would. Where values
// are missing it puts one point that is not finite, which breaks the line.
// Cost: one pass over the samples.
func (s *series) trace(m mapping, out []r2.Vec) []r2.Vec {
	nan := r2.Vec{X: math.NaN(), Y: math.NaN()}
	var first, low, high, last int // of the column at hand
	column, any := 0, false
	flush := func() {
		if !any {
			return
		}
		a, b := min(low, high), max(low, high)
		prev := -1
		for _, k := range [4]int{first, a, b, last} {
			if k != prev {
				out = append(out, r2.Vec{X: m.x(k), Y: m.y(s.at(k))})
				prev = k
			}
		}
		any = false
	}
	for k := m.from; k <= m.to; k++ {
		v := s.at(k)
		if v != v {
			flush()
			if n := len(out); n > 0 && out[n-1].X == out[n-1].X {
				out = append(out, nan)
			}
			continue
		}
		c := int(math.Floor(m.x(k)))
		if any && c != column {
			flush()
		}
		if !any {
			first, low, high, column, any = k, k, k, c, true
		}
		if v < s.at(low) {
			low = k
		}
		if v > s.at(high) {
			high = k
		}
		last = k
	}
	flush()
	return out
}

// thin leaves out points that lie within tol (px) of the line through those
// that stay. A chain ends where a point is not finite. It works in place, on
// pieces short enough that the cost stays in proportion to the points.
// Source: Douglas and Peucker, The Canadian Cartographer 10, 1973.
func thin(pts []r2.Vec, tol float64) []r2.Vec {
	keep := make([]bool, len(pts))
	var stack [][2]int
	for from := 0; from < len(pts); {
		if pts[from].X != pts[from].X {
			keep[from] = true
			from++
			continue
		}
		to := from
		for to+1 < len(pts) && to < from+piece && pts[to+1].X == pts[to+1].X {
			to++
		}
		keep[from], keep[to] = true, true
		stack = append(stack[:0], [2]int{from, to})
		for len(stack) > 0 {
			s := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			worst, at := tol*tol, -1
			for i := s[0] + 1; i < s[1]; i++ {
				if d := off(pts[i], pts[s[0]], pts[s[1]]); d > worst {
					worst, at = d, i
				}
			}
			if at >= 0 {
				keep[at] = true
				stack = append(stack, [2]int{s[0], at}, [2]int{at, s[1]})
			}
		}
		if to-from == piece { // the next piece begins where this one ends
			from = to
			continue
		}
		from = to + 1
	}
	out := pts[:0]
	for i, k := range keep {
		if k {
			out = append(out, pts[i])
		}
	}
	return out
}

// piece is how many points thin looks at together.
const piece = 64

// off is the square of the distance of p from the segment a-b.
func off(p, a, b r2.Vec) float64 {
	d := r2.Sub(b, a)
	n := r2.Norm2(d)
	u := 0.0
	if n > 0 {
		u = max(0, min(r2.Dot(r2.Sub(p, a), d)/n, 1))
	}
	return r2.Norm2(r2.Sub(p, r2.Add(a, r2.Scale(u, d))))
}
