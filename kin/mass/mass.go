// SPDX-License-Identifier: MIT

// Package mass says where the weight is: bodies and links with the servos
// that ride on them, and the centre of mass of a pose.
package mass

import (
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

// Model is a robot's weight with every servo added to the part it is
// screwed to, as a point at its axis: the coxa servo to the body, the femur
// servo to the coxa link, the tibia servo to the femur link.
type Model struct {
	Body kin.Link // in B, with the payload
	Legs [][kin.Joints]kin.Link
	// Total is the mass of everything, kg.
	Total float64

	legs []kin.Leg
	xBH  []kin.Pose
}

// Lump makes the Model of a robot that has passed its Check. The payload
// counts to the body.
func Lump(r *kin.Robot) *Model {
	m := &Model{legs: r.Legs}
	parts := []kin.Link{{Mass: r.Body.Mass, COM: r.Body.COM, Inertia: r.Body.Inertia}, r.Payload}
	for i := range r.Legs {
		l := &r.Legs[i]
		m.xBH = append(m.xBH, l.XBH())
		parts = append(parts, kin.Link{Mass: l.Servos[kin.Coxa].Mass, COM: l.PBH})
		m.Legs = append(m.Legs, [kin.Joints]kin.Link{
			with(l.Links[kin.Coxa], l.Servos[kin.Femur].Mass, r3.Vec{X: l.Length[kin.Coxa], Y: l.Lateral, Z: l.Vertical}),
			with(l.Links[kin.Femur], l.Servos[kin.Tibia].Mass, r3.Vec{X: l.Length[kin.Femur]}),
			l.Links[kin.Tibia],
		})
	}
	m.Body = kin.Combine(parts...)
	m.Total = m.Body.Mass
	for _, leg := range m.Legs {
		for _, k := range leg {
			m.Total += k.Mass
		}
	}
	return m
}

// with puts a point mass (kg) at p (link frame, m) on k.
func with(k kin.Link, mass float64, p r3.Vec) kin.Link {
	if mass == 0 {
		return k
	}
	return kin.Combine(k, kin.Link{Mass: mass, COM: p})
}

// Centre gives pBC, the centre of mass of everything in B (m), for legs that
// stand as chains tell (one a leg, hip frames). No allocation.
func (m *Model) Centre(chains []kin.Chain) r3.Vec {
	sum := r3.Scale(m.Body.Mass, m.Body.COM)
	for i := range chains {
		var h r3.Vec // first moment of the leg in its hip frame
		mass := 0.0
		for j := range kin.Joints {
			k := &m.Legs[i][j]
			mass += k.Mass
			h = r3.Add(h, r3.Scale(k.Mass, m.legs[i].InLink(&chains[i], j, k.COM)))
		}
		x := &m.xBH[i]
		sum = r3.Add(sum, r3.Add(r3.Scale(mass, x.P), x.R.Mul(h)))
	}
	return r3.Scale(1/m.Total, sum)
}
