// SPDX-License-Identifier: MIT

package kin

import "math"

// The angles of RPY as they are seen on a flat drawing along an axis. There a
// turned body shows the direction of one of its axes; these give the roll,
// pitch or yaw that shows it so, the other two kept: what turning a body by
// hand on a drawing means. Angles are in rad; seen is measured from the first
// drawn axis towards the second. The inverse of what RPY does to one axis.

// PitchSeen gives the pitch at which the body's x axis shows at the angle seen
// in the x-z plane, with the yaw. With the axis turned square to the drawing
// (yaw ±π/2) it shows no angle but up and down; the pitch is then 0 or ±π.
func PitchSeen(seen, yaw float64) float64 {
	// Drawn is (cos yaw·cos pitch, -sin pitch).
	s, c := math.Sincos(seen)
	cy := math.Cos(yaw)
	if cy < 0 {
		s, c = -s, -c
	}
	return math.Atan2(-s*cy, c) + 0
}

// RollSeen gives the roll at which the body's y axis shows at the angle seen
// in the y-z plane, with pitch and yaw.
func RollSeen(seen, pitch, yaw float64) float64 {
	// Drawn is (sin yaw·sin pitch·sin roll + cos yaw·cos roll, cos pitch·sin roll).
	s, c := math.Sincos(seen)
	sp, cp := math.Sincos(pitch)
	sy, cy := math.Sincos(yaw)
	y, x := s*cy, c*cp-s*sy*sp
	if cp*cy < 0 { // the drawn axes swap their hands
		x, y = -x, -y
	}
	return math.Atan2(y, x) + 0
}

// YawSeen gives the yaw at which the body's x axis shows at the angle seen in
// the x-y plane, with the pitch.
func YawSeen(seen, pitch float64) float64 {
	// Drawn is cos pitch·(cos yaw, sin yaw).
	if math.Cos(pitch) < 0 {
		seen += math.Pi
	}
	return math.Remainder(seen, 2*math.Pi)
}
