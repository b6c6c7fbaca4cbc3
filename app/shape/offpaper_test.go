// SPDX-License-Identifier: MIT

package shape

import (
	"image"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/app/plate"
)

// Only the ends of spans bring the paper along, and only when they lie outside.
func TestOffPaper(t *testing.T) {
	w := drawing{side: FromSide, view: plate.View{Size: image.Pt(200, 100), Scale: 1000, Centre: r2.Vec{}}}
	for _, tt := range []struct {
		name string
		p    point
		want bool
	}{
		{"middle", point{part: End}, false},
		{"right edge", point{part: End, pC: r3.Vec{X: 0.099}}, false},
		{"beyond the right edge", point{part: End, pC: r3.Vec{X: 0.101}}, true},
		{"below", point{part: End, pC: r3.Vec{Z: -0.06}}, true},
		{"y does not show from the side", point{part: End, pC: r3.Vec{Y: 5}}, false},
		{"a handle outside", point{part: Out, pC: r3.Vec{X: 5}}, false},
	} {
		if got := w.offPaper(&track{points: []point{tt.p}}); got != tt.want {
			t.Errorf("%s: got=%v, want=%v", tt.name, got, tt.want)
		}
	}
}
