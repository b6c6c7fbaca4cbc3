// SPDX-License-Identifier: MIT

package review

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/clearance"
)

// limb is a leg as three capsules: mount to femur axis, to knee, to foot
// centre, all with the thickness of the links. A foot thicker than its link
// is not counted: it is soft and small.
type limb struct {
	at     [kin.Joints + 1]r3.Vec // ends of the capsules, B, m
	half   [kin.Joints]float64    // half lengths, m
	radius float64                // m
	skip   float64                // share of the femur, from the coxa on, not judged against the body
	way    float64                // covered so far by the leg's fastest point, m
	moves  int                    // samples at which it had moved
}

// pair is two legs, or a leg and the body (b = -1).
type pair struct {
	a, b  int
	coxas bool    // the coxas are judged too
	due   float64 // ways covered before which nothing can have come too near, m
	moves int     // of both when last measured
	apart float64 // as measured then, m
	track track
}

// legsTouch: capsules of two legs, or femur and tibia of a leg and the body,
// nearer than the clearance. The value is the distance, negative in overlap.
//
// Near its coxa a femur is always by the body, so the first 30 % of it and a
// link radius more are not judged against the body. Two coxas that are
// mounted nearer than the clearance are not judged against each other.
//
// A distance cannot shrink by more than its two legs' fastest points have
// moved since it was taken, so most samples need none.
func legsTouch(c *look) {
	t := c.t
	want := c.l.Clearance
	limbs := make([]limb, t.Legs)
	box := clearance.Box{Outline: c.r.Body.Outline, Bottom: c.r.Body.Bottom, Top: c.r.Body.Top}
	var pairs []pair
	for i := range limbs {
		l := &c.r.Legs[i]
		limbs[i] = limb{radius: l.LinkRadius, skip: min(1, 0.3+l.LinkRadius/l.Length[kin.Femur])}
		limbs[i].at[0] = l.PBH
		limbs[i].half = [kin.Joints]float64{
			r3.Norm(r3.Vec{X: l.Length[kin.Coxa], Y: l.Lateral, Z: l.Vertical}) / 2,
			l.Length[kin.Femur] / 2, l.Length[kin.Tibia] / 2,
		}
		for j := range i {
			m := &c.r.Legs[j]
			gap := r3.Norm(r3.Sub(l.PBH, m.PBH)) - l.LinkRadius - m.LinkRadius
			pairs = append(pairs, pair{a: j, b: i, coxas: gap >= want, due: math.Inf(-1), moves: -1})
		}
		if len(box.Outline) > 2 {
			pairs = append(pairs, pair{a: i, b: -1, due: math.Inf(-1), moves: -1})
		}
	}
	after := false // a sample that was looked at
	for k := range t.N {
		if c.quiet(k) {
			after = false
			continue
		}
		for i := range limbs {
			limbs[i].move(t.Points[(k*t.Legs+i)*9:], after)
		}
		for n := range pairs {
			p := &pairs[n]
			way, moves := limbs[p.a].way, limbs[p.a].moves
			if p.b >= 0 {
				way += limbs[p.b].way
				moves += limbs[p.b].moves
			}
			if after && way < p.due {
				continue
			}
			switch {
			case moves == p.moves: // nothing has moved
			case p.b >= 0:
				p.apart, _, _ = apart(&limbs[p.a], &limbs[p.b], p.coxas)
			default:
				p.apart, _ = limbs[p.a].fromBody(&box, want)
			}
			d := p.apart
			p.moves, p.due = moves, way+d-want-1e-9
			if d < want {
				level := Caution
				if d <= 0 {
					level = Stop
				}
				c.add(&p.track, t.Time(k), -d, level)
			}
		}
		after = true
	}
	for n := range pairs {
		p := &pairs[n]
		for _, v := range p.track.intervals() {
			c.touching(p, v, limbs, &box)
		}
	}
}

// touching tells one interval of a pair.
func (c *look) touching(p *pair, v interval, limbs []limb, box *clearance.Box) {
	d, k := -v.score, c.t.Index(v.worst)
	a := &limbs[p.a]
	a.move(c.t.Points[(k*c.t.Legs+p.a)*9:], false)
	var what, mend string
	need := amend(c.l.Clearance - d)
	if p.b >= 0 {
		b := &limbs[p.b]
		b.move(c.t.Points[(k*c.t.Legs+p.b)*9:], false)
		_, ja, jb := apart(a, b, p.coxas)
		what = fmt.Sprintf("%s and %s", c.joint(p.a, ja), c.joint(p.b, jb))
		mend = fmt.Sprintf("keep the paths of legs %s and %s at least %s farther apart there, or move the two at different times", c.leg(p.a), c.leg(p.b), need)
	} else {
		_, ja := a.fromBody(box, c.l.Clearance)
		what = fmt.Sprintf("%s and the body", c.joint(p.a, ja))
		mend = fmt.Sprintf("lead the path of leg %s at least %s farther from the body there", c.leg(p.a), need)
	}
	limit, why := c.l.Clearance, fmt.Sprintf("%s come within %s of each other, nearer than %s", what, length(d), length(c.l.Clearance))
	if v.level == Stop {
		limit, why = 0, fmt.Sprintf("%s run into each other by %s", what, length(-d))
	}
	c.find(v, Finding{
		Leg: p.a, Joint: -1, Other: p.b,
		Value: d * milli, Limit: limit * milli, Unit: "mm",
		Why: why, Mend: mend,
	})
}

// move takes the points of a sample (femur axis, knee, foot) and adds the way
// of the fastest of them.
func (l *limb) move(p []float64, count bool) {
	p = p[:9]
	most, moved := 0.0, false
	for n := range kin.Joints {
		q := r3.Vec{X: p[n*3], Y: p[n*3+1], Z: p[n*3+2]}
		if count {
			most = max(most, r3.Norm2(r3.Sub(q, l.at[n+1])))
		}
		moved = moved || q != l.at[n+1]
		l.at[n+1] = q
	}
	l.way += math.Sqrt(most)
	if moved {
		l.moves++
	}
}

// apart gives the distance of two legs and the links that are nearest.
func apart(a, b *limb, coxas bool) (d float64, ja, jb int) {
	d = math.Inf(1)
	r := a.radius + b.radius
	for m := kin.Tibia; m >= kin.Coxa; m-- {
		for n := kin.Tibia; n >= kin.Coxa; n-- {
			if m == kin.Coxa && n == kin.Coxa && !coxas {
				continue
			}
			// Spheres about the two links first.
			mid := r3.Sub(r3.Add(a.at[m], a.at[m+1]), r3.Add(b.at[n], b.at[n+1]))
			if s := d + r + a.half[m] + b.half[n]; r3.Norm2(mid) > 4*s*s {
				continue
			}
			if e := clearance.Segments(a.at[m], a.at[m+1], b.at[n], b.at[n+1]) - r; e < d {
				d, ja, jb = e, m, n
			}
		}
	}
	return d, ja, jb
}

// fromBody gives the distance of femur and tibia from the body and the nearer
// of the two; where it is more than enough, a lower bound of it.
func (l *limb) fromBody(box *clearance.Box, enough float64) (d float64, j int) {
	knee := l.at[kin.Tibia]
	start := r3.Add(l.at[kin.Femur], r3.Scale(l.skip, r3.Sub(knee, l.at[kin.Femur])))
	d, j = l.capsule(box, start, knee, enough), kin.Femur
	if e := l.capsule(box, knee, l.at[kin.Tibia+1], enough); e < d {
		d, j = e, kin.Tibia
	}
	return d, j
}

// capsule bounds the distance of a link from the body from below, by its
// values at five points (it changes by a metre a metre at most), and takes
// the exact one where that is not enough.
func (l *limb) capsule(box *clearance.Box, a, b r3.Vec, enough float64) float64 {
	const pieces = 4
	step := r3.Scale(1./pieces, r3.Sub(b, a))
	size := r3.Norm(step)
	least, last := math.Inf(1), box.Point(a)
	for n := 1; n <= pieces; n++ {
		here := box.Point(r3.Add(a, r3.Scale(float64(n), step)))
		least = min(least, (last+here-size)/2)
		last = here
	}
	if least-l.radius > enough {
		return least - l.radius
	}
	return box.Segment(a, b) - l.radius
}
