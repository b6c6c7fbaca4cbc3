// SPDX-License-Identifier: MIT

package stride

import (
	"math"
	"math/bits"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/support"
	"gaitwright/motion"
	"gaitwright/motion/gait"
)

// tries is how many origins of the new clock are tried, besides those at which
// some leg lifts as early as it may.
const tries = 48

// quick is how much shorter than in the steady gait what is left of a stance
// may get: the bound of a leg's phase rate, in units of the gait's.
const quick = 4

// slowest is the least share of the command that the body goes at in a change.
const slowest = 0.1

// atOnce is how far apart two events are meant to be one, s.
const atOnce = 1e-9

// alignment is one way into a gait.
type alignment struct {
	origin float64
	cycle  [kin.MaxLegs]int
	lift   [kin.MaxLegs]float64 // first lift-off of each leg by the new clock, s
	end    float64              // the last of them, s
	scale  float64              // of the command until then, [0,1]
	cost   float64              // s
}

// track is how a leg comes into the change: where its foot will be, relative
// to its standing point in C, from a time on at which it is down.
type track struct {
	down     float64 // s
	off      r3.Vec  // m
	earliest float64 // next lift-off, s
	half     float64 // how far it may be carried off, m
	w0, a0   r3.Vec  // speed of the standing point now and its rate
	v        r3.Vec  // and as commanded, m/s
}

// align finds the way into a gait on which the body has to slow down least.
//
// The first lift-off of each leg is its first by the new clock that is not
// before its earliest: what is left of its stance may go by at most quick
// times as fast as in the gait. An origin is admissible when no lift-off,
// while swings from before are under way, leaves a set in the air that
// neither the gait has itself nor leaves three feet down with the wanted
// margin (by the feet's courses, linearly predicted). Since after the last of
// those swings only sets of the gait occur, an origin with the first lift-off
// thereafter is always admissible.
//
// Of the admissible ones that is taken in which least time is lost, counting
// the time of the change by 1 minus the speed's scale, a little of itself, and a
// quarter of a period for sets that the gait itself does not have.
func (w *Walker) align(g *gait.Gait, command motion.Twist) alignment {
	t := w.now
	w0, a0 := w.drive.Speed(t)
	here := w.drive.CourseAt(t)
	var tracks [kin.MaxLegs]track
	lead := t + leadTime(g)
	airborne, clear := t, lead
	for i := range w.legs {
		l, k := &w.legs[i], &tracks[i]
		least := g.DutyOf(i) * g.Period / quick
		k.w0, k.a0, k.v = w.speed(i, w0), w.speed(i, a0), w.speed(i, command)
		k.down = t
		c := here
		p := l.at
		if l.air {
			k.down = l.land
			airborne = max(airborne, l.land)
			p, c = l.target, w.drive.CourseAt(l.land)
			k.earliest = l.land + least
		} else {
			k.earliest = t + (1-w.share(i, t))*least
		}
		k.earliest = max(k.earliest, lead)
		clear = max(clear, k.earliest)
		k.off = r3.Sub(c.Into(p), w.stand[i])
		k.off.Z = 0
		was := r3.Norm(w.speed(i, w.drive.W1)) * w.clock.DutyOf(i) * w.clock.Period / 2
		k.half = max(r3.Norm(k.v)*g.DutyOf(i)*g.Period/2, was, r3.Norm(k.off)) + onGround
	}
	sets := airs(g)
	c := start(g, 0)
	within := blend(w.clock.Gait, g)
	var landings []float64
	for i := range w.legs {
		if w.legs[i].air {
			landings = append(landings, w.legs[i].land)
		}
	}
	var best alignment
	best.cost = math.Inf(1)
	try := func(origin, least float64) {
		a := alignment{origin: origin, end: t}
		c.origin = origin
		for i := range w.legs {
			a.cycle[i] = c.next(i, max(least, tracks[i].earliest))
			a.lift[i] = max(c.lifts(i, a.cycle[i]), t)
			a.end = max(a.end, a.lift[i])
		}
		a.cost = 0.05 * (a.end - t)
		if a.cost >= best.cost {
			return
		}
		ok, foreign := w.admissible(g, sets, &tracks, &a, airborne)
		if !ok {
			return
		}
		if foreign {
			a.cost += 0.25 * g.Period
		}
		var over float64
		a.scale, over = w.scale(within, &tracks, &a)
		a.cost += (1-a.scale)*(a.end-t) + 10*over*g.Period
		if a.cost < best.cost {
			best = a
		}
	}
	c.origin = 0
	var first [kin.MaxLegs]float64 // lift-off of each leg with phase 0 at time 0
	for i := range w.legs {
		first[i] = c.lifts(i, 0)
	}
	for i := range w.legs {
		try(tracks[i].earliest-first[i], t)
		for _, s := range landings {
			try(s-first[i], t)
		}
	}
	for n := range tries {
		try(t+float64(n)/tries*g.Period, t)
	}
	// All first lift-offs after what was before: always admissible.
	clear = max(clear, airborne)
	for i := range w.legs {
		try(clear-first[i], clear)
	}
	return best
}

// admissible tells whether every lift-off while old swings are under way
// leaves enough feet standing, and whether they are ever such as the gait
// itself does not know.
func (w *Walker) admissible(g *gait.Gait, sets []uint16, tracks *[kin.MaxLegs]track, a *alignment, airborne float64) (ok, foreign bool) {
	n := len(w.legs)
	for i := range n {
		same, again := 0, math.Inf(1) // lift-offs seen since the last landing, and when the next is
		for at := a.lift[i]; at < airborne-atOnce; at += g.Period {
			if at >= again-atOnce {
				same, again = 0, math.Inf(1)
			}
			if same++; same > 2 && again-at > 2*g.Period { // nothing new until then
				at += math.Floor((again-at)/g.Period-1) * g.Period
			}
			var old, air uint16
			until := at + g.SwingTime(i)
			for j := range n {
				if l := &w.legs[j]; l.air && l.land > at+atOnce {
					old |= 1 << j
					until, again = min(until, l.land), min(again, l.land)
				}
				if since := at - a.lift[j]; since >= -atOnce {
					k := math.Floor(since/g.Period + 1e-9)
					if since-k*g.Period < g.SwingTime(j)-atOnce {
						air |= 1 << j
					}
				}
			}
			if old == 0 || asked(sets, old|air) {
				continue
			}
			if !w.holds(tracks, old|air, at) || !w.holds(tracks, old|air, until) {
				return false, true
			}
			foreign = true
		}
	}
	return true, foreign
}

// holds tells whether the feet that are not in a set stand, three or more,
// with the wanted margin at a time.
func (w *Walker) holds(tracks *[kin.MaxLegs]track, air uint16, at float64) bool {
	n := len(w.legs)
	if n-bits.OnesCount16(air) < 3 {
		return false
	}
	var feet [kin.MaxLegs]support.Point
	k := 0
	for i := range n {
		if air>>i&1 == 0 {
			p := r3.Add(w.stand[i], r3.Sub(tracks[i].off, r3.Scale(max(0, at-tracks[i].down), tracks[i].w0)))
			feet[k] = support.Point{X: p.X, Y: p.Y}
			k++
		}
	}
	c := w.centre(w.drive.CourseAt(at))
	hull := support.Hull(feet[:k])
	return hull.Margin(support.Point{X: c.X, Y: c.Y}) >= w.o.Margin
}

// scale gives the greatest share of the command with which no foot, until its
// first lift-off, is carried farther off than it may; and, where there is
// none, by how much the best goes over it, as a share of what is allowed. The
// course's turning meanwhile is left out.
func (w *Walker) scale(within float64, tracks *[kin.MaxLegs]track, a *alignment) (scale, over float64) {
	d := motion.Drive{Duration: within}
	lo, hi := 0.0, 1.0
	var rest, per [kin.MaxLegs]r3.Vec // where the foot ends without the command, and by how much it moves with it
	for i := range w.legs {
		k := &tracks[i]
		from, to := d.Shares(k.down-w.now), d.Shares(a.lift[i]-w.now)
		q := r3.Sub(k.off, r3.Add(r3.Scale(to[0]-from[0], k.w0), r3.Scale(to[1]-from[1], k.a0)))
		b := r3.Scale(to[2]-from[2], k.v)
		rest[i], per[i] = q, b
		// |q - s·b| <= half
		bb, qb := r3.Dot(b, b), r3.Dot(q, b)
		c := r3.Dot(q, q) - k.half*k.half
		if bb == 0 {
			if c > 0 {
				hi = -1
			}
			continue
		}
		disc := qb*qb - bb*c
		if disc < 0 {
			hi = -1
			continue
		}
		r := math.Sqrt(disc)
		lo, hi = max(lo, (qb-r)/bb), min(hi, (qb+r)/bb)
	}
	if lo <= hi && hi >= slowest {
		return hi, 0
	}
	over = math.Inf(1)
	for n := 8; n >= 0; n-- {
		s, worst := max(float64(n)/8, slowest), 0.0
		for i := range w.legs {
			worst = max(worst, r3.Norm(r3.Sub(rest[i], r3.Scale(s, per[i])))/tracks[i].half-1)
		}
		if worst < over-1e-9 {
			scale, over = s, worst
		}
	}
	return scale, over
}
