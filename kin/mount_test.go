// SPDX-License-Identifier: MIT

package kin

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// A mount does what the pose of the hip frame does.
func TestMountIsThePose(t *testing.T) {
	l := Leg{PBH: r3.Vec{X: 0.1, Y: -0.05, Z: 0.02}, Heading: -2.1}
	m, x := l.Mount(), l.XBH()
	p := r3.Vec{X: 0.3, Y: 0.2, Z: -0.1}
	for what, d := range map[string]r3.Vec{
		"into": r3.Sub(m.Into(p), x.Into(p)), "turn": r3.Sub(m.Turn(p), x.R.TMul(p)),
		"out": r3.Sub(m.Out(p), x.At(p)), "back": r3.Sub(m.Out(m.Into(p)), p),
	} {
		if r3.Norm(d) > 1e-16*4 {
			t.Errorf("%s is off by %v", what, d)
		}
	}
}
