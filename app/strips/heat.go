// SPDX-License-Identifier: MIT

package strips

import (
	"slices"

	"gaitwright/app/draw"
	"gaitwright/kin"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/review"
)

// hold tells what the joints of a leg bear over the whole sequence beside what
// their servos hold for long, of the joint that is worst, and draws that limit
// where it is a share of what is shown.
func (s *strip) hold(r *rehearsal.Rehearsal, show view) {
	l := &r.Built.Limits
	worst, most, limit := -1, 0.0, 0.0
	for j := range kin.Joints {
		o := s.leg*kin.Joints + j
		// As the review takes it: of the datasheet's torque, at any voltage.
		holds, rms := l.Holding*r.Built.Robot.Legs[s.leg].Servos[j].StallTorque, r.Loads.RMS[o]
		if !(holds > 0) || rms != rms {
			continue
		}
		if x := rms / holds; worst < 0 || x > most {
			worst, most, limit = j, x, holds
		}
		stall := r.Loads.Lines[o].Stall
		if d := l.Derating; d > 0 && d <= 1 {
			stall *= d
		}
		line := rule{100 * holds / stall, "held for long", fine}
		if show == torque && stall > 0 && !slices.Contains(s.rules, line) {
			s.rules = append(s.rules, line)
		}
	}
	if worst < 0 {
		return
	}
	s.note = "root mean square: " + kin.JointName(worst) + " " + draw.Figures(most*limit, 3) + " of " + draw.Figures(limit, 3) + " N·m held for long"
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.Word != "servo-heat" || f.Leg != s.leg || f.Joint != worst {
			continue
		}
		if s.noted = near; f.Level == review.Stop {
			s.noted = past
		}
	}
}
