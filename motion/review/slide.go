// SPDX-License-Identifier: MIT

package review

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

// brushes is how near the ground a swinging foot counts as touching it, m.
// Common practice: less than a rubber foot gives.
const brushes = 0.0003

// footSlides: a planted foot that drifts from where it was planted (value:
// how far), or a swinging foot that moves over the ground while touching it
// (value: the way covered in that contact). Feet as they really stand.
//
// And planted feet that the friction of the ground does not hold.
func footSlides(c *look) {
	c.slips()
	t := c.t
	type contact struct {
		planted, brushing bool
		at                r3.Vec  // where planted, or the last place while brushing, G
		way               float64 // while brushing, m
		silent            int     // samples before this one need no look
	}
	var feet [kin.MaxLegs]contact
	drift, brush := make([]track, t.Legs), make([]track, t.Legs)
	for k := range t.N {
		var x kin.Pose
		var g plane
		posed := false
		for i := range t.Legs {
			o := k*t.Legs + i
			f := &feet[i]
			if k == 0 || t.Planted[o] != t.Planted[o-t.Legs] {
				*f = contact{silent: c.silent(k, i)}
			}
			if k < f.silent {
				continue
			}
			if t.Reach[o] < 0 {
				f.brushing = false
				continue
			}
			if !posed {
				posed, x = true, t.BodyPose(k)
				g = c.plane(&x)
			}
			p := t.Points[o*9 : o*9+9]
			if t.Planted[o] {
				q := c.realFoot(&x, p)
				if !f.planted {
					f.planted, f.at = true, q
				} else if d := r3.Norm(r3.Sub(q, f.at)); d > c.l.Slide {
					c.add(&drift[i], t.Time(k), d, Stop)
				}
				continue
			}
			if g.height(p[6:])-c.r.Legs[i].FootRadius > brushes {
				f.brushing = false
				continue
			}
			q := c.realFoot(&x, p)
			if !f.brushing {
				f.brushing, f.at, f.way = true, q, 0
				continue
			}
			f.way += math.Hypot(q.X-f.at.X, q.Y-f.at.Y)
			f.at = q
			if f.way > c.l.Slide {
				c.add(&brush[i], t.Time(k), f.way, Stop)
			}
		}
	}
	for i := range t.Legs {
		f := Finding{Leg: i, Joint: -1, Other: -1, Limit: c.l.Slide * milli, Unit: "mm"}
		for _, v := range drift[i].intervals() {
			f.Value = v.score * milli
			f.Why = fmt.Sprintf("the planted foot of leg %s drifts %s from where it was planted", c.leg(i), length(v.score))
			f.Mend = fmt.Sprintf("keep the foot on one point while it is planted, or lift it for the %s", length(v.score))
			c.find(v, f)
		}
		for _, v := range brush[i].intervals() {
			f.Value = v.score * milli
			f.Why = fmt.Sprintf("the swinging foot of leg %s is dragged %s over the ground", c.leg(i), length(v.score))
			f.Mend = fmt.Sprintf("raise the path of leg %s by %s there, or let it meet the ground straight from above", c.leg(i), amend(c.lift(v, i)))
			c.find(v, f)
		}
	}
}

// silent gives the end of the samples, from k on, over which a foot stands or
// swings if all of them are quiet, else k.
func (c *look) silent(k, leg int) int {
	if c.calm == nil {
		return k
	}
	t := c.t
	for n := k; n < t.N; n++ {
		if t.Planted[n*t.Legs+leg] != t.Planted[k*t.Legs+leg] {
			return n
		}
		if !c.quiet(n) {
			return k
		}
	}
	return t.N
}

// lift gives how much higher the foot has to go to be clear of the ground in
// the interval.
func (c *look) lift(v interval, leg int) float64 {
	low := math.Inf(1)
	for k := c.t.Index(v.from); k <= c.t.Index(v.to); k++ {
		x := c.t.BodyPose(k)
		g := c.plane(&x)
		o := (k*c.t.Legs + leg) * 9
		low = min(low, g.height(c.t.Points[o+6:o+9])-c.r.Legs[leg].FootRadius)
	}
	return brushes - low
}
