// SPDX-License-Identifier: MIT

package review

import (
	"fmt"
	"math"
	"sort"

	"gaitwright/kin"
)

// What counts as a jump of position. Common practice: at a seam a tenth of
// what a hobby servo resolves; between samples an angle that no servo covers
// in a few milliseconds, and that stands out from the samples beside.
const (
	stepAllowed = 0.01 / deg // rad
	leapAllowed = 20 / deg   // rad
	leapBeside  = 3
)

// jump: an angle or a speed that is not continuous, at a seam (where the plan
// tells it exactly) or between two samples. The value is the step.
func jump(c *look) {
	c.seams()
	c.leaps()
}

// seams tells for each leg and seam the joint that steps most, or else the
// joint whose speed does.
func (c *look) seams() {
	t := c.t
	for n := range t.Seams {
		s := &t.Seams[n]
		if !c.reachedAt(s.At, s.Leg) {
			continue
		}
		step, kick := 0, 0
		for j := range kin.Joints {
			if math.Abs(s.Step[j]) > math.Abs(s.Step[step]) {
				step = j
			}
			if math.Abs(s.Kick[j]) > math.Abs(s.Kick[kick]) {
				kick = j
			}
		}
		v := interval{from: s.At, to: s.At, worst: s.At, part: t.PartAt(s.At)}
		if d := math.Abs(s.Step[step]); d > stepAllowed {
			v.level = Stop
			c.leap(v, s.Leg, step, d, stepAllowed)
			continue
		}
		if d := math.Abs(s.Kick[kick]); d > c.l.JumpSpeed {
			c.find(v, Finding{
				Leg: s.Leg, Joint: kick, Other: -1,
				Value: d * deg, Limit: c.l.JumpSpeed * deg, Unit: "deg/s",
				Why: fmt.Sprintf("the speed of %s changes by %s deg/s at once", c.joint(s.Leg, kick), decimal(d*deg, 0)),
				Mend: fmt.Sprintf("let the span before end and the span after begin slowly, or run both at %s of their speed",
					share(c.l.JumpSpeed/d)),
			})
		}
	}
}

// reachedAt tells whether the leg is on its target at the last sample before
// a time and at the first from it on.
func (c *look) reachedAt(s float64, leg int) bool {
	t := c.t
	k := int(max(0, min(float64(t.N-1), math.Ceil(s*t.Rate-1e-6))))
	return t.N == 0 || t.Reached(max(k-1, 0), leg) && t.Reached(k, leg)
}

// leaps looks between the samples: a coxa that flips as its foot passes over
// the axis steps at no seam.
func (c *look) leaps() {
	t := c.t
	w := t.Legs * kin.Joints
	for k := 1; k < t.N; k++ {
		if c.quiet(k) {
			continue
		}
		a, b := t.Q[(k-1)*w:k*w], t.Q[k*w:(k+1)*w]
		for o, q := range b {
			if math.Abs(q-a[o]) <= leapAllowed {
				continue
			}
			leg, j := o/kin.Joints, o%kin.Joints
			d, limit := c.leapt(k, o)
			if d <= limit || !t.Reached(k-1, leg) || !t.Reached(k, leg) || c.stepped(k, leg) {
				continue
			}
			s := t.Time(k)
			c.heard(k)
			c.leap(interval{from: t.Time(k - 1), to: s, worst: s, part: t.PartAt(s), level: Stop}, leg, j, d, limit)
		}
	}
}

// leapt gives how far joint o of a row of angles turns before sample k (at
// least 1), and what would pass for motion there, rad.
func (c *look) leapt(k, o int) (d, limit float64) {
	t := c.t
	w := t.Legs * kin.Joints
	q := func(k int) float64 { return t.Q[k*w+o] }
	beside := 0.0
	if k > 1 {
		beside = math.Abs(q(k-1) - q(k-2))
	}
	if k+1 < t.N {
		beside = max(beside, math.Abs(q(k+1)-q(k)))
	}
	return math.Abs(q(k) - q(k-1)), max(leapAllowed, leapBeside*beside)
}

// torn tells whether the speed of joint o at sample k was taken across a jump
// of position, and so is none.
func (c *look) torn(k, o int) bool {
	for n := max(k, 1); n <= min(k+1, c.t.N-1); n++ {
		if d, limit := c.leapt(n, o); d > limit || c.stepped(n, o/kin.Joints) {
			return true
		}
	}
	return false
}

// stepped tells whether a step at a seam before sample k has been told. A seam
// on a sample counts for both sides of it, since rounding decides which piece
// the sample was taken from.
func (c *look) stepped(k, leg int) bool {
	seams := c.t.Seams // in order of time
	from, to := (float64(k-1)-1e-6)/c.t.Rate, (float64(k)+1e-6)/c.t.Rate
	n := sort.Search(len(seams), func(i int) bool { return seams[i].At >= from })
	for ; n < len(seams) && seams[n].At <= to; n++ {
		if s := &seams[n]; s.Leg == leg && c.reachedAt(s.At, leg) {
			for _, d := range s.Step {
				if math.Abs(d) > stepAllowed {
					return true
				}
			}
		}
	}
	return false
}

// leap tells a step of d (rad).
func (c *look) leap(v interval, leg, j int, d, limit float64) {
	mend := "let the span after begin exactly where the span before ends"
	if d > math.Pi/2 {
		mend = "lead the foot's path round its mount on the outer side, so that the joint need not turn over, or check that the spans meet"
	}
	c.find(v, Finding{
		Leg: leg, Joint: j, Other: -1,
		Value: d * deg, Limit: limit * deg, Unit: "deg",
		Why:  fmt.Sprintf("%s would have to leap by %s deg at once", c.joint(leg, j), decimal(d*deg, 2)),
		Mend: mend,
	})
}
