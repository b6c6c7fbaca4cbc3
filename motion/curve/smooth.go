// SPDX-License-Identifier: MIT

package curve

// Cubic returns 3s²−2s³ and its first and second derivative: from rest to rest,
// with a jump of acceleration at both ends. Its peak slope is 1.5, its greatest
// second derivative 6. Below 0 (or not a number) it gives 0, 0, 0, above 1
// it gives 1, 0, 0. It is the CubicBezier timing with handles (1/3,0) and (2/3,1).
//
// Source: Lynch and Park, Modern Robotics, third-order polynomial time scaling.
func Cubic(s float64) (y, d, dd float64) {
	switch {
	case !(s >= 0):
		return 0, 0, 0
	case s > 1:
		return 1, 0, 0
	}
	return s * s * (3 - 2*s), 6 * s * (1 - s), 6 - 12*s
}

// Quintic returns 10s³−15s⁴+6s⁵ and its first and second derivative: from rest to
// rest, with no acceleration at either end. Its peak slope is 1.875, its greatest
// second derivative 10/√3. Below 0 (or not a number) it gives 0, 0, 0, above 1
// it gives 1, 0, 0.
//
// Source: Lynch and Park, Modern Robotics, fifth-order polynomial time scaling.
func Quintic(s float64) (y, d, dd float64) {
	switch {
	case !(s >= 0):
		return 0, 0, 0
	case s > 1:
		return 1, 0, 0
	}
	r := 1 - s
	return s * s * s * (10 + s*(6*s-15)), 30 * s * s * r * r, 60 * s * r * (r - s)
}
