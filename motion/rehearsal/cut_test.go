// SPDX-License-Identifier: MIT

package rehearsal_test

import (
	"math"
	"slices"
	"testing"

	"gaitwright/assets"
	"gaitwright/motion"
	"gaitwright/motion/sequence"
	"gaitwright/motion/workfile"
)

// A part of a plan moves as the whole does.
func TestCut(t *testing.T) {
	for _, demo := range [][]byte{assets.Demo, assets.Walker} {
		f, err := workfile.Read("demo", demo)
		if err != nil {
			t.Fatal(err)
		}
		b, err := f.Build()
		if err != nil {
			t.Fatal(err)
		}
		p, err := sequence.Plan(&b.Script)
		if err != nil {
			t.Fatal(err)
		}
		const rate = 50
		s := motion.NewSampler(&b.Robot)
		whole, err := s.Sample(p, rate, nil)
		if err != nil {
			t.Fatal(err)
		}
		for first := 3; first < whole.N-2*rate; first += 17 {
			from := whole.Time(first)
			to := from + 1.69 // between samples: at a seam the cut knows but one side
			part, err := s.Sample(p.Cut(from, to), rate, nil)
			if err != nil {
				t.Fatal(err)
			}
			near := func(what string, a, b []float64, most float64) {
				for k := range a {
					if !(math.Abs(a[k]-b[k]) <= most) && !(a[k] != a[k] && b[k] != b[k]) {
						t.Fatalf("cut at %v s: %s %d: %v, of the whole %v", from, what, k, a[k], b[k])
					}
				}
			}
			w := part.Legs * 3
			near("angle", part.Q, whole.Q[first*w:], 1e-9)
			near("speed", part.V, whole.V[first*w:], 1e-7)
			for k := range part.N {
				// Where accelerations step, rounding tells which side is seen.
				at := whole.Time(first + k)
				if !slices.ContainsFunc(p.Seams(), func(s float64) bool { return math.Abs(s-at) < 1e-6 }) {
					near("acceleration", part.A[k*w:(k+1)*w], whole.A[(first+k)*w:], 1e-5)
				}
			}
			near("body", part.Body, whole.Body[first*6:], 1e-9)
			near("margin", part.Margin, whole.Margin[first:], 1e-9)
			var hits []motion.Impact
			for _, m := range whole.Impacts {
				if m.At > from+1e-6 && m.At < to+1e-9 {
					hits = append(hits, m)
				}
			}
			if len(hits) != len(part.Impacts) {
				t.Fatalf("cut at %v s: %d impacts, of the whole %d", from, len(part.Impacts), len(hits))
			}
			for k := range hits {
				if m := &part.Impacts[k]; math.Abs(m.At+from-hits[k].At) > 1e-9 || m.Leg != hits[k].Leg || m.Strike != hits[k].Strike {
					t.Errorf("impact %+v, of the whole %+v", m, hits[k])
				}
			}
			for _, j := range part.Jolts {
				if j.At < 1e-9 {
					t.Errorf("a jolt where it is cut: %+v", j)
				}
			}
		}
	}
}
