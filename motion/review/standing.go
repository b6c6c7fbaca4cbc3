// SPDX-License-Identifier: MIT

package review

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/mass"
	"gaitwright/kin/support"
)

// tipsSlow: a static stability margin below the wanted one. With no planted
// foot there is no polygon; that is said by airborne. A gait that leaves fewer
// than three feet down cannot stand still in mid-stride and is not asked to:
// that is said once, as a caution, and tipsFast judges it.
func tipsSlow(c *look) {
	t := c.t
	var tr track
	for k, m := range t.Margin {
		if m >= 0 && m >= c.l.Margin || !c.anyPlanted(k) || c.striding(k) {
			continue
		}
		level := Caution
		if !(m >= 0) {
			level = Stop
		}
		c.add(&tr, t.Time(k), -m, level)
	}
	for _, v := range tr.intervals() {
		m, limit := -v.score, c.l.Margin
		why := fmt.Sprintf("the centre of mass is only %s inside the support polygon, less than the wanted %s", length(m), length(limit))
		if v.level == Stop {
			limit = 0
			why = fmt.Sprintf("the centre of mass is %s outside the support polygon", length(-m))
		}
		c.find(v, Finding{
			Leg: -1, Joint: -1, Other: -1,
			Value: m * milli, Limit: limit * milli, Unit: "mm",
			Why: why, Mend: c.tipsMend(t.Index(v.worst)),
		})
	}
	c.strides()
}

// striding tells whether sample k is in the stride of a gait that leaves fewer
// than three feet down.
func (c *look) striding(k int) bool {
	t := c.t
	i := t.PartAt(t.Time(k))
	if i < 0 || t.Parts[i].Fewest == 0 || t.Parts[i].Fewest > 2 {
		return false
	}
	n := c.down(k)
	return n > 0 && n < 3
}

// strides says of each walk on fewer than three feet how it is judged.
func (c *look) strides() {
	t := c.t
	for i := range t.Parts {
		p := &t.Parts[i]
		if p.Fewest == 0 || p.Fewest > 2 {
			continue
		}
		v := interval{from: p.From, to: p.To, worst: p.From, part: i, level: Caution}
		least := 0.0
		for k := t.Index(p.From); k <= t.Index(p.To); k++ {
			if m := t.Margin[k]; c.striding(k) && m < least {
				least, v.worst = m, t.Time(k)
			}
		}
		c.find(v, Finding{
			Leg: -1, Joint: -1, Other: -1,
			Value: least * milli, Unit: "mm",
			Why:  fmt.Sprintf("the gait leaves only %s on the ground: it cannot stand still in mid-stride and is judged in motion, by how far the robot rolls over them", feet(p.Fewest)),
			Mend: "choose a gait with three feet or more on the ground at any time, or take care that it is never stopped in mid-stride",
		})
	}
}

func feet(n int) string {
	if n == 1 {
		return "1 foot"
	}
	return fmt.Sprintf("%d feet", n)
}

func (c *look) anyPlanted(k int) bool {
	for _, p := range c.t.Planted[k*c.t.Legs : (k+1)*c.t.Legs] {
		if p {
			return true
		}
	}
	return false
}

// tipsMend says which way the centre of mass has to go for the wanted margin.
func (c *look) tipsMend(k int) string {
	t := c.t
	hull := c.support(k)
	if hull.N < 3 {
		return "keep at least three feet planted here, not in one line"
	}
	from := support.Point{X: t.COM[k*3], Y: t.COM[k*3+1]}
	to, ok := inset(&hull, from, max(c.l.Margin, 0))
	if !ok {
		return "plant the feet wider apart or keep one more foot down: this support polygon is too narrow for the wanted margin"
	}
	b, ok := c.bodyShift(k, r3.Vec{X: to.X - from.X, Y: to.Y - from.Y})
	if !ok {
		return "plant the feet so that the support polygon comes under the centre of mass: the legs do not reach far enough to shift the body there"
	}
	return fmt.Sprintf("shift the body at least %s", shift(c.heading(k, b)))
}

// support gives the support polygon at sample k, W seen from above.
func (c *look) support(k int) support.Polygon {
	t := c.t
	var feet [kin.MaxLegs]support.Point
	n := 0
	for i := range t.Legs {
		if t.Planted[k*t.Legs+i] {
			p := t.FootAt(k, i)
			feet[n] = support.Point{X: p.X, Y: p.Y}
			n++
		}
	}
	return support.Hull(feet[:n])
}

// heading turns a level vector from W into the axes of the body's heading at
// sample k.
func (c *look) heading(k int, v r3.Vec) r3.Vec {
	sn, cs := math.Sincos(c.t.Body[k*6+5])
	return r3.Vec{X: cs*v.X + sn*v.Y, Y: -sn*v.X + cs*v.Y, Z: v.Z}
}

// bodyShift gives how far the body must go at sample k (level, W, m), the feet
// staying where they are, for the centre of mass to go by d (level, W, m): it
// goes less far than the body, as the legs lag behind. Not ok where a leg
// would not reach. Cost: some tens of poses.
func (c *look) bodyShift(k int, d r3.Vec) (r3.Vec, bool) {
	x, m := c.t.BodyPose(k), mass.Lump(c.r)
	chains := make([]kin.Chain, len(c.r.Legs))
	at := func(b r3.Vec) (r3.Vec, bool) {
		y := kin.Pose{R: x.R, P: r3.Add(x.P, b)}
		for i := range chains {
			l := &c.r.Legs[i]
			xBH := l.XBH()
			sol := l.Solve(xBH.Into(y.Into(c.t.FootAt(k, i))))
			if sol.Status == kin.Missed && c.t.Reached(k, i) {
				return r3.Vec{}, false
			}
			chains[i] = l.Chain(sol.Q)
		}
		return y.At(m.Centre(chains)), true
	}
	from, _ := at(r3.Vec{})
	b := d
	for range 40 {
		p, ok := at(b)
		if !ok {
			return b, false
		}
		lack := r3.Sub(d, r3.Sub(p, from))
		lack.Z = 0
		if r3.Norm(lack) < 1e-6 {
			break
		}
		b = r3.Add(b, lack)
	}
	return b, true
}

// nearEdge is how near the edge of its reach a leg is not advised to go, m:
// its knee turns ever faster there. Common practice.
const nearEdge = 0.005

// canShift tells whether the legs reach their targets all through a part, with
// room and within their joints' travel, when the body is shifted by b (W, m).
// Looks every 10 ms.
func (c *look) canShift(part int, b r3.Vec) bool {
	t := c.t
	from, to := 0, t.N-1
	if part >= 0 {
		from, to = t.Index(t.Parts[part].From), t.Index(t.Parts[part].To)
	}
	for k := from; k <= to; k += max(1, int(t.Rate/100)) {
		x := t.BodyPose(k)
		x.P = r3.Add(x.P, b)
		for i := range t.Legs {
			l := &c.r.Legs[i]
			xBH := l.XBH()
			sol := l.Solve(xBH.Into(x.Into(t.FootAt(k, i))))
			if sol.Margin < min(nearEdge, t.Reach[k*t.Legs+i]) {
				return false
			}
			for j, r := range l.Limits {
				if q := sol.Q[j]; r.Outside(q) > max(pastLimit, r.Outside(t.Q[(k*t.Legs+i)*kin.Joints+j])) {
					return false
				}
			}
		}
	}
	return true
}

// inset moves p into the polygon (three points or more) until every edge is
// at least margin away; not ok where the polygon has no such point. Successive
// projection on the worst edge (Agmon, Canadian Journal of Mathematics 6,
// 1954; from memory).
func inset(h *support.Polygon, p support.Point, margin float64) (support.Point, bool) {
	for range 500 {
		worst := math.Inf(1)
		var nx, ny float64
		for i := range h.N {
			a, b := h.V[i], h.V[(i+1)%h.N]
			ux, uy := b.X-a.X, b.Y-a.Y
			n := math.Hypot(ux, uy)
			if d := (ux*(p.Y-a.Y) - uy*(p.X-a.X)) / n; d < worst {
				worst, nx, ny = d, -uy/n, ux/n
			}
		}
		if worst >= margin-1e-6 {
			return p, true
		}
		p.X += (margin - worst) * nx
		p.Y += (margin - worst) * ny
	}
	return p, false
}

// realFoot gives pGF of the foot as the leg really stands.
func (c *look) realFoot(x *kin.Pose, p []float64) r3.Vec {
	return c.t.RWG.TMul(x.At(r3.Vec{X: p[6], Y: p[7], Z: p[8]}))
}
