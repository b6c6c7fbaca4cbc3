// SPDX-License-Identifier: MIT

package review

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/support"
)

// tipsSlow: a static stability margin below the wanted one. With no planted
// foot there is no polygon; that is said by airborne.
func tipsSlow(c *look) {
	t := c.t
	var tr track
	for k, m := range t.Margin {
		if m >= 0 && m >= c.l.Margin || !c.anyPlanted(k) {
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
	var feet []support.Point
	for i := range t.Legs {
		if t.Planted[k*t.Legs+i] {
			p := t.FootAt(k, i)
			feet = append(feet, support.Point{X: p.X, Y: p.Y})
		}
	}
	hull := support.Hull(feet)
	if hull.N < 3 {
		return "keep at least three feet planted here, not in one line"
	}
	from := support.Point{X: t.COM[k*3], Y: t.COM[k*3+1]}
	to, ok := inset(&hull, from, max(c.l.Margin, 0))
	if !ok {
		return "plant the feet wider apart or keep one more foot down: this support polygon is too narrow for the wanted margin"
	}
	// In the axes of the body's heading.
	sn, cs := math.Sincos(t.Body[k*6+5])
	dx, dy := to.X-from.X, to.Y-from.Y
	return fmt.Sprintf("shift the body at least %s", shift(r3.Vec{X: cs*dx + sn*dy, Y: -sn*dx + cs*dy}))
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
