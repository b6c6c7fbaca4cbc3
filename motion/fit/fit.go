// SPDX-License-Identifier: MIT

// Package fit makes a gait fit a robot: with the least sway and the quickest
// steps with which a walk straight ahead passes the review. A gait of the
// library says when feet touch down; how long a swing has to last, and how far
// the body has to lean away from it, depends on the robot.
package fit

import (
	"math"

	"gaitwright/motion/pace"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/review"
	"gaitwright/motion/workfile"
)

// Fit is a gait and how a walk in it went.
type Fit struct {
	Gait     workfile.Gait
	Speed    float64          // straight ahead, 0 where it cannot be walked, mm/s
	Findings []review.Finding // of that walk, stops first; none where it cannot be walked
	Limit    *pace.Limit      // what keeps it from being walked at all, nil when it can be
}

// Walks tells whether a walk in it passes the review.
func (f *Fit) Walks() bool { return f.Speed > 0 && review.Stops(f.Findings) == 0 }

// worse orders fits: by stops, then by cautions; what cannot be walked last.
func (f *Fit) worse() int {
	if !(f.Speed > 0) {
		return math.MaxInt
	}
	return 1000*review.Stops(f.Findings) + len(f.Findings)
}

// cycles of the walk that is tried.
const cycles = 2

// Gait tries a gait on the robot of a file: as it is, with more sway where it
// leaves three feet or more down, with slower steps (quicker ones on two feet),
// and at shares of its fastest command, and gives the first with which the review finds nothing,
// or else the one with which it finds least. The error is that of the file, or
// of a gait that is none. Cost: a walk played and judged for each try, at most
// some sixty; a few milliseconds each.
func Gait(f *workfile.File, g workfile.Gait) (*Fit, error) {
	base := f.Clone()
	base.Gaits, base.Moves, base.Sequence = []workfile.Gait{g}, nil, nil
	b, err := base.Build()
	if err != nil {
		return nil, err
	}
	sways, times := []float64{g.Sway}, []float64{1, 0.7, 0.5, 0.4} // on two feet, less time to fall
	if b.Gaits[0].LeastDown() >= 3 {
		times = []float64{1, 1.5, 2.2}
		wide := 0. // mean distance of the feet from the middle line, mm
		for i := range b.Robot.Legs {
			wide += math.Abs(b.Robot.Legs[i].Stand.Y) * 1000 / float64(len(b.Robot.Legs))
		}
		for _, s := range []float64{0, 0.1, 0.2, 0.25, 0.3, 0.35, 0.4} {
			if v := math.Round(s * wide); v != g.Sway {
				sways = append(sways, v)
			}
		}
	}
	var best *Fit
	for _, times := range times {
		for _, sway := range sways {
			now := g
			now.Sway = sway
			now.Period = math.Min(60000, math.Max(100, math.Round(g.Period*times/10)*10))
			for _, share := range []float64{0.6, 0.4, 0.2} {
				t, err := try(base, now, share)
				if err != nil {
					return nil, err
				}
				if best == nil || t.worse() < best.worse() {
					best = t
				}
				if best.worse() == 0 {
					return best, nil
				}
				if !(t.Speed > 0) {
					break
				}
			}
		}
	}
	return best, nil
}

// try walks with a gait at a share of its fastest command.
func try(base *workfile.File, g workfile.Gait, share float64) (*Fit, error) {
	f := base.Clone()
	f.Gaits[0] = g
	b, err := f.Build()
	if err != nil {
		return nil, err
	}
	p, err := pace.New(&b.Robot, b.Height, &b.Gaits[0], pace.Limits{SpeedShare: b.Limits.SpeedShare, Clearance: b.Limits.Clearance})
	if err != nil {
		return nil, err
	}
	fastest := p.Fastest(pace.Ahead(0))
	speed := Plain(share * fastest.Speed * 1000)
	if !(speed > 0) {
		return &Fit{Gait: g, Limit: fastest.Limit}, nil
	}
	given := func(v float64) *float64 { return &v }
	f.Sequence = []workfile.Entry{
		{Kind: "stand", Duration: given(400)},
		{Kind: "walk", Gait: g.Name, Cycles: given(cycles), Forward: &speed},
		{Kind: "stand", Duration: given(400)},
	}
	r, err := rehearsal.Run(f, rehearsal.Options{Rate: 100})
	if err == nil && len(r.Findings) == 0 { // coarsely; now in full
		r, err = rehearsal.Run(f, rehearsal.Options{})
	}
	if err != nil {
		return nil, err
	}
	return &Fit{Gait: g, Speed: speed, Findings: r.Findings}, nil
}

// Plain rounds a speed down to a number that people would write, mm/s.
func Plain(v float64) float64 {
	switch {
	case v > 50:
		return 5 * math.Floor(v/5)
	case v >= 1:
		return math.Floor(v)
	}
	return 0
}
