// SPDX-License-Identifier: MIT

package draw_test

import (
	"fmt"
	"image"
	"image/color"

	"gioui.org/op"
	"gonum.org/v1/gonum/spatial/r2"

	"gaitwright/app/draw"
)

// A dashed line with a marker becomes one filled path.
func Example() {
	var ops op.Ops
	var b draw.Batch
	b.Reset(image.Rect(0, 0, 100, 50))
	b.Polyline([]r2.Vec{{X: 10, Y: 25}, {X: 40, Y: 25}}, draw.Line{Width: 2, Pattern: draw.Dashed})
	b.Square(r2.Vec{X: 40, Y: 25}, 3)
	b.Paint(&ops, color.NRGBA{A: 255})
	fmt.Println(b.Len(), b.Bounds(), draw.Number(-0.04, 1))
	// Output: 3 (10,22)-(43,28) 0.0
}
