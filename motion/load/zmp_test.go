// SPDX-License-Identifier: MIT

package load_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/curve"
	"gaitwright/motion/load"
)

// at gives place and acceleration on a span that takes some seconds.
func at(s *curve.Span, now, seconds float64) (p, a r3.Vec) {
	p, _, a = s.At(now / seconds)
	return p, r3.Scale(1/(seconds*seconds), a)
}

// A body on legs without weight that slides over its feet is the cart-table:
// x - h/g·ẍ (Kajita and others, Introduction to Humanoid Robotics, 2014, ch. 3;
// from memory). Half a metre a second squared at the beginning, by hand: a
// path u·u·40 mm in 0.4 s.
func TestCartTable(t *testing.T) {
	r := onFeet(2, r3.Vec{X: 0.01, Z: 0.05}, table...)
	const seconds = 0.4
	p := standing(r, seconds)
	h := height(r)
	s := &p.Body[0].Shift
	s.Path = curve.Bezier{P0: r3.Vec{Z: h}, P1: r3.Vec{Z: h}, P2: r3.Vec{X: 0.04 / 3, Z: h}, P3: r3.Vec{X: 0.04, Z: h}}
	tr := mustSample(t, r, p, 200)
	l := load.New(r).Run(tr, load.Options{})
	verify(t, r, tr, l)
	for k := range tr.N {
		u := tr.Time(k) / seconds
		want := 0.01 + 0.04*u*u - (h+0.05)/g*2*0.04/(seconds*seconds)
		if got, ok := l.ZMPAt(k); !ok || math.Abs(got.X-want) > 1e-12 || math.Abs(got.Y) > 1e-12 {
			t.Fatalf("%v s: zero-moment point %v, want %v", tr.Time(k), got, want)
		}
		if d := l.Dynamic[k] - min(0.1, 0.15+want); math.Abs(d) > 1e-12 {
			t.Fatalf("%v s: margin %v", tr.Time(k), l.Dynamic[k])
		}
	}
}

// Two masses: the body and a heavy foot that swings, everything else without
// weight. x = Σ m·((z̈+g)·x - ẍ·z) / Σ m·(z̈+g) (Vukobratović and Borovac, 2004;
// from memory).
func TestTwoMasses(t *testing.T) {
	const seconds, mass, foot = 0.5, 1.5, 0.4
	r := onFeet(mass, r3.Vec{Z: 0.03}, six...)
	l0 := &r.Legs[0]
	l0.Links[kin.Tibia] = kin.Link{Mass: foot, COM: r3.Vec{X: l0.Length[kin.Tibia]}}
	p := standing(r, seconds)
	h := height(r)
	p.Body[0].Shift = curve.Span{
		Path:   curve.Bezier{P0: r3.Vec{Z: h}, P1: r3.Vec{X: 0.01, Y: -0.02, Z: h}, P2: r3.Vec{X: -0.03, Z: h + 0.01}, P3: r3.Vec{X: -0.02, Y: -0.01, Z: h}},
		Timing: eased,
	}
	f := &p.Feet[0][0]
	a := f.Span.Path.P0
	f.Hold = motion.OverGround
	f.Span = curve.Span{Path: curve.Bezier{P0: a, P1: r3.Add(a, r3.Vec{Z: 0.05}), P2: r3.Add(a, r3.Vec{X: 0.05, Y: 0.03, Z: 0.06}), P3: r3.Add(a, r3.Vec{X: 0.02})}, Timing: eased}
	tr := mustSample(t, r, p, 200)
	l := load.New(r).Run(tr, load.Options{})
	verify(t, r, tr, l)
	moved := 0.0
	for k := range tr.N {
		var x, y, push float64
		for _, s := range []struct {
			span *curve.Span
			m, z float64
		}{{&p.Body[0].Shift, mass, 0.03}, {&f.Span, foot, 0}} {
			c, acc := at(s.span, tr.Time(k), seconds)
			c.Z += s.z
			x += s.m * ((acc.Z+g)*c.X - acc.X*c.Z)
			y += s.m * ((acc.Z+g)*c.Y - acc.Y*c.Z)
			push += s.m * (acc.Z + g)
		}
		got, ok := l.ZMPAt(k)
		if !ok || math.Hypot(got.X-x/push, got.Y-y/push) > 1e-10 {
			t.Fatalf("%v s: zero-moment point %v, want %v %v", tr.Time(k), got, x/push, y/push)
		}
		moved = max(moved, math.Hypot(got.X-tr.COM[3*k], got.Y-tr.COM[3*k+1]))
	}
	if moved < 0.01 {
		t.Errorf("the motion moves the point by %v m only", moved)
	}
}
