// SPDX-License-Identifier: MIT

package motion

import (
	"gaitwright/kin"
	"gaitwright/motion/alike"
)

// Before is a plan that was sampled earlier.
type Before struct {
	Robot      *kin.Robot // that it was sampled for
	Plan       *Plan
	Trajectory *Trajectory
}

// Resample is Sample for a plan that is for the most part as one sampled
// before: a sample at which all pieces in force are, to the last bit, those of
// the plan before is taken over, and the result is that of Sample to the last
// bit. Kept marks these samples. The plan before may be of another robot or
// sampled at another rate; then nothing can be taken over.
//
// With inPlace the arrays of the trajectory before become those of the result,
// so that what is kept costs nothing, and it is of no use afterwards, unless
// there is an error. Else it stays as it is.
func (s *Sampler) Resample(p *Plan, rate float64, before Before, inPlace bool) (*Trajectory, error) {
	old := before.Trajectory
	if old == nil || before.Plan == nil || before.Robot == nil || old.Rate != rate || old.Legs != len(s.robot.Legs) ||
		!alike.Bits(&old.RWG, &p.RWG) || !alike.Bits(before.Robot, s.robot) {
		t := &Trajectory{}
		if inPlace && old != nil {
			*t = *old
			t.Seams, t.Jolts, t.Impacts = nil, nil, nil
		}
		return s.Sample(p, rate, t)
	}
	n, err := count(p, rate)
	if err != nil {
		return nil, err
	}
	t := &Trajectory{}
	if inPlace {
		*t = *old
	}
	s.shape(p, t, rate, n)
	t.Kept = make([]bool, n)
	q := before.Plan
	var c, d cursor
	pieces := sameness{p: p, q: q}
	changed := 0
	for k := range n {
		now := min(float64(k)/rate, p.Duration)
		c.to(p, now)
		if k < old.N && now == min(float64(k)/rate, q.Duration) {
			d.to(q, now)
			t.Kept[k] = pieces.at(&c, &d)
		}
		if !t.Kept[k] {
			changed++
		}
	}
	if !inPlace {
		t.copy(old)
	}
	s.rows(p, t, changed)
	s.beside(t, old)
	s.finish(p, t, nil, nil, nil)
	return t, nil
}

// copy takes the kept samples over.
func (t *Trajectory) copy(old *Trajectory) {
	for from := 0; from < t.N; from++ {
		to := from
		for to < t.N && t.Kept[to] {
			to++
		}
		if to == from {
			continue
		}
		for _, a := range [...]struct {
			to, from []float64
			width    int
		}{
			{t.Body, old.Body, 6}, {t.BodyV, old.BodyV, 6}, {t.BodyA, old.BodyA, 6}, {t.COM, old.COM, 3}, {t.Margin, old.Margin, 1},
			{t.Q, old.Q, 3 * t.Legs}, {t.V, old.V, 3 * t.Legs}, {t.A, old.A, 3 * t.Legs}, {t.Foot, old.Foot, 3 * t.Legs},
			{t.Points, old.Points, 9 * t.Legs}, {t.Reach, old.Reach, t.Legs},
		} {
			copy(a.to[from*a.width:to*a.width], a.from[from*a.width:])
		}
		copy(t.Planted[from*t.Legs:to*t.Legs], old.Planted[from*t.Legs:])
		from = to
	}
}

// beside finds the samples taken over at which a speed was differenced from
// samples beside that were not: they are differenced anew, and not kept.
func (s *Sampler) beside(t, old *Trajectory) {
	w := t.Legs * kin.Joints
	loose := func(k int) bool {
		found := false
		for i := range t.Legs {
			if a := t.A[k*w+i*kin.Joints]; a != a {
				s.loose = append(s.loose, k*t.Legs+i)
				found = true
			}
		}
		return found
	}
	last := min(t.N, old.N) - 1
	before := true // whether sample k-1 was kept by its pieces
	for k := range t.N {
		kept := t.Kept[k]
		beside := !before || k+1 < t.N && !t.Kept[k+1] || t.N != old.N && k == last
		before = kept
		if kept && beside && loose(k) {
			t.Kept[k] = false
		}
	}
}

// sameness compares the pieces of two plans and remembers what it found for
// those that were compared last.
type sameness struct {
	p, q *Plan
	body compared
	foot [kin.MaxLegs]compared
}

// compared is a pair of pieces, counted from 1, and whether they are the same.
type compared struct {
	a, b int
	same bool
}

// at tells whether the pieces at two cursors are the same.
func (s *sameness) at(c, d *cursor) bool {
	if m := &s.body; m.a != c.body+1 || m.b != d.body+1 {
		*m = compared{c.body + 1, d.body + 1, sameBody(&s.p.Body[c.body], &s.q.Body[d.body])}
	}
	all := s.body.same
	for i := range s.p.Feet {
		m := &s.foot[i]
		if m.a != c.foot[i]+1 || m.b != d.foot[i]+1 {
			*m = compared{c.foot[i] + 1, d.foot[i] + 1, sameFoot(&s.p.Feet[i][c.foot[i]], &s.q.Feet[i][d.foot[i]])}
		}
		all = all && m.same
	}
	return all
}

// sameBody tells whether two pieces put the body on the same places at all
// times.
func sameBody(a, b *BodyPiece) bool { return alike.Bits(a, b) }

// sameFoot tells whether two pieces put the foot on the same places at all
// times: where it came from does not matter, nor when it stands.
func sameFoot(a, b *FootPiece) bool {
	if a.Hold == Planted && b.Hold == Planted {
		return alike.Bits(&a.Span.Path.P0, &b.Span.Path.P0)
	}
	x, y := *a, *b
	x.Source, y.Source = Source{}, Source{}
	return alike.Bits(&x, &y)
}
