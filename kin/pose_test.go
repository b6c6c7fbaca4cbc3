// SPDX-License-Identifier: MIT

package kin

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

func drawRot(t *rapid.T, name string) Rot {
	a := rapid.Float64Range(-math.Pi, math.Pi)
	return RPY(a.Draw(t, name+" roll"), a.Draw(t, name+" pitch"), a.Draw(t, name+" yaw"))
}

func drawVec(t *rapid.T, name string) r3.Vec {
	a := rapid.Float64Range(-1, 1)
	return r3.Vec{X: a.Draw(t, name+" x"), Y: a.Draw(t, name+" y"), Z: a.Draw(t, name+" z")}
}

func rotGap(a, b Rot) float64 {
	m := 0.0
	for i := range a {
		m = max(m, math.Abs(a[i]-b[i]))
	}
	return m
}

// RPY composes the three rotations in the order of ISO 8855, and its inverse
// composes to the same matrix, at pitch ±90° too.
func TestRPYInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		roll := rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "roll")
		yaw := rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "yaw")
		pitch := rapid.OneOf(
			rapid.Float64Range(-math.Pi/2, math.Pi/2),
			rapid.SampledFrom([]float64{math.Pi / 2, -math.Pi / 2, math.Pi/2 - 1e-9, 1e-9 - math.Pi/2, math.Pi/2 - 1e-13}),
		).Draw(t, "pitch")
		r := RPY(roll, pitch, yaw)
		if d := rotGap(r, RPY(0, 0, yaw).Dot(RPY(0, pitch, 0)).Dot(RPY(roll, 0, 0))); d > 1e-15 {
			t.Fatalf("not Rz·Ry·Rx: %g", d)
		}
		a, b, c := r.RPY()
		if math.IsNaN(a+b+c) || math.Abs(b) > math.Pi/2 {
			t.Fatalf("RPY() = %v, %v, %v", a, b, c)
		}
		if d := rotGap(r, RPY(a, b, c)); d > 1e-11 {
			t.Fatalf("RPY(%v, %v, %v) is %g off", a, b, c, d)
		}
		if math.Abs(pitch) < 1.5 && math.Abs(turn(a, roll))+math.Abs(b-pitch)+math.Abs(turn(c, yaw)) > 1e-12 {
			t.Fatalf("angles %v, %v, %v, want %v, %v, %v", a, b, c, roll, pitch, yaw)
		}
	})
	for _, pitch := range []float64{math.Pi / 2, -math.Pi / 2} {
		r := RPY(0.3, pitch, 0.5)
		roll, p, yaw := r.RPY()
		if roll != 0 || math.Abs(p-pitch) > 1e-15 || rotGap(r, RPY(roll, p, yaw)) > 1e-15 {
			t.Errorf("pitch %g: %v, %v, %v", pitch, roll, p, yaw)
		}
	}
}

// Poses form a group: Into undoes At, composing is applying one after another.
func TestPose(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := Pose{P: drawVec(t, "x"), R: drawRot(t, "x")}
		y := Pose{P: drawVec(t, "y"), R: drawRot(t, "y")}
		p := drawVec(t, "p")
		if got := x.Into(x.At(p)); !near(got, p, 1e-14) {
			t.Fatalf("Into(At(p)) = %v, want %v", got, p)
		}
		xy := x.Dot(y)
		if got, want := xy.At(p), x.At(y.At(p)); !near(got, want, 1e-14) {
			t.Fatalf("Dot: %v, want %v", got, want)
		}
		// Against gonum's rotation by a matrix of its own.
		m := r3.NewMat(x.R[:])
		if got, want := x.R.Mul(p), m.MulVec(p); !near(got, want, 1e-15) {
			t.Fatalf("Mul: %v, gonum %v", got, want)
		}
		if got, want := x.R.TMul(p), m.MulVecTrans(p); !near(got, want, 1e-15) {
			t.Fatalf("TMul: %v, gonum %v", got, want)
		}
	})
	if p := (r3.Vec{X: 1, Y: 2, Z: 3}); Identity.Mul(p) != p {
		t.Error("Identity moves a point")
	}
}
