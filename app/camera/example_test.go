// SPDX-License-Identifier: MIT

package camera_test

import (
	"fmt"
	"image"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/app/camera"
)

// Seen from the left, to scale, a foot is dragged forward in the vertical
// plane that it lies in.
func Example() {
	var c camera.Camera
	c.Look(camera.Left)
	c.Fit(r3.Vec{X: -0.2, Y: -0.2}, r3.Vec{X: 0.2, Y: 0.2, Z: 0.2}, image.Pt(440, 240), 20)
	f := c.Frame(image.Pt(440, 240))
	foot := r3.Vec{X: 0.1, Y: 0.15}
	at, _, _ := f.Project(foot)
	to, ok := f.DragOnPlane(foot, r3.Vec{Y: 1}, r2.Add(at, r2.Vec{X: -20}))
	fmt.Printf("%.0f px/m, pixel %.0f %.0f, foot to %.3f %.3f %.3f m %v\n", f.Scale(foot), at.X, at.Y, to.X, to.Y, to.Z, ok)
	// Output: 1000 px/m, pixel 120 220, foot to 0.120 0.150 0.000 m true
}
