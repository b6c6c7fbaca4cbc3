// SPDX-License-Identifier: MIT

package review

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"
)

// lowStrike: the underside of a striking foot, where its path puts it, lower
// over the ground than the floor set for it. The value is the height.
func lowStrike(c *look) {
	t := c.t
	for n := range t.Floors {
		s := &t.Floors[n]
		radius := c.r.Legs[s.Leg].FootRadius
		var tr track
		k, end := c.within(s)
		for ; k < end; k++ {
			h := r3.Dot(c.nWG, t.FootAt(k, s.Leg)) - radius
			if h < s.Height-1e-9 { // not by rounding
				c.add(&tr, t.Time(k), -h, Stop)
			}
		}
		for _, v := range tr.intervals() {
			h := -v.score
			c.find(v, Finding{
				Leg: s.Leg, Joint: -1, Other: -1,
				Value: h * milli, Limit: s.Height * milli, Unit: "mm",
				Why: fmt.Sprintf("the underside of the striking foot of leg %s comes down to %s, below its floor of %s",
					c.leg(s.Leg), length(h), length(s.Height)),
				Mend: fmt.Sprintf("raise the path of leg %s by %s %s", c.leg(s.Leg), amend(s.Height-h), c.there(v.worst)),
			})
		}
	}
}
