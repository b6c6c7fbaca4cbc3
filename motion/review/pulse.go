// SPDX-License-Identifier: MIT

package review

import (
	"fmt"
	"math"

	"gaitwright/kin"
)

// Output is how a servo is told a joint's angle: the pulse width is Centre +
// PerRad·q, and the servo understands those from Least to Greatest. The zero
// value is a joint without a channel, which is not judged.
type Output struct {
	Set             bool
	Centre          float64 // µs
	PerRad          float64 // µs/rad, negative for a servo that turns the other way
	Least, Greatest float64 // µs
}

// pastPulse is how far a pulse may be outside by rounding, µs.
const pastPulse = 1e-6

// past gives how far a pulse is outside what the servo takes, negative inside,
// µs.
func (o *Output) past(us float64) float64 { return max(o.Least-us, us-o.Greatest) }

// Outside tells whether a pulse (µs) is past what the servo takes: the one rule
// for motions, and for poses that no motion has, such as a leg moved by hand.
func (o *Output) Outside(us float64) bool { return o.past(us) > pastPulse }

// pulseRange: an angle inside the joint's travel for which the servo would need
// a pulse that it does not understand. The value is the pulse width; the range
// is that of the servo's data sheet, or as measured.
func pulseRange(c *look) {
	t := c.t
	w := t.Legs * kin.Joints
	if len(c.l.Outputs) != t.Legs {
		return
	}
	tracks := make([]track, w)
	for k := range t.N {
		if c.quiet(k) {
			continue
		}
		for o, q := range t.Q[k*w : (k+1)*w] {
			out := &c.l.Outputs[o/kin.Joints][o%kin.Joints]
			if !out.Set || !t.Reached(k, o/kin.Joints) || c.r.Legs[o/kin.Joints].Limits[o%kin.Joints].Outside(q) > pastLimit {
				continue
			}
			us := out.Centre + out.PerRad*q
			if out.Outside(us) {
				c.add(&tracks[o], t.Time(k), out.past(us), Stop)
			}
		}
	}
	for o := range tracks {
		for _, v := range tracks[o].intervals() {
			leg, j := o/kin.Joints, o%kin.Joints
			out := &c.l.Outputs[leg][j]
			k, _ := c.at(v.worst, leg)
			us := out.Centre + out.PerRad*t.JointsAt(k, leg)[j]
			limit, word := out.Least, "shortest"
			if us > out.Greatest {
				limit, word = out.Greatest, "longest"
			}
			c.find(v, Finding{
				Leg: leg, Joint: j, Other: -1,
				Value: us, Limit: limit, Unit: "us",
				Why: fmt.Sprintf("%s needs a pulse of %.0f µs, past the %s of %.0f µs that its servo takes",
					c.joint(leg, j), math.Round(us), word, limit),
				Mend: fmt.Sprintf("turn the servo's horn by %s and move centre_us with it, or set range_us wider if the servo truly takes that",
					toothed(math.Abs(us-limit)/math.Abs(out.PerRad))),
			})
		}
	}
}

// toothed writes an angle by which a horn has to be turned, rad, rounded up.
func toothed(rad float64) string { return fmt.Sprintf("%.0f deg", math.Ceil(finite(rad*deg)-1e-6)) }
