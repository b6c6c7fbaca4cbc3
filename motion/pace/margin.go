// SPDX-License-Identifier: MIT

package pace

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/support"
	"gaitwright/motion"
)

// Margins are the least of a steady cycle.
type Margins struct {
	Static float64 // of the centre of mass inside the support polygon; -Inf with no foot down at some instant, m

	// Along the direction of travel, through the centre of mass, to the front or
	// rear edge of the support polygon, whichever is nearer, m. Not Defined
	// when the robot does not travel, or when at some instant that line does
	// not meet the polygon at all.
	Longitudinal float64
	Defined      bool
}

// Margins gives the stability margins of the gait under a command on level
// ground: the least over the cycle, with the centre of mass where it is when
// the robot stands, and the body swaying as the gait says.
//
// Between two events of the gait the same feet are down, and seen from the body
// they move together. On a straight way without sway both margins are then
// concave functions of the time (the distance to a line is a linear one), so that
// the ends of these intervals are enough: the result is exact. When the robot
// turns or sways, 32 instants between them are looked at too.
//
// Static margin: McGhee and Frank, Mathematical Biosciences 3, 1968. Longitudinal
// margin: Song and Waldron, Machines That Walk, 1989, ch. 3. Both from memory.
func (p *Pace) Margins(w motion.Twist) Margins {
	g := &p.gait
	m := Margins{Static: math.Inf(1), Longitudinal: math.Inf(1)}
	l := math.Hypot(w.Forward, w.Side)
	m.Defined = l > 0
	along := r3.Vec{}
	if m.Defined {
		along = r3.Vec{X: w.Forward / l, Y: w.Side / l}
	}
	within := 1
	if w.Turn != 0 || g.Sway != 0 {
		within = 33
	}
	at := g.Events()
	for n, from := range at {
		to := 1 + at[0]
		if n+1 < len(at) {
			to = at[n+1]
		}
		mid := (from + to) / 2
		for k := range within + 1 {
			phase := from + (to-from)*float64(k)/float64(within)
			var feet [kin.MaxLegs]support.Point
			down := 0
			for i := range p.legs {
				if !g.Down(i, mid) {
					continue
				}
				// Since the touchdown of this stance, by the middle of the
				// interval: at its ends rounding might tell of another one.
				own := mid - g.Phase[i]
				own = own - math.Floor(own) + phase - mid
				t := (own - p.legs[i].duty/2) * g.Period
				q := motion.Course{}.Along(w, t).Into(p.legs[i].stand)
				feet[down] = support.Point{X: q.X, Y: q.Y}
				down++
			}
			shift, _ := p.sway(phase)
			c := support.Point{X: p.pBC.X + shift.X, Y: p.pBC.Y + shift.Y}
			hull := support.Hull(feet[:down])
			m.Static = min(m.Static, hull.Margin(c))
			if m.Defined {
				rear, front, ok := across(&hull, c, along)
				m.Defined = ok
				m.Longitudinal = min(m.Longitudinal, -rear, front)
			}
		}
	}
	if !m.Defined {
		m.Longitudinal = 0
	}
	return m
}

// across gives where the line through c along a unit direction enters and
// leaves a polygon, as distances from c, m. Not ok where it does not meet it.
func across(h *support.Polygon, c support.Point, u r3.Vec) (rear, front float64, ok bool) {
	rear, front = math.Inf(1), math.Inf(-1)
	meet := func(s float64) { rear, front = min(rear, s), max(front, s) }
	for i := range h.N {
		a, b := h.V[i], h.V[(i+1)%h.N]
		// Along and to the left of the line.
		ax, ay := (a.X-c.X)*u.X+(a.Y-c.Y)*u.Y, (a.Y-c.Y)*u.X-(a.X-c.X)*u.Y
		bx, by := (b.X-c.X)*u.X+(b.Y-c.Y)*u.Y, (b.Y-c.Y)*u.X-(b.X-c.X)*u.Y
		if ay == 0 {
			meet(ax)
		}
		if ay*by < 0 {
			meet(ax + (bx-ax)*ay/(ay-by))
		}
	}
	return rear, front, rear <= front
}
