// SPDX-License-Identifier: MIT

package timeline

import (
	"slices"
	"sort"
	"strings"

	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/motion"
	"gaitwright/motion/review"
)

// stretch is a part of time, s.
type stretch struct{ from, to float64 }

// levels is how many levels a finding can have.
const levels = int(review.Stop) + 1

// derived is what the rows show, made once a rehearsal.
type derived struct {
	doc    *document.Document
	serial int
	length float64 // s

	legs     []string
	stance   [][]stretch // a leg, in order
	marks    []motion.Mark
	findings []review.Finding
	texts    []string            // a finding: word, leg, time
	order    []int               // findings by time of the worst instant
	lane     [levels][]stretch   // when there is a finding, by level
	rows     [][levels][]stretch // the same for each leg
}

// update makes everything again when the document was rehearsed since.
func (v *derived) update(d *document.Document) {
	if v.doc == d && v.serial == d.Serial() {
		return
	}
	r := d.Result()
	t := r.Trajectory
	*v = derived{doc: d, serial: d.Serial(), length: t.Duration(), findings: r.Findings}
	for i := range r.Built.Robot.Legs {
		v.legs = append(v.legs, r.Built.Robot.Legs[i].Name)
	}
	v.stance = stances(t)
	v.marks = slices.Clone(t.Marks)
	slices.SortStableFunc(v.marks, func(a, b motion.Mark) int { return order(a.At, b.At) })

	v.rows = make([][levels][]stretch, len(v.legs))
	for i, f := range v.findings {
		v.order = append(v.order, i)
		v.texts = append(v.texts, describe(&f, v.legs))
		l, s := levelOf(&f), stretch{f.From, f.To}
		v.lane[l] = append(v.lane[l], s)
		for _, leg := range legsOf(&f, len(v.legs)) {
			v.rows[leg][l] = append(v.rows[leg][l], s)
		}
	}
	sort.SliceStable(v.order, func(i, j int) bool {
		return v.findings[v.order[i]].Worst < v.findings[v.order[j]].Worst
	})
	for l := range levels {
		v.lane[l] = union(v.lane[l])
		for i := range v.rows {
			v.rows[i][l] = union(v.rows[i][l])
		}
	}
}

// within gives the findings whose worst instant shows, by time.
func (v *derived) within(a axis) []int {
	worst := func(i int) float64 { return v.findings[v.order[i]].Worst }
	i := sort.Search(len(v.order), func(i int) bool { return worst(i) >= a.from || a.shows(worst(i)) })
	n := sort.Search(len(v.order)-i, func(k int) bool { return worst(i+k) > a.to && !a.shows(worst(i+k)) })
	return v.order[i : i+n]
}

// levelOf gives a finding's level as an index.
func levelOf(f *review.Finding) int { return max(0, min(int(f.Level), levels-1)) }

// legsOf gives the legs that a finding is about: none, one or two.
func legsOf(f *review.Finding, n int) []int {
	var out []int
	for _, i := range [2]int{f.Leg, f.Other} {
		if i >= 0 && i < n && !slices.Contains(out, i) {
			out = append(out, i)
		}
	}
	return out
}

// describe gives a finding in few words: what, which leg, when.
func describe(f *review.Finding, legs []string) string {
	parts := []string{f.Word}
	var names []string
	for _, i := range legsOf(f, len(legs)) {
		names = append(names, legs[i])
	}
	if len(names) > 0 {
		parts = append(parts, strings.Join(names, " and "))
	}
	return strings.Join(append(parts, draw.Number(f.Worst, 3)+" s"), ", ")
}

// stances gives, for each leg, when it is planted. A sample stands for the
// time until the next.
// Cost: one pass over the planted flags.
func stances(t *motion.Trajectory) [][]stretch {
	out := make([][]stretch, t.Legs)
	end := t.Duration()
	for leg := range t.Legs {
		start := -1
		for k := 0; k <= t.N; k++ {
			down := k < t.N && t.Planted[k*t.Legs+leg]
			switch {
			case down && start < 0:
				start = k
			case !down && start >= 0:
				out[leg] = append(out[leg], stretch{t.Time(start), min(t.Time(k), end)})
				start = -1
			}
		}
	}
	return out
}

// union sorts stretches and joins those that touch.
func union(in []stretch) []stretch {
	slices.SortFunc(in, func(a, b stretch) int { return order(a.from, b.from) })
	out := in[:0]
	for _, s := range in {
		if n := len(out); n > 0 && s.from <= out[n-1].to {
			out[n-1].to = max(out[n-1].to, s.to)
			continue
		}
		out = append(out, s)
	}
	return out
}

func order(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// bars calls f with the pixel columns of the visible stretches, from x0 up to
// x1. Stretches must be in order and apart. One shorter than a pixel gets a
// pixel, and a gap shorter than a pixel is closed, so that there are at most
// half as many bars as columns.
// Cost: a search for each bar, however many stretches share a pixel.
func (a axis) bars(in []stretch, f func(x0, x1 int)) {
	after := func(from int, t float64) int { // first stretch that ends after t
		return from + sort.Search(len(in)-from, func(i int) bool { return in[from+i].to > t })
	}
	for i := after(0, a.from); i < len(in) && in[i].from < a.to; {
		x0, x1 := a.column(in[i].from), a.column(in[i].to)
		x1 = max(x1, x0+1)
		for i++; i < len(in); i++ {
			i = after(i, a.time(float64(x1)+1))
			if i == len(in) || a.px(in[i].from) >= float64(x1)+1 {
				break
			}
			x1 = max(x1, a.column(in[i].to))
		}
		f(x0, min(x1, max(a.x1, x0+1)))
	}
}
