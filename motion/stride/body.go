// SPDX-License-Identifier: MIT

package stride

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/motion"
	"gaitwright/motion/gait"
)

// piece gives the open piece of the body up to time t.
func (w *Walker) piece(t float64) motion.BodyPiece {
	return motion.BodyPiece{From: w.from, To: t, Start: w.drive.CourseAt(w.from), Drive: w.drive, Carriage: w.carriage}
}

// close ends the open piece of the body at the present.
func (w *Walker) close() {
	if w.now > w.from {
		w.body = append(w.body, w.piece(w.now))
		w.from = w.now
	}
}

// course gives C at a time from now on, if nothing more is asked.
func (w *Walker) course(t float64) motion.Course {
	if w.then != nil && t > w.then.From {
		return w.then.CourseAt(t)
	}
	return w.drive.CourseAt(t)
}

// steer changes the speed from time at (or now) on to v within a time (s).
func (w *Walker) steer(at float64, v motion.Twist, within float64) {
	if at > w.now {
		w.then = onward(w.drive, at, v, within)
		return
	}
	w.close()
	w.drive, w.then = onward(w.drive, w.now, v, within), nil
}

// onward gives the drive that leaves d at time t for the speed v, within a
// time (s).
func onward(d *motion.Drive, t float64, v motion.Twist, within float64) *motion.Drive {
	n := &motion.Drive{Start: d.CourseAt(t), From: t, Duration: within, W1: v}
	n.W0, n.A0 = d.Speed(t)
	if n.A0 != (motion.Twist{}) {
		// What began quickly would shoot far over its end if it ended slowly.
		n.Duration = min(within, d.Duration)
	}
	if n.A0 == (motion.Twist{}) && n.W0 == v {
		n.Duration = 0
	}
	return n
}

// rise brings the body to another height, or back to its stand pose.
func (w *Walker) rise(height float64) {
	w.want.Height = height
	if w.loose {
		return // see mend
	}
	within := settle
	if w.clock != nil {
		within = w.clock.Period / 2
	}
	w.carry(w.carriage.Bumps, within)
}

// carry lays the bumps anew and eases the rest of the body's shift, whatever
// it is, to the wanted height within a time (s): sooner if it is moving
// quicker already, since it would shoot far over otherwise.
func (w *Walker) carry(bumps []motion.Bump, within float64) {
	w.close()
	for _, e := range [...]*motion.Ease{&w.carriage.Shift, &w.carriage.Lean} {
		if w.now > e.From && w.now < e.From+e.Duration {
			within = min(within, e.Duration)
		}
	}
	for i := range w.carriage.Bumps {
		if b := &w.carriage.Bumps[i]; math.Abs(w.now-b.Mid) < b.Half {
			within = min(within, b.Half)
		}
	}
	p, v, a := w.carriage.ShiftAt(w.now)
	for i := range bumps {
		q, u, b := bumps[i].At(w.now)
		p, v, a = r3.Sub(p, q), r3.Sub(v, u), r3.Sub(a, b)
	}
	lp, lv, la := w.carriage.Lean.At(w.now)
	from := max(w.now, w.waits)
	n := &motion.Carriage{Bumps: bumps,
		Shift: motion.Ease{From: from, Duration: within, P: p, V: v, A: a, To: r3.Vec{Z: w.want.Height}},
		Lean:  motion.Ease{From: from, Duration: within, P: lp, V: lv, A: la},
	}
	if n.Shift.P == n.Shift.To && n.Shift.V == (r3.Vec{}) && n.Shift.A == (r3.Vec{}) {
		n.Shift.Duration = 0
	}
	if n.Lean.P == (r3.Vec{}) && n.Lean.V == (r3.Vec{}) && n.Lean.A == (r3.Vec{}) {
		n.Lean.Duration = 0
	}
	w.carriage = n
}

// bump gives the sway away from leg i for a swing that begins at a time.
func (w *Walker) bump(g *gait.Gait, i int, lift float64) motion.Bump {
	half := 1 / float64(len(w.legs))
	for j := range w.legs {
		half = max(half, 1-g.DutyOf(j))
	}
	away := r3.Vec{X: -w.stand[i].X, Y: -w.stand[i].Y}
	if d := r3.Norm(away); d > 0 {
		away = r3.Scale(g.Sway/d, away)
	}
	return motion.Bump{Mid: lift + g.SwingTime(i)/2, Half: half * g.Period, By: away}
}

// sway gives the bumps of each leg's last swing, as long as they last, and of
// the next swing of every leg that will take one.
func (w *Walker) sway() []motion.Bump {
	var out []motion.Bump
	for i := range w.legs {
		if b := &w.legs[i].push; b.Mid+b.Half > w.now {
			out = append(out, *b)
		}
	}
	if w.clock == nil || w.clock.Sway == 0 {
		return out
	}
	for i := range w.legs {
		if l := &w.legs[i]; !math.IsInf(l.next, 1) && (!w.stopping || w.astray(i)) {
			out = append(out, w.bump(w.clock.Gait, i, l.next))
		}
	}
	return out
}

// push adds the bump of leg i's next swing, which begins after now, to the
// present ones.
func (w *Walker) push(b motion.Bump) {
	w.close()
	n := *w.carriage
	n.Bumps = nil
	for _, o := range w.carriage.Bumps {
		if o.Mid+o.Half > w.now {
			n.Bumps = append(n.Bumps, o)
		}
	}
	n.Bumps = append(n.Bumps, b)
	w.carriage = &n
}
