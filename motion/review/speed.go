// SPDX-License-Identifier: MIT

package review

import (
	"fmt"
	"math"

	"gaitwright/kin"
)

// jointSpeed: a joint faster than its servo's no-load speed, or than a share
// of it. A servo without a speed is not judged, nor a speed taken across a
// jump of position, which jump tells.
func jointSpeed(c *look) {
	t := c.t
	w := t.Legs * kin.Joints
	tracks := make([]track, w)
	top := make([]float64, w) // no-load speeds
	low := make([]float64, w) // speeds from which a finding begins
	reserve := c.l.SpeedShare
	if !(reserve > 0 && reserve < 1) {
		reserve = 1
	}
	for o := range top {
		top[o] = c.r.Legs[o/kin.Joints].Servos[o%kin.Joints].NoLoadSpeed
		if !(top[o] > 0) {
			top[o] = math.Inf(1)
		}
		low[o] = top[o] * reserve
	}
	for k := range t.N {
		for o, v := range t.V[k*w : (k+1)*w] {
			if a := math.Abs(v); a > low[o] && c.reachedAround(k, o/kin.Joints) && !c.torn(k, o) {
				level := Caution
				if a > top[o] {
					level = Stop
				}
				c.add(&tracks[o], t.Time(k), a, level)
			}
		}
	}
	for o := range tracks {
		for _, v := range tracks[o].intervals() {
			leg, j := o/kin.Joints, o%kin.Joints
			limit, what := low[o], fmt.Sprintf("wanted %.2f of the no-load speed of its servo", reserve)
			if v.level == Stop {
				limit, what = top[o], "no-load speed of its servo"
			}
			c.find(v, Finding{
				Leg: leg, Joint: j, Other: -1,
				Value: v.score * deg, Limit: limit * deg, Unit: "deg/s",
				Why: fmt.Sprintf("%s is asked to turn at %.0f deg/s, above %.0f deg/s, the %s", c.joint(leg, j), v.score*deg, limit*deg, what),
				// Both slow the whole span down: its speeds go with one over its time.
				Mend: fmt.Sprintf("run this entry at %s of its speed, or give the span %.2f times its time",
					share(low[o]/v.score), math.Ceil(v.score/low[o]*100)/100),
			})
		}
	}
}

// reachedAround tells whether the leg is on its target at every sample that
// the speed of sample k was taken from.
func (c *look) reachedAround(k, leg int) bool {
	t := c.t
	return t.Reached(k, leg) && t.Reached(max(k-1, 0), leg) && t.Reached(min(k+1, t.N-1), leg)
}
