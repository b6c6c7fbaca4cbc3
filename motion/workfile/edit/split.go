// SPDX-License-Identifier: MIT

package edit

import (
	"math"
	"slices"

	"gaitwright/motion/workfile"
)

// Split cuts a span at an instant (ms of the move, taken to the whole
// millisecond) into two that move as the one did, and gives how far they are
// from it. There a mark stands, which other tracks may end on as well.
//
// The path is cut by de Casteljau's construction, which keeps it exactly, to
// the thousandth of a millimetre that is written. The timing is kept exactly
// where both parts can be written as a timing, which is wherever their handles
// stay within [0,1]; else each part is the nearest one.
//
// Where the path begins is known only from playing the sequence: of several
// entries that play the move, entry is taken, or else the first.
func Split(f *workfile.File, s Spot, at float64, entry int) (d Drift, err error) {
	err = attempt(f, func(f *workfile.File) error {
		m, _, err := spanAt(f, s)
		if err != nil {
			return err
		}
		from, end, ok := SpanTimes(f, s)
		if !ok {
			return refuse("", "the span has no end in time")
		}
		at = math.Round(at)
		if at < from+leastGap || at > end-leastGap {
			return refuse("go to an instant inside of the span first", "at %s ms there is nothing to split: the span runs from %s to %s ms",
				plainMs(at), plainMs(from), plainMs(end))
		}
		for _, k := range m.Marks {
			if gap := math.Abs(k.At - at); gap > 1e-9 && gap < leastGap {
				return refuse("split it there", "the mark %s is less than 1 ms away, at %s ms", k.Name, plainMs(k.At))
			}
		}
		x := (at - from) / (end - from)
		if s.Track == BodyTrack {
			d, err = splitBody(f, m, s, at, x, entry)
		} else {
			d, err = splitFoot(f, m, s, at, x, entry)
		}
		return err
	})
	return d, err
}

func splitFoot(f *workfile.File, m *workfile.Move, s Spot, at, x float64, entry int) (Drift, error) {
	t := &m.Feet[s.Track]
	old := &t.Spans[s.Span]
	if old.Hold == "planted" {
		first := *old
		first.To = addMark(m, "via", at)
		t.Spans = slices.Insert(t.Spans, s.Span, first)
		return Drift{}, nil
	}
	p0, _, err := start(f, s, entry)
	if err != nil {
		return Drift{}, err
	}
	whole := footSegment(old, p0)
	ta, tb, y, _ := splitTiming(whole.timing, x)
	u := y
	if whole.even != nil {
		u, _, _ = whole.even.U(y)
	}
	pa, pb := whole.path.Split(u)
	first, second := *old, *old
	mid := list(pa.P3)
	first.To, first.End, first.Timing = addMark(m, "via", at), &mid, timingText(ta)
	first.Out, first.In = outIn(pa)
	second.Timing = timingText(tb)
	second.Out, second.In = outIn(pb)
	first.Target, first.Floor = same(old.Target), same(old.Floor)
	t.Spans[s.Span] = second
	t.Spans = slices.Insert(t.Spans, s.Span, first)
	a := footSegment(&first, p0)
	b := footSegment(&second, a.path.P3)
	return drift(&a, &b, &whole, x), nil
}

func splitBody(f *workfile.File, m *workfile.Move, s Spot, at, x float64, entry int) (Drift, error) {
	old := &m.Body[s.Span]
	p0, l0, err := start(f, s, entry)
	if err != nil {
		return Drift{}, err
	}
	whole := bodySegment(old, p0, l0)
	ta, tb, y, _ := splitTiming(whole.timing, x)
	u := y
	if whole.even != nil {
		u, _, _ = whole.even.U(y)
	}
	pa, pb := whole.path.Split(u)
	la, lb := whole.lean.Split(y)
	first, second := *old, *old
	first.To, first.Shift, first.Lean, first.Timing = addMark(m, "via", at), list(pa.P3), list(la.P3), timingText(ta)
	first.ShiftOut, first.ShiftIn = outIn(pa)
	first.LeanOut, first.LeanIn = outIn(la)
	second.Timing = timingText(tb)
	second.ShiftOut, second.ShiftIn = outIn(pb)
	second.LeanOut, second.LeanIn = outIn(lb)
	m.Body[s.Span] = second
	m.Body = slices.Insert(m.Body, s.Span, first)
	a := bodySegment(&first, p0, l0)
	b := bodySegment(&second, a.path.P3, a.lean.P3)
	return drift(&a, &b, &whole, x), nil
}
