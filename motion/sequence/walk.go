// SPDX-License-Identifier: MIT

package sequence

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/motion"
	"gaitwright/motion/stride"
)

// begin lets a walker take over from how the robot stands.
func (pl *planner) begin() error {
	pl.fill(pl.now)
	w, err := stride.New(stride.Options{Robot: pl.s.Robot, Height: pl.s.Height, Tilt: pl.p.RWG, Margin: pl.s.Margin})
	if err != nil {
		return err
	}
	s := stride.Stance{At: pl.now, Course: pl.course, Shift: pl.shift, Lean: pl.lean}
	for i := range pl.foot {
		s.Feet = append(s.Feet, stride.Foot{Hold: pl.hold[i], P: pl.foot[i]})
	}
	if err := w.Begin(s); err != nil {
		return err
	}
	pl.walker = w
	return nil
}

// walk walks in a gait for some cycles. Where the next entry walks on, so does
// this one to its end; else it comes to stand.
func (pl *planner) walk(e *Entry, on bool) error {
	g := &pl.s.Gaits[e.Gait]
	if err := g.Check(len(pl.foot)); err != nil {
		return err
	}
	if !(e.Cycles > 0) || !(e.Cycles*g.Period <= MaxDuration) {
		return fmt.Errorf("%v cycles: want more than 0, and no more than %d s", e.Cycles, MaxDuration)
	}
	stood := pl.walker == nil
	if stood {
		if err := pl.begin(); err != nil {
			return err
		}
	}
	if err := pl.walker.Ask(pl.now, stride.Request{Gait: g, Command: pl.twist, Height: pl.s.Height}); err != nil {
		return err
	}
	from := pl.now
	if stood {
		var err error
		if from, err = pl.firstLift(); err != nil {
			return err
		}
	}
	end := from + e.Cycles*g.Period
	if on {
		pl.walker.Advance(end)
		pl.now = end
		return nil
	}
	pl.walker.Advance(max(from+g.Period/2, end-g.Period/2))
	return pl.halt(stride.Request{Height: pl.s.Height})
}

// firstLift gives the time at which the first leg lifts: after the feet that
// are held in the air are down, and the body has swayed over.
func (pl *planner) firstLift() (float64, error) {
	w := pl.walker
	for w.State().Gait == nil {
		next := w.Next()
		if math.IsInf(next, 0) || next > pl.now+MaxDuration {
			return 0, errors.New("the walk does not begin")
		}
		w.Advance(next)
	}
	lift := math.Inf(1)
	for _, l := range w.State().Legs {
		lift = min(lift, l.Next)
	}
	return lift, nil
}

// halt asks the walker to come to stand and takes what it planned.
func (pl *planner) halt(r stride.Request) error {
	w := pl.walker
	at := w.State().At
	if err := w.Ask(at, r); err != nil {
		return err
	}
	for !w.Done() {
		next := w.Next()
		if math.IsInf(next, 0) || next > at+MaxDuration {
			return errors.New("the robot does not come to stand")
		}
		w.Advance(next)
	}
	p := w.Plan()
	for _, b := range p.Body {
		if b.To > b.From {
			pl.p.Body = append(pl.p.Body, b)
		}
	}
	x, _ := p.BodyAt(p.Duration).Pose(p.Duration)
	for i, c := range p.Feet {
		for _, f := range c {
			if f.To > f.From {
				pl.p.Feet[i] = append(pl.p.Feet[i], f)
			}
		}
		last := &c[len(c)-1]
		pl.foot[i], pl.hold[i] = last.At(p.Duration, &x), motion.Planted
	}
	pl.walker = nil
	pl.now, pl.course = w.State().At, w.State().Course
	pl.shift, pl.lean = r3.Vec{Z: pl.s.Height}, r3.Vec{}
	return nil
}

// recover brings the robot to its stand without dragging a foot: feet in the
// air are put down, the body goes back to its stand pose, and feet that stand
// off their standing points step back, in the order of a gait or (g < 0) in
// the fewest groups that leave the robot standing.
func (pl *planner) recover(g int) error {
	if err := pl.begin(); err != nil {
		return err
	}
	r := stride.Request{Height: pl.s.Height}
	if g >= 0 {
		r.Gait, r.Halt = &pl.s.Gaits[g], true
		if err := r.Gait.Check(len(pl.foot)); err != nil {
			return err
		}
	}
	return pl.halt(r)
}
