// SPDX-License-Identifier: MIT

package edit

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/motion/curve"
	"gaitwright/motion/workfile"
)

// Join makes one span of a span and the next, over the time of both, and gives
// how far the joined one strays from the two: one curve cannot follow every
// two. Two parts of one span, as Split leaves them, become that span again.
// The mark between them goes when nothing else ends on it.
//
// Two ways are tried, and the nearer one is taken: de Casteljau's construction
// read backwards, and the cubic that lies nearest to both by least squares over
// the length travelled. See Split for entry.
func Join(f *workfile.File, s Spot, entry int) (d Drift, err error) {
	err = attempt(f, func(f *workfile.File) error {
		m, to, err := spanAt(f, s)
		if err != nil {
			return err
		}
		if s.Span+1 >= len(to) {
			return refuse("choose an earlier one", "there is no span after this one to join it with")
		}
		from, _, ok1 := SpanTimes(f, s)
		next := s
		next.Span++
		mid, end, ok2 := SpanTimes(f, next)
		if !ok1 || !ok2 {
			return refuse("", "the span has no end in time")
		}
		p0, l0, err := start(f, s, entry)
		if err != nil {
			return err
		}
		before := endings(m)
		x := (mid - from) / (end - from)
		if s.Track == BodyTrack {
			d = joinBody(m, s.Span, p0, l0, x)
		} else if d, err = joinFoot(&m.Feet[s.Track], s.Span, p0, x); err != nil {
			return err
		}
		dropMarks(m, before)
		return nil
	})
	return d, err
}

func joinFoot(t *workfile.FootTrack, i int, p0 r3.Vec, x float64) (d Drift, err error) {
	a, b := t.Spans[i], t.Spans[i+1]
	joined := a
	joined.To = b.To
	if a.Hold == "planted" && b.Hold == "planted" {
		t.Spans = slices.Replace(t.Spans, i, i+2, joined)
		return d, nil
	}
	if a.Hold != b.Hold && a.Hold != "planted" && b.Hold != "planted" {
		return d, refuse("fix both to the same first", "one span is fixed to the %s and the other to the %s", a.Hold, b.Hold)
	}
	if joined.Floor, err = either(a.Floor, b.Floor, "floors"); err != nil {
		return d, err
	}
	if joined.Target, err = either(a.Target, b.Target, "targets"); err != nil {
		return d, err
	}
	if joined.Hold = a.Hold; a.Hold == "planted" {
		joined.Hold = b.Hold
	}
	sa := footSegment(&a, p0)
	sb := footSegment(&b, sa.path.P3)
	w, d := joinSegments(&sa, &sb, x)
	end := list(w.path.P3)
	joined.End, joined.Timing, joined.Even = &end, timingText(w.timing), w.even != nil
	joined.Out, joined.In = outIn(w.path)
	t.Spans = slices.Replace(t.Spans, i, i+2, joined)
	return d, nil
}

// either gives the height that a joined span keeps.
func either(a, b *float64, what string) (*float64, error) {
	switch {
	case a == nil:
		return same(b), nil
	case b == nil || *a == *b:
		return same(a), nil
	}
	return nil, refuse("make them the same first", "the two spans have different %s, %s and %s mm", what, plainMs(*a), plainMs(*b))
}

func joinBody(m *workfile.Move, i int, p0, l0 r3.Vec, x float64) Drift {
	a, b := m.Body[i], m.Body[i+1]
	sa := bodySegment(&a, p0, l0)
	sb := bodySegment(&b, sa.path.P3, sa.lean.P3)
	w, d := joinSegments(&sa, &sb, x)
	j := workfile.BodySpan{To: b.To, Shift: list(w.path.P3), Lean: list(w.lean.P3), Timing: timingText(w.timing), Even: w.even != nil}
	j.ShiftOut, j.ShiftIn = outIn(w.path)
	j.LeanOut, j.LeanIn = outIn(w.lean)
	m.Body = slices.Replace(m.Body, i, i+2, j)
	return d
}

// joinSegments finds one segment for two that follow one another at the share
// x of their time.
func joinSegments(a, b *segment, x float64) (segment, Drift) {
	clock := func(t float64) (first bool, share float64) {
		if t < x {
			return true, t / x
		}
		return false, (t - x) / (1 - x)
	}
	var best segment
	var least Drift
	found := false
	try := func(g segment) {
		if d := drift(a, b, &g, x); !found || d.Path+d.Lean < least.Path+least.Lean {
			best, least, found = g, d, true
		}
	}
	switch {
	case a.still() && b.still():
		try(segment{path: standing(b.path.P3), lean: standing(b.lean.P3)})
		return best, least
	case a.still(): // a pause and then b
		g := *b
		g.timing = fitTiming(func(t float64) float64 {
			if first, s := clock(t); !first {
				y, _, _ := b.timing.At(s)
				return y
			}
			return 0
		}, clampTiming([4]float64{x, 0, 1, 1}))
		try(g)
		return best, least
	case b.still():
		g := *a
		g.timing = fitTiming(func(t float64) float64 {
			if first, s := clock(t); first {
				y, _, _ := a.timing.At(s)
				return y
			}
			return 1
		}, clampTiming([4]float64{0, 0, x, 1}))
		if b.path.P3 != a.path.P3 { // a hold that jumps at its end
			g.path.P3 = b.path.P3
		}
		try(g)
		return best, least
	}

	la, lb := a.path.Length(), b.path.Length()
	if la+lb < 1e-6 {
		la, lb = a.lean.Length(), b.lean.Length()
	}
	even := a.even != nil && b.even != nil

	// De Casteljau backwards, by the handles at the joint or else by length.
	u := la / (la + lb)
	if r, ok := ratio(&a.path, &b.path); ok {
		u = r
	} else if r, ok := ratio(&a.lean, &b.lean); ok {
		u = r
	}
	u = max(1e-3, min(u, 1-1e-3))
	whole := func(p, q *curve.Bezier) curve.Bezier {
		return curve.Bezier{
			P0: p.P0, P1: r3.Add(p.P0, r3.Scale(1/u, r3.Sub(p.P1, p.P0))),
			P2: r3.Add(q.P3, r3.Scale(1/(1-u), r3.Sub(q.P2, q.P3))), P3: q.P3,
		}
	}
	y := u
	if even {
		y = la / (la + lb)
	}
	g := newSegment(whole(&a.path, &b.path), whole(&a.lean, &b.lean), curve.Timing{}, even)
	g.timing = cutBack(a, b, x, y, even)
	try(g)
	if least.Path < 1e-2 && least.Lean < 1e-2 { // parts of one span
		return best, least
	}
	g.timing = fitTiming(func(t float64) float64 {
		first, s := clock(t)
		if first {
			p, v := a.progress(s)
			if even {
				p = v
			}
			return y * p
		}
		p, v := b.progress(s)
		if even {
			p = v
		}
		return y + (1-y)*p
	}, g.timing)
	try(g)

	// The nearest cubic over the length travelled.
	share := la / (la + lb)
	ta, tb := lengths(a), lengths(b)
	g = newSegment(nearest(a, b, share, ta, tb, false), nearest(a, b, share, ta, tb, true), curve.Timing{}, false)
	g.timing = fitTiming(func(t float64) float64 {
		first, s := clock(t)
		if first {
			p, _ := a.progress(s)
			return share * ta.at(p)
		}
		p, _ := b.progress(s)
		return share + (1-share)*tb.at(p)
	}, g.timing)
	try(g)
	return best, least
}

// cutBack joins the timings as if both had been cut from one.
func cutBack(a, b *segment, x, y float64, even bool) curve.Timing {
	if a.timing.Kind == curve.Linear && b.timing.Kind == curve.Linear && math.Abs(x-y) < 1e-6 && (even || a.even == nil && b.even == nil) {
		return curve.Timing{}
	}
	return joinTiming(a.timing, b.timing, x, y)
}

// ratio gives where one path was cut in two: by the lengths of the handles at
// the joint, when they lie in one line.
func ratio(a, b *curve.Bezier) (float64, bool) {
	in, out := r3.Sub(a.P3, a.P2), r3.Sub(b.P1, b.P0)
	li, lo := r3.Norm(in), r3.Norm(out)
	if li < 1e-3 || lo < 1e-3 || r3.Dot(in, out) < 0.999*li*lo {
		return 0, false
	}
	return li / (li + lo), true
}

// steps is how finely paths are looked at.
const steps = 32

// measure is the share of the length travelled at equal steps of a path.
type measure [steps + 1]float64

func lengths(g *segment) (m measure) {
	path := &g.path
	if path.Length() < 1e-6 {
		path = &g.lean
	}
	prev := path.P0
	for i := 1; i <= steps; i++ {
		p := path.At(float64(i) / steps)
		m[i] = m[i-1] + r3.Norm(r3.Sub(p, prev))
		prev = p
	}
	total := m[steps]
	for i := range m {
		if total > 0 {
			m[i] /= total
		} else {
			m[i] = float64(i) / steps
		}
	}
	return m
}

func (m *measure) at(u float64) float64 {
	k := max(0, min(u, 1)) * steps
	i := min(int(k), steps-1)
	return m[i] + (k-float64(i))*(m[i+1]-m[i])
}

// nearest gives the cubic from the start of a to the end of b that is nearest
// to both by least squares; its parameter is the share of the length.
func nearest(a, b *segment, share float64, ta, tb measure, lean bool) curve.Bezier {
	pa, pb := &a.path, &b.path
	if lean {
		pa, pb = &a.lean, &b.lean
	}
	p0, p3 := pa.P0, pb.P3
	n := 2 * (steps + 1)
	w, rhs := mat.NewDense(n, 2, nil), mat.NewDense(n, 3, nil)
	for i := range n {
		k := i % (steps + 1)
		v := float64(k) / steps
		p, u := pa.At(v), share*ta[k]
		if i > steps {
			p, u = pb.At(v), share+(1-share)*tb[k]
		}
		o := 1 - u
		w.SetRow(i, []float64{3 * o * o * u, 3 * o * u * u})
		r := r3.Sub(p, r3.Add(r3.Scale(o*o*(1+2*u), p0), r3.Scale(u*u*(3-2*u), p3)))
		rhs.SetRow(i, []float64{r.X, r.Y, r.Z})
	}
	// Unknown are both handles, as offsets from their ends.
	var h mat.Dense
	if err := h.Solve(w, rhs); err != nil {
		return curve.Line(p0, p3)
	}
	out := r3.Vec{X: h.At(0, 0), Y: h.At(0, 1), Z: h.At(0, 2)}
	in := r3.Vec{X: h.At(1, 0), Y: h.At(1, 1), Z: h.At(1, 2)}
	return curve.Bezier{P0: p0, P1: r3.Add(p0, out), P2: r3.Add(p3, in), P3: p3}
}
