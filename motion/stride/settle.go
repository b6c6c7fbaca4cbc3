// SPDX-License-Identifier: MIT

package stride

import (
	"math"
	"math/bits"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/support"
	"gaitwright/motion"
	"gaitwright/motion/curve"
	"gaitwright/motion/gait"
)

const stepHeight = 0.03 // of a step back, m

// smooth begins and ends at rest.
func smooth() curve.Timing {
	return curve.Timing{Kind: curve.CubicBezier, X1: 1. / 3, X2: 2. / 3, Y2: 1}
}

// stepBack gives the swing of a step back from a to b.
func stepBack(a, b r3.Vec) []gait.Part {
	up := r3.Vec{Z: stepHeight * 4 / 3}
	path := curve.Bezier{P0: a, P1: r3.Add(a, up), P2: r3.Add(b, up), P3: b}
	return []gait.Part{{To: 1, Span: curve.Span{Path: path, Timing: smooth()}}}
}

// mend brings feet that are held in the air down to their standing points,
// while the body waits where it leans, then the body to its stand pose. The
// request is taken thereafter.
func (w *Walker) mend(r *Request) {
	w.loose = false
	b := w.piece(w.now)
	x, _ := b.Pose(w.now)
	w.waits = w.now
	for i := range w.legs {
		l := &w.legs[i]
		if l.hold == motion.Planted {
			continue
		}
		p, to := l.at, w.home(i)
		if l.hold == motion.WithBody {
			p = x.At(p)
		}
		up := r3.Vec{Z: max(0, p.Z-to.Z)}
		path := curve.Bezier{P0: p, P1: r3.Add(p, r3.Vec{Z: 0.005}), P2: r3.Add(to, r3.Scale(0.5, up)), P3: to}
		w.fly(i, []gait.Part{{To: 1, Span: curve.Span{Path: path, Timing: smooth()}}}, w.now+settle)
		w.waits = w.now + settle
	}
	w.carry(nil, settle)
	w.changing, w.busy, w.pending = true, w.waits, r
	if c := w.carriage; c.Shift.Duration > 0 || c.Lean.Duration > 0 {
		w.busy += settle
	}
}

// group lets the next feet step back to their standing points: the largest
// set that leaves three standing with the wanted margin, of those the one with
// the greatest margin; or else one foot, away from which the body then leans
// no farther than it must.
func (w *Walker) group() {
	var stray uint16
	for i := range w.legs {
		if w.astray(i) {
			stray |= 1 << i
		}
	}
	if stray == 0 {
		w.stepping = false
		return
	}
	c := w.drive.CourseAt(w.now)
	com := w.centre(c)
	at := func(p r3.Vec) support.Point { return support.Point{X: p.X, Y: p.Y} }
	hull := func(air uint16) (h support.Polygon, middle r3.Vec) {
		var feet [kin.MaxLegs]support.Point
		k := 0
		for i := range w.legs {
			if air>>i&1 == 0 {
				p := c.Into(w.legs[i].at)
				middle = r3.Add(middle, r3.Vec{X: p.X, Y: p.Y})
				feet[k] = at(p)
				k++
			}
		}
		return support.Hull(feet[:k]), r3.Scale(1/float64(k), middle)
	}
	var best uint16
	most, margin := 0, math.Inf(-1)
	for s := stray; s != 0; s = (s - 1) & stray {
		n := bits.OnesCount16(s)
		if n < most || len(w.legs)-n < 3 {
			continue
		}
		h, _ := hull(s)
		if m := h.Margin(at(com)); m >= w.o.Margin && (n > most || m > margin) {
			best, most, margin = s, n, m
		}
	}
	lift := w.now
	w.leans = motion.Bump{}
	if best == 0 {
		lift += step
		least := math.Inf(1)
		for i := range w.legs {
			if stray>>i&1 == 0 {
				continue
			}
			h, middle := hull(1 << i)
			way := r3.Sub(middle, r3.Vec{X: com.X, Y: com.Y})
			lo, hi := 0.0, 1.0
			for range 20 {
				if mid := (lo + hi) / 2; h.Margin(at(r3.Add(com, r3.Scale(mid, way)))) >= w.o.Margin {
					hi = mid
				} else {
					lo = mid
				}
			}
			if by := r3.Scale(hi, way); r3.Norm(by) < least {
				least, best = r3.Norm(by), 1<<i
				w.leans = motion.Bump{Mid: lift + step/2, Half: 1.5 * step, By: by}
				if least > r3.Norm(w.stand[i]) { // nothing helps on a slope such as this
					w.leans.By = r3.Vec{}
				}
			}
		}
		w.push(w.leans)
	}
	for i := range w.legs {
		if best>>i&1 != 0 {
			w.legs[i].next = lift
		}
	}
	w.changing, w.busy = true, lift+step+pause
}
