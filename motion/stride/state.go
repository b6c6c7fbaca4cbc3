// SPDX-License-Identifier: MIT

package stride

import (
	"math"
	"slices"

	"gaitwright/motion"
	"gaitwright/motion/gait"
)

// State is what is going on, to be shown.
type State struct {
	At       float64 // s
	Gait     *gait.Gait
	Phase    float64 // of the gait's clock, [0,1)
	Changing bool    // a change is under way; requests wait for its end
	Until    float64 // when it is done, s
	Waiting  bool    // a request waits
	Stopping bool    // the gait's clock runs until every foot is on its standing point
	Standing bool    // no clock runs and no foot steps
	Course   motion.Course
	Twist    motion.Twist
	Legs     []LegState
}

// LegState is where a leg is in its own cycle.
type LegState struct {
	Down  bool
	Share float64 // of the stance, or of the swing, that is over, [0,1]
	Phase float64 // half of Share on the ground, 1/2 more in the air: the same in every gait, so that no change makes it jump, [0,1)
	Next  float64 // next lift-off, +Inf for none, s
}

// State tells what is going on at the time planned up to.
func (w *Walker) State() State {
	s := State{At: w.now, Changing: w.changing, Waiting: w.pending != nil, Stopping: w.stopping,
		Standing: w.clock == nil && !w.changing, Course: w.course(w.now)}
	s.Twist, _ = w.drive.Speed(w.now)
	if w.changing {
		s.Until = w.busy
	}
	if w.clock != nil {
		s.Gait = w.clock.Gait
		s.Phase = gait.Frac((w.now - w.clock.origin) / w.clock.Period)
	}
	for i := range w.legs {
		l := LegState{Down: !w.legs[i].air && w.legs[i].hold == motion.Planted, Share: w.share(i, w.now), Next: w.legs[i].next}
		if l.Phase = l.Share / 2; !l.Down {
			l.Phase = gait.Frac(l.Phase + 0.5)
		}
		s.Legs = append(s.Legs, l)
	}
	return s
}

// Done tells whether the newest request is in force: no change is under way,
// the speed is the commanded one, the body at its height; after a request to
// stop, every foot on its standing point and at rest.
func (w *Walker) Done() bool {
	c := w.carriage
	if w.changing || w.pending != nil || w.then != nil || w.stopping || w.loose ||
		w.now < w.drive.End() || w.now < c.Shift.From+c.Shift.Duration || w.now < c.Lean.From+c.Lean.Duration {
		return false
	}
	return w.clock != nil || !slices.ContainsFunc(c.Bumps, func(b motion.Bump) bool { return b.Mid+b.Half > w.now })
}

// Plan gives the chains from the beginning up to the time planned up to, where
// they are cut.
func (w *Walker) Plan() *motion.Plan {
	p := &motion.Plan{Duration: w.now, RWG: w.o.Tilt, Feet: make([][]motion.FootPiece, len(w.legs))}
	p.Body = slices.Clone(w.body)
	if w.now > w.from || len(p.Body) == 0 {
		p.Body = append(p.Body, w.piece(w.now))
	}
	for i := range w.legs {
		p.Feet[i] = w.pieces(i, w.now, slices.Clone(w.feet[i]))
		if len(p.Feet[i]) == 0 {
			p.Feet[i] = append(p.Feet[i], motion.FootPiece{From: w.now, To: w.now, Hold: w.legs[i].hold, Span: still(w.legs[i].at)})
		}
	}
	return p
}

// Forget drops the pieces that have ended before time t, so that a walk
// without end does not grow: Plan then begins with what was under way at t.
func (w *Walker) Forget(t float64) {
	k := 0
	for k < len(w.body) && w.body[k].To < t {
		k++
	}
	w.body = slices.Clone(w.body[k:])
	for i, c := range w.feet {
		k := 0
		for k < len(c) && c[k].To < t {
			k++
		}
		w.feet[i] = slices.Clone(c[k:])
	}
}

// ChangeBound gives the longest time that a change from a gait (nil: from
// standing) to another (nil: to standing) keeps requests waiting, s.
func ChangeBound(from, to *gait.Gait) float64 {
	if from == nil || to == nil {
		return 0 // neither a start nor a stop does
	}
	swing, duty := 0.0, 0.0
	for i := range from.Phase {
		swing = max(swing, from.SwingTime(i))
		duty = max(duty, to.DutyOf(i))
	}
	return max(swing+duty*to.Period/quick, leadTime(to)) + to.Period
}

// Bound gives the time within which a request made while no change is under
// way is in force, with the usual ramps: Done tells so, s.
func Bound(from, to *gait.Gait) float64 {
	switch {
	case from == nil && to == nil:
		return 0
	case to == nil:
		return math.Max(2*from.Period, 0)
	case from == nil:
		duty := 0.0
		for i := range to.Phase {
			duty = max(duty, to.DutyOf(i))
		}
		return max(leadTime(to), duty*to.Period/quick) + to.Period
	}
	return ChangeBound(from, to) + to.Period
}
