// SPDX-License-Identifier: MIT

package strips

import (
	"math"

	"gaitwright/motion/pace"
	"gaitwright/motion/rehearsal"
)

// stepDownName is what the strip of the step-down reserve is called.
const stepDownName = "step-down"

// Lines of that strip.
const (
	leastReserve = iota // of the planted feet
	ownReserve          // of the chosen leg
)

// reserve works the step-down reserves out.
func (v *derived) reserve(r *rehearsal.Rehearsal) {
	v.reserved = true
	if hung(r.Loads) { // there is no ground
		for len(v.hung) < r.Trajectory.N {
			v.hung = append(v.hung, math.NaN())
		}
		return
	}
	v.reserves = pace.Along(&r.Built.Robot, r.Trajectory, v.reserves)
}

// stepDown is the strip of how far below the ground the feet could still
// reach, which has no limit.
func (v *derived) stepDown(r *rehearsal.Rehearsal) strip {
	s := strip{name: stepDownName, unit: "mm", leg: -1, least: true, free: true, note: "how far below the ground a foot could still reach"}
	if !v.reserved {
		return s
	}
	least := series{"least of the feet down", v.hung, 1, 0, milli, math.NaN()}
	own := series{"", v.hung, 1, 0, milli, math.NaN()}
	if !hung(r.Loads) {
		least.data = v.reserves.Least
		own.data, own.stride = v.reserves.Each, v.reserves.Legs
	}
	s.lines, s.judged = []series{least, own}, 1
	v.own(&s, r)
	return s
}

// own lets the strip show the reserve of the chosen leg beside the least.
func (v *derived) own(s *strip, r *rehearsal.Rehearsal) {
	if len(s.lines) == 0 {
		return
	}
	legs := r.Built.Robot.Legs
	v.leg = max(0, min(v.leg, len(legs)-1))
	l := &s.lines[ownReserve]
	l.name = "leg " + legs[v.leg].Name
	if l.stride > 1 {
		l.offset = v.leg
	}
}

// leastLeg gives the leg that has the least reserve at sample k, -1 for none.
func (v *derived) leastLeg(k int) int {
	if !v.reserved || v.reserves == nil || k >= v.reserves.N || math.IsNaN(v.reserves.Least[k]) {
		return -1
	}
	return v.reserves.Which[k]
}

// choose shows another leg's reserve. It tells whether something changed.
func (v *derived) choose(r *rehearsal.Rehearsal, leg int) bool {
	if leg == v.leg || leg < 0 || leg >= len(r.Built.Robot.Legs) {
		return false
	}
	v.leg = leg
	for i := range v.strips {
		if s := &v.strips[i]; s.free {
			v.own(s, r)
			return len(s.lines) > 0
		}
	}
	return false
}

// noReserve says why there is no number at sample k.
func noReserve(r *rehearsal.Rehearsal, k int) (why, brief string) {
	if hung(r.Loads) {
		return "hung on a stand", "hung"
	}
	t := r.Trajectory
	for i := range t.Legs {
		if t.Planted[k*t.Legs+i] {
			return "a foot that is down is past what its leg reaches", "out of reach"
		}
	}
	return "no foot is on the ground", "no foot down"
}

// scale chooses what range of reserves shows, the same whichever leg is
// chosen, with a line at a round number; and it names the leg that has the
// least.
func (v *derived) scale(s *strip, r *rehearsal.Rehearsal) {
	most := 10.0
	if len(s.lines) > 0 && s.lines[ownReserve].stride > 1 {
		for _, x := range v.reserves.Each {
			if x*milli > most { // false for NaN
				most = x * milli
			}
		}
	}
	s.lo, s.hi = 0, 1.08*most
	s.rules = []rule{{0, "", fine}, {round(most), "", fine}}
	if s.worst.ok {
		if leg := v.reserves.Which[r.Trajectory.Index(s.worst.at)]; leg >= 0 {
			s.worst.line, s.worst.leg = r.Built.Robot.Legs[leg].Name, leg
		}
	}
}

// round gives the greatest of 1, 2 and 5 times a power of ten that is not above
// a positive v.
func round(v float64) float64 {
	ten := math.Pow(10, math.Floor(math.Log10(v)))
	for _, f := range [...]float64{5, 2} {
		if f*ten <= v {
			return f * ten
		}
	}
	return ten
}
