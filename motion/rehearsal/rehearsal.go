// SPDX-License-Identifier: MIT

// Package rehearsal is the one way from a workfile to its findings. The
// window, the command line and the export all come here.
package rehearsal

import (
	"gaitwright/motion"
	"gaitwright/motion/load"
	"gaitwright/motion/review"
	"gaitwright/motion/sequence"
	"gaitwright/motion/workfile"
)

// Rehearsal is a workfile played and judged.
type Rehearsal struct {
	Built      *workfile.Built
	Plan       *motion.Plan
	Trajectory *motion.Trajectory
	Loads      *load.Loads
	Findings   []review.Finding

	onStand bool
	seen    *review.Seen
}

// Grounded gives the findings with the robot on the ground, also when the
// rehearsal hangs it on a stand: what decides whether it may run.
func (r *Rehearsal) Grounded() []review.Finding {
	if !r.onStand {
		return r.Findings
	}
	d := load.New(&r.Built.Robot).Run(r.Trajectory, load.Options{Contact: r.Built.Limits.Contact})
	return review.Run(&r.Built.Robot, r.Trajectory, d, r.Built.Limits)
}

// Options change how a workfile is played. The zero value plays it as it
// says.
type Options struct {
	Rate    float64      // Hz; 0: the workfile's review rate
	OnStand bool         // the robot hangs on a stand
	Recall  *load.Recall // what earlier rehearsals worked out, nil for nothing

	// Before is the rehearsal of a file that is much like this one, nil for
	// none. What is as it was there is taken over; the result is the same to the
	// last bit. With Consume its arrays are too, which costs nothing for what
	// is kept; it is of no use afterwards, unless there is an error.
	Before  *Rehearsal
	Consume bool

	Workers int // processors that may be used at a time, 0 for one; the result is the same
}

// Run plays and judges f. Errors come from a file that does not pass its own
// check or from a sequence that cannot be planned.
func Run(f *workfile.File, o Options) (*Rehearsal, error) {
	b, err := f.Build()
	if err != nil {
		return nil, err
	}
	plan, err := sequence.Plan(&b.Script)
	if err != nil {
		return nil, err
	}
	rate := o.Rate
	if rate == 0 {
		rate = b.Rate
	}
	sampler := motion.NewSampler(&b.Robot)
	sampler.Workers = o.Workers
	var t *motion.Trajectory
	l := b.Limits
	l.OnStand = o.OnStand
	loads := load.Options{OnStand: o.OnStand, Contact: l.Contact, Recall: o.Recall, Workers: o.Workers}
	if q := o.Before; q != nil {
		t, err = sampler.Resample(plan, rate, motion.Before{Robot: &q.Built.Robot, Plan: q.Plan, Trajectory: q.Trajectory}, o.Consume)
		loads.Before = q.Loads
		if o.Consume {
			loads.Reuse = q.Loads
		}
	} else {
		t, err = sampler.Sample(plan, rate, nil)
	}
	if err != nil {
		return nil, err
	}
	d := load.New(&b.Robot).Run(t, loads)
	var seen *review.Seen
	if o.Before != nil {
		seen = o.Before.seen
	}
	found, seen := review.Again(&b.Robot, t, d, l, seen)
	return &Rehearsal{
		Built: b, Plan: plan, Trajectory: t, Loads: d,
		Findings: found, onStand: o.OnStand, seen: seen,
	}, nil
}
