// SPDX-License-Identifier: MIT

package newrobot

import (
	"fmt"
	"math"

	"gaitwright/kin"
	"gaitwright/motion/fit"
	"gaitwright/motion/pace"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/review"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// Robot is what the answers came to.
type Robot struct {
	File      *workfile.File
	Rehearsal *rehearsal.Rehearsal
	Walks     bool // it walks without a stop

	// Why no gait can be walked at all, as a clause; "" where one can, although
	// the review may have stops. The robot only stands then.
	Why string

	// Margin is the wanted stability margin that the file sets, less than the
	// review's own, since the robot is small; 0 where it keeps that, mm.
	Margin float64
}

// Make gives the workfile of the answers: it stands, walks four steps forward
// and stands again. The gaits that can be walked are tried in the order of
// their speed, each at a share of its fastest command, then with slower steps,
// until the review finds nothing; where it always finds something the walk with
// the fewest stops stays, and the findings say why. Errors are Faults, or those
// of the workfile for a servo that is none.
//
// The review's own margin is meant for robots of some 20 cm and more: one on
// which it would be the only thing short gets a margin that goes with its size,
// and Margin says so.
func Make(a Answers) (*Robot, error) {
	r, err := a.make(0)
	if err != nil || !r.Walks || len(r.Rehearsal.Findings) == 0 {
		return r, err
	}
	for i := range r.Rehearsal.Findings {
		if r.Rehearsal.Findings[i].Word != "tips-slow" {
			return r, nil
		}
	}
	margin := round(math.Min(10, 0.04*math.Min(a.Length, a.Width)+2), 1)
	if small, err := a.make(margin); err == nil && len(small.Rehearsal.Findings) == 0 {
		small.Margin = margin
		return small, nil
	}
	return r, nil
}

// make is Make with a wanted stability margin, 0 for the review's own, mm.
func (a *Answers) make(margin float64) (*Robot, error) {
	if err := a.Check(); err != nil {
		return nil, err
	}
	frame := a.frame()
	if margin > 0 {
		frame.Limits.Margin = &margin
	}
	var best *Robot
	why := ""
	for _, slower := range [...]float64{1, 1.5, 2.2} {
		f := frame.Clone()
		if err := a.gaits(f, slower); err != nil {
			return nil, err
		}
		for n := range f.Gaits {
			for _, share := range [...]float64{0.6, 0.4, 0.2} {
				r, not, err := walk(f, n, share)
				if err != nil {
					return nil, err
				}
				if r == nil {
					why = not // of the steadiest gait with the slowest steps in the end
					break
				}
				if len(r.Rehearsal.Findings) == 0 {
					return r, nil
				}
				if best == nil || r.worse() < best.worse() {
					best = r
				}
			}
		}
	}
	if best != nil {
		return best, nil
	}
	if err := a.gaits(frame, 1); err != nil {
		return nil, err
	}
	frame.Sequence = []workfile.Entry{{Name: "stand", Kind: "stand", Duration: given(1000)}}
	r, err := rehearsal.Run(frame, rehearsal.Options{})
	if err != nil {
		return nil, err
	}
	return &Robot{File: frame, Rehearsal: r, Why: why}, nil
}

// worse orders robots: by stops, then by cautions.
func (r *Robot) worse() int { return 1000*stops(r.Rehearsal) + len(r.Rehearsal.Findings) }

// swingTime is how long a foot is in the air, to begin with, s: common
// practice for hobby servos; longer legs take longer, as the square root of
// their length, like pendulums.
func (a *Answers) swingTime() float64 { return 0.4 * math.Sqrt(math.Max(0.5, (a.Femur+a.Tibia)/190)) }

// gaits puts the gaits of the library that leave at least three feet down into
// the file, the fastest first, with swings that take that much longer.
func (a *Answers) gaits(f *workfile.File, slower float64) error {
	if _, err := f.Build(); err != nil {
		return &Fault{"servo", err.Error()}
	}
	all, err := edit.Library(f)
	if err != nil {
		return err
	}
	if a.Legs == 4 {
		// Between two swings of a crawl the body has to shift to the other
		// side; more time on all four feet makes room for it.
		crawl, err := edit.Wave(f, 0.86)
		if err != nil {
			return err
		}
		crawl.Name = all[0].Name
		all[0] = crawl
	}
	step := math.Max(5, round(math.Min(0.3*f.Robot.StandHeight, 0.45*a.Femur), 1))
	for n := len(all) - 1; n >= 0; n-- {
		g := all[n]
		g.StepHeight, g.Period = step, round(1000*slower*a.swingTime()/(1-g.Duty), 10)
		of := f.Clone()
		of.Gaits = []workfile.Gait{g}
		b, err := of.Build()
		if err != nil {
			return err
		}
		if b.Gaits[0].LeastDown() >= 3 {
			f.Gaits = append(f.Gaits, g)
		}
	}
	return nil
}

// walk lets the robot walk in a gait at a share of the fastest command, with
// the least sway that the review lets pass; nil where the gait cannot be walked
// at all, and what is in the way then.
func walk(from *workfile.File, n int, part float64) (best *Robot, not string, err error) {
	sways := []float64{0}
	if len(from.Legs) == 4 { // on three feet, a body that does not sway stands on an edge
		w := from.Legs[0].Stand[1]
		sways = []float64{0.2 * w, 0.25 * w, 0.3 * w, 0.35 * w, 0.4 * w}
	}
	for _, sway := range sways {
		f := from.Clone()
		f.Gaits[n].Sway = round(sway, 1)
		b, err := f.Build()
		if err != nil {
			return nil, "", err
		}
		p, err := pace.New(&b.Robot, b.Height, &b.Gaits[n], pace.Limits{SpeedShare: b.Limits.SpeedShare, Clearance: b.Limits.Clearance})
		if err != nil {
			return nil, "", err
		}
		fastest := p.Fastest(pace.Ahead(0))
		speed := fit.Plain(part * fastest.Speed * 1000)
		if !(speed >= 1) {
			if not == "" && fastest.Limit != nil { // with the least sway
				not = hindrance(&b.Robot, fastest.Limit)
			}
			continue
		}
		f.Sequence = []workfile.Entry{
			{Name: "stand", Kind: "stand", Duration: given(600)},
			{Name: fmt.Sprintf("walk, %s", f.Gaits[n].Name), Kind: "walk", Gait: f.Gaits[n].Name, Cycles: given(4), Forward: &speed},
			{Name: "stand again", Kind: "stand", Duration: given(600)},
		}
		r, err := rehearsal.Run(f, rehearsal.Options{Rate: 100})
		if err != nil {
			return nil, "", err
		}
		if stops(r) == 0 { // coarsely; now in full
			if r, err = rehearsal.Run(f, rehearsal.Options{}); err != nil {
				return nil, "", err
			}
		}
		it := &Robot{File: f, Rehearsal: r, Walks: stops(r) == 0}
		if len(r.Findings) == 0 {
			return it, "", nil
		}
		if best == nil || it.worse() < best.worse() {
			best = it
		}
	}
	return best, not, nil
}

// hindrance says what keeps a leg from stepping.
func hindrance(r *kin.Robot, l *pace.Limit) string {
	leg := "leg " + r.Legs[l.Leg].Name
	joint := leg
	if l.Joint >= 0 {
		joint = "the " + kin.JointName(l.Joint) + " of " + leg
	}
	switch {
	case l.Word == "legs-touch" && l.Other >= 0:
		return leg + " comes too near to leg " + r.Legs[l.Other].Name
	case l.Word == "legs-touch":
		return leg + " comes too near to the body"
	case l.Word == "joint-limit":
		return joint + " comes to the end of its travel"
	case l.Word == "joint-speed":
		return joint + " would have to turn faster than its servo can"
	}
	return leg + " does not reach where its foot has to go"
}

// stops counts what forbids running the motion.
func stops(r *rehearsal.Rehearsal) (n int) {
	for i := range r.Findings {
		if r.Findings[i].Level == review.Stop {
			n++
		}
	}
	return n
}
