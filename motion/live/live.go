// SPDX-License-Identifier: MIT

package live

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/motion"
	"gaitwright/motion/load"
	"gaitwright/motion/pace"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/review"
	"gaitwright/motion/stride"
	"gaitwright/motion/workfile"
)

// What a look shows.
const (
	Rate  = 100 // samples a second, Hz
	Span  = 8   // of the past, s
	Ahead = 0.2 // of the future, s
)

// ErrAsk is what the errors of Ask wrap.
var ErrAsk = errors.New("live: cannot walk so")

// Options change how a walk is judged.
type Options struct {
	OnStand bool // the robot hangs on a stand
}

// Want is what the robot shall do from now on.
type Want struct {
	Gait                int     // index into the workfile's gaits; -1: stop
	Forward, Side, Turn float64 // shares of the fastest command; with several of them the greatest is the share
	Rise                float64 // of the body over its height when standing, m
}

// Walk is a walk under way. Make one with New.
type Walk struct {
	built  *workfile.Built
	o      Options
	walker *stride.Walker
	now    float64 // s

	want    Want
	command motion.Twist
	verdict pace.Verdict
	paces   map[key]*known
	asked   []motion.Part // entries of what shows, the last one without its end

	sampler *motion.Sampler
	loads   *load.Estimator
	took    [2]taken // one is filled while the other may still be shown
	looks   int
}

// Seen is what a look shows.
type Seen struct {
	*rehearsal.Rehearsal
	From float64 // where its trajectory begins, by the walk's time, s
	Now  float64 // the walk's time when the look was taken, s
}

// taken are arrays that are used again.
type taken struct {
	t *motion.Trajectory
	d *load.Loads
}

// key says what a pace is for.
type key struct {
	gait int
	rise float64 // m
}

// known is a pace with the fastest commands along the axes.
type known struct {
	*pace.Pace
	axes [3][2]float64 // forward, side, turn; against them
}

// New begins a walk: the robot stands at the origin.
func New(b *workfile.Built, o Options) (*Walk, error) {
	w, err := stride.New(stride.Options{Robot: &b.Robot, Height: b.Height, Tilt: b.Tilt, Margin: b.Script.Margin})
	if err != nil {
		return nil, err
	}
	return &Walk{
		built: b, o: o, walker: w, want: Want{Gait: -1}, verdict: pace.Verdict{Can: true},
		paces: map[key]*known{}, asked: []motion.Part{{Name: "stand", Kind: "stand", Index: -1}},
		sampler: motion.NewSampler(&b.Robot), loads: load.New(&b.Robot),
	}, nil
}

// Now is the walk's time, s.
func (w *Walk) Now() float64 { return w.now }

// Want is what was asked for last.
func (w *Walk) Want() Want { return w.want }

// Command is what was asked for last, as a command.
func (w *Walk) Command() motion.Twist { return w.command }

// Verdict tells how the command stands to the fastest one in its direction.
func (w *Walk) Verdict() pace.Verdict { return w.verdict }

// State tells what is going on.
func (w *Walk) State() stride.State {
	c := w.walker.Clone()
	c.Advance(w.now)
	return c.State()
}

// Advance lets the time go on by dt (s). Times that are not positive change
// nothing.
func (w *Walk) Advance(dt float64) {
	if !(dt > 0) || math.IsInf(dt, 0) {
		return
	}
	w.now += dt
	w.walker.Advance(w.now)
	w.walker.Forget(w.begin() - 1/Rate)
}

// begin is where a look begins, s.
func (w *Walk) begin() float64 {
	return max(0, math.Floor((w.now-Span)*Rate)/Rate)
}

// Ask makes the robot do something else from now on. With an error nothing is
// changed.
func (w *Walk) Ask(q Want) error {
	n := len(w.built.Gaits)
	if q.Gait < -1 || q.Gait >= n {
		return fmt.Errorf("%w: gait %d of %d", ErrAsk, q.Gait+1, n)
	}
	for _, v := range [...]float64{q.Forward, q.Side, q.Turn, q.Rise} {
		if !(math.Abs(v) <= stride.Largest) {
			return fmt.Errorf("%w: share or height %v is not finite, or beyond %d", ErrAsk, v, stride.Largest)
		}
	}
	r := stride.Request{Height: w.built.Height + q.Rise}
	command, verdict := motion.Twist{}, pace.Verdict{Can: true}
	name, kind := "stop", "stand"
	if q.Gait >= 0 {
		var err error
		if command, err = w.commandOf(&q); err != nil {
			return err
		}
		p, err := w.pace(key{q.Gait, q.Rise})
		if err != nil {
			return err
		}
		verdict = p.Judge(command)
		r.Gait, r.Command = &w.built.Gaits[q.Gait], command
		name, kind = r.Gait.Name, "walk"
	}
	if err := w.walker.Ask(w.now, r); err != nil {
		return err
	}
	if kind == "walk" || w.want.Gait >= 0 {
		w.note(name, kind)
	}
	w.want, w.command, w.verdict = q, command, verdict
	return nil
}

// note begins another entry.
func (w *Walk) note(name, kind string) {
	last := &w.asked[len(w.asked)-1]
	if last.Name == name && last.Kind == kind {
		return
	}
	last.To = w.now
	next := motion.Part{Name: name, Kind: kind, From: w.now, Index: -1}
	if last.To-last.From < 1/Rate { // too short to show
		next.From = last.From
		w.asked = w.asked[:len(w.asked)-1]
	}
	w.asked = append(w.asked, next)
}

// pace gives what the robot can do with a gait at a height.
func (w *Walk) pace(k key) (*known, error) {
	if p := w.paces[k]; p != nil {
		return p, nil
	}
	b := w.built
	p, err := pace.New(&b.Robot, b.Height+k.rise, &b.Gaits[k.gait], pace.Limits{SpeedShare: b.Limits.SpeedShare, Clearance: b.Limits.Clearance})
	if err != nil {
		return nil, err
	}
	v := &known{Pace: p}
	if f := p.Judge(motion.Twist{}); !f.Can {
		why := "its steps"
		if f.Limit != nil {
			why = f.Limit.Word + " of leg " + b.Robot.Legs[f.Limit.Leg].Name
		}
		return nil, fmt.Errorf("%w: %s cannot even be stepped on the spot: %s is in the way; change the gait or the body's height", ErrAsk, b.Gaits[k.gait].Name, why)
	}
	for i, u := range [...]motion.Twist{{Forward: 1}, {Side: 1}, {Turn: 1}} {
		if u.Turn != 0 && !w.turns() {
			continue
		}
		v.axes[i][0] = p.Fastest(u).Speed
		v.axes[i][1] = p.Fastest(motion.Twist{Forward: -u.Forward, Side: -u.Side, Turn: -u.Turn}).Speed
	}
	if len(w.paces) > 64 { // heights come in steps; that many are not looked at twice
		clear(w.paces)
	}
	w.paces[k] = v
	return v, nil
}

// turns tells whether turning moves any foot.
func (w *Walk) turns() bool {
	for i := range w.built.Robot.Legs {
		s := w.built.Robot.Legs[i].Stand
		if r3.Norm(r3.Vec{X: s.X, Y: s.Y}) > 1e-6 {
			return true
		}
	}
	return false
}

// inside keeps the whole share within the fastest command, which is only known to
// a ten millionth of it.
const inside = 1e-6

// commandOf gives the command for the shares: its direction is that of the
// shares of the fastest along each axis, and it is the greatest share of the
// fastest one in that direction.
func (w *Walk) commandOf(q *Want) (c motion.Twist, err error) {
	p, err := w.pace(key{q.Gait, q.Rise})
	if err != nil {
		return c, err
	}
	along := func(v float64, i int) float64 {
		if v < 0 {
			return v * p.axes[i][1]
		}
		return v * p.axes[i][0]
	}
	c = motion.Twist{Forward: along(q.Forward, 0), Side: along(q.Side, 1), Turn: along(q.Turn, 2)}
	most := max(math.Abs(q.Forward), math.Abs(q.Side), math.Abs(q.Turn))
	if p.Judge(c).Factor == 0 { // no foot moves
		return motion.Twist{}, nil
	}
	k := p.Fastest(c).Speed * most * (1 - inside)
	c = motion.Twist{Forward: c.Forward * k, Side: c.Side * k, Turn: c.Turn * k}
	for _, v := range [...]float64{c.Forward, c.Side, c.Turn} {
		if !(math.Abs(v) <= stride.Fastest) {
			return c, fmt.Errorf("%w: a speed of %v m/s or rad/s", ErrAsk, v)
		}
	}
	return c, nil
}

// Look samples and judges what was walked last. What it gives is of use until
// the look after the next one, which takes its arrays over. Cost: about ten
// milliseconds for six legs.
func (w *Walk) Look() (*Seen, error) { return w.Prepare()() }

// Prepare takes the next look in two steps, for those who must not wait: the
// function does the work and may run beside the walk, but not beside another
// one.
func (w *Walk) Prepare() func() (*Seen, error) {
	v := &Seen{From: w.begin(), Now: w.now}
	w.forget(v.From)
	c := w.walker.Clone()
	end := w.now + Ahead
	parts := w.entries(v.From, end)
	return func() (*Seen, error) {
		c.Advance(end)
		plan := c.Plan().Cut(v.From, end)
		plan.Parts = parts
		k := &w.took[w.looks%2]
		w.looks++
		t, err := w.sampler.Sample(plan, Rate, k.t)
		if err != nil {
			return nil, err
		}
		k.t = t
		l := w.built.Limits
		l.OnStand = w.o.OnStand
		k.d = w.loads.Run(t, load.Options{OnStand: l.OnStand, Contact: l.Contact, Reuse: k.d})
		all := review.Run(&w.built.Robot, t, k.d, l)
		found := all[:0]
		for _, f := range all {
			if f.Part < 0 || f.From <= v.Now-v.From {
				found = append(found, f)
			}
		}
		v.Rehearsal = &rehearsal.Rehearsal{Built: w.built, Plan: plan, Trajectory: t, Loads: k.d, Findings: found}
		return v, nil
	}
}

// forget drops the entries that have ended before a time, s.
func (w *Walk) forget(t float64) {
	k := 0
	for k < len(w.asked)-1 && w.asked[k].To <= t {
		k++
	}
	w.asked = append(w.asked[:0], w.asked[k:]...)
}

// entries gives what was asked for, in the time of a look between two times, s.
func (w *Walk) entries(from, end float64) []motion.Part {
	out := append([]motion.Part(nil), w.asked...)
	out[len(out)-1].To = end
	for i := range out {
		out[i].From = max(0, out[i].From-from)
		out[i].To -= from
	}
	return out
}
