// SPDX-License-Identifier: MIT

package kin

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

func TestSolids(t *testing.T) {
	// A cuboid of 40, 20 and 10 mm at 1200 kg/m³ (textbook formula, exact arithmetic).
	b := Box(0.0096, 0.04, 0.02, 0.01).Rows()
	if want := []float64{4e-7, 0, 0, 0, 1.36e-6, 0, 0, 0, 1.6e-6}; !closeTo(b[:], want, 1e-14) {
		t.Errorf("box %v, want %v", b, want)
	}
	// 2 kg, 0.6 m, radius 0.1 m: 2·0.01/2 along, 2·(0.03 + 0.36)/12 across.
	r := Rod(2, 0.6, 0.1).Rows()
	if want := []float64{0.01, 0, 0, 0, 0.065, 0, 0, 0, 0.065}; !closeTo(r[:], want, 1e-14) {
		t.Errorf("rod %v, want %v", r, want)
	}
}

// An L of two boxes of density 1: 2x1x1 and, beside its left half, 1x1x1
// (closed form).
func TestCombine(t *testing.T) {
	l := Combine(
		Link{Mass: 2, COM: r3.Vec{X: 1, Y: 0.5, Z: 0.5}, Inertia: Box(2, 2, 1, 1)},
		Link{Mass: 1, COM: r3.Vec{X: 0.5, Y: 1.5, Z: 0.5}, Inertia: Box(1, 1, 1, 1)},
		Link{})
	if d := r3.Norm(r3.Sub(l.COM, r3.Vec{X: 5. / 6, Y: 5. / 6, Z: 0.5})); l.Mass != 3 || d > 1e-15 {
		t.Errorf("mass %v at %v", l.Mass, l.COM)
	}
	got, third := l.Inertia.Rows(), 1.0/3
	if want := []float64{3.5 / 3, third, 0, third, 3.5 / 3, 0, 0, 0, 5.5 / 3}; !closeTo(got[:], want, 1e-14) {
		t.Errorf("inertia %v, want %v", got, want)
	}
	if z := Combine(Link{COM: r3.Vec{X: 1}}); z != (Link{}) {
		t.Errorf("nothing weighs %v", z)
	}
	// Turned by 90° about z and moved, x and y change places.
	x := Pose{P: r3.Vec{X: 1}, R: RPY(0, 0, math.Pi/2)}
	b := Link{Mass: 2, COM: r3.Vec{X: 0.1}, Inertia: Inertia{XX: 1, YY: 2, ZZ: 2.5, XZ: 0.1, YZ: 0.2}}
	turned := b.In(&x)
	got = turned.Inertia.Rows()
	if want := []float64{2, 0, -0.2, 0, 1, 0.1, -0.2, 0.1, 2.5}; !closeTo(got[:], want, 1e-14) || r3.Norm(r3.Sub(turned.COM, r3.Vec{X: 1, Y: 0.1})) > 1e-15 {
		t.Errorf("turned %v at %v", got, turned.COM)
	}
}

func TestInertiaCheck(t *testing.T) {
	for _, c := range []struct {
		name string
		in   Inertia
		ok   bool
	}{
		{"point", Inertia{}, true},
		{"thin rod", Rod(0.03, 0.09, 0), true},
		{"plate", Box(1, 0.2, 0.1, 0), true},
		{"tiny", Box(1e-9, 1e-4, 1e-4, 1e-4), true},
		{"corner of a cube", Inertia{XX: 0.0125, YY: 0.0125, ZZ: 0.0125, XY: 1. / 480, XZ: 1. / 480, YZ: 1. / 480}, true},
		{"triangle", Inertia{XX: 1, YY: 1, ZZ: 2.001}, false},
		{"triangle behind products", Inertia{XX: 1, YY: 1, ZZ: 1, XY: 0.9}, false}, // principal 0.1, 1, 1.9
		{"negative", Inertia{XX: -1e-6, YY: 1e-6, ZZ: 1e-6}, false},
		{"indefinite", Inertia{XX: 1, YY: 1, ZZ: 1, XY: 1.2}, false},
		{"not a number", Inertia{XX: math.NaN()}, false},
		{"infinite", Inertia{XX: 1, YY: 1, ZZ: math.Inf(1)}, false},
	} {
		if err := c.in.Check(); (err == nil) != c.ok || (err != nil && !errors.Is(err, ErrInertia)) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	solid := Box(1, 0.1, 0.1, 0.1)
	for _, k := range []Link{
		{Mass: -1}, {Mass: math.NaN()}, {Mass: math.Inf(1)}, {Inertia: solid},
		{Mass: 1, COM: r3.Vec{Y: math.NaN()}}, {Mass: 1, Inertia: Inertia{XX: 1}},
	} {
		if err := k.Check(); !errors.Is(err, ErrInertia) {
			t.Errorf("%+v: %v", k, err)
		}
	}
	if err := (&Link{Mass: 1, Inertia: solid}).Check(); err != nil {
		t.Error(err)
	}
}

// closeTo compares sets of numbers, relative to the largest of want.
func closeTo(got, want []float64, rel float64) bool {
	size := 0.0
	for _, w := range want {
		size = max(size, math.Abs(w))
	}
	for k := range want {
		if !(math.Abs(got[k]-want[k]) <= rel*size) {
			return false
		}
	}
	return len(got) == len(want)
}

func TestSolidParts(t *testing.T) {
	b := Body{Mass: 0.5, Outline: []r3.Vec{{X: 0.1, Y: 0.05}, {X: -0.1, Y: 0.05}, {Y: -0.05}}, Top: 0.03, Bottom: -0.01}
	if got, want := b.Solid(), Box(0.5, 0.2, 0.1, 0.04); got != want {
		t.Errorf("body %v, want %v", got, want)
	}
	l := Leg{Length: [Joints]float64{0.03, 0.06, 0.09}, LinkRadius: 0.008}
	l.Links[Tibia].Mass = 0.03
	if got, want := l.Solid(Tibia), Rod(0.03, 0.09, 0.008); got != want {
		t.Errorf("tibia %v, want %v", got, want)
	}
}
