// SPDX-License-Identifier: MIT

package review

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/support"
	"gaitwright/motion"
	"gaitwright/motion/load"
)

// liftAllowed is how far the far feet may lift, as the robot rocks on an edge
// of its support, before the motion is stopped and not only cautioned about,
// m. From 2 mm on the feet do not come down where they stood (common practice;
// a soft sole and the play of three servos hide less). The estimate is that of
// a stiff robot on hard ground: on ground that gives, as in the physics engine
// of testdata/ode, feet lift up to a quarter more (2.0 mm for 1.6).
const liftAllowed = 0.0015

// rollAllowed is how far the robot may roll over one or two feet, in the
// stride of a gait that leaves no more, before the next ones catch it, rad.
// Common practice; in the physics engine of testdata/ode such a gait that rolls
// by 0.8 degrees goes on and one that rolls by more than 3 does not.
const rollAllowed = 2 * math.Pi / 180

// tipsFast: the zero-moment point outside the support polygon, or inside by
// less than is wanted, or feet that would have to pull. The value is the
// signed distance, or on one or two feet the angle of the roll. Outside, the
// robot begins to roll over an edge: it is a stop when it lifts its far feet by
// more than liftAllowed before they are down again, else a caution. What
// tipsSlow tells of the same instant is not told again: a robot that tips at
// rest tips in motion.
func tipsFast(c *look) {
	t := c.t
	var tr track
	peak, until := 0.0, -1 // of the rocking under way, and its last sample
	for k := range t.N {
		m := c.d.Dynamic[k]
		if c.d.State[k] == load.Unknown || c.d.State[k] == load.Flying || c.d.State[k] == load.Unsupported {
			continue
		}
		bad := m < 0 || c.d.State[k] == load.Pulled
		if !bad && !(m < c.l.Dynamic) {
			continue
		}
		slow := t.Margin[k]
		switch {
		case c.striding(k):
			if c.d.Tilt[k] > rollAllowed {
				c.add(&tr, t.Time(k), worse(m), Stop)
			}
		case !(slow >= 0) || !bad && slow < c.l.Margin:
			continue // told by tipsSlow
		case !bad:
			c.add(&tr, t.Time(k), -m, Caution)
		default:
			if k > until {
				peak, until = c.rocking(k)
			}
			level := Caution
			if peak > liftAllowed || m != m {
				level = Stop
			}
			c.add(&tr, t.Time(k), worse(m), level)
		}
	}
	for _, v := range tr.intervals() {
		k := t.Index(v.worst)
		m, limit := c.d.Dynamic[k], c.l.Dynamic
		value, most, unit := m*milli, limit*milli, "mm"
		why := fmt.Sprintf("the zero-moment point is only %s inside the support polygon, less than the wanted %s", length(m), length(limit))
		lift := over(v, t, c.rocking)
		switch {
		case m != m:
			value, most = 0, 0
			why = "the motion asks the ground to hold the robot down: it leaves its feet"
		case v.level == Stop && c.striding(k):
			value, most, unit = c.d.Tilt[k]*deg, rollAllowed*deg, "deg"
			why = fmt.Sprintf("on %s the robot rolls by %s deg before the next ones are down, more than %s deg", feet(c.down(k)), decimal(c.d.Tilt[k]*deg, 1), decimal(rollAllowed*deg, 1))
		case m < 0 && v.level == Stop:
			most = 0
			why = fmt.Sprintf("the zero-moment point is %s outside the support polygon, so the robot rolls over its edge and lifts its far feet by %s", length(-m), some(lift))
		case m < 0:
			most = 0
			why = fmt.Sprintf("the zero-moment point is %s outside the support polygon for %s: the far feet may lift by %s and come down again",
				length(-m), lasting(&v), some(lift))
		case c.d.State[k] == load.Pulled:
			most = 0
			why = fmt.Sprintf("a planted foot would have to pull on the ground, with the zero-moment point %s inside the support polygon", length(m))
		}
		c.find(v, Finding{
			Leg: -1, Joint: -1, Other: -1,
			Value: value, Limit: most, Unit: unit,
			Why: why, Mend: c.slower(v),
		})
	}
}

// rocking gives how far the far feet are lifted in the rocking that sample k
// belongs to, m, and its last sample.
func (c *look) rocking(k int) (peak float64, until int) {
	for ; k < c.t.N; k++ {
		if lift := c.d.Lift[k]; lift > 0 {
			peak = max(peak, lift)
		} else if !(c.d.Dynamic[k] < 0) {
			break
		}
		until = k
	}
	return peak, max(until, k-1)
}

// over gives the most of what run says of the stretches that begin within an
// interval.
func over(v interval, t *motion.Trajectory, run func(k int) (float64, int)) (most float64) {
	for k := t.Index(v.from); k <= t.Index(v.to); k++ {
		m, until := run(k)
		most, k = max(most, m), max(k, until)
	}
	return most
}

// down counts the planted feet.
func (c *look) down(k int) (n int) {
	for _, p := range c.t.Planted[k*c.t.Legs : (k+1)*c.t.Legs] {
		if p {
			n++
		}
	}
	return n
}

// worse orders instants with and without a zero-moment point.
func worse(margin float64) float64 {
	if margin != margin {
		return beyond
	}
	return -margin
}

// slower says at what share of its speed the motion in an interval would do,
// and where the body would have to be.
func (c *look) slower(v interval) string {
	t := c.t
	want := max(c.l.Dynamic, 0)
	// The point moves away from where the weight alone puts it in proportion to
	// the accelerations, which go with the square of the speed, and the signed
	// distance inside a convex polygon is concave.
	s, ok := 1.0, true
	for k := t.Index(v.from); k <= t.Index(v.to); k++ {
		static, dynamic := t.Margin[k], c.d.Dynamic[k]
		if dynamic >= want && c.d.State[k] != load.Pulled {
			continue
		}
		if !(static > want && dynamic < want) {
			ok = false
			break
		}
		s = min(s, math.Sqrt((static-want)/(static-dynamic)))
	}
	if !ok {
		return "speed up and slow down more gently here, lean the other way first, or keep more feet planted"
	}
	mend := c.slowed(v.part, share(s), s) + c.orLonger(v.part, times(1/s))
	k := t.Index(v.worst)
	p, _ := c.d.ZMPAt(k)
	hull := c.support(k)
	from := support.Point{X: p.X, Y: p.Y}
	if to, ok := inset(&hull, from, want); ok {
		d := r3.Vec{X: to.X - from.X, Y: to.Y - from.Y}
		com := support.Point{X: t.COM[k*3] + d.X, Y: t.COM[k*3+1] + d.Y}
		if b, ok := c.bodyShift(k, d); ok && hull.Margin(com) >= c.l.Margin && c.canShift(v.part, b) {
			mend += ", or shift the body " + shift(c.heading(k, b)) + " before"
		}
	}
	return mend
}

// airborne: no foot planted while the drawn body path is not that of a free
// fall, or a foot that is said to be planted but hangs in the air or in the
// ground. The value is the acceleration that nothing gives.
func airborne(c *look) {
	t := c.t
	var tr track
	for k := range t.N {
		if c.anyPlanted(k) {
			continue
		}
		a, spin := c.d.OffFall(k)
		switch bad := max(a/load.FallsFreely, spin/load.DriftsFreely); {
		case bad != bad:
			c.add(&tr, t.Time(k), 0, Stop)
		case bad > 1:
			c.add(&tr, t.Time(k), bad, Stop)
		}
	}
	for _, v := range tr.intervals() {
		a, spin := c.d.OffFall(t.Index(v.worst))
		f := Finding{
			Leg: -1, Joint: -1, Other: -1,
			Mend: fmt.Sprintf("keep feet planted from %.3f s to %.3f s, at least three for a slow motion; in a leap let the centre of mass fall freely", v.from, v.to),
		}
		switch {
		case a != a:
			f.Limit, f.Unit = load.FallsFreely, "m/s²"
			f.Why = "no foot is planted, and as a leg has no acceleration of its own here, nothing can be said of how the robot falls"
		case a/load.FallsFreely >= spin/load.DriftsFreely:
			f.Value, f.Limit, f.Unit = a, load.FallsFreely, "m/s²"
			f.Why = fmt.Sprintf("no foot is planted, and the path of the body asks for %s m/s² that nothing gives it", decimal(a, 1))
		default:
			f.Value, f.Limit, f.Unit = spin*milli, load.DriftsFreely*milli, "mm"
			f.Why = fmt.Sprintf("no foot is planted, and the robot turns as if its weight pulled %s beside its centre of mass", length(spin))
		}
		c.find(v, f)
	}
	for i := range t.Floating {
		s := &t.Floating[i]
		how, verb := "above", "lower"
		if s.Height < 0 {
			how, verb = "below", "raise"
		}
		h := math.Abs(s.Height)
		v := interval{from: s.From, to: s.To, worst: s.From, part: t.PartAt(s.From), level: Stop}
		c.find(v, Finding{
			Leg: s.Leg, Joint: -1, Other: -1,
			Value: s.Height * milli, Unit: "mm",
			Why:  fmt.Sprintf("the foot of leg %s is said to be planted but hangs %s %s the ground", c.leg(s.Leg), length(h), how),
			Mend: fmt.Sprintf("%s the point where leg %s is planted by %s, or let it swing there", verb, c.leg(s.Leg), amend(h)),
		})
	}
}

// slips: no forces inside the friction cones carry the robot on its path. The
// value is the coefficient that would do. A stop when the robot slides farther
// than a foot may drift before friction holds it again, or the motion ends
// before that, or it turns; else a caution.
func (c *look) slips() {
	t := c.t
	var tr track
	far, until := 0.0, -1
	for k := range t.N {
		if !c.d.Slides(k) {
			continue
		}
		if k > until {
			far, until = c.sliding(k)
		}
		level := Caution
		if far > c.l.Slide || until == t.N-1 && c.d.Slides(until) {
			level = Stop
		}
		c.add(&tr, t.Time(k), c.pull(k), level)
	}
	for _, v := range tr.intervals() {
		k := t.Index(v.worst)
		far := over(v, t, c.sliding)
		how := fmt.Sprintf("so the robot slides %s", some(far))
		switch {
		case far == beyond:
			how = "so the robot turns on its feet"
		case v.to >= t.Duration()-1e-9 && c.d.Slides(t.N-1):
			how += " and goes on"
		}
		f := Finding{Leg: -1, Joint: -1, Other: -1, Limit: c.r.Friction}
		mu, ok := c.d.LeastFriction(k)
		if ok {
			f.Value = mu
			f.Why = fmt.Sprintf("the planted feet need a friction coefficient of %s to carry the body on this path and there is %s, %s", decimal(mu, 2), decimal(c.r.Friction, 2), how)
			f.Mend = fmt.Sprintf("speed up and slow down more gently here, stand on less of a slope, or take feet and ground with a friction coefficient of %.2f (friction in [ground])", math.Ceil(mu*100.2)/100) // no less for being rounded
		} else {
			f.Value = finite(c.pull(k))
			f.Why = fmt.Sprintf("no friction that feet have carries the body on this path; there is %s, %s", decimal(c.r.Friction, 2), how)
			f.Mend = "speed up and slow down more gently here, or keep more feet planted"
		}
		c.find(v, f)
	}
}

// sliding gives how far the robot slides in the slip that sample k belongs to,
// m, beyond where it turns, and its last sample.
func (c *look) sliding(k int) (far float64, until int) {
	for until = k; k < c.t.N; k++ {
		switch s := c.d.Slip[k]; {
		case s != s && c.d.State[k] == load.Slipping:
			far = beyond
		case s > 0:
			far = max(far, s)
		default:
			return far, until
		}
		until = k
	}
	return far, until
}

// pull gives how much of a push along the ground there is to one into it.
func (c *look) pull(k int) float64 {
	d := c.d
	f := r3.Vec{X: d.Acc[k*3], Y: d.Acc[k*3+1], Z: d.Acc[k*3+2] + c.r.Gravity}
	push := r3.Dot(c.nWG, f)
	along := r3.Norm(r3.Sub(f, r3.Scale(push, c.nWG)))
	if !(push > 0) {
		return beyond
	}
	return along / push
}

// hardLanding: a foot that meets the ground or its target faster than the
// limit, or whose joints are sent more than their servos' stall torque by it:
// a stop where a leg that gives way freely is, a caution where only a stiff
// one is. The value is the speed.
func hardLanding(c *look) {
	t := c.t
	for n := range c.d.Blows {
		b := &c.d.Blows[n]
		m := &t.Impacts[b.Impact]
		free, j := c.overloaded(m.Leg, &b.FreeTorque)
		stiff, js := c.overloaded(m.Leg, &b.LockedTorque)
		v := interval{from: m.At, to: m.At, worst: m.At, part: t.PartAt(m.At - 1e-6), level: Stop}
		past, joint, why := b.Speed/c.l.Landing, -1, fmt.Sprintf("faster than %s mm/s", decimal(c.l.Landing*milli, 0))
		switch {
		case free > 1 && free > past:
			past, joint, why = free, j, c.blow(m.Leg, j, b.FreeTorque[j], "even if its joints give way")
		case past > 1:
		case stiff > 1:
			v.level = Caution
			past, joint, why = stiff, js, c.blow(m.Leg, js, b.LockedTorque[js], "if its joints hold stiff")
		default:
			continue
		}
		what := "the ground"
		if m.Strike {
			what = "its target"
		}
		c.find(v, Finding{
			Leg: m.Leg, Joint: joint, Other: -1,
			Value: b.Speed * milli, Limit: b.Speed / past * milli, Unit: "mm/s",
			Why: fmt.Sprintf("the foot of leg %s meets %s at %s mm/s, %s", c.leg(m.Leg), what, decimal(b.Speed*milli, 0), why),
			Mend: fmt.Sprintf("let the foot arrive at %s of its speed (give the span more time, or pull the second handle of its timing to the left)%s",
				share(1/past), softer(joint)),
		})
	}
}

// blow says what a landing sends into a joint.
func (c *look) blow(leg, j int, nm float64, how string) string {
	return fmt.Sprintf("which in %s ms sends %s into its %s %s, more than the %s that the servo stands",
		decimal(c.l.Contact*milli, 0), torque(nm), kin.JointName(j), how, torque(c.d.Lines[leg*kin.Joints+j].Stall))
}

// softer adds what helps where the blow rather than the speed is too much.
func softer(joint int) string {
	if joint < 0 {
		return ""
	}
	return ", or give it a softer sole"
}

// overloaded gives the greatest share of a stall torque among a leg's joints,
// and the joint.
func (c *look) overloaded(leg int, torque *[kin.Joints]float64) (most float64, joint int) {
	for j, v := range torque {
		if s := c.d.Lines[leg*kin.Joints+j].Stall; s > 0 && v/s > most {
			most, joint = v/s, j
		}
	}
	return most, joint
}
