// SPDX-License-Identifier: MIT

package motion

import "slices"

// Cut gives the part of a plan between two times (s), with its clock at 0 in
// the beginning of the part. Pieces under way there begin before 0, so that
// they go on as they did. Entries, marks and what is asked of legs keep their
// numbers; stretches that lie outside are left out. The plan is not changed.
func (p *Plan) Cut(from, to float64) *Plan {
	out := &Plan{Duration: to - from, RWG: p.RWG, Feet: make([][]FootPiece, len(p.Feet))}
	in := func(a, b float64) bool { return b > from && a < to }
	drives, carriages := map[*Drive]*Drive{}, map[*Carriage]*Carriage{} // pieces share them
	for _, b := range p.Body {
		if !in(b.From, b.To) {
			continue
		}
		b.From -= from
		b.To -= from
		if d := b.Drive; d != nil {
			if drives[d] == nil {
				c := *d
				c.From -= from
				drives[d] = &c
			}
			b.Drive = drives[d]
		}
		if v := b.Carriage; v != nil {
			if carriages[v] == nil {
				c := *v
				c.Shift.From -= from
				c.Lean.From -= from
				c.Bumps = slices.Clone(c.Bumps)
				for i := range c.Bumps {
					c.Bumps[i].Mid -= from
				}
				carriages[v] = &c
			}
			b.Carriage = carriages[v]
		}
		out.Body = append(out.Body, b)
	}
	for i, chain := range p.Feet {
		for _, f := range chain {
			if !in(f.From, f.To) {
				continue
			}
			f.From -= from
			f.To -= from
			if f.Clock != [2]float64{} {
				f.Clock[0] -= from
				f.Clock[1] -= from
			}
			if f.Aim != nil {
				a := *f.Aim
				a.From -= from
				a.To -= from
				f.Aim = &a
			}
			out.Feet[i] = append(out.Feet[i], f)
		}
	}
	for _, q := range p.Parts {
		q.From -= from
		q.To -= from
		out.Parts = append(out.Parts, q)
	}
	for _, m := range p.Marks {
		m.At -= from
		out.Marks = append(out.Marks, m)
	}
	stretches := func(all []Stretch) (some []Stretch) {
		for _, s := range all {
			if in(s.From, s.To) {
				s.From -= from
				s.To -= from
				some = append(some, s)
			}
		}
		return some
	}
	out.Floors, out.Targets = stretches(p.Floors), stretches(p.Targets)
	out.Mirrored, out.Floating = stretches(p.Mirrored), stretches(p.Floating)
	return out
}
