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

// Advance is how far along a command the body has come at a time: it speeds
// up smoothly, goes at full speed, and slows down smoothly. The zero value
// never advances.
type Advance struct {
	Up, Full, Down float64 // durations, s
}

// Total is the duration of the whole.
func (a Advance) Total() float64 { return a.Up + a.Full + a.Down }

// At gives the seconds at full speed that t seconds since the start are
// worth. The speed share follows 3x²−2x³, so speed has no step anywhere.
func (a Advance) At(t float64) float64 {
	ramp := func(x float64) float64 { return x * x * x * (1 - x/2) } // ∫ 3x²−2x³
	switch {
	case t <= 0 || a.Total() <= 0:
		return 0
	case t < a.Up:
		return a.Up * ramp(t/a.Up)
	case t < a.Up+a.Full:
		return a.Up/2 + t - a.Up
	case t < a.Total():
		return a.Up/2 + a.Full + a.Down*(0.5-ramp((a.Total()-t)/a.Down))
	}
	return a.Up/2 + a.Full + a.Down/2
}
