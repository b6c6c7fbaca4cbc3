// SPDX-License-Identifier: MIT

package stride_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/motion"
	"gaitwright/motion/gait"
	"gaitwright/motion/stride"
)

func forward(v float64) motion.Twist { return motion.Twist{Forward: v} }

// standing fails unless the robot stands, at rest, on its standing points.
func (g *rig) standing() {
	g.t.Helper()
	s := g.w.State()
	if !s.Standing || !g.w.Done() {
		g.t.Fatalf("does not stand at %v s: %+v", s.At, s)
	}
	p := g.w.Plan()
	c := p.BodyAt(p.Duration).CourseAt(p.Duration)
	for i := range g.r.Legs {
		want := g.r.Legs[i].Stand
		want.Z = footRadius
		f := p.FootAt(i, p.Duration)
		if d := far(f.Span.Path.P0, c.At(want)); f.Hold != motion.Planted || d > 1e-6 {
			g.t.Fatalf("leg %d is %v m off its standing point", i, d)
		}
	}
	shift, lean := p.BodyAt(p.Duration).Offset(p.Duration)
	if far(shift, r3.Vec{Z: shift.Z}) > 1e-9 || r3.Norm(lean) > 1e-9 {
		g.t.Fatalf("body at %v, %v", shift, lean)
	}
}

// Start, walk, stop: in force and at rest within the bounds, at any instant.
func TestStartStop(t *testing.T) {
	for _, pairs := range []int{2, 3} {
		for _, gt := range gaits(pairs) {
			for n := range 40 {
				g := newRig(t, pairs)
				g.ask(0, stride.Request{Gait: &gt, Command: motion.Twist{Forward: 0.05, Side: 0.02, Turn: 0.2}})
				at := 0.1 + gt.Period*float64(n)/20
				g.ask(at, stride.Request{})
				g.run(at + stride.Bound(&gt, nil))
				g.verify()
				g.standing()
			}
		}
	}
}

// Every pair of gaits, at many instants of the cycle.
func TestEveryPair(t *testing.T) {
	for _, pairs := range []int{2, 3} {
		all := gaits(pairs)
		for a := range all {
			for b := range all {
				scale, longest := 0.0, 0.0
				const instants = 25
				for n := range instants {
					g := newRig(t, pairs)
					g.ask(0, stride.Request{Gait: &all[a], Command: forward(0.05)})
					at := all[a].Period * (3 + float64(n)/instants)
					g.ask(at, stride.Request{Gait: &all[b], Command: forward(0.05)})
					if s := g.w.State(); s.Changing {
						longest = max(longest, s.Until-at)
					}
					bound := stride.Bound(&all[a], &all[b])
					g.run(at + bound)
					if !g.w.Done() || g.w.State().Gait.Name != all[b].Name {
						t.Fatalf("%s to %s at %v: not done: %+v", all[a].Name, all[b].Name, at, g.w.State())
					}
					d := g.w.State().Course.X
					scale += (d - 0.05*(at-all[a].Period/2)) / (0.05 * bound) / instants
					g.ask(at+bound+0.3, stride.Request{})
					g.run(at + bound + 0.3 + stride.Bound(&all[b], nil))
					g.standing()
					p := g.verify()
					if math.IsNaN(p.Duration) {
						t.Fatal("NaN")
					}
				}
				t.Logf("%s to %s: longest %.2f s, bound %.2f, keeps %.2f of its speed", all[a].Name, all[b].Name, longest, stride.ChangeBound(&all[a], &all[b]), scale)
			}
		}
	}
}

// A walk's feet land where the body passes over their standing points in the
// middle of the stance, and stand for the duty factor of a period. Stroke
// R = v·β·T (Song and Waldron, Machines That Walk, 1989, ch. 2; from memory).
func TestSteadyStrokes(t *testing.T) {
	for _, pairs := range []int{2, 3} {
		for _, gt := range gaits(pairs) {
			const v = 0.03
			g := newRig(t, pairs)
			g.ask(0, stride.Request{Gait: &gt, Command: forward(v)})
			g.run(8 * gt.Period)
			p := g.verify()
			for i, c := range p.Feet {
				seen := 0
				for k := 1; k+1 < len(c); k++ {
					f := &c[k]
					if f.Hold != motion.Planted || f.From < 3*gt.Period {
						continue
					}
					seen++
					a := p.BodyAt(f.From).CourseAt(f.From).Into(f.Span.Path.P0)
					b := p.BodyAt(f.To).CourseAt(f.To).Into(f.Span.Path.P0)
					want := g.r.Legs[i].Stand
					want.Z = footRadius
					if math.Abs(f.To-f.From-gt.DutyOf(i)*gt.Period) > 1e-9 || math.Abs(a.X-b.X-v*gt.DutyOf(i)*gt.Period) > 1e-9 || far(r3.Scale(0.5, r3.Add(a, b)), want) > 1e-9 {
						t.Fatalf("%s: leg %d stands from %v (%v s) to %v (%v s)", gt.Name, i, a, f.From, b, f.To)
					}
				}
				if seen < 3 {
					t.Fatalf("%s: leg %d: %d stances", gt.Name, i, seen)
				}
			}
		}
	}
}

// A gait leaves as many feet down as it says, also at the instants where a foot
// lifts as another lands, however odd the time at which it began.
func TestFeetDown(t *testing.T) {
	for _, pairs := range []int{2, 3} {
		for _, gt := range gaits(pairs) {
			for _, at := range []float64{0, 0.1, 1. / 3, 0.7071067811865} {
				g := newRig(t, pairs)
				g.ask(at, stride.Request{Gait: &gt, Command: forward(0.02)})
				g.run(at + 12*gt.Period)
				p := g.verify()
				for _, s := range instants(p) {
					if n := down(p, s); n < gt.LeastDown() {
						t.Fatalf("%s: %d feet down at %v s, want %d", gt.Name, n, s, gt.LeastDown())
					}
				}
			}
		}
	}
}

// The command reverses, or turns on the spot, at any instant: taken at once.
func TestCommands(t *testing.T) {
	for _, pairs := range []int{2, 3} {
		for _, gt := range gaits(pairs) {
			for n := range 30 {
				for _, c := range []motion.Twist{{Forward: -0.03 / gt.Period}, {Turn: 0.2 / gt.Period}, {}} {
					g := newRig(t, pairs)
					g.ask(0, stride.Request{Gait: &gt, Command: forward(0.03 / gt.Period)})
					at := gt.Period * (1 + float64(n)/20)
					g.ask(at, stride.Request{Gait: &gt, Command: c, Height: bodyHeight + 0.01})
					if g.w.State().Changing {
						t.Fatalf("%s: a command makes a change", gt.Name)
					}
					g.run(at + gt.Period + 1e-9)
					if s := g.w.State(); !g.w.Done() || s.Twist != c {
						t.Fatalf("%s: %+v", gt.Name, s)
					}
					b := g.w.Plan().Body
					if shift, _ := b[len(b)-1].Offset(at + gt.Period); pairs == 3 && far(shift, r3.Vec{Z: bodyHeight + 0.01}) > 1e-12 {
						t.Fatalf("%s: body at %v", gt.Name, shift)
					}
					g.run(at + 3*gt.Period)
					g.verify()
				}
			}
		}
	}
}

// An on-the-spot turn leaves the course where it is.
func TestTurnOnTheSpot(t *testing.T) {
	gt := gaits(3)[0]
	g := newRig(t, 3)
	g.ask(0, stride.Request{Gait: &gt, Command: motion.Twist{Turn: 0.3}})
	g.run(6)
	g.ask(6, stride.Request{})
	g.run(9)
	g.verify()
	g.standing()
	c := g.w.State().Course
	// Half a period is lost by the start, a quarter gained by the stop.
	if math.Hypot(c.X, c.Y) > 1e-12 || math.Abs(c.Yaw-0.3*(6-0.5+0.25)) > 1e-9 {
		t.Errorf("course %+v", c)
	}
}

// What was asked holds whether planned in one go or by small steps, by a
// Walker or by its clone.
func TestSameInSmallSteps(t *testing.T) {
	all := gaits(2)
	plan := func(step float64, clone bool) *motion.Plan {
		g := newRig(t, 2)
		w := g.w
		to := func(t float64) {
			for at := step; at < t; at += step {
				w.Advance(at)
			}
			if clone {
				old := w
				w = w.Clone()
				old.Advance(t + 3)
				if err := old.Ask(t+3, stride.Request{Height: 0.1}); err != nil {
					g.t.Fatal(err)
				}
				old.Advance(t + 5)
			}
		}
		for k, q := range []stride.Request{
			{Gait: &all[0], Command: forward(0.02)}, {Gait: &all[1], Command: forward(0.03)}, {Gait: &all[1], Command: motion.Twist{Turn: 0.3}},
			{Gait: &all[2], Command: forward(-0.03)}, {}, {Gait: &all[0], Command: forward(0.02)}, {},
		} {
			q.Height = bodyHeight
			to(float64(k) * 1.37)
			if err := w.Ask(float64(k)*1.37, q); err != nil {
				t.Fatal(err)
			}
		}
		to(20)
		w.Advance(20)
		return w.Plan()
	}
	want := plan(100, false)
	for _, got := range []*motion.Plan{plan(0.01, false), plan(0.0037, false), plan(0.3, true)} {
		if !reflect.DeepEqual(got, want) {
			t.Error("another plan")
		}
	}
}

// What is planned is never taken back.
func TestNothingIsTakenBack(t *testing.T) {
	all := gaits(3)
	g := newRig(t, 3)
	rnd := rand.New(rand.NewPCG(1, 2))
	s := motion.NewSampler(g.r)
	var before *motion.Trajectory
	for k := range 40 {
		gt := &all[rnd.IntN(len(all))]
		g.ask(float64(k)*0.21, stride.Request{Gait: gt, Command: able(rnd, gt)})
		g.run(float64(k)*0.21 + 0.2)
		tr, err := s.Sample(g.w.Plan(), 100, nil)
		if err != nil {
			t.Fatal(err)
		}
		if before != nil {
			for o, q := range before.Q {
				if math.Abs(q-tr.Q[o]) > 1e-9 {
					t.Fatalf("angle %d was %v, now %v", o, q, tr.Q[o])
				}
			}
		}
		before = tr
	}
}

func TestForget(t *testing.T) {
	gt := gaits(3)[0]
	g := newRig(t, 3)
	g.ask(0, stride.Request{Gait: &gt, Command: forward(0.03)})
	g.run(20.3)
	whole := g.w.Plan()
	g.w.Forget(15)
	p := g.w.Plan()
	for _, at := range []float64{15, 16.2, 20.3} {
		x, _ := whole.BodyAt(at).Pose(at)
		y, _ := p.BodyAt(at).Pose(at)
		for i := range p.Feet {
			if d := far(whole.FootAt(i, at).At(at, &x), p.FootAt(i, at).At(at, &y)); d > 0 || x != y {
				t.Errorf("leg %d differs by %v at %v", i, d, at)
			}
		}
	}
	if len(p.Feet[0]) > 14 {
		t.Errorf("%d pieces kept", len(p.Feet[0]))
	}
}

// Bad numbers are refused, and change nothing.
func TestBadRequests(t *testing.T) {
	good := gaits(3)[0]
	bad := func(change func(g *gait.Gait)) *gait.Gait {
		g := good
		change(&g)
		return &g
	}
	nan, inf := math.NaN(), math.Inf(1)
	for k, q := range []struct {
		at float64
		r  stride.Request
	}{
		{1, stride.Request{}}, {nan, stride.Request{}}, {inf, stride.Request{}},
		{3, stride.Request{Height: nan}}, {3, stride.Request{Height: 1e300}}, {3, stride.Request{Ramp: -1}}, {3, stride.Request{Ramp: nan}},
		{3, stride.Request{Gait: &good, Command: motion.Twist{Side: nan}}},
		{3, stride.Request{Gait: &good, Command: motion.Twist{Turn: -inf}}},
		{3, stride.Request{Command: motion.Twist{Turn: 1e9}}},
		{3, stride.Request{Gait: bad(func(g *gait.Gait) { g.Period = 0 })}},
		{3, stride.Request{Gait: bad(func(g *gait.Gait) { g.Period = 1e9 })}},
		{3, stride.Request{Gait: bad(func(g *gait.Gait) { g.Duty = 1 })}},
		{3, stride.Request{Gait: bad(func(g *gait.Gait) { g.Phase = g.Phase[:4] })}},
		{3, stride.Request{Gait: bad(func(g *gait.Gait) { g.Phase = []float64{0, 0, 0, 0, 0, 1} })}},
		{3, stride.Request{Gait: bad(func(g *gait.Gait) { g.Sway = 1e200 })}},
		{3, stride.Request{Gait: bad(func(g *gait.Gait) { g.StepHeight = nan })}},
	} {
		g := newRig(t, 3)
		g.ask(0, stride.Request{Gait: &good, Command: forward(0.02)})
		g.run(2)
		before := g.w.Plan()
		if err := g.w.Ask(q.at, q.r); !errors.Is(err, stride.ErrRequest) {
			t.Errorf("request %d: %v", k, err)
		}
		if !reflect.DeepEqual(before, g.w.Plan()) {
			t.Errorf("request %d has changed something", k)
		}
	}
	if _, err := stride.New(stride.Options{Robot: legged(3), Height: nan}); !errors.Is(err, stride.ErrRequest) {
		t.Error(err)
	}
	g := newRig(t, 3)
	for k, change := range []func(s *stride.Stance){
		func(s *stride.Stance) { s.Feet = s.Feet[:5] }, func(s *stride.Stance) { s.Feet[2].Hold = 7 }, func(s *stride.Stance) { s.Feet[2].P.X = nan },
		func(s *stride.Stance) { s.Course.Yaw = inf }, func(s *stride.Stance) { s.Lean.X = nan }, func(s *stride.Stance) { s.At = nan },
	} {
		s := g.w.Standing(0, motion.Course{})
		change(&s)
		if err := g.w.Begin(s); !errors.Is(err, stride.ErrRequest) {
			t.Errorf("stance %d: %v", k, err)
		}
	}
}
