// SPDX-License-Identifier: MIT

package load_test

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/curve"
	"gaitwright/motion/load"
)

// moving draws a motion of the walker: the body shifts and leans on curved
// paths and up to two feet swing, in a time that may be too short for it.
func moving(t *rapid.T, r *kin.Robot) *motion.Plan {
	f := func(lo, hi float64, what string) float64 { return rapid.Float64Range(lo, hi).Draw(t, what) }
	around := func(c r3.Vec, d float64, what string) r3.Vec {
		return r3.Add(c, r3.Vec{X: f(-d, d, what), Y: f(-d, d, what), Z: f(-d, d, what)})
	}
	seconds := f(0.15, 0.8, "seconds")
	p := standing(r, seconds)
	p.RWG = kin.RPY(f(-0.15, 0.15, "roll"), f(-0.15, 0.15, "pitch"), 0)
	b, h := &p.Body[0], r3.Vec{Z: height(r) + 0.01}
	b.Shift = curve.Span{Path: curve.Bezier{P0: h, P1: around(h, 0.03, "handle"), P2: around(h, 0.03, "handle"), P3: around(h, 0.02, "shift")}, Timing: eased}
	b.Lean = curve.Span{Path: curve.Bezier{P1: around(r3.Vec{}, 0.1, "lean"), P2: around(r3.Vec{}, 0.1, "lean"), P3: around(r3.Vec{}, 0.1, "lean")}, Timing: eased}
	for range rapid.IntRange(0, 2).Draw(t, "swings") {
		i := rapid.IntRange(0, 5).Draw(t, "leg")
		c := p.Feet[i]
		if len(c) > 1 {
			continue
		}
		a := c[0].Span.Path.P0
		to := r3.Add(a, r3.Vec{X: f(-0.02, 0.02, "step"), Y: f(-0.02, 0.02, "step")})
		up := r3.Vec{Z: f(0.02, 0.05, "up")}
		mid := c[0]
		mid.From, mid.To, mid.Hold = 0.25*seconds, 0.7*seconds, motion.OverGround
		mid.Span = curve.Span{Path: curve.Bezier{P0: a, P1: r3.Add(a, up), P2: r3.Add(to, up), P3: to}, Timing: eased}
		end := c[0]
		end.From, end.Span.Path = mid.To, curve.Line(to, to)
		c[0].To = mid.From
		p.Feet[i] = append(c, mid, end)
	}
	return p
}

func mustRun(t *rapid.T, r *kin.Robot, p *motion.Plan, rate float64, o load.Options) (*motion.Trajectory, *load.Loads) {
	tr, err := sample(r, p, rate)
	if err != nil {
		t.Fatal(err)
	}
	return tr, load.New(r).Run(tr, o)
}

// Any motion: balance and torques, and what is not known.
func TestAnyMotionBalances(t *testing.T) {
	var n counts
	rapid.Check(t, func(t *rapid.T) {
		r := walker()
		r.Friction = rapid.Float64Range(0.05, 1).Draw(t, "friction")
		tr, l := mustRun(t, r, moving(t, r), 250, load.Options{})
		for i, c := range verify(t, r, tr, l) {
			n[i] += c
		}
	})
	if !testing.Short() && (n[load.Carried] < 1000 || n[load.Pulled] < 100 || n[load.Slipping] < 100) {
		t.Errorf("too little of each: %v", n)
	}
}

// Knots and what is between them agree with seeking at every sample. Where the
// best sharing turns sharply from one sample to the next, forces with which the
// feet push against one another may be off for some milliseconds; the torque of
// the joint that is worst off, which they are chosen for, hardly changes.
func TestAnyMotionKnotsAreNearEnough(t *testing.T) {
	force, torque, far, all, differ := 0.0, 0.0, 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		r := walker()
		p := moving(t, r)
		tr, l := mustRun(t, r, p, 500, load.Options{})
		exact := load.New(r).Run(tr, load.Options{Every: 1e-9})
		worst := func(l *load.Loads, k int) (most float64) {
			for o := range l.Lines {
				most = max(most, math.Abs(l.Torque[k*len(l.Lines)+o])/l.Lines[o].Stall)
			}
			return most
		}
		for k := range l.N {
			all++
			if l.State[k] != exact.State[k] {
				differ++
				continue
			}
			if l.State[k] != load.Carried {
				continue
			}
			d := 0.0
			for i := range l.Legs {
				d = max(d, r3.Norm(r3.Sub(l.ForceAt(k, i), exact.ForceAt(k, i)))/(l.Mass*g))
			}
			force = max(force, d)
			if d > 0.003 {
				far++
			}
			torque = max(torque, math.Abs(worst(l, k)-worst(exact, k)))
		}
	})
	t.Logf("forces: worst %.2f %% of the weight, above 0.3 %% at %d of %d samples; worst joint: %.2f %% of its torque at rest; state: %d differ",
		100*force, far, all, 100*torque, differ)
	if force > 0.2 || far > all/100 || torque > 0.02 || differ > all/500 {
		t.Error("that is too much")
	}
}

// Twice the mass of everything asks twice the forces and torques and leaves
// the zero-moment point where it is.
func TestDoubleMass(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := walker()
		p := moving(t, r)
		tr, a := mustRun(t, r, p, 100, load.Options{Every: 1e-9})
		double := func(k *kin.Link) {
			k.Mass *= 2
			i := &k.Inertia
			*i = kin.Inertia{XX: 2 * i.XX, YY: 2 * i.YY, ZZ: 2 * i.ZZ, XY: 2 * i.XY, XZ: 2 * i.XZ, YZ: 2 * i.YZ}
		}
		body := kin.Link{Mass: r.Body.Mass, Inertia: r.Body.Inertia}
		double(&body)
		r.Body.Mass, r.Body.Inertia = body.Mass, body.Inertia
		double(&r.Payload)
		for i := range r.Legs {
			for j := range kin.Joints {
				double(&r.Legs[i].Links[j])
				r.Legs[i].Servos[j].Mass *= 2
			}
		}
		_, b := mustRun(t, r, p, 100, load.Options{Every: 1e-9})
		weight := a.Mass * g
		same(t, tr, a, b, func(leg int) int { return leg }, func(v r3.Vec) r3.Vec { return v }, 2, weight)
	})
}

// A mirrored motion of a robot that is its own mirror image mirrors forces,
// torques and the zero-moment point.
func TestMirroredMotion(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := walker()
		p := moving(t, r)
		tr, a := mustRun(t, r, p, 100, load.Options{Every: 1e-9})
		flip := func(v r3.Vec) r3.Vec { return r3.Vec{X: v.X, Y: -v.Y, Z: v.Z} }
		path := func(b *curve.Bezier, f func(r3.Vec) r3.Vec) {
			b.P0, b.P1, b.P2, b.P3 = f(b.P0), f(b.P1), f(b.P2), f(b.P3)
		}
		path(&p.Body[0].Shift.Path, flip)
		path(&p.Body[0].Lean.Path, func(v r3.Vec) r3.Vec { return r3.Vec{X: -v.X, Y: v.Y, Z: -v.Z} })
		roll, pitch, yaw := p.RWG.RPY()
		p.RWG = kin.RPY(-roll, pitch, -yaw)
		for i := range 3 {
			p.Feet[i], p.Feet[i+3] = p.Feet[i+3], p.Feet[i]
		}
		for _, c := range p.Feet {
			for k := range c {
				path(&c[k].Span.Path, flip)
			}
		}
		_, b := mustRun(t, r, p, 100, load.Options{Every: 1e-9})
		same(t, tr, a, b, func(leg int) int { return (leg + 3) % 6 }, flip, 1, a.Mass*g)
	})
}

// same compares loads with those of a changed motion or robot: leg and turn
// tell where legs and vectors go, times how much greater loads are. Forces
// agree to what the distribution of forces is exact to: 1e-4 of the weight
// (the load of the worst joint, to which the sharing is sensitive, is exact
// to 1e-6).
func same(t *rapid.T, tr *motion.Trajectory, a, b *load.Loads, leg func(int) int, turn func(r3.Vec) r3.Vec, times, weight float64) {
	t.Helper()
	const exact = 1e-4
	for k := range a.N {
		if a.State[k] != b.State[k] {
			t.Fatalf("%v s: %v becomes %v", tr.Time(k), a.State[k], b.State[k])
		}
		p, ok := a.ZMPAt(k)
		q, also := b.ZMPAt(k)
		if ok != also || ok && r3.Norm(r3.Sub(turn(p), q)) > 1e-9*(1+r3.Norm(p)) {
			t.Fatalf("%v s: zero-moment point %v becomes %v", tr.Time(k), p, q)
		}
		if d := a.Dynamic[k] - b.Dynamic[k]; math.Abs(d) > 1e-9*(1+math.Abs(a.Dynamic[k])) {
			t.Fatalf("%v s: margin %v becomes %v", tr.Time(k), a.Dynamic[k], b.Dynamic[k])
		}
		if a.State[k] != load.Carried {
			continue
		}
		for i := range a.Legs {
			f, h := r3.Scale(times, turn(a.ForceAt(k, i))), b.ForceAt(k, leg(i))
			if d := r3.Norm(r3.Sub(f, h)); !(d <= exact*weight) {
				t.Fatalf("%v s, leg %d: force %v becomes %v, want %v", tr.Time(k), i, a.ForceAt(k, i), h, f)
			}
			for j := range kin.Joints {
				u, v := times*a.Torque[(k*a.Legs+i)*3+j], b.Torque[(k*a.Legs+leg(i))*3+j]
				if j == kin.Coxa && leg(0) != 0 {
					u = -u
				}
				if !(math.Abs(u-v) <= exact*weight*0.15) {
					t.Fatalf("%v s, leg %d, joint %d: torque %v becomes %v", tr.Time(k), i, j, u, v)
				}
			}
		}
	}
}

// Loads are equal, whatever the estimator and the arrays were used for before.
func TestReuse(t *testing.T) {
	tell := func(l *load.Loads) string {
		c := *l
		return fmt.Sprint(c.N, c.State, c.Acc, c.Spin, c.ZMP, c.Dynamic, c.Energy, c.Lift, c.Force, c.Torque, c.Current, c.Voltage, c.RMS, c.Known, c.Lines, c.Solved, c.Blows)
	}
	rapid.Check(t, func(t *rapid.T) {
		r := walker()
		a, err := sample(r, moving(t, r), 200)
		if err != nil {
			t.Fatal(err)
		}
		b, err := sample(r, moving(t, r), 300)
		if err != nil {
			t.Fatal(err)
		}
		e := load.New(r)
		first := e.Run(a, load.Options{})
		want := tell(first)
		e.Run(b, load.Options{OnStand: true, Reuse: first})
		if got := tell(e.Run(a, load.Options{Reuse: first})); got != want {
			t.Fatalf("%s\nwant %s", got, want)
		}
		if got := tell(load.New(r).Run(a, load.Options{})); got != want {
			t.Fatalf("%s\nwant %s", got, want)
		}
	})
}
