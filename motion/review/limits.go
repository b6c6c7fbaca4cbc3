// SPDX-License-Identifier: MIT

package review

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

// pastLimit is how far a joint may stand past its travel by rounding, rad.
const pastLimit = 1e-6

// jointLimit: an angle outside the joint's travel. The value is the angle.
func jointLimit(c *look) {
	t := c.t
	w := t.Legs * kin.Joints
	tracks := make([]track, w)
	ranges := make([]kin.Range, w)
	for o := range ranges {
		r := c.r.Legs[o/kin.Joints].Limits[o%kin.Joints]
		ranges[o] = kin.Range{Lo: r.Lo - pastLimit, Hi: r.Hi + pastLimit}
	}
	for k := range t.N {
		if c.quiet(k) {
			continue
		}
		for o, q := range t.Q[k*w : (k+1)*w] {
			if r := &ranges[o]; (q < r.Lo || q > r.Hi) && t.Reached(k, o/kin.Joints) {
				c.add(&tracks[o], t.Time(k), r.Outside(q), Stop)
			}
		}
	}
	for o := range tracks {
		for _, v := range tracks[o].intervals() {
			leg, j := o/kin.Joints, o%kin.Joints
			l := &c.r.Legs[leg]
			k, _ := c.at(v.worst, leg)
			q := t.JointsAt(k, leg)
			limit, word := l.Limits[j].Lo, "lower"
			if q[j] > l.Limits[j].Hi {
				limit, word = l.Limits[j].Hi, "upper"
			}
			near := q
			for n := range near {
				near[n] = max(l.Limits[n].Lo, min(l.Limits[n].Hi, near[n]))
			}
			x := l.XBH()
			move := x.R.Mul(r3.Sub(l.Forward(near), l.Forward(q)))
			c.find(v, Finding{
				Leg: leg, Joint: j, Other: -1,
				Value: q[j] * deg, Limit: limit * deg, Unit: "deg",
				Why: fmt.Sprintf("%s stands at %.1f deg, past its %s limit of %.1f deg", c.joint(leg, j), q[j]*deg, word, limit*deg),
				Mend: fmt.Sprintf("move %s of leg %s %s, or widen the limit if the joint truly turns that far",
					c.point("the foot point", v.worst), c.leg(leg), shift(move)),
			})
		}
	}
}
