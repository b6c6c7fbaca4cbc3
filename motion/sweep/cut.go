// SPDX-License-Identifier: MIT

package sweep

import (
	"slices"

	"gaitwright/motion"
)

// cut gives the part of a plan between two times (s), with its clock at 0 in
// the beginning of the part. Pieces under way there begin before 0. Entries
// keep their numbers. The plan is not changed.
func cut(p *motion.Plan, from, to float64) *motion.Plan {
	out := &motion.Plan{Duration: to - from, RWG: p.RWG, Feet: make([][]motion.FootPiece, len(p.Feet))}
	in := func(a, b float64) bool { return b > from && a < to }
	for _, b := range p.Body {
		if !in(b.From, b.To) {
			continue
		}
		b.From -= from
		b.To -= from
		if b.Drive != nil {
			d := *b.Drive
			d.From -= from
			b.Drive = &d
		}
		if b.Carriage != nil {
			c := *b.Carriage
			c.Shift.From -= from
			c.Lean.From -= from
			c.Bumps = slices.Clone(c.Bumps)
			for i := range c.Bumps {
				c.Bumps[i].Mid -= from
			}
			b.Carriage = &c
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
	stretches := func(all []motion.Stretch) (some []motion.Stretch) {
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
