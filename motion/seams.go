// SPDX-License-Identifier: MIT

package motion

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

// Jolt is a step of speed at a seam of the plan: what the trajectory's
// accelerations leave out, since there they are without bound.
type Jolt struct {
	At         float64   // s
	Vel, Omega r3.Vec    // of the body, after minus before, W, m/s and rad/s
	Joints     []float64 // of the joints (legs x 3), rad/s
}

// least is the step of speed that counts as a jolt, m/s and rad/s: well above
// rounding, and far below what anything feels.
const least = 1e-6

// seams compares every leg, and the body, just before and just after each
// break of a plan, in order of time. Angles and speeds are the exact ones of the pieces
// on both sides, however short these are. Where a leg has no speed on one side
// (a singular pose, a target out of reach) no step of it is told.
func (s *Sampler) seams(p *Plan, breaks []float64, seams []Seam, jolts []Jolt) ([]Seam, []Jolt) {
	legs := len(s.robot.Legs)
	var kick [kin.MaxLegs * kin.Joints]float64
	for _, at := range breaks {
		a, b := p.BodyAt(at-atSeam), p.BodyAt(at+atSeam)
		// Seams that are as good as one are one: pieces may begin a hair later.
		before := a.moving(within(at, a.From, a.To))
		after := b.moving(within(at, b.From, b.To))
		vel, omega := r3.Sub(after.v, before.v), r3.Sub(after.omega, before.omega)
		most := max(r3.Norm(vel), r3.Norm(omega))
		clear(kick[:])
		for i := range legs {
			f, g := p.FootAt(i, at-atSeam), p.FootAt(i, at+atSeam)
			if a == b && f == g {
				continue // nothing ends here
			}
			q0, v0, ok0 := s.joints(i, f, within(at, f.From, f.To), &before)
			q1, v1, ok1 := s.joints(i, g, within(at, g.From, g.To), &after)
			m := Seam{At: at, Leg: i}
			for j := range kin.Joints {
				m.Step[j] = q1[j] - q0[j]
				if ok0 && ok1 {
					m.Kick[j] = v1[j] - v0[j]
				}
				most = max(most, math.Abs(m.Kick[j]))
			}
			if m.Step != [kin.Joints]float64{} || m.Kick != [kin.Joints]float64{} {
				seams = append(seams, m)
			}
			copy(kick[i*kin.Joints:], m.Kick[:])
		}
		if most > least {
			j := Jolt{At: at, Vel: p.RWG.Mul(vel), Omega: p.RWG.Mul(omega)}
			j.Joints = append(j.Joints, kick[:legs*kin.Joints]...)
			jolts = append(jolts, j)
		}
	}
	return seams, jolts
}

func within(t, from, to float64) float64 { return max(from, min(t, to)) }

// joints gives the angles of a leg at a time of its piece f, and their speeds
// where there are any.
func (s *Sampler) joints(leg int, f *FootPiece, at float64, body *turning) (q, v [kin.Joints]float64, ok bool) {
	var inG, inB path
	f.move(at, body, &inG, &inB)
	h, l := &s.mount[leg], &s.robot.Legs[leg]
	sol := l.Solve(h.Into(inB.p))
	if sol.Status == kin.Missed {
		return sol.Q, v, false
	}
	v, _, ok = l.Rates(&sol.Chain, h.Turn(inB.v), r3.Vec{})
	return sol.Q, v, ok
}
