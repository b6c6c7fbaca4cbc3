// SPDX-License-Identifier: MIT

package stride

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/mass"
	"gaitwright/motion"
	"gaitwright/motion/gait"
)

// ErrRequest is what the errors of New, Begin and Ask wrap.
var ErrRequest = errors.New("stride: unusable request")

// Bounds of what is asked, far past what walks: beyond them numbers lose their
// digits, or planning takes long.
const (
	Fastest = 1000 // command, m/s and rad/s
	Longest = 600  // period or ramp, s
	Largest = 1000 // height, step height, sway, handles of a swing
)

// Lasts of what is done without a gait to tell how long it takes, s.
const (
	settle = 0.5  // a foot held in the air back to the ground; the body back to its stand pose
	step   = 0.4  // one step back
	pause  = 0.05 // between two of them
)

// onGround is how near to its place a foot counts as on it, m.
const onGround = 1e-6

// Options say what walks.
type Options struct {
	Robot  *kin.Robot
	Height float64 // of B above the ground when standing, m
	Tilt   kin.Rot // of the ground; the zero Rot is the level
	Margin float64 // wanted static stability margin of sets of feet that no gait asks for, m
}

// Request is what the robot shall do from now on.
type Request struct {
	Gait    *gait.Gait   // nil: stop, by the gait in force; without one the feet off their standing points step back in the fewest groups
	Halt    bool         // stop by Gait: only legs off their standing points step
	Command motion.Twist // ignored by a stop
	Height  float64      // of B above the ground, m
	Ramp    float64      // in which the command is taken up; 0: one period, half of one for a stop, s
}

func (r *Request) stops() bool { return r.Gait == nil || r.Halt }

// Foot is where a foot is when a Walker begins.
type Foot struct {
	Hold motion.Hold
	P    r3.Vec // pGF, or pBF when held with the body, m
}

// Stance is how the robot stands, at rest, when a Walker begins.
type Stance struct {
	At          float64 // s
	Course      motion.Course
	Shift, Lean r3.Vec // pCB, m; roll, pitch, yaw of B in C, rad
	Feet        []Foot
}

// Walker plans a walk as requests come. See the package comment.
type Walker struct {
	o     Options
	stand []r3.Vec // where each leg stands, in C, m
	com   r3.Vec   // centre of mass of the stand pose, in C, m
	down  r3.Vec   // unit direction of gravity, in G

	body []motion.BodyPiece // closed
	feet [][]motion.FootPiece

	start, now float64 // s
	from       float64 // where the open piece of the body begins, s
	drive      *motion.Drive
	then       *motion.Drive // follows drive from its own beginning on, nil for none
	carriage   *motion.Carriage
	legs       []leg

	clock    *clock // of the gait in force, nil when standing
	stopping bool
	want     Request  // in force, or being brought into force
	pending  *Request // to be taken when the change is done
	busy     float64  // until when a change is under way, s
	changing bool
	loose    bool        // feet are held in the air or the body is off its stand pose
	stepping bool        // feet step back in groups
	waits    float64     // until when the body waits for feet to be put down, s
	leans    motion.Bump // of the body, for the leg that steps back next
}

// leg is the state of one leg.
type leg struct {
	hold motion.Hold // planted; else held at rest, or swinging when air
	at   r3.Vec      // where it stands or is held, m
	from float64     // where the open piece begins, s

	air        bool
	parts      []gait.Part
	lift, land float64 // of the swing under way or the last one, s
	end        r3.Vec  // of the parts, m
	aim        *motion.Aim
	target     r3.Vec      // where it lands, m
	push       motion.Bump // of that swing

	next  float64 // next lift-off, +Inf for none, s
	cycle int     // of the gait's clock in which it is

	share0, since, until float64 // share of the stance at a time, and when it is all, s
}

// New makes a Walker that stands at the origin at time 0.
func New(o Options) (*Walker, error) {
	if err := o.Robot.Check(); err != nil {
		return nil, err
	}
	if !within(Largest, o.Height, o.Margin) {
		return nil, fmt.Errorf("%w: stand height %v m, margin %v m: want at most %d m", ErrRequest, o.Height, o.Margin, Largest)
	}
	if o.Tilt == (kin.Rot{}) {
		o.Tilt = kin.Identity
	}
	w := &Walker{o: o, down: o.Tilt.TMul(r3.Vec{Z: -1})}
	model := mass.Lump(o.Robot)
	chains := make([]kin.Chain, len(o.Robot.Legs))
	for i := range o.Robot.Legs {
		l := &o.Robot.Legs[i]
		w.stand = append(w.stand, r3.Vec{X: l.Stand.X, Y: l.Stand.Y, Z: l.FootRadius})
		x := l.XBH()
		chains[i] = l.Solve(x.Into(r3.Vec{X: l.Stand.X, Y: l.Stand.Y, Z: l.FootRadius - o.Height})).Chain
	}
	w.com = r3.Add(model.Centre(chains), r3.Vec{Z: o.Height})
	return w, w.Begin(w.Standing(0, motion.Course{}))
}

// within tells whether all values lie in [-most, most]; no NaN does.
func within(most float64, v ...float64) bool {
	for _, x := range v {
		if !(math.Abs(x) <= most) {
			return false
		}
	}
	return true
}

// far is farther than any walk leads, m, rad and s.
const far = 1e6

func near(v r3.Vec) bool { return within(far, v.X, v.Y, v.Z) }

// Standing gives the stance of a robot that stands over a course with every
// foot on its standing point.
func (w *Walker) Standing(at float64, c motion.Course) Stance {
	s := Stance{At: at, Course: c, Shift: r3.Vec{Z: w.o.Height}}
	for _, p := range w.stand {
		s.Feet = append(s.Feet, Foot{P: c.At(p)})
	}
	return s
}

// Begin forgets everything planned and begins anew from a stance.
func (w *Walker) Begin(s Stance) error {
	if len(s.Feet) != len(w.stand) {
		return fmt.Errorf("%w: %d feet for %d legs", ErrRequest, len(s.Feet), len(w.stand))
	}
	if !within(far, s.At, s.Course.X, s.Course.Y, s.Course.Yaw) || !near(s.Shift) || !near(s.Lean) {
		return fmt.Errorf("%w: a stance with a number that is not finite or beyond %g", ErrRequest, far)
	}
	for i, f := range s.Feet {
		if !near(f.P) || f.Hold < motion.Planted || f.Hold > motion.WithBody {
			return fmt.Errorf("%w: foot of leg %s: place %v, hold %d", ErrRequest, w.o.Robot.Legs[i].Name, f.P, f.Hold)
		}
	}
	n := len(s.Feet)
	*w = Walker{o: w.o, stand: w.stand, com: w.com, down: w.down,
		feet: make([][]motion.FootPiece, n), legs: make([]leg, n),
		start: s.At, now: s.At, from: s.At,
		drive: &motion.Drive{Start: s.Course, From: s.At},
		want:  Request{Height: w.o.Height},
	}
	stand := r3.Vec{Z: w.o.Height}
	w.carriage = &motion.Carriage{Shift: motion.Ease{From: s.At, To: s.Shift}, Lean: motion.Ease{From: s.At, To: s.Lean}}
	w.loose = s.Shift != stand || s.Lean != (r3.Vec{})
	for i, f := range s.Feet {
		w.legs[i] = leg{hold: f.Hold, at: f.P, from: s.At, next: math.Inf(1), share0: 1, since: s.At, until: s.At, target: f.P}
		w.loose = w.loose || f.Hold != motion.Planted
	}
	return nil
}

// Clone gives a Walker that goes on from here by itself.
func (w *Walker) Clone() *Walker {
	c := *w
	c.body = slices.Clip(w.body)
	c.feet = make([][]motion.FootPiece, len(w.feet))
	for i, f := range w.feet {
		c.feet[i] = slices.Clip(f)
	}
	c.legs = slices.Clone(w.legs)
	return &c
}

// Ask makes the Walker follow a request from time t on, which is not before
// the time it has come to. What is planned up to t stays. An error when a
// number is bad; nothing is changed then.
func (w *Walker) Ask(t float64, r Request) error {
	if !(t >= w.now) || math.IsInf(t, 0) {
		return fmt.Errorf("%w: asked at %v s, planned up to %v s", ErrRequest, t, w.now)
	}
	if !within(Largest, r.Height) {
		return fmt.Errorf("%w: height %v m: want at most %d m", ErrRequest, r.Height, Largest)
	}
	if r.Ramp != 0 && !(r.Ramp >= gait.MinPeriod && r.Ramp <= Longest) {
		return fmt.Errorf("%w: ramp %v s: want 0 for the usual, or %v to %d s", ErrRequest, r.Ramp, gait.MinPeriod, Longest)
	}
	for _, v := range [...]float64{r.Command.Forward, r.Command.Side, r.Command.Turn} {
		if !within(Fastest, v) {
			return fmt.Errorf("%w: command %v: want finite speeds of at most %d m/s and rad/s", ErrRequest, r.Command, Fastest)
		}
	}
	if r.Gait != nil {
		if err := r.Gait.Check(len(w.legs)); err != nil {
			return fmt.Errorf("%w: %w", ErrRequest, err)
		}
		if g := r.Gait; !(g.Period <= Longest) || !within(Largest, g.StepHeight, g.Sway, g.Swing.LiftAlong, g.Swing.LiftUp, g.Swing.LandAlong, g.Swing.LandUp) {
			return fmt.Errorf("%w: gait %s: want a period of at most %d s and lengths and handles of at most %d", ErrRequest, g.Name, Longest, Largest)
		}
		r.Gait = own(r.Gait)
	}
	if r.stops() {
		r.Command = motion.Twist{}
	}
	w.Advance(t)
	if r.Height != w.want.Height {
		w.rise(r.Height)
	}
	if w.changing {
		w.pending = &r
		return nil
	}
	w.take(&r)
	return nil
}

// own copies a gait, so that what the caller does to his changes nothing.
func own(g *gait.Gait) *gait.Gait {
	c := *g
	c.Phase, c.Duties = slices.Clone(g.Phase), slices.Clone(g.Duties)
	return &c
}

// same tells whether two gaits are one.
func same(a, b *gait.Gait) bool {
	if a == nil || b == nil {
		return a == b
	}
	return beats(a, b) && a.StepHeight == b.StepHeight && a.Swing == b.Swing && a.Timing == b.Timing &&
		a.EarlyLift == b.EarlyLift && a.LateTouch == b.LateTouch && a.Sway == b.Sway
}

// beats tells whether two gaits lift and land every leg at the same phases,
// in the same time.
func beats(a, b *gait.Gait) bool {
	if a.Period != b.Period {
		return false
	}
	for i := range a.Phase {
		if a.Phase[i] != b.Phase[i] || a.DutyOf(i) != b.DutyOf(i) {
			return false
		}
	}
	return true
}

// take brings a request into force; no change is under way.
func (w *Walker) take(r *Request) {
	old := w.want
	w.want = *r
	switch {
	case w.loose:
		w.mend(r)
	case r.stops() && w.clock == nil && !w.off():
	case r.stops() && w.clock == nil && r.Gait == nil:
		w.stepping = true
		w.group()
	case r.stops() && (w.clock == nil || r.Gait == nil || beats(r.Gait, w.clock.Gait)):
		if w.clock == nil {
			w.begin(r)
		} else if !w.stopping {
			w.stop(r)
		}
	case w.clock == nil:
		w.begin(r)
	case beats(r.Gait, w.clock.Gait):
		if same(r.Gait, old.Gait) && r.Command == old.Command && !w.stopping {
			return // in force already
		}
		w.command(r)
	default:
		w.change(r)
	}
}

// The order of events at the same instant.
const (
	land = iota
	follow
	finish
	lift
	changed
	none
)

// Next gives the time at which a foot next lifts or lands or something that
// was asked is next in force, +Inf when nothing is under way, s.
func (w *Walker) Next() float64 {
	t, _, _ := w.event()
	c := w.carriage
	ends := []float64{w.drive.End(), c.Shift.From + c.Shift.Duration, c.Lean.From + c.Lean.Duration}
	for i := range c.Bumps {
		ends = append(ends, c.Bumps[i].Mid+c.Bumps[i].Half)
	}
	for _, e := range ends {
		if e > w.now {
			t = min(t, e)
		}
	}
	return t
}

func (w *Walker) event() (at float64, kind, which int) {
	at, kind = math.Inf(1), none
	sooner := func(t float64, k, i int) {
		if t < at || t == at && k < kind {
			at, kind, which = t, k, i
		}
	}
	for i := range w.legs {
		if l := &w.legs[i]; l.air {
			sooner(l.land, land, i)
		} else {
			sooner(l.next, lift, i)
		}
	}
	if w.then != nil {
		sooner(w.then.From, follow, 0)
	}
	if w.stopping && w.then == nil && !w.off() {
		sooner(max(w.now, w.drive.End()), finish, 0)
	}
	if w.changing {
		sooner(w.busy, changed, 0)
	}
	return at, kind, which
}

// Advance plans up to time t; times already planned change nothing.
func (w *Walker) Advance(t float64) {
	if math.IsNaN(t) || math.IsInf(t, 0) {
		return
	}
	for {
		at, kind, i := w.event()
		if !(at <= t) {
			break
		}
		w.now = max(w.now, at)
		switch kind {
		case land:
			w.putDown(i)
		case lift:
			w.swing(i)
		case follow:
			w.close()
			w.drive, w.then = w.then, nil
		case finish:
			w.finish()
		case changed:
			w.changing = false
			if p := w.pending; p != nil {
				w.pending = nil
				w.take(p)
			} else if w.stepping {
				w.group()
			}
		}
	}
	w.now = max(w.now, t)
}

// finish ends a stop: every foot is on its standing point.
func (w *Walker) finish() {
	w.stopping, w.clock = false, nil
	for i := range w.legs {
		w.legs[i].next = math.Inf(1)
	}
}

// home gives the standing point of leg i under the course that a stop ends
// at, or when standing the present one, pGF.
func (w *Walker) home(i int) r3.Vec {
	d := w.drive
	if w.then != nil {
		d = w.then
	}
	return d.CourseAt(d.End()).At(w.stand[i])
}

// astray tells whether leg i does not stand, or will not land, on its
// standing point.
func (w *Walker) astray(i int) bool {
	l := &w.legs[i]
	p := l.at
	if l.air {
		p = l.target
	}
	return r3.Norm(r3.Sub(p, w.home(i))) > onGround
}

// off tells whether some leg is in the air or astray.
func (w *Walker) off() bool {
	for i := range w.legs {
		if w.legs[i].air || w.astray(i) {
			return true
		}
	}
	return false
}
