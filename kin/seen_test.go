// SPDX-License-Identifier: MIT

package kin

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// Turn a body by RPY, look where its axis shows, and ask back.
func TestSeenIsInverseOfRPY(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 9))
	angle := func(most float64) float64 { return (rnd.Float64()*2 - 1) * most }
	same := func(a, b float64) bool { return math.Abs(math.Remainder(a-b, 2*math.Pi)) < 1e-9 }
	for range 2000 {
		roll, pitch, yaw := angle(3.1), angle(3.1), angle(3.1)
		if math.Abs(math.Cos(pitch)) < 0.05 || math.Abs(math.Cos(yaw)) < 0.05 {
			continue // the axis points at the eye
		}
		r := RPY(roll, pitch, yaw)
		x, y := r.Mul(r3.Vec{X: 1}), r.Mul(r3.Vec{Y: 1})
		if got := PitchSeen(math.Atan2(x.Z, x.X), yaw); !same(got, pitch) {
			t.Fatalf("pitch %v, want %v (yaw %v)", got, pitch, yaw)
		}
		if got := RollSeen(math.Atan2(y.Z, y.Y), pitch, yaw); !same(got, roll) {
			t.Fatalf("roll %v, want %v (pitch %v, yaw %v)", got, roll, pitch, yaw)
		}
		if got := YawSeen(math.Atan2(x.Y, x.X), pitch); !same(got, yaw) {
			t.Fatalf("yaw %v, want %v (pitch %v)", got, yaw, pitch)
		}
	}
}

// Signs by hand: nose up is a negative pitch, the left side up a positive
// roll, a turn to the left a positive yaw (ISO 8855).
func TestSeenSigns(t *testing.T) {
	if got := PitchSeen(0.2, 0); math.Abs(got+0.2) > 1e-12 {
		t.Errorf("nose 0.2 rad up: pitch %v, want -0.2", got)
	}
	if got := RollSeen(0.2, 0, 0); math.Abs(got-0.2) > 1e-12 {
		t.Errorf("left side 0.2 rad up: roll %v, want 0.2", got)
	}
	if got := YawSeen(0.2, 0); math.Abs(got-0.2) > 1e-12 {
		t.Errorf("nose 0.2 rad to the left: yaw %v, want 0.2", got)
	}
}
