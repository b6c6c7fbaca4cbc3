// SPDX-License-Identifier: MIT

package newrobot

import "testing"

// Only a large body has its corners cut.
func TestOutline(t *testing.T) {
	for _, tt := range []struct {
		length, width float64
		corners       int
	}{{180, 90, 4}, {60, 60, 4}, {240, 114, 4}, {240, 120, 8}, {400, 300, 8}} {
		a := Answers{Length: tt.length, Width: tt.width}
		o := a.outline()
		if len(o) != tt.corners {
			t.Errorf("%v by %v mm: %d corners, want %d", tt.length, tt.width, len(o), tt.corners)
		}
		area := 0.0 // against the clock as seen from above is positive
		for i, p := range o {
			q := o[(i+1)%len(o)]
			area += (p[0]*q[1] - q[0]*p[1]) / 2
		}
		if !(area > 0.9*tt.length*tt.width && area <= tt.length*tt.width) {
			t.Errorf("%v by %v mm: area %v", tt.length, tt.width, area)
		}
	}
}
