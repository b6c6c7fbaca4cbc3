// SPDX-License-Identifier: MIT

package plate_test

import (
	"fmt"
	"image"

	"gonum.org/v1/gonum/spatial/r2"

	"gaitwright/app/plate"
)

// A path of 120 mm by 40 mm on a canvas of 400 px by 300 px, with a round grid.
func Example() {
	v := plate.View{Size: image.Pt(400, 300)}
	v.Fit(r2.Vec{X: 0, Y: 0}, r2.Vec{X: 0.12, Y: 0.04}, 20)
	step := v.Step(60)
	fmt.Printf("%.0f px/m, grid %.0f mm, lines at %.2f\n", v.Scale, step*1000, v.TicksX(step))
	fmt.Printf("%.0f\n", v.Px(r2.Vec{X: 0.12, Y: 0.04}))
	// Output:
	// 3000 px/m, grid 20 mm, lines at [0.00 0.02 0.04 0.06 0.08 0.10 0.12]
	// {380 90}
}
