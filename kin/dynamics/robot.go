// SPDX-License-Identifier: MIT

package dynamics

import (
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/mass"
)

// Model is a robot with its weight, every servo lumped as package mass does.
type Model struct {
	Body    kin.Link // in B, with the payload
	Legs    []Leg
	Total   float64 // kg
	Gravity float64 // along -z of W, m/s²

	xBH     []kin.Pose
	heading []float64 // yaw of H in B, rad
}

// New makes the Model of a robot that has passed its Check.
func New(r *kin.Robot) *Model {
	w := mass.Lump(r)
	m := &Model{Gravity: r.Gravity, Body: w.Body, Total: w.Total}
	for i := range r.Legs {
		l := &r.Legs[i]
		m.Legs = append(m.Legs, Leg{Length: l.Length, Lateral: l.Lateral, Vertical: l.Vertical, Links: w.Legs[i]})
		m.xBH = append(m.xBH, l.XBH())
		m.heading = append(m.heading, l.Heading)
	}
	return m
}

// BodyMotion is how the body moves, everything in W's axes.
type BodyMotion struct {
	XWB   kin.Pose
	Vel   r3.Vec // of B's origin, m/s
	Omega r3.Vec // rad/s
	Acc   r3.Vec // of B's origin, m/s²
	Alpha r3.Vec // rad/s²
}

// Rows makes a BodyMotion of x, y, z (m) and roll, pitch, yaw (rad) of B in W,
// their first and their second time derivatives, as kin.Spin reads them.
func Rows(pose, rate, acc [6]float64) BodyMotion {
	vec := func(a [6]float64, k int) r3.Vec { return r3.Vec{X: a[k], Y: a[k+1], Z: a[k+2]} }
	omega, alpha := kin.Spin(vec(pose, 3), vec(rate, 3), vec(acc, 3))
	return BodyMotion{
		XWB: kin.Pose{P: vec(pose, 0), R: kin.RPY(pose[3], pose[4], pose[5])},
		Vel: vec(rate, 0), Omega: omega, Acc: vec(acc, 0), Alpha: alpha,
	}
}

// inBody is the body's pace in B's axes.
func (b *BodyMotion) inBody() pace {
	r := &b.XWB.R
	return pace{v: r.TMul(b.Vel), a: r.TMul(b.Acc), w: r.TMul(b.Omega), al: r.TMul(b.Alpha)}
}

// base is the pace of a hip for the pace of the body, gravity apart.
func (m *Model) base(leg int, b *pace) Base {
	x := &m.xBH[leg]
	at := b.at(x.P)
	return Base{Vel: x.R.TMul(at.v), Omega: x.R.TMul(at.w), Acc: x.R.TMul(at.a), Alpha: x.R.TMul(at.al)}
}

// Base gives how the hip of a leg moves, gravity with it, for Leg's methods.
func (m *Model) Base(leg int, b *BodyMotion) Base {
	p := b.inBody()
	h := m.base(leg, &p)
	h.Gravity = m.xBH[leg].R.TMul(b.XWB.R.TMul(r3.Vec{Z: -m.Gravity}))
	return h
}

// Motion is how the robot as a whole moves, everything in W's axes.
type Motion struct {
	COM, Vel, Acc r3.Vec // centre of mass, m, m/s, m/s²

	P  r3.Vec // linear momentum, kg·m/s
	L  r3.Vec // angular momentum about the centre of mass, kg·m²/s
	DP r3.Vec // rate of P, N
	DL r3.Vec // rate of L, N·m
}

func joints(a []float64, leg int) (q [kin.Joints]float64) {
	copy(q[:], a[leg*kin.Joints:])
	return q
}

// Motion sums the body and the legs for angles q, speeds qd and accelerations
// qdd (legs x 3 each, rad, rad/s, rad/s²; shorter ones panic). Rates come from
// the same recursion as InverseDynamics, without differences in time.
func (m *Model) Motion(b *BodyMotion, q, qd, qdd []float64) Motion {
	w := &b.XWB
	pb := b.inBody()
	first := r3.Scale(m.Body.Mass, m.Body.COM)
	p, r := momentum(&m.Body, &pb), rate(&m.Body, &pb)
	for i := range m.Legs {
		l := &m.Legs[i]
		base := m.base(i, &pb)
		ql, vl, al := joints(q, i), joints(qd, i), joints(qdd, i)
		s := l.sum(&ql, &vl, &al, &base)
		x := &m.xBH[i]
		legMass := l.Links[0].Mass + l.Links[1].Mass + l.Links[2].Mass
		first = r3.Add(first, r3.Add(r3.Scale(legMass, x.P), x.R.Mul(s.first)))
		p = p.plus(dual{x.R.Mul(s.momentum.f), x.R.Mul(s.momentum.n)}.about(x.P))
		r = r.plus(dual{x.R.Mul(s.rate.f), x.R.Mul(s.rate.n)}.about(x.P))
	}
	c := r3.Scale(1/m.Total, first)
	back := r3.Scale(-1, c)
	p, r = p.about(back), r.about(back)
	out := Motion{COM: w.At(c), P: w.R.Mul(p.f), L: w.R.Mul(p.n), DP: w.R.Mul(r.f), DL: w.R.Mul(r.n)}
	out.Vel, out.Acc = r3.Scale(1/m.Total, out.P), r3.Scale(1/m.Total, out.DP)
	return out
}

// Demand gives what the outside must exert on the robot for it to move so:
// force and moment about the centre of mass, W's axes.
func (m *Model) Demand(o *Motion) Wrench {
	return Wrench{Force: r3.Add(o.DP, r3.Vec{Z: m.Total * m.Gravity}), Moment: o.DL}
}

// Torques writes the torque of every joint (legs x 3, N·m) to tau, for angles
// q, speeds qd, accelerations qdd as in Motion and the force on each foot
// centre in W's axes (one a leg, N).
func (m *Model) Torques(tau []float64, b *BodyMotion, q, qd, qdd []float64, forceW []r3.Vec) {
	for i := range m.Legs {
		base := m.Base(i, b)
		f := m.xBH[i].R.TMul(b.XWB.R.TMul(forceW[i]))
		t, _ := m.Legs[i].InverseDynamics(joints(q, i), joints(qd, i), joints(qdd, i), &base, f)
		copy(tau[i*kin.Joints:(i+1)*kin.Joints], t[:])
	}
}

// Rigid gives the robot as one stiff part in B, standing at angles q (legs x
// 3, rad).
func (m *Model) Rigid(q []float64) kin.Link {
	k := m.Body
	for i := range m.Legs {
		l := &m.Legs[i]
		a := joints(q, i)
		x := m.xBH[i].Dot(kin.Pose{R: kin.RPY(0, 0, a[kin.Coxa])})
		coxa := l.Links[kin.Coxa].In(&x)
		x = x.Dot(kin.Pose{P: l.root(), R: kin.RPY(0, -a[kin.Femur], 0)})
		femur := l.Links[kin.Femur].In(&x)
		x = x.Dot(kin.Pose{P: l.knee(), R: kin.RPY(0, -a[kin.Tibia], 0)})
		k = kin.Combine(k, coxa, femur, l.Links[kin.Tibia].In(&x))
	}
	return k
}
