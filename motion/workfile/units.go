// SPDX-License-Identifier: MIT

package workfile

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Factors from people's units to SI. The kilogram-force centimetre is exact:
// 9.80665 N × 0.01 m (NIST SP 811, App. B.8).
const (
	mm    = 1e-3          // m
	gram  = 1e-3          // kg
	ms    = 1e-3          // s
	kgfCm = 0.0980665     // N·m
	deg   = math.Pi / 180 // rad
)

// scaled divides where a factor is a negative power of ten, since v/1000 is
// the double nearest to the exact quotient and v*0.001 may not be.
func scaled(v, unit float64) float64 {
	if unit == mm {
		return v / 1000
	}
	return v * unit
}

// speedOf gives the no-load speed of a servo that takes t60 seconds for 60
// degrees, rad/s.
func speedOf(t60 float64) float64 { return math.Pi / 3 / t60 }

func vec(v [3]float64, unit float64) r3.Vec {
	return r3.Vec{X: scaled(v[0], unit), Y: scaled(v[1], unit), Z: scaled(v[2], unit)}
}

// vecOr is vec of v, zero when it was left out.
func vecOr(v *[3]float64, unit float64) r3.Vec { return vec(orElse(v, [3]float64{}), unit) }

// orElse gives what p points to, or other when it was left out.
func orElse[T any](p *T, other T) T {
	if p == nil {
		return other
	}
	return *p
}
