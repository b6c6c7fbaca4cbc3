// SPDX-License-Identifier: MIT

// Package kin is the robot's geometry: what it is made of, where a foot goes
// for given joint angles, which angles put a foot at a given point, and how
// far that point is from the edge of what the leg can reach.
//
// # Frames
//
// One letter a frame; a name such as pBF reads "position of F measured from
// B, in B's axes", a pose xWB reads "B in W"; in a product adjacent letters
// must match (pWF = xWB · pBF).
//
//	W  world: x forward, y left, z up (ISO 8855)
//	G  ground: origin in W's origin, z normal to the ground plane
//	B  body: fixed to the body
//	H  hip of a leg: origin at its mount, x outward along the leg's heading, z up in B
//	F  foot centre
//
// # A leg
//
// Yaw, pitch, pitch. With link lengths C, F, T, lateral offset d and vertical
// offset h of the femur axis:
//
//	pHF = Rz(coxa) · ( C + F·cos f + T·cos(f+t),  d,  h + F·sin f + T·sin(f+t) )
//
// Coxa positive counter-clockwise seen from above, on both sides. Femur 0 is
// level, positive raises the knee. Tibia 0 is the straight leg, negative
// bends the foot down. Metres, radians, kilograms throughout.
package kin
