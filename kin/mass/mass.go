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
	Body kin.Link // COM in B, m
	Legs [][kin.Joints]kin.Link
	// Total is the mass of everything, kg.
	Total float64

	legs []kin.Leg
	xBH  []kin.Pose
}

// Lump makes the Model of a robot that has passed its Check.
func Lump(r *kin.Robot) *Model {
	m := &Model{Body: kin.Link{Mass: r.Body.Mass, COM: r.Body.COM}, legs: r.Legs}
	for i := range r.Legs {
		l := &r.Legs[i]
		m.xBH = append(m.xBH, l.XBH())
		m.Body = add(m.Body, l.Servos[kin.Coxa].Mass, l.PBH)
		m.Legs = append(m.Legs, [kin.Joints]kin.Link{
			add(l.Links[kin.Coxa], l.Servos[kin.Femur].Mass, r3.Vec{X: l.Length[kin.Coxa], Y: l.Lateral, Z: l.Vertical}),
			add(l.Links[kin.Femur], l.Servos[kin.Tibia].Mass, r3.Vec{X: l.Length[kin.Femur]}),
			l.Links[kin.Tibia],
		})
	}
	m.Total = m.Body.Mass
	for _, leg := range m.Legs {
		for _, k := range leg {
			m.Total += k.Mass
		}
	}
	return m
}

// add puts a point mass (kg) at p (link frame, m) on k.
func add(k kin.Link, mass float64, p r3.Vec) kin.Link {
	sum := k.Mass + mass
	if sum == 0 {
		return k
	}
	return kin.Link{Mass: sum, COM: r3.Add(r3.Scale(k.Mass/sum, k.COM), r3.Scale(mass/sum, p))}
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
