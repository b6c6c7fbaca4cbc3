// SPDX-License-Identifier: MIT

package sweep

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/load"
	"gaitwright/motion/review"
	"gaitwright/motion/sequence"
	"gaitwright/motion/stride"
	"gaitwright/motion/workfile"
)

// worker does one run after another with the same arrays.
type worker struct {
	*swept
	rate    float64
	sampler *motion.Sampler
	loads   *load.Estimator
	t       *motion.Trajectory
	d       *load.Loads
	scripts map[[3]int]*sequence.Script // of the rows seen so far
}

func (s *swept) worker(rate float64) *worker {
	return &worker{
		swept: s, rate: rate, scripts: map[[3]int]*sequence.Script{},
		sampler: motion.NewSampler(&s.built.Robot), loads: load.New(&s.built.Robot),
	}
}

// before is how much of the old walk is sampled before a request, samples.
const before = 10

// span is a stretch of time, s.
type span struct{ from, to float64 }

// watch samples, loads and reviews a plan between two times. What it leaves in
// w.t and w.d has its clock at 0 at the beginning.
func (w *worker) watch(p *motion.Plan, from, to float64) ([]review.Finding, error) {
	t, err := w.sampler.Sample(p.Cut(from, min(to, p.Duration)), w.rate, w.t)
	if err != nil {
		return nil, err
	}
	w.t = t
	w.d = w.loads.Run(t, load.Options{Contact: w.built.Limits.Contact, Reuse: w.d})
	return review.Run(&w.built.Robot, t, w.d, w.built.Limits), nil
}

// first gives the stop that begins first between two times, nil for none, and
// counts stops and cautions there. What is said of the whole (servo heat)
// belongs to it.
func first(all []review.Finding, in span) (worst *review.Finding, stops, cautions int) {
	for i := range all {
		f := &all[i]
		if f.Part >= 0 && !(f.From >= in.from-1e-6 && f.From <= in.to+1e-6) {
			continue
		}
		if f.Level != review.Stop {
			cautions++
			continue
		}
		stops++
		if worst == nil || f.From < worst.From {
			worst = f
		}
	}
	return worst, stops, cautions
}

// measure gives the worst of what was watched within the stretches: not at
// their ends, where accelerations step and rounding would tell which side of
// the step a sample sees. Times count from zero.
func (w *worker) measure(in []span, zero float64) Measure {
	t, d := w.t, w.d
	m := noMeasure()
	var at [kin.MaxLegs]r3.Vec
	var planted [kin.MaxLegs]bool
	width := t.Legs * kin.Joints
	for k := range t.N {
		now := t.Time(k)
		counts := false
		for _, s := range in {
			counts = counts || now > s.from+1e-6 && now < s.to-1e-6
		}
		x := t.BodyPose(k)
		for i := range t.Legs {
			o := k*t.Legs + i
			if !t.Planted[o] {
				planted[i] = false
			}
			if t.Reach[o] < 0 {
				continue
			}
			if counts {
				for j := range kin.Joints {
					n := i*kin.Joints + j
					if fast := d.Lines[n].NoLoad; fast > 0 && !math.IsInf(fast, 0) {
						m.Speed = most(m.Speed, math.Abs(t.V[k*width+n])/fast)
					}
				}
			}
			if !t.Planted[o] {
				continue
			}
			// The foot as the leg really stands.
			p := x.At(motion.Vec(t.Points, o*9+6))
			if !planted[i] {
				planted[i], at[i] = true, p
			}
			if counts {
				m.Slip = most(m.Slip, r3.Norm(r3.Sub(p, at[i])))
			}
		}
		if !counts {
			continue
		}
		if d.Slides(k) {
			m.Slip = most(m.Slip, d.Slip[k])
		}
		if s := t.Margin[k]; !math.IsInf(s, 0) {
			m.Static = least(m.Static, s)
		}
		if v := d.Dynamic[k]; v == v && !math.IsInf(v, 0) && !(v >= m.Dynamic) {
			m.Dynamic, m.At = v, math.Round((now-zero)*1e6)/1e6
		}
	}
	return m
}

// plan plays entries. The robot is that of the workfile.
func (w *worker) plan(seq []workfile.Entry) (*sequence.Script, error) {
	f := *w.file
	f.Sequence = seq
	b, err := f.Build()
	if err != nil {
		return nil, err
	}
	b.Script.Robot = &w.built.Robot
	return &b.Script, nil
}

// steady looks at a gait by itself.
func (w *worker) steady(i int) Gait {
	r := &w.gaits[i]
	g := Gait{Name: r.name, Command: r.command, Word: r.word, Why: r.why, Measure: noMeasure()}
	if r.why != "" {
		return g
	}
	period := w.built.Gaits[i].Period
	e := walk("walk in "+r.name, r, math.Ceil(r.from+1+halting+(after+0.05)/period))
	script, err := w.plan([]workfile.Entry{{Name: "stand", Kind: "stand", Duration: ptr(standing)}, e})
	if err != nil {
		g.Why = err.Error()
		return g
	}
	p, err := sequence.Plan(script)
	if err != nil {
		g.Why = err.Error()
		return g
	}
	at := p.Parts[1].From + r.lift
	in := span{at + r.from*period, at + (r.from+1)*period}
	all, err := w.watch(p, 0, in.to+after)
	if err != nil {
		g.Why = err.Error()
		return g
	}
	g.Measure = w.measure([]span{in}, in.from)
	if f, _, _ := first(all, span{0, in.to}); f != nil {
		g.Word, g.Why = f.Word, f.Why
		if f.Part >= 0 {
			how := "in its steady walk"
			if f.From < in.from {
				how = "as it starts"
			}
			g.Why = fmt.Sprintf("%s (%s)", f.Why, how)
		}
	}
	return g
}

// run does one run.
func (w *worker) run(c *Cell) {
	c.Run = true
	if err := w.try(c); err != nil {
		c.Fault = err.Error()
	}
}

func (w *worker) try(c *Cell) error {
	key := [3]int{c.From, c.To, c.Move}
	script := w.scripts[key]
	if script == nil {
		var err error
		if script, err = w.plan(w.script(c)); err != nil {
			return err
		}
		w.scripts[key] = script
	}
	// All cells of a row differ in this alone.
	more := 0.0
	if c.To < 0 {
		more = halting
	}
	script.Seq[1].Cycles = w.gaits[c.From].cycles(c.Phase, more)
	p, err := sequence.Plan(script)
	if err != nil {
		return err
	}
	var asked, end float64
	var in []span
	if c.To >= 0 {
		asked = p.Parts[1].To
		done, err := w.changed(p, c, asked)
		if err != nil {
			return err
		}
		c.Time = done - asked
		in = []span{{asked, done}}
		end = done + w.built.Gaits[c.To].Period
	} else {
		period := w.built.Gaits[c.From].Period
		asked = p.Parts[1].From + w.gaits[c.From].lift + script.Seq[1].Cycles*period - halting*period
		if err := stopsAt(p, asked, w.gaits[c.From].twist); err != nil {
			return err
		}
		back, err := goes(p, &p.Parts[3], script.Seq[3].Command)
		if err != nil {
			return err
		}
		c.Time, c.Back = p.Parts[2].From-asked, back-p.Parts[2].To
		in = []span{{asked, p.Parts[2].From}, {p.Parts[2].To, back}}
		end = back + period
	}
	from := asked - before/w.rate
	all, err := w.watch(p, from, end+after)
	if err != nil {
		return err
	}
	for i := range in {
		in[i].from -= from
		in[i].to -= from
	}
	c.Measure = w.measure(in, asked-from)
	var f *review.Finding
	f, c.Stops, c.Cautions = first(all, span{asked - from, end - from})
	if f != nil {
		c.Word, c.Why = f.Word, f.Why
	}
	return nil
}

// errOther tells that a plan is not the one that was asked for: a slip of this
// program.
var errOther = errors.New("sweep: the plan is not what was asked for")

// changed gives when a change is in force, by a walker that is asked the same
// as the one that the plan comes from.
func (w *worker) changed(p *motion.Plan, c *Cell, asked float64) (float64, error) {
	a, b := &w.built.Gaits[c.From], &w.built.Gaits[c.To]
	v, err := w.gaits[c.From].walker(w.built, a, p.Parts[1].From)
	if err != nil {
		return 0, err
	}
	v.Advance(asked)
	if off := math.Abs(v.State().Phase - c.Phase); math.Min(off, 1-off) > 1e-6 {
		return 0, errOther
	}
	err = v.Ask(asked, stride.Request{Gait: b, Command: w.gaits[c.To].twist, Height: w.built.Height})
	if err != nil {
		return 0, err
	}
	done, err := inForce(v, asked+stride.Bound(a, b))
	if err != nil {
		return 0, err
	}
	s := v.State()
	is := p.BodyAt(done).CourseAt(done)
	if !(math.Hypot(is.X-s.Course.X, is.Y-s.Course.Y) < 1e-9 && math.Abs(is.Yaw-s.Course.Yaw) < 1e-9) {
		return 0, errOther
	}
	return done, nil
}

// stopsAt makes sure that a walk is asked to stop at a time.
func stopsAt(p *motion.Plan, at float64, twist motion.Twist) error {
	a, b := p.BodyAt(at-1e-6).Drive, p.BodyAt(at+1e-6).Drive
	if a == nil || b == nil || a.W1 != twist || b.W1 != (motion.Twist{}) {
		return errOther
	}
	return nil
}

// goes gives when the command of a walk from standing is in force.
func goes(p *motion.Plan, part *motion.Part, twist motion.Twist) (float64, error) {
	for i := range p.Body {
		b := &p.Body[i]
		if b.To <= part.From || b.Drive == nil || b.Carriage == nil || b.Drive.W1 != twist {
			continue
		}
		c := b.Carriage
		at := max(b.From, b.Drive.End(), c.Shift.From+c.Shift.Duration, c.Lean.From+c.Lean.Duration)
		if at <= b.To {
			return at, nil
		}
	}
	return 0, errNever
}
