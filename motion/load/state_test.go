// SPDX-License-Identifier: MIT

package load_test

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/dynamics"
	"gaitwright/motion"
	"gaitwright/motion/curve"
	"gaitwright/motion/load"
)

// On a stand joints carry their legs alone (Leg.GravityTorque, against KDL and
// DART), feet nothing.
func TestOnStand(t *testing.T) {
	r := walker()
	tr := mustSample(t, r, standing(r, 0.2), 100)
	l := load.New(r).Run(tr, load.Options{OnStand: true})
	n := verify(t, r, tr, l)
	if n[load.Hung] != tr.N || l.Solved != 0 || len(l.Blows) != 0 {
		t.Fatalf("states %v, %d sought, %d blows", n, l.Solved, len(l.Blows))
	}
	m := dynamics.New(r)
	for i := range r.Legs {
		want := m.Legs[i].GravityTorque(tr.JointsAt(3, i), r3.Vec{Z: -g})
		for j, v := range want {
			if got := l.Torque[(3*6+i)*3+j]; math.Abs(got-v) > 1e-12 {
				t.Errorf("leg %d, joint %d: %v N·m, want %v", i, j, got, v)
			}
		}
	}
	if _, ok := l.ZMPAt(3); ok || !math.IsNaN(l.Energy[3]) || !math.IsNaN(l.Dynamic[3]) {
		t.Error("a margin on a stand")
	}
}

// No foot planted: in free fall nothing asks for a force.
func TestFlying(t *testing.T) {
	const seconds = 0.1
	r := onFeet(2, r3.Vec{}, table...)
	p := standing(r, seconds)
	h := height(r)
	fall := r3.Vec{Z: -g * seconds * seconds / 2}
	top := r3.Vec{Z: h + 0.01}
	p.Body[0].Shift.Path = curve.Bezier{P0: top, P1: top, P2: r3.Add(top, r3.Scale(1./3, fall)), P3: r3.Add(top, fall)}
	for i := range p.Feet {
		f := &p.Feet[i][0]
		f.Hold = motion.WithBody
		s := r3.Sub(f.Span.Path.P0, r3.Vec{Z: h})
		f.Span.Path = curve.Line(s, s)
	}
	tr := mustSample(t, r, p, 200)
	l := load.New(r).Run(tr, load.Options{})
	if n := verify(t, r, tr, l); n[load.Flying] != tr.N {
		t.Fatalf("states %v", n)
	}
	for k := range tr.N {
		if a := r3.Norm(r3.Add(motion.Vec(l.Acc, 3*k), r3.Vec{Z: g})); a > 1e-9 || r3.Norm(motion.Vec(l.Spin, 3*k)) > 1e-12 {
			t.Fatalf("in free fall at %v m/s² from it", a)
		}
	}
}

// Without a foot on the ground a level path is not a fall: no numbers.
func TestUnsupported(t *testing.T) {
	r := onFeet(2, r3.Vec{}, table...)
	p := standing(r, 0.1)
	h := height(r)
	for i := range p.Feet {
		f := &p.Feet[i][0]
		f.Hold = motion.WithBody
		s := r3.Sub(f.Span.Path.P0, r3.Vec{Z: h})
		f.Span.Path = curve.Line(s, s)
	}
	tr := mustSample(t, r, p, 200)
	l := load.New(r).Run(tr, load.Options{})
	if n := verify(t, r, tr, l); n[load.Unsupported] != tr.N {
		t.Fatalf("states %v", n)
	}
	if a, lever := l.OffFall(3); math.Abs(a-g) > 1e-9 || lever > 1e-9 {
		t.Errorf("off a fall by %v m/s² and %v m", a, lever)
	}
	if l.Known != 0 || !math.IsNaN(l.RMS[0]) {
		t.Errorf("%d samples known, root mean square %v", l.Known, l.RMS[0])
	}
}

// A leg that misses its target has no acceleration, and one that turns many
// times faster than its servo none that means anything: nothing is known then,
// and it is before and after.
func TestUnknown(t *testing.T) {
	for what, top := range map[string]float64{"out of reach": 0.30, "at the edge of reach": 0.0} {
		r := walker()
		p := standing(r, 1)
		c := p.Feet[0]
		a := c[0].Span.Path.P0
		far := r3.Add(a, r3.Vec{X: top, Y: top})
		if top == 0 { // slow down the servo instead
			r.Legs[0].Servos[kin.Femur].NoLoadSpeed = 0.05
			far = r3.Add(a, r3.Vec{Z: 0.03})
		}
		mid := c[0]
		mid.From, mid.To, mid.Hold = 0.3, 0.7, motion.OverGround
		mid.Span = curve.Span{Path: curve.Bezier{P0: a, P1: far, P2: far, P3: a}, Timing: eased}
		end := c[0]
		end.From = 0.7
		c[0].To = 0.3
		p.Feet[0] = append(c, mid, end)
		tr := mustSample(t, r, p, 200)
		l := load.New(r).Run(tr, load.Options{})
		n := verify(t, r, tr, l)
		if n[load.Unknown] < 20 || n[load.Carried] < 100 || n[load.Unknown]+n[load.Carried] != tr.N {
			t.Errorf("%s: states %v", what, n)
		}
		if l.Known != n[load.Carried] || math.IsNaN(l.RMS[0]) {
			t.Errorf("%s: %d known, root mean square %v", what, l.Known, l.RMS[0])
		}
	}
}

// As many legs as there may be, none of them planted on a line with others.
func TestMostLegs(t *testing.T) {
	var feet []r3.Vec
	for i := range kin.MaxLegs {
		s, c := math.Sincos(2 * math.Pi * (float64(i) + 0.5) / kin.MaxLegs)
		feet = append(feet, r3.Vec{X: 0.2 * c, Y: 0.2 * s})
	}
	r := onFeet(3, r3.Vec{}, feet...)
	r.Friction = 0
	tr := mustSample(t, r, standing(r, 0.1), 100)
	l := load.New(r).Run(tr, load.Options{})
	if n := verify(t, r, tr, l); n[load.Carried] != tr.N {
		t.Fatalf("states %v", n)
	}
}

// No sample, and one alone.
func TestFewSamples(t *testing.T) {
	r := walker()
	e := load.New(r)
	none := e.Run(&motion.Trajectory{Rate: 100, Legs: 6, RWG: kin.Identity}, load.Options{})
	if none.N != 0 || none.Known != 0 || !math.IsNaN(none.RMS[0]) {
		t.Errorf("of no samples: %+v", none)
	}
	tr := mustSample(t, r, standing(r, 0), 100)
	l := e.Run(tr, load.Options{})
	if n := verify(t, r, tr, l); tr.N != 1 || n[load.Carried] != 1 {
		t.Errorf("%d samples, states %v", tr.N, n)
	}
	if _, ok := new(load.Loads).LeastFriction(0); ok {
		t.Error("loads of nothing need friction")
	}
	defer func() {
		if recover() == nil {
			t.Error("a trajectory of another robot passes")
		}
	}()
	e.Run(&motion.Trajectory{Legs: 4}, load.Options{})
}

// Allocations do not grow with the samples.
func TestNoAllocationPerSample(t *testing.T) {
	r := walker()
	var l *load.Loads
	e := load.New(r)
	count := func(seconds float64) float64 {
		tr := mustSample(t, r, standing(r, seconds), 500)
		l = e.Run(tr, load.Options{Reuse: l})
		return testing.AllocsPerRun(3, func() { e.Run(tr, load.Options{Reuse: l}) })
	}
	if a, b := count(0.2), count(2); a != b || a > 2 {
		t.Errorf("%v allocations, %v for ten times the samples", a, b)
	}
}

// A robot that cannot be carried costs no more than one that can: forces are
// not sought at every sample.
func TestTippingIsBounded(t *testing.T) {
	r := onFeet(2, r3.Vec{X: 0.2, Z: 0.05}, table...)
	tr := mustSample(t, r, standing(r, 4), 1000)
	l := load.New(r).Run(tr, load.Options{})
	if n := verify(t, r, tr, l); n[load.Pulled] != tr.N || l.Solved > tr.N/6 {
		t.Errorf("states %v, sought at %d samples", n, l.Solved)
	}
}

// A foot that is planted elsewhere at once stands on other ground from there on.
func TestFootJumps(t *testing.T) {
	r := walker()
	p := standing(r, 0.4)
	c := p.Feet[0]
	next := c[0]
	next.From = 0.203
	s := r3.Add(c[0].Span.Path.P0, r3.Vec{X: 0.01})
	next.Span.Path = curve.Line(s, s)
	c[0].To = next.From
	p.Feet[0] = append(c, next)
	tr := mustSample(t, r, p, 100)
	l := load.New(r).Run(tr, load.Options{})
	if n := verify(t, r, tr, l); n[load.Carried] != tr.N || !slices.Contains(tr.Planted, true) {
		t.Errorf("states %v", n)
	}
}
