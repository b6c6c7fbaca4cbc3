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

// least is the step of speed that counts as one, m/s and rad/s: well above
// rounding, and far below what anything feels.
const least = 1e-6

// jolts finds the steps of speed of a plan, in order of time. Joints that have
// no speed on either side are passed over.
func (s *Sampler) jolts(p *Plan, out []Jolt) []Jolt {
	legs := len(s.robot.Legs)
	before, after := make([]float64, legs*kin.Joints), make([]float64, legs*kin.Joints)
	add := func(at float64, vel, omega r3.Vec) {
		most := max(r3.Norm(vel), r3.Norm(omega))
		for o := range after {
			most = max(most, math.Abs(after[o]-before[o]))
		}
		if !(most > least) {
			return
		}
		j := Jolt{At: at, Vel: p.RWG.Mul(vel), Omega: p.RWG.Mul(omega), Joints: make([]float64, legs*kin.Joints)}
		for o := range after {
			j.Joints[o] = after[o] - before[o]
		}
		out = append(out, j)
	}
	// speeds gives those at a time, by the pieces in force on one side of it.
	speeds := func(at, side float64, joints []float64) (m turning) {
		m = p.BodyAt(at + side).moving(at)
		for i := range legs {
			var inG, inB path
			p.FootAt(i, at+side).move(at, &m, &inG, &inB)
			h := &s.mount[i]
			leg := &s.robot.Legs[i]
			sol := leg.Solve(h.into(inB.p))
			to := joints[i*kin.Joints : (i+1)*kin.Joints]
			clear(to)
			if sol.Status != kin.Missed {
				if qd, _, ok := leg.Rates(&sol.Chain, h.turn(inB.v), r3.Vec{}); ok {
					copy(to, qd[:])
				}
			}
		}
		return m
	}
	for _, at := range p.Seams() {
		a, b := speeds(at, -atSeam, before), speeds(at, atSeam, after)
		add(at, r3.Sub(b.v, a.v), r3.Sub(b.omega, a.omega))
	}
	return out
}
