// SPDX-License-Identifier: MIT

package review

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

// outOfReach: a target that the leg misses. The value is how far.
func outOfReach(c *look) {
	t := c.t
	tracks := make([]track, t.Legs)
	for k := range t.N {
		for i, m := range t.Reach[k*t.Legs : (k+1)*t.Legs] {
			if m < 0 {
				c.add(&tracks[i], t.Time(k), -m, Stop)
			}
		}
	}
	for i := range tracks {
		for _, v := range tracks[i].intervals() {
			c.find(v, Finding{
				Leg: i, Joint: -1, Other: -1,
				Value: v.score * milli, Unit: "mm",
				Why:  fmt.Sprintf("the foot of leg %s misses its path by %s", c.leg(i), length(v.score)),
				Mend: c.reachMend(v.worst, i),
			})
		}
	}
}

// reachMend says how far the target is from what the leg can touch, and
// whether raising or lowering the body alone would do.
func (c *look) reachMend(s float64, leg int) string {
	k, _ := c.at(s, leg)
	l := &c.r.Legs[leg]
	xWB := c.t.BodyPose(k)
	xBH := l.XBH()
	pHF := xBH.Into(xWB.Into(c.t.FootAt(k, leg)))
	sol := l.Solve(pHF)
	if math.IsInf(sol.Miss, 0) {
		return "give the path finite points near the robot"
	}
	// The reach is a ring from |F-T| to F+T; the longer link lies within it.
	rho, d := math.Hypot(pHF.X, pHF.Y), math.Abs(l.Lateral)
	out := math.Sqrt(max(0, (rho-d)*(rho+d))) - l.Length[kin.Coxa]
	how := "farther from"
	if math.Hypot(out, pHF.Z-l.Vertical) > max(l.Length[kin.Femur], l.Length[kin.Tibia]) {
		how = "nearer to"
	}
	mend := fmt.Sprintf("bring %s %s %s the mount", c.point("the point", s), amend(sol.Miss), how)
	// Moving the body along the ground's normal moves the target the other way.
	nHG := xBH.R.TMul(xWB.R.TMul(c.nWG))
	for _, d := range []struct {
		sign float64
		verb string
	}{{1, "lower"}, {-1, "raise"}} {
		hit := func(h float64) bool {
			return l.Solve(r3.Add(pHF, r3.Scale(d.sign*h, nHG))).Status != kin.Missed
		}
		// The first height that works, if any does within the leg's own length.
		most := l.Length[kin.Femur] + l.Length[kin.Tibia]
		if d.sign > 0 { // no lower than the body's lower face on the ground
			most = min(most, max(0, r3.Dot(c.nWG, xWB.P)+c.r.Body.Bottom))
		}
		const steps = 64
		for n := 1; n <= steps; n++ {
			hi := most * float64(n) / steps
			if !hit(hi) {
				continue
			}
			lo := most * float64(n-1) / steps
			for range 30 {
				if m := (lo + hi) / 2; hit(m) {
					hi = m
				} else {
					lo = m
				}
			}
			return fmt.Sprintf("%s, or %s the body by %s", mend, d.verb, amend(hi))
		}
	}
	return mend
}
