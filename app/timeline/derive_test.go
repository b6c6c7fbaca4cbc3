// SPDX-License-Identifier: MIT

package timeline

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"gaitwright/motion"
)

// The share of a stance in a cycle is the duty factor (its definition, Song
// and Waldron): the file says 0.5 for the tripod of the second entry.
func TestStanceShareIsDutyFactor(t *testing.T) {
	r := open(t, demo, 1, usual)
	tr := r.doc.Result().Trajectory
	part := tr.Parts[1]
	const period, duty = 1.0, 0.5
	if part.Kind != "walk" || part.To-part.From < 2*period {
		t.Fatalf("the second entry is %+v", part)
	}
	// A whole cycle in the middle, clear of the first and the last step.
	from := (part.From+part.To)/2 - period/2
	for leg, runs := range r.panel.derived.stance {
		sum := 0.0
		for _, s := range runs {
			sum += max(0, min(s.to, from+period)-max(s.from, from))
		}
		near(t, r.panel.derived.legs[leg]+": stance in a cycle", sum/period, duty, 2/tr.Rate)
	}
}

func TestStances(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, legs := rapid.IntRange(0, 40).Draw(t, "samples"), rapid.IntRange(1, 3).Draw(t, "legs")
		tr := &motion.Trajectory{Rate: 10, N: n, Legs: legs, Planted: rapid.SliceOfN(rapid.Bool(), n*legs, n*legs).Draw(t, "planted")}
		for leg, runs := range stances(tr) {
			for i := 1; i < len(runs); i++ {
				if !(runs[i-1].to < runs[i].from) {
					t.Fatalf("leg %d: stretches touch: %v", leg, runs)
				}
			}
			for k := range n - 1 { // between samples k and k+1
				at, in := (float64(k)+0.5)/10, false
				for _, s := range runs {
					in = in || s.from <= at && at < s.to
				}
				if in != tr.Planted[k*legs+leg] {
					t.Fatalf("leg %d, %v s: in a stance %v, planted %v", leg, at, in, !in)
				}
			}
		}
	})
}

// bars against a reference that colours the columns one by one.
func TestBars(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var in []stretch
		at := rapid.Float64Range(-1, 1).Draw(t, "first")
		scale := rapid.SampledFrom([]float64{0.001, 0.05, 1}).Draw(t, "scale")
		for range rapid.IntRange(0, 60).Draw(t, "n") {
			to := at + scale*rapid.Float64Range(1e-3, 1).Draw(t, "length")
			in = append(in, stretch{at, to})
			at = to + scale*rapid.Float64Range(1e-3, 1).Draw(t, "gap")
		}
		a := axis{from: 0, to: rapid.SampledFrom([]float64{0.1, 1, 20}).Draw(t, "to"), x0: 10, x1: 110}
		var got [200]bool
		last, n := math.MinInt, 0
		a.bars(in, func(x0, x1 int) {
			if x0 >= x1 || x0 <= last || x0 < a.x0 || x1 > a.x1+1 {
				t.Fatalf("bar %d-%d after %d", x0, x1, last)
			}
			last = x1
			n++
			for x := x0; x < x1; x++ {
				got[x] = true
			}
		})
		if n > (a.x1-a.x0)/2+1 {
			t.Errorf("%d bars in %d columns", n, a.x1-a.x0)
		}
		for x := a.x0; x < a.x1; x++ {
			// The middle of a column that lies well inside a stretch is dark,
			// and well inside a gap of two columns is light.
			lo, hi := a.time(float64(x)), a.time(float64(x+1))
			w := hi - lo
			full, free := false, true
			for _, s := range in {
				full = full || s.from <= lo-w/2 && s.to >= hi+w/2
				free = free && (s.to < lo-w || s.from > hi+w)
			}
			if full && !got[x] || free && got[x] {
				t.Fatalf("column %d (%v to %v s): dark %v in %v", x, lo, hi, got[x], in)
			}
		}
	})
}

func TestUnion(t *testing.T) {
	got := union([]stretch{{5, 6}, {1, 2}, {1.5, 3}, {3, 4}, {7, 7}})
	want := []stretch{{1, 4}, {5, 6}, {7, 7}}
	if len(got) != len(want) {
		t.Fatalf("got %v, want %v", got, want)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("got %v, want %v", got, want)
		}
	}
}

func TestWindow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const long = 12.5
		var w window
		for range rapid.IntRange(0, 30).Draw(t, "n") {
			v := rapid.Float64Range(-20, 20).Draw(t, "v")
			switch rapid.IntRange(0, 3).Draw(t, "what") {
			case 0:
				w.zoom(math.Exp(v), rapid.Float64Range(0, long).Draw(t, "about"), long)
			case 1:
				w.pan(v, long)
			case 2:
				w.reveal(min(max(v, 0), long), 0.1, long)
				if from, to := w.bounds(long); v >= 0 && v <= long && (v < from-1e-9 || v > to+1e-9) {
					t.Fatalf("%v is not in %v", v, w)
				}
			case 3:
				w.zoom(v, v, long) // negative factors too
			}
			from, to := w.bounds(long)
			if !(from >= 0 && to <= long+1e-9 && to-from >= leastWindow-1e-9) {
				t.Fatalf("window %v", w)
			}
		}
		w.tidy(1)
		if from, to := w.bounds(1); from < 0 || to > 1 {
			t.Fatalf("of 1 s shows %v to %v", from, to)
		}
	})
	if from, to := (window{}).bounds(0); !(to > from) {
		t.Error("a motion without length has an empty window")
	}
}
