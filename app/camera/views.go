// SPDX-License-Identifier: MIT

package camera

import "math"

// View names a direction of looking. The fixed ones are parallel projections
// as in orthographic views of drawing practice (ISO 5456-2).
type View uint8

// The views.
const (
	Free  View = iota // any direction, in perspective
	Front             // eye ahead of the scene: world x points at the viewer
	Back              // eye behind: y (left) points left
	Left              // eye at the left: x (forward) points left
	Right             // eye at the right: x (forward) points right
	Above             // eye above: x (forward) points up, y points left
)

// String says from where the view looks, for labels.
func (v View) String() string {
	switch v {
	case Front:
		return "from the front"
	case Back:
		return "from the back"
	case Left:
		return "from the left"
	case Right:
		return "from the right"
	case Above:
		return "from above"
	}
	return "free"
}

// angles returns the yaw and pitch of a view, rad.
func (v View) angles() (yaw, pitch float64) {
	switch v {
	case Front:
		return 0, 0
	case Back:
		return math.Pi, 0
	case Left:
		return math.Pi / 2, 0
	case Right:
		return -math.Pi / 2, 0
	case Above:
		return math.Pi, math.Pi / 2
	}
	return 0.72, 0.42 // from ahead and to the left, looking down a little
}

// Look turns the camera to a view. Target and scale stay.
func (c *Camera) Look(v View) {
	c.Yaw, c.Pitch = v.angles()
	c.Flat = v != Free
}

// View returns the fixed view that the camera stands in, or Free.
func (c Camera) View() View {
	if !c.Flat {
		return Free
	}
	for v := Front; v <= Above; v++ {
		yaw, pitch := v.angles()
		if math.Abs(wrap(c.Yaw-yaw)) < 1e-9 && math.Abs(c.Pitch-pitch) < 1e-9 {
			return v
		}
	}
	return Free
}
