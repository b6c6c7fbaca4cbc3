// SPDX-License-Identifier: MIT

package reach_test

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/reach"
)

// Where a foot can be in a level sheet 60 mm below the femur axis.
func Example() {
	quarter := kin.Range{Lo: -math.Pi / 4, Hi: math.Pi / 4}
	leg := kin.Leg{
		Length: [kin.Joints]float64{0.04, 0.07, 0.12},
		Limits: [kin.Joints]kin.Range{quarter, {Lo: -1.5, Hi: 1.5}, {Lo: -2.6, Hi: 0}},
	}
	sheet := reach.Sheet{P: r3.Vec{Z: -0.06}, U: r3.Vec{X: 1}, V: r3.Vec{Y: 1}}
	var o reach.Outline
	o.Trace(reach.Of(&leg), sheet, r2.Vec{X: 0.05, Y: -0.3}, r2.Vec{X: 0.3, Y: 0.3}, 50, 120)
	most := 0.0
	for _, p := range o.Line(0) {
		most = max(most, p.X)
	}
	fmt.Printf("%d line, up to %.1f mm ahead of the coxa axis\n", o.Len(), most*1000)
	// Output: 1 line, up to 220.3 mm ahead of the coxa axis
}
