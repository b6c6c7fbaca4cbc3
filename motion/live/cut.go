// SPDX-License-Identifier: MIT

package live

import (
	"slices"

	"gaitwright/motion"
)

// cut gives the body and the feet of a walk's plan between two times (s), with
// the clock at 0 in the beginning. Pieces under way there begin before 0. The
// plan is not changed.
func cut(p *motion.Plan, from, to float64) *motion.Plan {
	out := &motion.Plan{Duration: to - from, RWG: p.RWG, Feet: make([][]motion.FootPiece, len(p.Feet))}
	drives, carriages := map[*motion.Drive]*motion.Drive{}, map[*motion.Carriage]*motion.Carriage{}
	for _, b := range p.Body {
		if b.To <= from || b.From >= to {
			continue
		}
		b.From -= from
		b.To -= from
		if b.Drive != nil {
			b.Drive = drive(b.Drive, from, drives)
		}
		if b.Carriage != nil {
			b.Carriage = carriage(b.Carriage, from, carriages)
		}
		out.Body = append(out.Body, b)
	}
	for i, chain := range p.Feet {
		for _, f := range chain {
			if f.To <= from || f.From >= to {
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
	return out
}

// drive gives a drive at another time, the same one for the same drive.
func drive(d *motion.Drive, by float64, seen map[*motion.Drive]*motion.Drive) *motion.Drive {
	if seen[d] == nil {
		c := *d
		c.From -= by
		seen[d] = &c
	}
	return seen[d]
}

// carriage does the same for a carriage.
func carriage(v *motion.Carriage, by float64, seen map[*motion.Carriage]*motion.Carriage) *motion.Carriage {
	if seen[v] == nil {
		c := *v
		c.Shift.From -= by
		c.Lean.From -= by
		c.Bumps = slices.Clone(c.Bumps)
		for i := range c.Bumps {
			c.Bumps[i].Mid -= by
		}
		seen[v] = &c
	}
	return seen[v]
}
