// SPDX-License-Identifier: MIT

package review

import (
	"fmt"
	"math"

	"gaitwright/kin"
)

// groundHit: the underside of a foot or of a knee, or a corner of the body,
// below the ground by more than is let pass. The value is the depth. A leg
// that misses its target is not judged.
func groundHit(c *look) {
	t := c.t
	feet, knees := make([]track, t.Legs), make([]track, t.Legs)
	var body track
	box := &c.r.Body
	for k := range t.N {
		if c.quiet(k) {
			continue
		}
		x := t.BodyPose(k)
		g := c.plane(&x)
		for i := range t.Legs {
			o := k*t.Legs + i
			if t.Reach[o] < 0 {
				continue
			}
			l := &c.r.Legs[i]
			p := t.Points[o*9 : o*9+9]
			if d := l.LinkRadius - g.height(p[3:6]); d > c.l.GroundHit {
				c.add(&knees[i], t.Time(k), d, Stop)
			}
			if d := l.FootRadius - g.height(p[6:9]); d > c.l.GroundHit {
				c.add(&feet[i], t.Time(k), d, Stop)
			}
		}
		low := math.Inf(1)
		for _, v := range box.Outline {
			low = min(low, g.normal.X*v.X+g.normal.Y*v.Y)
		}
		low += g.up + min(g.normal.Z*box.Bottom, g.normal.Z*box.Top)
		if -low > c.l.GroundHit {
			c.add(&body, t.Time(k), -low, Stop)
		}
	}
	tell := func(tr *track, leg, joint int, what, mend string) {
		for _, v := range tr.intervals() {
			c.find(v, Finding{
				Leg: leg, Joint: joint, Other: -1,
				Value: v.score * milli, Limit: c.l.GroundHit * milli, Unit: "mm",
				Why:  fmt.Sprintf("%s goes %s below the ground", what, length(v.score)),
				Mend: fmt.Sprintf("raise %s by %s %s", mend, amend(v.score), c.there(v.worst)),
			})
		}
	}
	for i := range t.Legs {
		tell(&feet[i], i, -1, "the foot of leg "+c.leg(i), "its path")
		tell(&knees[i], i, kin.Tibia, "the knee of leg "+c.leg(i), "the body")
	}
	tell(&body, -1, -1, "a corner of the body", "the body")
}
