// SPDX-License-Identifier: MIT

package review

import (
	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/alike"
	"gaitwright/motion/load"
)

// Seen is what a review leaves for the next one: of what it was, and which
// checks had something to say at which samples.
type Seen struct {
	robot *kin.Robot
	limit Limits
	seams []motion.Seam
	noise []uint32 // of each sample, a bit a check
}

// Again is Run for a trajectory and loads that were, for the most part, taken
// over from those that were reviewed before (motion.Resample, Options.Before of
// load): where a sample and those beside it are as they were, a check that was
// silent there is so again. The findings are those of Run. before may be nil,
// and stays as it is.
func Again(r *kin.Robot, t *motion.Trajectory, d *load.Loads, l Limits, before *Seen) ([]Finding, *Seen) {
	now := &Seen{robot: r, limit: l, seams: t.Seams, noise: make([]uint32, t.N)}
	return run(r, t, d, l, now, now.calm(t, d, before)), now
}

// beside is how far a check looks from a sample to those before and after.
const beside = 2

// calm gives the samples that are as they were in the review before, with
// those beside them, and takes its noise over; nil for none.
func (s *Seen) calm(t *motion.Trajectory, d *load.Loads, before *Seen) []bool {
	if before == nil || t.Kept == nil || d.Kept == nil || !alike.Bits(before.robot, s.robot) || !alike.Bits(&before.limit, &s.limit) {
		return nil
	}
	calm := make([]bool, t.N)
	for k := range calm {
		calm[k] = true
	}
	stir := func(k int) {
		for n := max(0, k-beside); n <= min(k+beside, t.N-1); n++ {
			calm[n] = false
		}
	}
	for k := range t.N {
		if !t.Kept[k] || !d.Kept[k] {
			stir(k)
		}
	}
	if n := len(before.noise); n != t.N {
		stir(min(n, t.N) - 1) // has something else after it
	}
	for a, b := s.seams, before.seams; len(a) > 0 || len(b) > 0; {
		switch {
		case len(b) == 0 || len(a) > 0 && a[0].At < b[0].At:
			stir(t.Index(a[0].At))
			a = a[1:]
		case len(a) == 0 || b[0].At < a[0].At:
			stir(t.Index(b[0].At))
			b = b[1:]
		default:
			if !alike.Bits(&a[0], &b[0]) {
				stir(t.Index(a[0].At))
			}
			a, b = a[1:], b[1:]
		}
	}
	copy(s.noise, before.noise)
	return calm
}

// quiet tells whether the check that runs need not look at a sample: it was
// silent there, and all is as it was. Only for checks whose word on a sample
// follows from it and from those as near as beside.
func (c *look) quiet(k int) bool { return c.calm != nil && c.calm[k] && c.seen.noise[k]&c.bit == 0 }

// heard notes that the check that runs has something to say at a sample.
func (c *look) heard(k int) {
	if c.seen != nil {
		c.seen.noise[k] |= c.bit
	}
}
