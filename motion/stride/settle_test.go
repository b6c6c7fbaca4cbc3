// SPDX-License-Identifier: MIT

package stride_test

import (
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/stride"
)

// anyStance is what a move may leave behind: feet planted off their standing
// points or held in the air, the body shifted and leaning. Which feet are on
// their standing points is told too.
func anyStance(g *rig, rnd *rand.Rand) (s stride.Stance, right []bool) {
	v := func(most float64) float64 { return most * (2*rnd.Float64() - 1) }
	c := motion.Course{X: v(2), Y: v(2), Yaw: v(3)}
	s = g.w.Standing(5*rnd.Float64(), c)
	if rnd.IntN(3) > 0 {
		s.Shift = r3.Add(s.Shift, r3.Vec{X: v(0.02), Y: v(0.02), Z: v(0.015)})
		s.Lean = r3.Vec{X: v(0.1), Y: v(0.1), Z: v(0.1)}
	}
	x := kin.Pose{P: c.At(s.Shift), R: kin.RPY(s.Lean.X, s.Lean.Y, s.Lean.Z+c.Yaw)}
	right = make([]bool, len(s.Feet))
	held := 0
	for i := range s.Feet {
		f := &s.Feet[i]
		switch k := rnd.IntN(6); {
		case k < 2:
			right[i] = true
		case k < 4:
			f.P = r3.Add(f.P, r3.Vec{X: v(0.02), Y: v(0.02)})
		case held < len(s.Feet)-3:
			held++
			f.P = r3.Add(f.P, r3.Vec{X: v(0.02), Y: v(0.02), Z: 0.01 + 0.03*rnd.Float64()})
			if f.Hold = motion.OverGround; rnd.IntN(2) == 0 {
				f.Hold, f.P = motion.WithBody, x.Into(f.P)
			}
		default:
			right[i] = true
		}
	}
	return s, right
}

// From any stance the feet come back to their standing points, each in one
// step, and those that are there do not lift. The stated time: half a second
// for feet in the air, half a second for the body, and 0.45 s a step, with 0.4 s
// more where the body leans for it.
func TestSettleFromAnywhere(t *testing.T) {
	sampler := map[int]*motion.Sampler{}
	for pairs := 2; pairs <= 4; pairs++ {
		sampler[pairs] = motion.NewSampler(legged(pairs))
	}
	for n := range 400 {
		rnd := rand.New(rand.NewPCG(uint64(n), 3))
		pairs := 2 + n%3
		g := newRig(t, pairs)
		s, right := anyStance(g, rnd)
		if err := g.w.Begin(s); err != nil {
			t.Fatal(err)
		}
		g.floor = 0
		for _, f := range s.Feet {
			if f.Hold == motion.Planted {
				g.floor++
			}
		}
		at := s.At + 0.3*rnd.Float64()
		g.ask(at, stride.Request{Height: bodyHeight})
		g.run(at + 1 + 0.85*float64(len(s.Feet)) + 0.6)
		p := g.verify()
		g.standing()
		// By what the centre of mass moves with the legs.
		if m := look(t, g.r, sampler[pairs], p, at+1, p.Duration); m.margin < margin-0.006 {
			t.Fatalf("stance %d: margin %v m", n, m.margin)
		}
		for i, c := range p.Feet {
			steps := 0
			for k := 1; k < len(c); k++ {
				if c[k].Hold == motion.Planted {
					steps++
				}
			}
			if right[i] && steps > 0 || steps > 1 {
				t.Fatalf("stance %d: leg %d steps %d times, right %v", n, i, steps, right[i])
			}
		}
		// From there a walk goes on.
		if pairs < 4 {
			gt := gaits(pairs)[n%4]
			at = g.w.State().At
			g.ask(at+0.1, stride.Request{Gait: &gt, Command: forward(0.02), Height: bodyHeight})
			g.run(at + 0.1 + 3*gt.Period)
			g.verify()
		}
	}
}

// A walk may begin from any stance as well, and settle by a gait.
func TestWalkFromAnywhere(t *testing.T) {
	for n := range 400 {
		rnd := rand.New(rand.NewPCG(uint64(n), 4))
		pairs := 2 + n%2
		all := gaits(pairs)
		g := newRig(t, pairs)
		s, _ := anyStance(g, rnd)
		if err := g.w.Begin(s); err != nil {
			t.Fatal(err)
		}
		g.floor = 1
		gt := all[rnd.IntN(len(all))]
		q := stride.Request{Gait: &gt, Height: bodyHeight, Command: able(rnd, &gt), Halt: n%3 == 0}
		at := s.At + 0.1
		g.ask(at, q)
		g.run(at + 1 + stride.Bound(nil, &gt) + 2*gt.Period)
		g.verify()
		if q.Halt {
			g.standing()
		} else if st := g.w.State(); !g.w.Done() || st.Twist != q.Command {
			t.Fatalf("stance %d: %+v", n, st)
		}
	}
}

// Three feet keep standing, with the wanted margin, while feet of a robot with
// six legs step back; those that are off on one side step together where they can.
func TestStepsBackInGroups(t *testing.T) {
	g := newRig(t, 3)
	s := g.w.Standing(0, motion.Course{})
	for i := range s.Feet {
		s.Feet[i].P.X += 0.015
	}
	if err := g.w.Begin(s); err != nil {
		t.Fatal(err)
	}
	g.ask(0, stride.Request{Height: bodyHeight})
	g.run(2*0.45 + 0.01)
	p := g.verify()
	g.standing()
	tr, err := motion.NewSampler(g.r).Sample(p, 500, nil)
	if err != nil {
		t.Fatal(err)
	}
	for k, m := range tr.Margin {
		if m < margin-0.003 { // the sampled centre of mass moves with the legs
			t.Fatalf("margin %v m at %v s", m, tr.Time(k))
		}
	}
}
