// SPDX-License-Identifier: MIT

package kin_test

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

// A leg whose hip sits at the front left corner of the body puts its foot on
// a point of the ground, then is asked for one it cannot touch.
func Example() {
	leg := kin.Leg{
		Name:    "left front",
		PBH:     r3.Vec{X: 0.12, Y: 0.06},
		Heading: math.Pi / 4,
		Length:  [kin.Joints]float64{0.030, 0.060, 0.090},
	}
	xWB := kin.Pose{P: r3.Vec{Z: 0.08}, R: kin.Identity}
	xWH := xWB.Dot(leg.XBH())
	for _, pWF := range []r3.Vec{{X: 0.20, Y: 0.14}, {X: 0.30, Y: 0.24}} {
		s := leg.Solve(xWH.Into(pWF))
		foot := xWH.At(s.Chain.PHF)
		fmt.Printf("coxa %.1f, femur %.1f, tibia %.1f degrees\n",
			s.Q[kin.Coxa]*180/math.Pi, s.Q[kin.Femur]*180/math.Pi, s.Q[kin.Tibia]*180/math.Pi)
		fmt.Printf("foot at %.3f, %.3f, %.3f m, %.1f mm missed, margin %.1f mm\n",
			foot.X, foot.Y, foot.Z, s.Miss*1000, s.Margin*1000)
	}
	// Output:
	// coxa 0.0, femur 6.6, tibia -81.4 degrees
	// foot at 0.200, 0.140, 0.000 m, 0.0 mm missed, margin 34.6 mm
	// coxa 0.0, femur -19.6, tibia 0.0 degrees
	// foot at 0.241, 0.181, 0.030 m, 88.4 mm missed, margin -88.4 mm
}
