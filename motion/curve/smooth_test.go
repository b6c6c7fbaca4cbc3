// SPDX-License-Identifier: MIT

package curve

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"
)

func TestSmooth(t *testing.T) {
	for _, c := range []struct {
		name string
		f    func(float64) (y, d, dd float64)
		s    float64
		want [3]float64
	}{
		// Modern Robotics (Lynch and Park), CubicTimeScaling and QuinticTimeScaling of
		// its code: Tf = 2, t = 0.6 gives 0.216 and 0.16308. The derivatives are the
		// polynomials', by hand.
		{"cubic", Cubic, 0.3, [3]float64{0.216, 1.26, 2.4}},
		{"quintic", Quintic, 0.3, [3]float64{0.16308, 1.323, 5.04}},
		// Peak speeds 1.5 and 1.875 of the average, from the same book.
		{"cubic", Cubic, 0.5, [3]float64{0.5, 1.5, 0}},
		{"quintic", Quintic, 0.5, [3]float64{0.5, 1.875, 0}},
		// Peak accelerations 6 and 10/√3, the latter at (3−√3)/6.
		{"cubic", Cubic, 0, [3]float64{0, 0, 6}},
		{"cubic", Cubic, 1, [3]float64{1, 0, -6}},
		{"quintic", Quintic, 0, [3]float64{0, 0, 0}},
		{"quintic", Quintic, 1, [3]float64{1, 0, 0}},
		{"cubic", Cubic, -1, [3]float64{0, 0, 0}},
		{"quintic", Quintic, 2, [3]float64{1, 0, 0}},
		{"cubic", Cubic, math.Inf(1), [3]float64{1, 0, 0}},
		{"quintic", Quintic, math.NaN(), [3]float64{0, 0, 0}},
		{"cubic", Cubic, math.NaN(), [3]float64{0, 0, 0}},
		{"quintic", Quintic, -1, [3]float64{0, 0, 0}},
	} {
		y, d, dd := c.f(c.s)
		for i, got := range [...]float64{y, d, dd} {
			if !scalar.EqualWithinAbs(got, c.want[i], 1e-15*float64(1+8*i)) {
				t.Errorf("%s at %v, derivative %d: got=%v, want=%v", c.name, c.s, i, got, c.want[i])
			}
		}
	}
	if _, _, dd := Quintic((3 - math.Sqrt(3)) / 6); !scalar.EqualWithinAbs(dd, 10/math.Sqrt(3), 1e-14) {
		t.Errorf("greatest second derivative of quintic: got=%v, want=%v", dd, 10/math.Sqrt(3))
	}
}

// With handles at thirds the CSS curve has x = s, and is the cubic time scaling.
func TestSmoothIsATiming(t *testing.T) {
	timing := Timing{CubicBezier, 1. / 3, 0, 2. / 3, 1}
	for i := range 101 {
		x := float64(i) / 100
		y, d, dd := timing.At(x)
		z, e, ee := Cubic(x)
		if !scalar.EqualWithinAbs(y, z, 1e-15) || !scalar.EqualWithinAbs(d, e, 1e-14) || !scalar.EqualWithinAbs(dd, ee, 1e-13) {
			t.Errorf("at %v: got=%v, %v, %v, want=%v, %v, %v", x, y, d, dd, z, e, ee)
		}
	}
}
