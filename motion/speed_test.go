// SPDX-License-Identifier: MIT

package motion

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/motion/curve"
)

// The speed against central differences of the places.
func TestSpeedAgainstDifferences(t *testing.T) {
	path := curve.Bezier{P1: r3.Vec{Z: 0.04}, P2: r3.Vec{X: 0.05, Y: 0.02, Z: 0.05}, P3: r3.Vec{X: 0.07}}
	f := FootPiece{
		From: 2, To: 2.4, Hold: OverGround,
		Span: curve.Span{Path: path, Timing: curve.Timing{Kind: curve.CubicBezier, X1: 0.4, X2: 0.6, Y2: 1}},
	}
	b := BodyPiece{From: 2, To: 2.4, Shift: f.Span}
	const h = 1e-6
	for i := 1; i < 10; i++ {
		x := float64(i) / 10
		at := f.From + x*(f.To-f.From)
		want := r3.Norm(r3.Sub(f.At(at+h, nil), f.At(at-h, nil))) / (2 * h)
		if got := f.Speed(x); math.Abs(got-want) > 1e-6 {
			t.Errorf("foot at %v: %v m/s, want %v", x, got, want)
		}
		if got := b.Speed(x); math.Abs(got-want) > 1e-6 {
			t.Errorf("body at %v: %v m/s, want %v", x, got, want)
		}
	}
	f.Hold = Planted
	if got := f.Speed(0.5); got != 0 {
		t.Errorf("planted: %v m/s", got)
	}
}
