// SPDX-License-Identifier: MIT

package edit

import (
	"slices"

	"gaitwright/motion/workfile"
)

// newRest is how long an inserted span lasts, ms.
const newRest = 300

// DeleteSpan takes a span out: the next one begins where the one before ends,
// and has the time of both. Marks on which nothing ends any more go. The only
// span of a track stays.
func DeleteSpan(f *workfile.File, s Spot) error {
	return attempt(f, func(f *workfile.File) error {
		m, to, err := spanAt(f, s)
		if err != nil {
			return err
		}
		if len(to) == 1 {
			return refuse("remove the track", "a track needs a span, and this is its only one")
		}
		before := endings(m)
		if s.Track == BodyTrack {
			m.Body = slices.Delete(m.Body, s.Span, s.Span+1)
		} else {
			t := &m.Feet[s.Track]
			t.Spans = slices.Delete(t.Spans, s.Span, s.Span+1)
		}
		dropMarks(m, before)
		return nil
	})
}

// InsertSpan puts a span of 300 ms behind a span, in which foot or body stays
// where that one ends, for shaping. All later marks move along by as much, so
// that nothing gets faster; other tracks take longer there.
func InsertSpan(f *workfile.File, s Spot) error {
	return attempt(f, func(f *workfile.File) error {
		m, to, err := spanAt(f, s)
		if err != nil {
			return err
		}
		k := markIndex(m, to[s.Span])
		if k < 0 {
			return refuse("", "the span has no end in time")
		}
		at := m.Marks[k].At
		for i := k + 1; i < len(m.Marks); i++ {
			m.Marks[i].At = nano(m.Marks[i].At + newRest)
		}
		name := addMark(m, "rest", nano(at+newRest))
		if s.Track == BodyTrack {
			old := m.Body[s.Span]
			m.Body = slices.Insert(m.Body, s.Span+1, workfile.BodySpan{To: name, Shift: old.Shift, Lean: old.Lean})
			return nil
		}
		t := &m.Feet[s.Track]
		old := t.Spans[s.Span]
		rest := workfile.FootSpan{To: name, Hold: old.Hold, Floor: same(old.Floor)}
		if old.End != nil {
			end := *old.End
			rest.End = &end
		}
		t.Spans = slices.Insert(t.Spans, s.Span+1, rest)
		return nil
	})
}

// ShiftSpan exchanges a span with the one after it (by = 1) or before it
// (by = -1). The marks stay where they are: the spans change places in time.
func ShiftSpan(f *workfile.File, s Spot, by int) error {
	return attempt(f, func(f *workfile.File) error {
		m, to, err := spanAt(f, s)
		if err != nil {
			return err
		}
		o := s.Span + by
		if by != 1 && by != -1 || o < 0 || o >= len(to) {
			return refuse("", "there is no span to exchange it with")
		}
		if s.Track == BodyTrack {
			b := m.Body
			b[s.Span], b[o] = b[o], b[s.Span]
			b[s.Span].To, b[o].To = b[o].To, b[s.Span].To
			return nil
		}
		p := m.Feet[s.Track].Spans
		p[s.Span], p[o] = p[o], p[s.Span]
		p[s.Span].To, p[o].To = p[o].To, p[s.Span].To
		return nil
	})
}

// SetSpanLength makes a span last so long, ms; see Retime for along.
func SetSpanLength(f *workfile.File, s Spot, ms float64, along bool) error {
	m, to, err := spanAt(f, s)
	if err != nil {
		return err
	}
	from, _, ok := SpanTimes(f, s)
	if !ok {
		return refuse("", "the span has no end in time")
	}
	return Retime(f, s.Move, markIndex(m, to[s.Span]), nano(from+ms), along)
}

// SetHold changes what a foot's span is fixed to: "planted", "ground" or
// "body". A planted one has no path, and loses the one it had.
func SetHold(f *workfile.File, s Spot, hold string) error {
	return footSpan(f, s, func(p *workfile.FootSpan) error {
		if p.Hold = hold; hold == "planted" {
			*p = workfile.FootSpan{To: p.To, Hold: hold}
		} else if p.End == nil {
			p.End = &[3]float64{}
		}
		return nil
	})
}

// SetFloor sets the height that a foot's underside keeps while a span runs,
// mm, nil for none.
func SetFloor(f *workfile.File, s Spot, mm *float64) error {
	return footSpan(f, s, func(p *workfile.FootSpan) error {
		if p.Target != nil && mm != nil && *p.Target < *mm {
			return refuse("raise the target first", "a floor of %s mm is above the target, which is at %s mm", plainMs(*mm), plainMs(*p.Target))
		}
		p.Floor = same(mm)
		return nil
	})
}

// SetTarget sets the height of what a foot strikes in a span, mm, nil for
// nothing.
func SetTarget(f *workfile.File, s Spot, mm *float64) error {
	return footSpan(f, s, func(p *workfile.FootSpan) error {
		if p.Floor != nil && mm != nil && *mm < *p.Floor {
			return refuse("lower the floor first", "a target at %s mm is below the floor, which is at %s mm", plainMs(*mm), plainMs(*p.Floor))
		}
		p.Target = same(mm)
		return nil
	})
}

// footSpan edits a span of a foot track.
func footSpan(f *workfile.File, s Spot, do func(*workfile.FootSpan) error) error {
	return attempt(f, func(f *workfile.File) error {
		if _, _, err := spanAt(f, s); err != nil {
			return err
		}
		if s.Track == BodyTrack {
			return refuse("choose a foot track", "the body has no such thing")
		}
		return do(&f.Moves[s.Move].Feet[s.Track].Spans[s.Span])
	})
}

// SetEven says whether a span's progress goes by the length of its path.
func SetEven(f *workfile.File, s Spot, on bool) error {
	return attempt(f, func(f *workfile.File) error {
		m, _, err := spanAt(f, s)
		if err != nil {
			return err
		}
		if s.Track == BodyTrack {
			m.Body[s.Span].Even = on
		} else {
			m.Feet[s.Track].Spans[s.Span].Even = on
		}
		return nil
	})
}
