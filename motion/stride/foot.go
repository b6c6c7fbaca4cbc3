// SPDX-License-Identifier: MIT

package stride

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/motion"
	"gaitwright/motion/curve"
	"gaitwright/motion/gait"
)

// hurry is how fast a foot may be led to another foothold, in units of the
// mean speed of a steady swing over the ground.
const hurry = 3

// comesDown is the share of a swing, at its end, in which a foot is not led
// beside it any more.
const comesDown = 0.2

func still(p r3.Vec) curve.Span { return curve.Span{Path: curve.Bezier{P0: p, P1: p, P2: p, P3: p}} }

// pieces gives the open pieces of leg i up to time t.
func (w *Walker) pieces(i int, t float64, out []motion.FootPiece) []motion.FootPiece {
	l := &w.legs[i]
	if !l.air {
		if t > l.from {
			out = append(out, motion.FootPiece{From: l.from, To: t, Hold: l.hold, Span: still(l.at)})
		}
		return out
	}
	for k := range l.parts {
		p := &l.parts[k]
		a, b := l.at01(p.From), l.at01(p.To)
		from, to := max(a, l.from), min(b, t)
		if !(to > from) {
			continue
		}
		f := motion.FootPiece{From: from, To: to, Hold: motion.OverGround, Span: p.Span, Aim: l.aim}
		if from != a || to != b {
			f.Clock = [2]float64{a, b}
		}
		if m := l.aim; m != nil && m.To < to {
			// Its acceleration ends at once: a piece ends there too.
			if m.To > from {
				f.To, f.Clock = m.To, [2]float64{a, b}
				out = append(out, f)
			}
			f.From, f.To, f.Clock = max(from, m.To), to, [2]float64{a, b}
			f.Aim = &motion.Aim{From: m.To, To: m.To, Path: still(m.Path.P3).Path}
		}
		out = append(out, f)
	}
	return out
}

// at01 gives the time of a share of the swing, exact at both ends.
func (l *leg) at01(x float64) float64 {
	if x >= 1 {
		return l.land
	}
	return l.lift + x*(l.land-l.lift)
}

// shut ends the open pieces of leg i at the present.
func (w *Walker) shut(i int) {
	w.feet[i] = w.pieces(i, w.now, w.feet[i])
	w.legs[i].from = w.now
}

// fly begins a swing of leg i on its parts, now, to land at a time.
func (w *Walker) fly(i int, parts []gait.Part, land float64) {
	w.shut(i)
	l := &w.legs[i]
	l.air, l.parts, l.lift, l.land, l.aim = true, parts, w.now, land, nil
	l.end = parts[len(parts)-1].Span.Path.P3
	l.target = l.end
	l.push = motion.Bump{}
}

// swing lifts leg i by the gait's clock, unless it stops and the leg stands
// where it should.
func (w *Walker) swing(i int) {
	l := &w.legs[i]
	if w.clock == nil { // a step back in a group
		l.next = math.Inf(1)
		w.fly(i, stepBack(l.at, w.home(i)), w.now+step)
		l.push = w.leans
		return
	}
	g := w.clock
	if w.stopping && !w.astray(i) {
		l.cycle++
		l.next = g.lifts(i, l.cycle)
		return
	}
	land := g.lands(i, l.cycle)
	l.cycle++
	next := g.lifts(i, l.cycle)
	to := w.foothold(i, land, next)
	w.fly(i, g.Parts(l.at, to), land)
	l.next = next
	if g.Sway > 0 {
		l.push = w.bump(g.Gait, i, l.lift)
		if !w.stopping || w.astray(i) {
			w.push(w.bump(g.Gait, i, next))
		}
	}
}

// foothold gives where leg i should stand from one time to another: below its
// standing point in the middle of that time; on its standing point of the
// rest when the body has then all but stopped.
func (w *Walker) foothold(i int, from, to float64) r3.Vec {
	mid := (from + to) / 2
	c := w.course(mid).At(w.stand[i])
	if w.stopping {
		home := w.home(i)
		if end := w.drive; mid >= end.From+end.Duration/2 && w.then == nil || r3.Norm(r3.Sub(c, home)) <= onGround {
			return home
		}
	}
	return c
}

// putDown ends the swing of leg i.
func (w *Walker) putDown(i int) {
	w.shut(i)
	l := &w.legs[i]
	l.air, l.hold, l.parts, l.aim, l.at = false, motion.Planted, nil, nil, l.target
	l.share0, l.since, l.until = 0, w.now, l.next
	if math.IsInf(l.next, 1) {
		l.until = w.now + step
	}
}

// lead sends leg i, which is in the air, to another foothold, as far as it
// gets there without going faster beside its swing than fast (m/s), and less
// and less as little time is left, so that it does not jerk. It is there
// before it comes down. When it lands and how high it is meanwhile stays.
func (w *Walker) lead(i int, to r3.Vec, fast float64) {
	l := &w.legs[i]
	whole := l.land - l.lift
	end := l.land - comesDown*whole
	left := end - w.now
	if !(left > 1e-3*whole) || to == l.target {
		return
	}
	var by, v, had r3.Vec
	if l.aim != nil {
		by, v, _ = l.aim.At(w.now)
		had = l.aim.Path.P3
	}
	// The speed beside the swing is a quadratic Bézier curve with the control
	// points v, u and 0, so that it stays below the greatest of them.
	control := func(end r3.Vec) r3.Vec { return r3.Sub(r3.Scale(3/left, r3.Sub(end, by)), v) }
	u := control(r3.Sub(to, l.end))
	fast = max(fast*min(1, 2*left/whole), r3.Norm(control(had)))
	if s := r3.Norm(u); s > fast {
		u = r3.Scale(fast/s, u)
		to = r3.Add(l.end, r3.Add(by, r3.Scale(left/3, r3.Add(u, v))))
		to.Z = l.end.Z
	}
	w.shut(i)
	by2 := r3.Sub(to, l.end)
	l.aim = &motion.Aim{From: w.now, To: end, Path: curve.Bezier{P0: by, P1: r3.Add(by, r3.Scale(left/3, v)), P2: by2, P3: by2}}
	l.target = r3.Add(l.end, by2)
}

// leadAll sends every leg in the air where it should land now.
func (w *Walker) leadAll() {
	v, _ := w.drive.Speed(w.now)
	for i := range w.legs {
		l := &w.legs[i]
		if !l.air || w.clock == nil {
			continue
		}
		fast := 0.0
		for _, t := range [...]motion.Twist{v, w.drive.W1, w.want.Command} {
			fast = max(fast, r3.Norm(w.speed(i, t)))
		}
		w.lead(i, w.foothold(i, l.land, l.next), hurry*fast/(1-w.clock.DutyOf(i)))
	}
}

// speed gives the speed of leg i's standing point at a twist, in C, m/s.
func (w *Walker) speed(i int, t motion.Twist) r3.Vec {
	s := w.stand[i]
	return r3.Vec{X: t.Forward - t.Turn*s.Y, Y: t.Side + t.Turn*s.X}
}

// share gives how much of its stance, or of its swing, leg i has behind it.
func (w *Walker) share(i int, t float64) float64 {
	l := &w.legs[i]
	from, to, s := l.since, l.until, l.share0
	if l.air {
		from, to, s = l.lift, l.land, 0
	}
	if !(to > from) || math.IsInf(to, 1) {
		return max(s, 0)
	}
	return s + (1-s)*max(0, min(1, (t-from)/(to-from)))
}
