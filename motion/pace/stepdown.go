// SPDX-License-Identifier: MIT

package pace

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/motion"
)

// Fineness of StepDown, m.
const (
	marching = 0.004 // between the points looked at on the way
	settled  = 1e-5  // of the end found
)

// StepDown gives how much farther a foot could go from pBF (m, body frame)
// along the unit direction down (body frame), the body held still: up to where
// the leg does not reach it any more or a joint is at the end of its travel.
// Not ok when it cannot be at pBF at all.
//
// The way is marched along in steps of 4 mm, the end is then found by bisection
// to 0.01 mm: a stretch out of reach that is shorter than a step, and ends
// again, is overlooked. Cost: some 10 µs.
func StepDown(l *kin.Leg, pBF, down r3.Vec) (reserve float64, ok bool) {
	x := l.XBH()
	can := func(d float64) bool {
		s := l.Solve(x.Into(r3.Add(pBF, r3.Scale(d, down))))
		if s.Status == kin.Missed {
			return false
		}
		for j, q := range s.Q {
			if r := &l.Limits[j]; q < r.Lo-slack || q > r.Hi+slack {
				return false
			}
		}
		return true
	}
	if !can(0) || math.Abs(r3.Norm(down)-1) > 1e-6 {
		return 0, false
	}
	most := 2 * (l.Length[kin.Coxa] + l.Length[kin.Femur] + l.Length[kin.Tibia] + math.Abs(l.Lateral) + math.Abs(l.Vertical))
	lo := 0.0
	for lo < most && can(lo+marching) {
		lo += marching
	}
	hi := lo + marching
	for hi-lo > settled {
		if mid := (lo + hi) / 2; can(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo, true
}

// stepsInStance is at how many instants of a stance Down looks, both ends
// included.
const stepsInStance = 5

// Down gives the least step-down reserve of a steady walk on level ground, m,
// and the leg that has it: how far below the plane each planted foot could
// still reach. Not ok where a leg does not even reach its foot's place.
func (p *Pace) Down(w motion.Twist) (reserve float64, leg int, ok bool) {
	reserve = math.Inf(1)
	for i := range p.legs {
		d := p.legs[i].duty
		for k := range stepsInStance {
			own := d * float64(k) / (stepsInStance - 1)
			n := p.instantAt(i, p.gait.Phase[i]+own, own)
			v, can := StepDown(p.legs[i].Leg, p.at(&n, &w).p, r3.Vec{Z: -1})
			if !can {
				return 0, i, false
			}
			if v < reserve {
				reserve, leg = v, i
			}
		}
	}
	return reserve, leg, len(p.legs) > 0
}
