// SPDX-License-Identifier: MIT

package pace

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/clearance"
	"gaitwright/motion"
)

// pair is two legs, or a leg and the body (b = -1).
type pair struct {
	a, b  int
	coxas bool // the coxas are held apart too
}

// limb is the ends of a leg's links in B: mount, femur axis, knee, foot, m.
type limb [kin.Joints + 1]r3.Vec

// pair lists what may touch what. As in the review, coxas mounted nearer than
// the clearance are not held apart, nor is the beginning of a femur held away
// from the body.
func (p *Pace) pair() {
	for i := range p.legs {
		l := &p.legs[i]
		for j := range i {
			m := &p.legs[j]
			gap := r3.Norm(r3.Sub(l.PBH, m.PBH)) - l.LinkRadius - m.LinkRadius
			p.pairs = append(p.pairs, pair{j, i, gap >= p.limits.Clearance})
		}
		if len(p.box.Outline) > 2 {
			p.pairs = append(p.pairs, pair{i, -1, false})
		}
	}
}

// limb gives where the links of an instant's leg are under a command.
func (p *Pace) limb(n *instant, w *motion.Twist) limb {
	l := &p.legs[n.leg]
	c := l.Solve(l.mount.Into(p.at(n, w).p)).Chain
	return limb{l.PBH, l.mount.Out(c.PHK0), l.mount.Out(c.PHK), l.mount.Out(c.PHF)}
}

// distance gives how far the two of a pair are from each other, m: a lower
// bound where that is more than enough.
func (p *Pace) distance(k *pair, a, b *limb) float64 {
	if k.b < 0 {
		return p.fromBody(&p.legs[k.a], a)
	}
	least := math.Inf(1)
	ha, hb := &p.legs[k.a].half, &p.legs[k.b].half
	for m := kin.Tibia; m >= kin.Coxa; m-- {
		for n := kin.Tibia; n >= kin.Coxa; n-- {
			if m == kin.Coxa && n == kin.Coxa && !k.coxas {
				continue
			}
			// Spheres about the two links first.
			mid := r3.Sub(r3.Add(a[m], a[m+1]), r3.Add(b[n], b[n+1]))
			if s := least + ha[m] + hb[n]; r3.Norm2(mid) > 4*s*s {
				continue
			}
			least = min(least, clearance.Segments(a[m], a[m+1], b[n], b[n+1]))
		}
	}
	return least - p.legs[k.a].LinkRadius - p.legs[k.b].LinkRadius
}

func (p *Pace) fromBody(l *leg, a *limb) float64 {
	knee := a[kin.Tibia]
	start := r3.Add(a[kin.Femur], r3.Scale(l.skip, r3.Sub(knee, a[kin.Femur])))
	enough := p.limits.Clearance + l.LinkRadius
	least := math.Inf(1)
	for m, s := range [2][2]r3.Vec{{start, knee}, {knee, a[kin.Tibia+1]}} {
		// A distance changes by a metre a metre at most.
		const pieces = 4
		step := r3.Scale(1./pieces, r3.Sub(s[1], s[0]))
		size := 2 * l.half[kin.Femur+m] / pieces // no less than the step
		bound, last := math.Inf(1), p.box.Point(s[0])
		for n := 1; n <= pieces; n++ {
			here := p.box.Point(r3.Add(s[0], r3.Scale(float64(n), step)))
			bound = min(bound, (last+here-size)/2)
			last = here
		}
		if bound <= enough {
			bound = p.box.Segment(s[0], s[1])
		}
		least = min(least, bound)
	}
	return least - l.LinkRadius
}

// watch follows all legs from pose to pose, however far apart these are. A
// distance cannot shrink by more than the fastest points of its two legs have
// moved since it was taken, so most poses need none.
type watch struct {
	begun bool
	now   [kin.MaxLegs]limb
	step  [kin.MaxLegs]float64                         // of each leg's fastest point, from the pose before, m
	way   [kin.MaxLegs]float64                         // the sum of them, m
	due   [kin.MaxLegs * (kin.MaxLegs + 1) / 2]float64 // ways covered before which no pair can have come too near, m
}

// move takes the legs to common instant t under a command.
func (h *watch) move(p *Pace, t int, w *motion.Twist) {
	n := len(p.legs)
	for i := range n {
		old := &h.now[i]
		now := p.limb(&p.common[t*n+i], w)
		most := 0.0
		for m := 1; m < len(now); m++ {
			most = max(most, r3.Norm2(r3.Sub(now[m], old[m])))
		}
		h.step[i] = math.Sqrt(most)
		h.way[i] += h.step[i]
		*old = now
	}
}

// touching gives the pair that comes nearest and when, of those that come too
// near under a command; nil for none. It looks at every skip-th common instant;
// where skip is no more than fine, also between two of them if a pair might come
// too near on the way from one to the other.
func (p *Pace) touching(h *watch, w *motion.Twist, skip int) (k *pair, at int, d float64) {
	d = p.limits.Clearance
	for t := 0; t <= inCycle*fine; t += skip {
		h.move(p, t%(inCycle*fine), w)
		for o := range p.pairs {
			q := &p.pairs[o]
			gone, step := h.way[q.a], h.step[q.a]
			other := &h.now[q.a]
			if q.b >= 0 {
				gone += h.way[q.b]
				step += h.step[q.b]
				other = &h.now[q.b]
			}
			if h.begun && gone < h.due[o] {
				continue
			}
			e := p.distance(q, &h.now[q.a], other)
			h.due[o] = gone + e - p.limits.Clearance - 1e-9
			if e < d {
				k, at, d = q, t%(inCycle*fine), e
			}
			if t > 0 && skip <= fine && e-step < d {
				for s := t - skip + 1; s < t; s++ {
					if e := p.near(q, s, w); e < d {
						k, at, d = q, s, e
					}
				}
			}
		}
		h.begun = true
	}
	return k, at, d
}

// near gives the distance of a pair at one common instant.
func (p *Pace) near(k *pair, at int, w *motion.Twist) float64 {
	n := len(p.legs)
	a := p.limb(&p.common[at*n+k.a], w)
	b := a
	if k.b >= 0 {
		b = p.limb(&p.common[at*n+k.b], w)
	}
	return p.distance(k, &a, &b)
}

// touch puts a pair that comes too near into words.
func (p *Pace) touch(k *pair, at int, d float64) *Limit {
	n := &p.common[at*len(p.legs)+k.a]
	return &Limit{Word: "legs-touch", Leg: k.a, Joint: -1, Other: k.b, Phase: n.phase, Swing: n.swing, Value: d, Bound: p.limits.Clearance}
}
