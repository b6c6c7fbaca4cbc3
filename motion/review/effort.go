// SPDX-License-Identifier: MIT

package review

import (
	"fmt"
	"math"

	"gaitwright/kin"
	"gaitwright/kin/servo"
)

// need is what a servo is asked for at one sample, beside what it has.
type need struct {
	torque, speed           float64 // sizes, N·m, rad/s; torque 0 where it is not known
	torqueShare, speedShare float64 // of the derated stall torque and of the no-load speed
	driving                 bool
	line                    servo.Line // derated, at the voltage left
}

func (c *look) need(k, o int) need {
	w := c.t.Legs * kin.Joints
	tau, v := c.d.Torque[k*w+o], c.t.V[k*w+o]
	if tau != tau { // carried by forces that there are not
		tau = 0
	}
	line := c.d.LineAt(k, o)
	n := need{torque: math.Abs(tau), speed: math.Abs(v), driving: servo.Drives(tau, v), line: line.Derated(c.derating())}
	if n.line.Stall > 0 {
		n.torqueShare = n.torque / n.line.Stall
	} else if c.d.Lines[o].Stall > 0 { // the supply has nothing left
		n.torqueShare = math.Inf(1)
	}
	n.speedShare = n.speed / n.line.NoLoad
	if n.line.NoLoad == 0 && n.speed > 0 {
		n.speedShare = math.Inf(1)
	}
	return n
}

// derating gives the share of the stall torque counted on.
func (c *look) derating() float64 {
	if d := c.l.Derating; d > 0 && d <= 1 {
		return d
	}
	return 1
}

// speedLeft is the speed that the servo has left at the torque, rad/s.
func (n *need) speedLeft() float64 {
	if !n.driving {
		return n.line.NoLoad
	}
	return n.line.NoLoad * max(0, 1-n.torqueShare)
}

// torqueLeft is the torque that the servo has left at the speed, N·m.
func (n *need) torqueLeft() float64 {
	if !n.driving {
		return n.line.Stall
	}
	return n.line.Torque(n.speed)
}

// fast tells whether the speed rather than the torque takes the greater part
// of the line: whoever is past the line is told once, for that.
func (n *need) fast() bool { return n.speedShare >= n.torqueShare }

// jointSpeed: a joint that drives faster than its servo can at that load, or
// than a share of it; one that brakes, faster than its no-load speed. Where
// the torque is not known the no-load speed counts. A servo without a speed is
// not judged. The value is the speed.
func jointSpeed(c *look) {
	t := c.t
	w := t.Legs * kin.Joints
	tracks := make([]track, w)
	reserve := c.l.SpeedShare
	if !(reserve > 0 && reserve < 1) {
		reserve = 1
	}
	// Below this share of the no-load speed nothing can be wrong with the speed.
	for k := range t.N {
		for o, v := range t.V[k*w : (k+1)*w] {
			// A torque with the smaller share leaves at least half of the line.
			if math.Abs(v) <= 0.5*reserve*c.lowest(k, o) {
				continue
			}
			n := c.need(k, o)
			left := n.speedLeft()
			if !n.fast() || !(n.speed > reserve*left) || !t.Reached(k, o/kin.Joints) || c.torn(k, o) {
				continue
			}
			level := Caution
			if n.speed > left {
				level = Stop
			}
			c.add(&tracks[o], t.Time(k), n.speed/left, level)
		}
	}
	for o := range tracks {
		for _, v := range tracks[o].intervals() {
			leg, j := o/kin.Joints, o%kin.Joints
			n := c.need(t.Index(v.worst), o)
			left := n.speedLeft()
			limit, what := left*reserve, fmt.Sprintf("wanted %.2f of what its servo can", reserve)
			if v.level == Stop {
				limit, what = left, "most that its servo can"
			}
			at := "unloaded"
			if n.driving && n.torque > 0 {
				at = "at its load of " + torque(n.torque)
			}
			c.find(v, Finding{
				Leg: leg, Joint: j, Other: -1,
				Value: n.speed * deg, Limit: limit * deg, Unit: "deg/s",
				Why: fmt.Sprintf("%s is asked to turn at %.0f deg/s, above %.0f deg/s, the %s %s",
					c.joint(leg, j), finite(n.speed*deg), finite(limit*deg), what, at),
				// Both slow the whole span down: its speeds go with one over its time.
				Mend: fmt.Sprintf("run this entry at %s of its speed, or give the span %s times its time",
					share(left*reserve/n.speed), times(n.speed/(left*reserve))),
			})
		}
	}
}

// lowest gives the no-load speed of servo o at the voltage left, rad/s.
func (c *look) lowest(k, o int) float64 {
	line := c.d.LineAt(k, o)
	return line.NoLoad
}

// jointTorque: a torque past the derated torque-speed line, where the torque
// takes the greater part of it. The value is the torque.
func jointTorque(c *look) {
	t := c.t
	w := t.Legs * kin.Joints
	tracks := make([]track, w)
	for k := range t.N {
		for o, tau := range c.d.Torque[k*w : (k+1)*w] {
			if !(math.Abs(tau) > 0.5*c.derating()*c.weakest(k, o)) { // false for NaN; the smaller share leaves half the line
				continue
			}
			n := c.need(k, o)
			if left := n.torqueLeft(); !n.fast() && n.torque > left {
				score := n.torque / n.line.Stall
				if n.driving {
					score = n.torqueShare + n.speedShare
				}
				c.add(&tracks[o], t.Time(k), score, Stop)
			}
		}
	}
	for o := range tracks {
		for _, v := range tracks[o].intervals() {
			leg, j := o/kin.Joints, o%kin.Joints
			k := t.Index(v.worst)
			n := c.need(k, o)
			left := n.torqueLeft()
			enough := n.torque
			at := "at rest"
			if n.driving {
				enough /= max(0.01, 1-n.speedShare)
				at = fmt.Sprintf("at %.0f deg/s", n.speed*deg)
			}
			enough /= c.derating()
			mend := fmt.Sprintf("take load off leg %s: keep more feet down or move the body away from it; or a servo with a stall torque of %s", c.leg(leg), atLeast(enough))
			if !t.Planted[k*t.Legs+leg] {
				mend = fmt.Sprintf("let leg %s swing more slowly or make it lighter; or a servo with a stall torque of %s", c.leg(leg), atLeast(enough))
			}
			c.find(v, Finding{
				Leg: leg, Joint: j, Other: -1,
				Value: n.torque, Limit: left, Unit: "N·m",
				Why:  fmt.Sprintf("%s has to exert %s, more than the %s that its servo has left %s", c.joint(leg, j), torque(n.torque), torque(left), at),
				Mend: mend,
			})
		}
	}
}

// weakest gives the stall torque of servo o at the voltage left, N·m.
func (c *look) weakest(k, o int) float64 {
	line := c.d.LineAt(k, o)
	return line.Stall
}

// tooHot is how far the root-mean-square torque may lie above the limit before
// the run is stopped, not only cautioned about. Common practice.
const tooHot = 1.5

// servoHeat: the root-mean-square torque of the whole sequence above the share
// of the stall torque that a servo holds for long: the motor heats with the
// square of its current, and so of its torque (textbook).
func servoHeat(c *look) {
	t := c.t
	w := t.Legs * kin.Joints
	for o := range w {
		limit := c.l.Holding * c.d.Lines[o].Stall
		rms := c.d.RMS[o]
		if !(limit > 0) || !(rms > limit) {
			continue
		}
		v := interval{to: t.Duration(), part: -1, level: Caution}
		if rms > tooHot*limit {
			v.level = Stop
		}
		most := 0.0
		for k := range t.N {
			if a := math.Abs(c.d.Torque[k*w+o]); a > most {
				most, v.worst = a, t.Time(k)
			}
		}
		leg, j := o/kin.Joints, o%kin.Joints
		c.find(v, Finding{
			Entry: "whole sequence", Leg: leg, Joint: j, Other: -1,
			Value: rms, Limit: limit, Unit: "N·m",
			Why: fmt.Sprintf("%s exerts %s in the root mean square over the sequence, more than the %s that its servo holds for long",
				c.joint(leg, j), torque(rms), torque(limit)),
			Mend: fmt.Sprintf("let it rest in a pose that loads it less, stand lower or with the feet nearer to the body, or take a servo with a stall torque of %s",
				atLeast(rms/c.l.Holding)),
		})
	}
}

// supplyCurrent: all servos together draw more than the supply gives.
func supplyCurrent(c *look) {
	limit := c.d.Supply.Limit
	if !(limit > 0) {
		return
	}
	var tr track
	for k, i := range c.d.Current {
		if i > limit {
			c.add(&tr, c.t.Time(k), i, Stop)
		}
	}
	for _, v := range tr.intervals() {
		c.find(v, Finding{
			Leg: -1, Joint: -1, Other: -1,
			Value: v.score, Limit: limit, Unit: "A",
			Why:  fmt.Sprintf("the servos draw %.1f A together, more than the %.1f A that the supply gives", v.score, limit),
			Mend: fmt.Sprintf("take load off the joints here, or take a supply for %.1f A", math.Ceil(v.score*10)/10),
		})
	}
}
