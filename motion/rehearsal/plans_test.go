// SPDX-License-Identifier: MIT

package rehearsal

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/assets"
	"gaitwright/motion"
	"gaitwright/motion/curve"
	"gaitwright/motion/load"
	"gaitwright/motion/review"
	"gaitwright/motion/sequence"
	"gaitwright/motion/workfile"
)

// Plans that no workfile gives, torn and out of reach, with steps of speed at
// their seams: some pieces change from one to the next, and what is taken over
// changes nothing.
func TestBeforeOfTornPlans(t *testing.T) {
	f, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	b, err := f.Build()
	if err != nil {
		t.Fatal(err)
	}
	whole, err := sequence.Plan(&b.Script)
	if err != nil {
		t.Fatal(err)
	}
	part := 0
	for i := range whole.Parts {
		if whole.Parts[i].Kind == "move" {
			part = i
		}
	}
	from := whole.Parts[part].From
	rnd := rand.New(rand.NewPCG(6, 3))
	words := map[string]bool{}
	kept, all := 0, 0
	for range 30 {
		p := whole.Cut(from, from+2.5)
		rate := []float64{50, 100, 250}[rnd.IntN(3)]
		var before *Rehearsal
		for range 8 {
			q := p.Cut(0, p.Duration) // a copy
			for range rnd.IntN(3) {
				tear(rnd, q)
			}
			if rnd.IntN(6) == 0 {
				q.Duration = 2.5 - rnd.Float64()
			}
			got, want := replay(t, b, q, rate, before, rnd.IntN(2) == 0), replay(t, b, q, rate, nil, false)
			exact(t, "torn", got, want)
			for _, k := range got.Trajectory.Kept {
				if all++; k {
					kept++
				}
			}
			for i := range got.Findings {
				words[got.Findings[i].Word] = true
			}
			p, before = q, got
		}
	}
	t.Logf("%d of %d samples kept, findings %v", kept, all, words)
	if kept < all/4 || !words["jump"] || !words["out-of-reach"] || !words["joint-speed"] {
		t.Errorf("%d of %d samples kept, findings %v: too little was tried", kept, all, words)
	}
}

// replay is Run for a plan.
func replay(t *testing.T, b *workfile.Built, p *motion.Plan, rate float64, before *Rehearsal, consume bool) *Rehearsal {
	t.Helper()
	s := motion.NewSampler(&b.Robot)
	var q motion.Before
	o := load.Options{Contact: b.Limits.Contact}
	var seen *review.Seen
	if before != nil {
		q = motion.Before{Robot: &b.Robot, Plan: before.Plan, Trajectory: before.Trajectory}
		o.Before, seen = before.Loads, before.seen
		if consume {
			o.Reuse = before.Loads
		}
	}
	tr, err := s.Resample(p, rate, q, consume)
	if err != nil {
		t.Fatal(err)
	}
	r := &Rehearsal{Built: b, Plan: p, Trajectory: tr, Loads: load.New(&b.Robot).Run(tr, o)}
	r.Findings, r.seen = review.Again(&b.Robot, tr, r.Loads, b.Limits, seen)
	return r
}

// tear changes a piece of a plan, or two that meet, without care for what is
// beside.
func tear(rnd *rand.Rand, p *motion.Plan) {
	by := func(size float64) r3.Vec {
		return r3.Scale(size, r3.Vec{X: rnd.Float64()*2 - 1, Y: rnd.Float64()*2 - 1, Z: rnd.Float64()*2 - 1})
	}
	leg := rnd.IntN(len(p.Feet))
	if leg >= 2 && rnd.IntN(2) == 0 {
		leg %= 2
	}
	c := p.Feet[leg]
	n := rnd.IntN(len(c))
	s := &c[n].Span
	switch rnd.IntN(8) {
	case 0: // out of reach
		s.Path.P1, s.Path.P2 = r3.Add(s.Path.P1, by(0.5)), r3.Add(s.Path.P2, by(0.5))
		c[n].Hold, s.Even = motion.OverGround, nil
	case 1: // ends somewhere else
		s.Path.P3 = r3.Add(s.Path.P3, by(0.1))
		c[n].Hold, s.Even = motion.OverGround, nil
	case 2: // even, with a step of speed at both ends
		s.Timing, s.Even = curve.Timing{}, nil
		s.Path.P1 = r3.Add(s.Path.P1, by(0.05))
	case 3:
		s.Timing = curve.Timing{Kind: curve.Hold}
	case 4: // the seam moves
		if n+1 < len(c) {
			at := c[n].To + 0.04*(rnd.Float64()*2-1)
			if at > c[n].From && at < c[n+1].To {
				c[n].To, c[n+1].From = at, at
			}
		}
	case 5: // stands, a hair elsewhere
		c[n].Hold, s.Even = motion.Planted, nil
		s.Path.P0 = r3.Add(s.Path.P0, r3.Vec{X: 1e-3 * rnd.Float64()})
	case 6: // the body goes evenly
		b := &p.Body[rnd.IntN(len(p.Body))]
		b.Shift.Timing, b.Shift.Even = curve.Timing{}, nil
		b.Shift.Path.P3 = r3.Add(b.Shift.Path.P3, by(0.02))
	case 7: // nothing but the sign of a 0
		if s.Path.P2.X == 0 {
			s.Path.P2.X = math.Copysign(0, -1)
		}
	}
}
