// SPDX-License-Identifier: MIT

package kin

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Forward gives pHF, the foot centre in the hip frame, for joint angles q
// (rad). Any angles are allowed.
func (l *Leg) Forward(q [Joints]float64) r3.Vec {
	sf, cf := math.Sincos(q[Femur])
	st, ct := math.Sincos(q[Femur] + q[Tibia])
	s := l.Length[Coxa] + l.Length[Femur]*cf + l.Length[Tibia]*ct
	z := l.Vertical + l.Length[Femur]*sf + l.Length[Tibia]*st
	sc, cc := math.Sincos(q[Coxa])
	return r3.Vec{X: cc*s - sc*l.Lateral, Y: sc*s + cc*l.Lateral, Z: z}
}

// Chain is the leg as it stands in the hip frame: the femur axis, the knee
// and the foot, with the sines and cosines that place the links.
type Chain struct {
	PHK0 r3.Vec // femur axis (end of the coxa), m
	PHK  r3.Vec // knee, m
	PHF  r3.Vec // foot centre, m

	SinC, CosC float64 // coxa
	SinF, CosF float64 // femur
	SinT, CosT float64 // femur + tibia
}

// Chain places every link for joint angles q (rad), hip frame.
func (l *Leg) Chain(q [Joints]float64) Chain {
	var c Chain
	c.SinC, c.CosC = math.Sincos(q[Coxa])
	c.SinF, c.CosF = math.Sincos(q[Femur])
	c.SinT, c.CosT = math.Sincos(q[Femur] + q[Tibia])
	l.place(&c)
	return c
}

func (l *Leg) place(c *Chain) {
	s, z := l.Length[Coxa], l.Vertical
	c.PHK0 = c.out(s, l.Lateral, z)
	s += l.Length[Femur] * c.CosF
	z += l.Length[Femur] * c.SinF
	c.PHK = c.out(s, l.Lateral, z)
	s += l.Length[Tibia] * c.CosT
	z += l.Length[Tibia] * c.SinT
	c.PHF = c.out(s, l.Lateral, z)
}

// out turns a point of the leg's plane (s outward, y lateral, z up) by the coxa.
func (c *Chain) out(s, y, z float64) r3.Vec {
	return r3.Vec{X: c.CosC*s - c.SinC*y, Y: c.SinC*s + c.CosC*y, Z: z}
}

// InLink gives the point p of link j's own frame in the hip frame.
func (l *Leg) InLink(c *Chain, j int, p r3.Vec) r3.Vec {
	switch j {
	case Coxa:
		return c.out(p.X, p.Y, p.Z)
	case Femur:
		return c.out(l.Length[Coxa]+c.CosF*p.X-c.SinF*p.Z, l.Lateral+p.Y, l.Vertical+c.SinF*p.X+c.CosF*p.Z)
	default:
		s := l.Length[Coxa] + l.Length[Femur]*c.CosF
		z := l.Vertical + l.Length[Femur]*c.SinF
		return c.out(s+c.CosT*p.X-c.SinT*p.Z, l.Lateral+p.Y, z+c.SinT*p.X+c.CosT*p.Z)
	}
}

// XBH gives the pose of the hip frame in the body.
func (l *Leg) XBH() Pose { return Pose{P: l.PBH, R: RPY(0, 0, l.Heading)} }

// Jacobian gives ∂pHF/∂q by rows (x, y, z by coxa, femur, tibia), m/rad. It
// is singular where the knee is straight or folded (sin t = 0) or the foot
// lies on the coxa axis: det = s·F·T·sin t, up to sign, with s the outward
// distance C + F·cos f + T·cos(f+t).
func (l *Leg) Jacobian(q [Joints]float64) [9]float64 {
	sc, cc := math.Sincos(q[Coxa])
	sf, cf := math.Sincos(q[Femur])
	st, ct := math.Sincos(q[Femur] + q[Tibia])
	f, t := l.Length[Femur], l.Length[Tibia]
	s := l.Length[Coxa] + f*cf + t*ct
	ds, dz := -f*sf-t*st, f*cf+t*ct // by the femur angle
	es, ez := -t*st, t*ct           // by the tibia angle
	return [9]float64{
		-sc*s - cc*l.Lateral, cc * ds, cc * es,
		cc*s - sc*l.Lateral, sc * ds, sc * es,
		0, dz, ez,
	}
}
