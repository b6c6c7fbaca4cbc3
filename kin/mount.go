// SPDX-License-Identifier: MIT

package kin

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Mount is a leg's hip frame made quick: XBH of a leg that is mounted level,
// with the sine and cosine of its heading kept. Make one with Leg.Mount.
type Mount struct {
	PBH      r3.Vec // m
	sin, cos float64
}

// Mount gives the leg's hip frame.
func (l *Leg) Mount() Mount {
	s, c := math.Sincos(l.Heading)
	return Mount{l.PBH, s, c}
}

// Into gives pHX of a point known as pBX.
func (m *Mount) Into(p r3.Vec) r3.Vec { return m.Turn(r3.Sub(p, m.PBH)) }

// Turn takes a direction of B into the hip's axes.
func (m *Mount) Turn(v r3.Vec) r3.Vec {
	return r3.Vec{X: m.cos*v.X + m.sin*v.Y, Y: -m.sin*v.X + m.cos*v.Y, Z: v.Z}
}

// Out is the inverse of Into.
func (m *Mount) Out(p r3.Vec) r3.Vec {
	return r3.Vec{X: m.PBH.X + m.cos*p.X - m.sin*p.Y, Y: m.PBH.Y + m.sin*p.X + m.cos*p.Y, Z: m.PBH.Z + p.Z}
}
