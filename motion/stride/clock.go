// SPDX-License-Identifier: MIT

package stride

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/motion"
	"gaitwright/motion/gait"
)

// swayLead is the time in which the body sways over before the first foot of
// a gait that sways lifts, periods.
const swayLead = 0.25

func leadTime(g *gait.Gait) float64 {
	if g.Sway > 0 {
		return swayLead * g.Period
	}
	return 0
}

func ramp(r *Request, usual float64) float64 {
	if r.Ramp > 0 {
		return r.Ramp
	}
	return usual
}

// beat is an instant of a gait's clock: a phase and a number of whole cycles.
type beat struct {
	cycles int
	phase  float64 // [0,1)
}

// plus gives the beat some cycles later.
func (b beat) plus(cycles int) beat { return beat{b.cycles + cycles, b.phase} }

// clock is a gait in time.
type clock struct {
	*gait.Gait
	origin     float64 // time of phase 0, s
	lift, land []beat  // of each leg in the cycle in which it touches down at its own phase
}

// start gives the clock of a gait with phase 0 at a time. Beats of the gait
// that are meant to meet meet to the last digit.
func start(g *gait.Gait, origin float64) *clock {
	c := &clock{Gait: g, origin: origin}
	events := g.Events()
	meet := func(phase float64) beat {
		n := math.Floor(phase)
		b := beat{int(n), phase - n}
		for _, e := range events {
			d := b.phase - e
			switch {
			case math.Abs(d) < 2e-9:
				b.phase = e
				return b
			case d > 1-2e-9: // just before a whole cycle
				return beat{b.cycles + 1, e}
			}
		}
		return b
	}
	for i, p := range g.Phase {
		c.lift = append(c.lift, meet(p+g.DutyOf(i)))
		c.land = append(c.land, meet(p+1))
	}
	return c
}

// at gives the time of a beat, s.
func (c *clock) at(b beat) float64 { return c.origin + (float64(b.cycles)+b.phase)*c.Period }

// lifts gives when leg i lifts in a cycle, lands when it is down again, s.
func (c *clock) lifts(i, cycle int) float64 { return c.at(c.lift[i].plus(cycle)) }
func (c *clock) lands(i, cycle int) float64 { return c.at(c.land[i].plus(cycle)) }

// next gives the first cycle in which leg i does not lift before a time.
func (c *clock) next(i int, t float64) int {
	b := c.lift[i]
	return int(math.Ceil((t-c.origin)/c.Period - float64(b.cycles) - b.phase - 1e-9))
}

// begin starts the clock of a gait from standing: its first leg lifts at once,
// or when the body has swayed over; and where a leg has only just come to
// stand, when its phase gets there at its bounded rate.
func (w *Walker) begin(r *Request) {
	g := r.Gait
	at := w.now + leadTime(g)
	for i := range w.legs {
		at = max(at, w.now+(1-w.share(i, w.now))*g.DutyOf(i)*g.Period/quick)
	}
	w.clock = start(g, at-g.First()*g.Period)
	w.stopping, w.stepping = r.Halt, false
	for i := range w.legs {
		l := &w.legs[i]
		l.cycle = w.clock.next(i, at)
		l.next = max(w.clock.lifts(i, l.cycle), at)
		l.share0, l.since, l.until = w.share(i, w.now), w.now, l.next
	}
	w.steer(at, r.Command, ramp(r, g.Period))
	w.swaying(leadTime(g))
}

// swaying lays the sway of the gait in force, to be right within a time.
func (w *Walker) swaying(within float64) {
	if within == 0 {
		within = w.clock.Period / 2
	}
	if bumps := w.sway(); len(bumps) > 0 || len(w.carriage.Bumps) > 0 {
		w.carry(bumps, within)
	}
}

// stop lets the clock of the gait in force run until every foot is on its
// standing point under the course that the stop ends at.
func (w *Walker) stop(r *Request) {
	at := w.now
	if w.then != nil { // not yet begun
		at = max(at, w.then.From)
	}
	w.stopping = true
	w.steer(at, motion.Twist{}, ramp(r, w.clock.Period/2))
	w.leadAll()
	w.swaying(0)
}

// command changes what is walked and not when legs lift.
func (w *Walker) command(r *Request) {
	g := r.Gait
	sways := g.Sway != w.clock.Sway
	resumed := w.stopping
	c := *w.clock
	c.Gait = g
	w.clock = &c
	w.stopping = false
	at := w.now
	if w.then != nil {
		at = max(at, w.then.From)
	}
	if d := w.drive; w.then != nil || d.W1 != r.Command {
		w.steer(at, r.Command, ramp(r, g.Period))
	}
	w.leadAll()
	if sways || resumed {
		w.swaying(0)
	}
}

// change brings the clock of another gait into force: see the package comment.
func (w *Walker) change(r *Request) {
	g := r.Gait
	if w.then != nil {
		w.then = nil // has not begun
	}
	a := w.align(g, r.Command)
	within := blend(w.clock.Gait, g)
	w.clock = start(g, a.origin)
	w.stopping = r.Halt
	for i := range w.legs {
		l := &w.legs[i]
		if !l.air {
			l.share0, l.since, l.until = w.share(i, w.now), w.now, a.lift[i]
		}
		l.cycle, l.next = a.cycle[i], a.lift[i]
	}
	// Where a foot is meant to lift as another lands, it does to the last digit.
	for i := range w.legs {
		for j := range w.legs {
			if l := &w.legs[i]; l.air && math.Abs(l.land-a.lift[j]) < atOnce {
				l.land = a.lift[j]
			}
		}
	}
	w.changing, w.busy = true, a.end
	between := motion.Twist{Forward: a.scale * r.Command.Forward, Side: a.scale * r.Command.Side, Turn: a.scale * r.Command.Turn}
	if w.drive.W1 != between || a.scale < 1 {
		w.steer(w.now, between, within)
	}
	if a.scale < 1 {
		w.steer(a.end, r.Command, ramp(r, g.Period))
	}
	w.leadAll()
	w.swaying(leadTime(g))
}

// blend is how long the speed takes from that of a gait to that of a change, s.
func blend(from, to *gait.Gait) float64 { return min(from.Period, to.Period) / 4 }

// airs gives the sets of legs that a gait has in the air just after each
// lift-off.
func airs(g *gait.Gait) []uint16 {
	var out []uint16
	for i := range g.Phase {
		at := g.Phase[i] + g.DutyOf(i) + 1e-9
		var s uint16
		for j := range g.Phase {
			if !g.Down(j, at) {
				s |= 1 << j
			}
		}
		out = append(out, s)
	}
	return out
}

// asked tells whether a gait has all legs of a set in the air at once.
func asked(sets []uint16, s uint16) bool {
	for _, a := range sets {
		if s&^a == 0 {
			return true
		}
	}
	return false
}

// centre gives the centre of mass of the stand pose in C, with the ground's
// tilt put into it: where gravity through it meets the ground.
func (w *Walker) centre(c motion.Course) r3.Vec {
	if w.down.Z == 0 {
		return w.com
	}
	d := motion.Course{Yaw: -c.Yaw}.Turn(w.down)
	return r3.Sub(w.com, r3.Scale(w.com.Z/d.Z, d))
}
