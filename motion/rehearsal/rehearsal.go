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
	Rate    float64    // Hz; 0: the workfile's review rate
	OnStand bool       // the robot hangs on a stand
	Reuse   *Rehearsal // whose arrays are taken over, nil for none; it is of no use afterwards

	Recall *load.Recall // what earlier rehearsals worked out, nil for nothing
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
	var reuse Rehearsal
	if o.Reuse != nil {
		reuse.Trajectory, reuse.Loads = o.Reuse.Trajectory, o.Reuse.Loads
	}
	t, err := motion.NewSampler(&b.Robot).Sample(plan, rate, reuse.Trajectory)
	if err != nil {
		return nil, err
	}
	l := b.Limits
	l.OnStand = o.OnStand
	d := load.New(&b.Robot).Run(t, load.Options{OnStand: o.OnStand, Contact: l.Contact, Reuse: reuse.Loads, Recall: o.Recall})
	return &Rehearsal{
		Built: b, Plan: plan, Trajectory: t, Loads: d,
		Findings: review.Run(&b.Robot, t, d, l), onStand: o.OnStand,
	}, nil
}
