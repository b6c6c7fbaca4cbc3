// SPDX-License-Identifier: MIT

package sweep

import (
	"errors"
	"fmt"
	"math"

	"gaitwright/motion"
	"gaitwright/motion/gait"
	"gaitwright/motion/pace"
	"gaitwright/motion/review"
	"gaitwright/motion/stride"
	"gaitwright/motion/workfile"
)

// OfFastest is the share of its fastest command ahead that a gait is walked
// with where the sequence has none for it.
const OfFastest = 0.6

// mostSpeed is the fastest command of an entry, mm/s.
const mostSpeed = 2000

// standing is how long a run stands before it walks, ms.
const standing = 300

// Command is how a gait is walked in a sweep.
type Command struct {
	Forward, Side float64 // mm/s
	Turn          float64 // deg/s
	Entry         string  // of the sequence that has it, "" for none: a share of the fastest
}

// swept is a workfile made ready.
type swept struct {
	file  *workfile.File
	built *workfile.Built
	gaits []ready
}

// ready is a gait with what its runs need.
type ready struct {
	name    string
	command Command
	twist   motion.Twist
	word    string // why there is no command for it
	why     string
	lift    float64 // from when the walk is asked for until its first leg lifts, s
	phase   float64 // of its clock then
	from    float64 // cycles from there on after which its walk is steady
}

// prepare finds every gait's command and when its walk is steady.
func prepare(f *workfile.File) (*swept, error) {
	b, err := f.Build()
	if err != nil {
		return nil, err
	}
	s := &swept{file: f, built: b}
	all := *f
	all.Sequence = nil
	for i := range f.Gaits {
		r := ready{name: f.Gaits[i].Name}
		if !r.asEntry(f) {
			r.share(b, &b.Gaits[i])
		}
		s.gaits = append(s.gaits, r)
		all.Sequence = append(all.Sequence, walk(r.name, &r, 1))
	}
	// In the numbers that a run will have.
	walks, err := all.Build()
	if err != nil {
		return nil, err
	}
	for i := range s.gaits {
		r := &s.gaits[i]
		r.twist = walks.Script.Seq[i].Command
		if r.why != "" {
			continue
		}
		if err := r.settle(b, &b.Gaits[i]); err != nil {
			r.why = err.Error()
		}
	}
	return s, nil
}

// asEntry takes the command of the first entry that walks in the gait.
func (r *ready) asEntry(f *workfile.File) bool {
	var now Command
	for i := range f.Sequence {
		e := &f.Sequence[i]
		if e.Kind == "walk" {
			now = Command{Forward: value(e.Forward), Side: value(e.Side), Turn: value(e.Turn)}
		}
		if (e.Kind == "walk" || e.Kind == "change") && e.Gait == r.name {
			now.Entry = e.Name
			if now.Entry == "" {
				now.Entry = e.Kind + " " + e.Gait
			}
			r.command = now
			return true
		}
	}
	return false
}

func value(p *float64) float64 {
	if p == nil {
		return 0
	}
	return *p
}

// share takes a share of the fastest command ahead, in tenths of a mm/s.
func (r *ready) share(b *workfile.Built, g *gait.Gait) {
	p, err := pace.New(&b.Robot, b.Height, g, pace.Limits{SpeedShare: b.Limits.SpeedShare, Clearance: b.Limits.Clearance})
	if err != nil {
		r.why = err.Error()
		return
	}
	best := p.Fastest(pace.Ahead(0))
	v := math.Floor(OfFastest*best.Speed*1e4) / 10
	if v > mostSpeed {
		r.why = fmt.Sprintf("%.3g mm/s, %g of the fastest ahead, is more than an entry can say: give the gait a walk entry", v, OfFastest)
		return
	}
	if v > 0 {
		r.command.Forward = v
		return
	}
	r.why = "not even a slow walk ahead can be done with it"
	if l := best.Limit; l != nil {
		r.word = l.Word
		r.why = fmt.Sprintf("not even a slow walk ahead can be done with it: leg %s, %s", b.Robot.Legs[l.Leg].Name, review.Meaning(l.Word))
	}
}

// walker gives a walker that stands, and walks in the gait from a time on, s.
func (r *ready) walker(b *workfile.Built, g *gait.Gait, at float64) (*stride.Walker, error) {
	w, err := stride.New(stride.Options{Robot: &b.Robot, Height: b.Height, Tilt: b.Tilt, Margin: b.Script.Margin})
	if err != nil {
		return nil, err
	}
	if err := w.Begin(w.Standing(at, motion.Course{})); err != nil {
		return nil, err
	}
	return w, w.Ask(at, stride.Request{Gait: g, Command: r.twist, Height: b.Height})
}

// settle finds out when the walk is steady: a cycle after it has come up to its
// speed, so that no foot stands that was put down before.
func (r *ready) settle(b *workfile.Built, g *gait.Gait) error {
	w, err := r.walker(b, g, 0)
	if err != nil {
		return err
	}
	r.lift = math.Inf(1)
	for _, l := range w.State().Legs {
		r.lift = min(r.lift, l.Next)
	}
	w.Advance(r.lift)
	r.phase = w.State().Phase
	up, err := inForce(w, stride.Bound(nil, g))
	if err != nil {
		return err
	}
	r.from = max(1, (up-r.lift)/g.Period) + 1
	return nil
}

// errNever tells that a request is not in force in the time it is bound to.
var errNever = errors.New("what was asked for is not in force within the time it is bound to")

// inForce steps a walker on until its request is in force, and gives when, s.
func inForce(w *stride.Walker, latest float64) (float64, error) {
	for !w.Done() {
		next := w.Next()
		if !(next <= latest+1e-6) {
			return 0, errNever
		}
		w.Advance(next)
	}
	return w.State().At, nil
}

// Script gives the entries that play a cell: those of its run, for the
// sequence of f. Nil for a cell whose gaits or move f does not have, or whose
// gaits have no command.
func Script(f *workfile.File, c Cell) []workfile.Entry {
	s, err := prepare(f)
	if err != nil || !s.has(&c) {
		return nil
	}
	return s.script(&c)
}

func (s *swept) has(c *Cell) bool {
	gait := func(i int) bool { return i >= 0 && i < len(s.gaits) && s.gaits[i].why == "" }
	if !gait(c.From) || !(c.Phase >= 0 && c.Phase < 1) {
		return false
	}
	if c.To < 0 {
		return c.Move >= 0 && c.Move < len(s.file.Moves)
	}
	return gait(c.To)
}

// after is how long a run is sampled past what is judged, so that what is under
// way at its end is not taken for what goes on, s.
const after = 0.2

// script lays out the entries of a cell.
func (s *swept) script(c *Cell) []workfile.Entry {
	a := &s.gaits[c.From]
	seq := []workfile.Entry{
		{Name: "stand", Kind: "stand", Duration: ptr(standing)},
		walk("walk in "+a.name, a, 0),
	}
	if c.To >= 0 {
		b := &s.gaits[c.To]
		e := walk("on in "+b.name, b, s.cycles(c.From, c.To))
		if a.twist == b.twist {
			e = workfile.Entry{Name: "change to " + b.name, Kind: "change", Gait: b.name, Cycles: e.Cycles}
		}
		seq[1].Cycles = ptr(a.cycles(c.Phase, 0))
		return append(seq, e)
	}
	m := s.file.Moves[c.Move].Name
	seq[1].Cycles = ptr(a.cycles(c.Phase, halting))
	e := workfile.Entry{Name: "move " + m, Kind: "move", Move: m}
	for i := range s.file.Sequence {
		if k := &s.file.Sequence[i]; k.Kind == "move" && k.Move == m {
			e.Speed = ptr(1)
			if k.Speed != nil {
				e.Speed = ptr(*k.Speed)
			}
			break
		}
	}
	return append(seq, e, walk("walk on in "+a.name, a, s.cycles(-1, c.From)))
}

// halting is how long before its end a walk entry stops, where no other walk
// follows, cycles.
const halting = 0.5

// cycles gives how long the gait is walked until its clock, in the steady walk,
// is at a phase, and some cycles more.
func (r *ready) cycles(phase, more float64) float64 {
	return r.from + gait.Frac(phase-r.phase-r.from) + more
}

// cycles gives how many of the gait to are walked so that all that is judged is
// in them.
func (s *swept) cycles(from, to int) float64 {
	var a *gait.Gait
	if from >= 0 {
		a = &s.built.Gaits[from]
	}
	b := &s.built.Gaits[to]
	return math.Ceil((stride.Bound(a, b)+after+0.05)/b.Period + 1 + halting)
}

func walk(name string, r *ready, cycles float64) workfile.Entry {
	e := workfile.Entry{Name: name, Kind: "walk", Gait: r.name, Cycles: ptr(cycles)}
	for _, v := range []struct {
		to   **float64
		from float64
	}{{&e.Forward, r.command.Forward}, {&e.Side, r.command.Side}, {&e.Turn, r.command.Turn}} {
		if v.from != 0 {
			*v.to = ptr(v.from)
		}
	}
	return e
}

func ptr(v float64) *float64 { return &v }
