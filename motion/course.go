// SPDX-License-Identifier: MIT

package motion

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Course is where the robot stands and heads on the ground: the frame C below
// the body, on the ground plane, in G.
type Course struct {
	X, Y float64 // m
	Yaw  float64 // rad
}

// Twist is a walking command: the speed of C in C's own axes.
type Twist struct {
	Forward float64 // m/s
	Side    float64 // to the left, m/s
	Turn    float64 // counter-clockwise, rad/s
}

// Along gives the course after following w at full speed for s seconds: a
// straight line, or an exact arc about the instantaneous centre (the
// exponential map of SE(2); Lynch and Park, Modern Robotics, 2017, ch. 3).
func (c Course) Along(w Twist, s float64) Course {
	a := w.Turn * s
	// sin(a)/a and (1-cos a)/a by the half angle, which loses no digits where a
	// is small.
	sa, ca := 1.0, 0.0
	if h := a / 2; h != 0 {
		sn, cs := math.Sincos(h)
		sa, ca = sn/h*cs, sn/h*sn
	}
	dx := s * (w.Forward*sa - w.Side*ca)
	dy := s * (w.Forward*ca + w.Side*sa)
	sn, cs := math.Sincos(c.Yaw)
	return Course{X: c.X + cs*dx - sn*dy, Y: c.Y + sn*dx + cs*dy, Yaw: c.Yaw + a}
}

// At gives pGP of a point known in C: x and y turn with the course, z stays.
func (c Course) At(p r3.Vec) r3.Vec {
	v := c.Turn(p)
	return r3.Vec{X: c.X + v.X, Y: c.Y + v.Y, Z: v.Z}
}

// Turn gives a direction of C's axes in G's.
func (c Course) Turn(v r3.Vec) r3.Vec {
	sn, cs := math.Sincos(c.Yaw)
	return r3.Vec{X: cs*v.X - sn*v.Y, Y: sn*v.X + cs*v.Y, Z: v.Z}
}

// Into is the inverse of At.
func (c Course) Into(p r3.Vec) r3.Vec {
	sn, cs := math.Sincos(c.Yaw)
	x, y := p.X-c.X, p.Y-c.Y
	return r3.Vec{X: cs*x + sn*y, Y: -sn*x + cs*y, Z: p.Z}
}
