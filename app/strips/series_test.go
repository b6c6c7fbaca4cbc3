// SPDX-License-Identifier: MIT

package strips

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"
)

// values draws a line with gaps.
func values(t *rapid.T) series {
	n := rapid.IntRange(0, 200).Draw(t, "samples")
	s := series{data: make([]float64, 2*n), stride: 2, offset: 1, scale: 10}
	v := rapid.Float64Range(-5, 5)
	for k := range n {
		s.data[2*k] = math.NaN() // another line's
		s.data[2*k+1] = v.Draw(t, "value")
		switch rapid.IntRange(0, 12).Draw(t, "kind") {
		case 0:
			s.data[2*k+1] = math.NaN()
		case 1:
			s.data[2*k+1] = math.Inf(-1)
		case 2:
			s.data[2*k+1] = math.Inf(1)
		}
	}
	return s
}

// What is drawn in a column of pixels reaches as far up and down as all the
// samples in it, begins with the first and ends with the last, and a line is
// broken wherever a number is missing, and nowhere else.
func TestTraceAgainstAllSamples(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := values(t)
		n := len(s.data) / 2
		m := mapping{x0: 7, perSample: rapid.SampledFrom([]float64{0.03, 0.3, 1, 4}).Draw(t, "px a sample"), y0: 20, perUnit: -1, to: n - 1}
		got := s.trace(m, nil)

		// Runs of samples between missing ones, one after the other.
		i := 0
		for k := 0; k < n; {
			if v := s.at(k); v != v {
				k++
				continue
			}
			end := k
			for end < n && s.at(end) == s.at(end) {
				end++
			}
			var run []r2.Vec
			for i < len(got) && got[i].X == got[i].X {
				run = append(run, got[i])
				i++
			}
			for i < len(got) && got[i].X != got[i].X {
				i++
			}
			same(t, run, &s, m, k, end)
			k = end
		}
		if i != len(got) {
			t.Fatalf("%d points too many", len(got)-i)
		}
	})
}

// same fails unless the points stand for samples from k up to end.
func same(t *rapid.T, run []r2.Vec, s *series, m mapping, k, end int) {
	type reach struct{ lo, hi, first, last float64 }
	columns := func(pts []r2.Vec) map[int]reach {
		out := map[int]reach{}
		for _, p := range pts {
			c := int(math.Floor(p.X))
			r, ok := out[c]
			if !ok {
				r = reach{p.Y, p.Y, p.Y, p.Y}
			}
			out[c] = reach{min(r.lo, p.Y), max(r.hi, p.Y), r.first, p.Y}
		}
		return out
	}
	var all []r2.Vec
	for ; k < end; k++ {
		all = append(all, r2.Vec{X: m.x(k), Y: m.y(s.at(k))})
	}
	got, want := columns(run), columns(all)
	if len(run) > 4*len(want) {
		t.Fatalf("%d points in %d columns", len(run), len(want))
	}
	if len(got) != len(want) {
		t.Fatalf("%d columns, want %d", len(got), len(want))
	}
	for c, w := range want {
		if got[c] != w {
			t.Fatalf("column %d: %v, want %v", c, got[c], w)
		}
	}
}

// No point that is left out lies farther than the tolerance from the line.
func TestThin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := values(t)
		m := mapping{perSample: 1.5, perUnit: rapid.SampledFrom([]float64{0.01, 0.1, 1}).Draw(t, "px"), to: len(s.data)/2 - 1}
		all := s.trace(m, nil)
		const tol = 0.3
		got := thin(append([]r2.Vec(nil), all...), tol)
		j := 0 // got[j] and got[j+1] are the ends of the piece for all[i]
		for _, p := range all {
			if j+1 < len(got) && (p == got[j+1] || p.X != p.X && got[j+1].X != got[j+1].X) {
				j++
				continue
			}
			if p == got[j] || p.X != p.X && got[j].X != got[j].X {
				continue
			}
			if j+1 >= len(got) || off(p, got[j], got[j+1]) > tol*tol+1e-9 {
				t.Fatalf("%v is off the line", p)
			}
		}
	})
}
