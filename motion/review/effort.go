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
	if n.line.NoLoad != n.line.NoLoad { // not known, times nothing left
		n.line.NoLoad = math.Inf(1)
	}
	// A servo of unknown torque takes no share of it. Where the supply has
	// nothing left, any torque and any speed is too much.
	if n.torque > 0 && c.d.Lines[o].Stall > 0 {
		n.torqueShare = n.torque / n.line.Stall
	}
	if n.speed > 0 {
		n.speedShare = n.speed / n.line.NoLoad
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
// of the line: whoever is past the line is told once, for that. A servo that
// brakes has its speed whatever it bears, so its torque hides the speed only
// when it is too much itself.
func (n *need) fast() bool {
	return n.speedShare >= n.torqueShare || !n.driving && !(n.torqueShare > 1)
}

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
	// A driven joint is told here if x > reserve·(1-y) for shares x of the
	// speed and y <= x of the torque, so that x > reserve/2.
	slow := make([]float64, w)
	for o := range slow {
		slow[o] = justUnder * reserve / 2 * c.d.Lines[o].NoLoad
	}
	for k := range t.N {
		if c.quiet(k) {
			continue
		}
		left := c.voltage(k)
		for o, v := range t.V[k*w : (k+1)*w] {
			if math.Abs(v) <= left*slow[o] { // false for infinite times nothing
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
			limit := left * reserve
			what := fmt.Sprintf("more than %.2f of the %s deg/s that its servo can", reserve, decimal(left*deg, 0))
			if v.level == Stop {
				limit, what = left, fmt.Sprintf("faster than the %s deg/s that its servo can", decimal(left*deg, 0))
			}
			if n.driving && n.torque >= 0.0005 { // else written as 0.000
				what += " under its load of " + torque(n.torque)
			}
			// Both slow the whole span down: its speeds go with one over its time.
			mend := c.slowed(v.part, share(left*reserve/n.speed), left*reserve/n.speed) + c.orLonger(v.part, times(n.speed/(left*reserve)))
			switch {
			case n.line.NoLoad < collapsed*c.d.Lines[o].NoLoad:
				what, mend = "and the supply has hardly any voltage left for it", noVoltage
			case !(left > 0):
				what = fmt.Sprintf("and its load of %s alone is all that its servo bears, or more", torque(n.torque))
				mend = fmt.Sprintf("run this entry at less than %s of its speed: then see what remains of the load", share(reserve/n.speedShare))
			}
			c.find(v, Finding{
				Leg: leg, Joint: j, Other: -1,
				Value: n.speed * deg, Limit: limit * deg, Unit: "deg/s",
				Why:  fmt.Sprintf("%s is asked to turn at %s deg/s, %s", c.joint(leg, j), decimal(n.speed*deg, 0), what),
				Mend: mend,
			})
		}
	}
}

// collapsed is the share of its voltage below which a supply counts as broken
// down: no stronger servo mends that. Common practice.
const collapsed = 0.1

// noVoltage is what mends a supply whose voltage breaks down.
const noVoltage = "take load off the joints here, or take a supply and leads of less resistance"

// justUnder keeps the quick looks of jointSpeed and jointTorque on the near
// side of rounding.
const justUnder = 0.999

// voltage gives the share of its voltage that the supply has left at sample k.
func (c *look) voltage(k int) float64 {
	d := c.d
	if v := d.Voltage[k]; d.Supply.Voltage > 0 && v < d.Supply.Voltage { // false for NaN
		return max(0, v/d.Supply.Voltage)
	}
	return 1
}

// jointTorque: a torque past the derated torque-speed line, where the torque
// takes the greater part of it. The value is the torque.
func jointTorque(c *look) {
	t := c.t
	w := t.Legs * kin.Joints
	tracks := make([]track, w)
	// A driven joint is told here if x + y > 1 for shares x of the torque and
	// y < x of the speed, so that x > 1/2.
	light := make([]float64, w)
	for o := range light {
		light[o] = justUnder * c.derating() / 2 * c.d.Lines[o].Stall
	}
	for k := range t.N {
		if c.quiet(k) {
			continue
		}
		left := c.voltage(k)
		for o, tau := range c.d.Torque[k*w : (k+1)*w] {
			if !(math.Abs(tau) > left*light[o]) { // so for NaN
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
			enough, at := n.torqueShare, "at rest"
			if n.driving {
				enough /= 1 - min(0.99, n.speedShare)
				at = "at " + decimal(n.speed*deg, 0) + " deg/s"
			} else if n.speed > 0 {
				at = "when it brakes"
			}
			mend := fmt.Sprintf("take load off leg %s (keep more feet planted or move the body away from it)", c.leg(leg))
			if !t.Planted[k*t.Legs+leg] {
				mend = fmt.Sprintf("let leg %s swing more slowly or make it lighter", c.leg(leg))
			}
			if n.line.Stall >= collapsed*c.derating()*c.d.Lines[o].Stall {
				mend += ", or take a servo with a stall torque of " + c.rated(o, enough)
			} else {
				mend = noVoltage
			}
			c.find(v, Finding{
				Leg: leg, Joint: j, Other: -1,
				Value: n.torque, Limit: left, Unit: "N·m",
				Why:  fmt.Sprintf("%s has to exert %s, more than the %s that is counted on from its servo %s", c.joint(leg, j), torque(n.torque), torque(left), at),
				Mend: mend,
			})
		}
	}
}

// rated writes the stall torque, at its datasheet's voltage, of a servo that
// gives times as much as servo o.
func (c *look) rated(o int, times float64) string {
	s := &c.r.Legs[o/kin.Joints].Servos[o%kin.Joints]
	out := atLeast(times * s.StallTorque)
	if s.Voltage > 0 {
		out += fmt.Sprintf(" at %g V", s.Voltage)
	}
	return out
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
		// What it holds goes with current, and so with the torque that the
		// datasheet gives, whatever the voltage.
		limit := c.l.Holding * c.r.Legs[o/kin.Joints].Servos[o%kin.Joints].StallTorque
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
			Why: fmt.Sprintf("%s exerts %s in the root mean square over the sequence, more than the %s (%.2f of its stall torque) that its servo holds for long",
				c.joint(leg, j), torque(rms), torque(limit), c.l.Holding),
			Mend: fmt.Sprintf("stand with the feet nearer to the body or on more feet, rest where it bears less, or take a servo with a stall torque of %s",
				c.rated(o, rms/limit)),
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
	spans := tr.intervals()
	most := 0.0
	for _, v := range spans {
		most = max(most, v.score)
	}
	for _, v := range spans {
		c.find(v, Finding{
			Leg: -1, Joint: -1, Other: -1,
			Value: v.score, Limit: limit, Unit: "A",
			Why:  fmt.Sprintf("the servos draw %s A together, more than the %s A that the supply gives", decimal(v.score, 1), decimal(limit, 1)),
			Mend: fmt.Sprintf("take load off the joints here, or take a supply that gives %.1f A, the most of the sequence (current_limit_a)", math.Ceil(finite(most)*10-1e-6)/10),
		})
	}
}
