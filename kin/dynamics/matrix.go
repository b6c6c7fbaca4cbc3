// SPDX-License-Identifier: MIT

package dynamics

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

// centre is where a link's centre of mass lies in the coxa's axes, seen from
// the hip, the femur axis and the knee, and how the link is pitched.
type centre struct {
	mass    float64
	hip     r3.Vec
	femur   r3.Vec // zero for the coxa
	knee    r3.Vec // zero for coxa and femur
	pitch   turn
	inertia *kin.Inertia
}

func (l *Leg) centres(q *[kin.Joints]float64) (c [kin.Joints]centre) {
	pf, pt := sincos(q[kin.Femur]), sincos(q[kin.Femur]+q[kin.Tibia])
	k := &l.Links
	c[kin.Coxa] = centre{mass: k[kin.Coxa].Mass, hip: k[kin.Coxa].COM, pitch: turn{0, 1}, inertia: &k[kin.Coxa].Inertia}
	r := pf.pitchOut(k[kin.Femur].COM)
	c[kin.Femur] = centre{mass: k[kin.Femur].Mass, hip: r3.Add(l.root(), r), femur: r, pitch: pf, inertia: &k[kin.Femur].Inertia}
	r = pt.pitchOut(k[kin.Tibia].COM)
	f := r3.Add(pf.pitchOut(l.knee()), r)
	c[kin.Tibia] = centre{mass: k[kin.Tibia].Mass, hip: r3.Add(l.root(), f), femur: f, knee: r, pitch: pt, inertia: &k[kin.Tibia].Inertia}
	return c
}

// MassMatrix gives the joint-space inertia matrix M by rows (coxa, femur,
// tibia), kg·m², for angles q (rad) and a body at rest: symmetric, positive
// definite unless the mass of the leg lies on a joint's axis. It does not
// depend on the coxa angle.
//
// M = Σ m·Jvᵀ·Jv + Jwᵀ·I·Jw with the Jacobians of each centre of mass written
// out for axes z, -y, -y (textbook; Featherstone 2008, ch. 6, from memory).
func (l *Leg) MassMatrix(q [kin.Joints]float64) [9]float64 {
	c := l.centres(&q)
	var cc, cf, ct, ff, ft, tt float64
	for j := range c {
		k := &c[j]
		i, s, o := k.inertia, k.pitch.s, k.pitch.c
		// In a link pitched by (s, o) the coxa axis is (s, 0, o).
		cc += k.mass*(k.hip.X*k.hip.X+k.hip.Y*k.hip.Y) + i.XX*s*s + 2*i.XZ*s*o + i.ZZ*o*o
		if j == kin.Coxa {
			continue
		}
		// A turn about z moves the centre by (-y, x, 0), one about -y through a by (-z, 0, x) of what lies from a.
		yaw := -(i.XY*s + i.YZ*o)
		cf += k.mass*k.hip.Y*k.femur.Z + yaw
		ff += k.mass*(k.femur.X*k.femur.X+k.femur.Z*k.femur.Z) + i.YY
		if j == kin.Femur {
			continue
		}
		ct += k.mass*k.hip.Y*k.knee.Z + yaw
		ft += k.mass*(k.femur.X*k.knee.X+k.femur.Z*k.knee.Z) + i.YY
		tt += k.mass*(k.knee.X*k.knee.X+k.knee.Z*k.knee.Z) + i.YY
	}
	return [9]float64{cc, cf, ct, cf, ff, ft, ct, ft, tt}
}

// GravityTorque gives the torque of each servo that holds the leg's own
// weight at angles q (rad) with the foot free, N·m. gravityH is free fall in
// H's axes, (0, 0, -9.80665) when H is level, m/s².
func (l *Leg) GravityTorque(q [kin.Joints]float64, gravityH r3.Vec) (tau [kin.Joints]float64) {
	g := sincos(q[kin.Coxa]).yawIn(gravityH)
	c := l.centres(&q)
	for j := range c {
		k := &c[j]
		tau[kin.Coxa] -= k.mass * (g.Y*k.hip.X - g.X*k.hip.Y)
		tau[kin.Femur] -= k.mass * (g.Z*k.femur.X - g.X*k.femur.Z)
		tau[kin.Tibia] -= k.mass * (g.Z*k.knee.X - g.X*k.knee.Z)
	}
	return tau
}

// FootMobility gives J·M⁻¹·Jᵀ by rows in H's axes, 1/kg: how fast a unit
// impulse on the foot centre sets it going while the body is held and the
// joints turn freely. It is singular, not undefined, where the leg is
// straight, folded or over the coxa axis. False when M cannot be inverted: the
// leg has no mass off a joint's axis.
func (l *Leg) FootMobility(q [kin.Joints]float64) ([9]float64, bool) {
	m := l.MassMatrix(q)
	low, ok := cholesky(&m)
	if !ok {
		return [9]float64{}, false
	}
	g := kin.Leg{Length: l.Length, Lateral: l.Lateral, Vertical: l.Vertical}
	j := g.Jacobian(q)
	// With M = low·lowᵀ the mobility is y·yᵀ, y = J·low⁻ᵀ.
	var y [9]float64
	for r := range 3 {
		y[3*r] = j[3*r] / low[0]
		y[3*r+1] = (j[3*r+1] - low[3]*y[3*r]) / low[4]
		y[3*r+2] = (j[3*r+2] - low[6]*y[3*r] - low[7]*y[3*r+1]) / low[8]
	}
	var w [9]float64
	for r := range 3 {
		for s := range 3 {
			w[3*r+s] = y[3*r]*y[3*s] + y[3*r+1]*y[3*s+1] + y[3*r+2]*y[3*s+2]
		}
	}
	return w, true
}

// FootInertia gives Λ = (J·M⁻¹·Jᵀ)⁻¹ by rows in H's axes, kg: the inertia the
// foot centre shows to a push while the body is held and the joints turn
// freely (operational-space inertia, Khatib, IEEE Journal of Robotics and
// Automation 3, 1987; from memory). False where it does not exist: the leg is
// straight, folded or over the coxa axis (see Leg.Jacobian of package kin), or
// has no mass.
func (l *Leg) FootInertia(q [kin.Joints]float64) ([9]float64, bool) {
	w, ok := l.FootMobility(q)
	if !ok {
		return w, false
	}
	low, ok := cholesky(&w)
	if !ok {
		return [9]float64{}, false
	}
	// Inverse of the triangle, then lowᵀ⁻¹·low⁻¹.
	a, b, c := 1/low[0], 1/low[4], 1/low[8]
	d := -low[3] * a * b
	f := -low[7] * b * c
	e := -(low[6]*a + low[7]*d) * c
	return [9]float64{
		a*a + d*d + e*e, d*b + e*f, e * c,
		d*b + e*f, b*b + f*f, f * c,
		e * c, f * c, c * c,
	}, true
}

// EffectiveMass gives the mass the foot centre shows along the direction uH
// (H's axes, any length but 0), 1/(uᵀ·J·M⁻¹·Jᵀ·u), kg (Khatib, International
// Journal of Robotics Research 14, 1995; from memory). Joints turn freely, so
// for stiff geared servos it is a lower bound; RigidMass gives the upper one.
// At a singular pose it holds in every direction the foot can move in. False
// where the foot cannot move along uH at all, or uH is zero, or the leg has no
// mass.
func (l *Leg) EffectiveMass(q [kin.Joints]float64, uH r3.Vec) (float64, bool) {
	w, ok := l.FootMobility(q)
	u := r3.Norm(uH)
	if !ok || !(u > 0) || math.IsInf(u, 0) {
		return 0, false
	}
	n := r3.Scale(1/u, uH)
	r := kin.Rot(w)
	s := r3.Dot(n, r.Mul(n))
	if !(s > singular*(w[0]+w[4]+w[8])) {
		return 0, false
	}
	return 1 / s, true
}

// RigidMass gives the mass that the point p of the rigid part k shows along
// the direction u, both in the frame of k: 1/(1/m + (r×n)ᵀ·I⁻¹·(r×n)), r from
// the centre of mass, kg (rigid-body impact, textbook). With a whole robot as
// the part (Model.Rigid) it is what a foot strikes with when no joint gives.
// False for a zero u or a part whose mass or inertia is not positive.
func RigidMass(k *kin.Link, p, u r3.Vec) (float64, bool) {
	rows := k.Inertia.Rows()
	low, ok := cholesky(&rows)
	l := r3.Norm(u)
	if !ok || !(k.Mass > 0) || !(l > 0) || math.IsInf(l, 0) {
		return 0, false
	}
	x := r3.Cross(r3.Sub(p, k.COM), r3.Scale(1/l, u))
	a := x.X / low[0]
	b := (x.Y - low[3]*a) / low[4]
	c := (x.Z - low[6]*a - low[7]*b) / low[8]
	return 1 / (1/k.Mass + a*a + b*b + c*c), true
}

// singular is the share of its size below which a squared pivot counts as
// nothing: rounding leaves some 1e-16.
const singular = 1e-13

// cholesky gives the lower triangle of m = low·lowᵀ; false unless m, by rows
// and symmetric, is positive definite beyond rounding.
func cholesky(m *[9]float64) (low [9]float64, ok bool) {
	// Not so >, rather than <=, refuses NaN as well.
	if !(m[0] > singular*(m[0]+m[4]+m[8])) {
		return low, false
	}
	low[0] = math.Sqrt(m[0])
	low[3], low[6] = m[3]/low[0], m[6]/low[0]
	d := m[4] - low[3]*low[3]
	if !(d > singular*m[4]) {
		return low, false
	}
	low[4] = math.Sqrt(d)
	low[7] = (m[7] - low[6]*low[3]) / low[4]
	d = m[8] - low[6]*low[6] - low[7]*low[7]
	if !(d > singular*m[8]) {
		return low, false
	}
	low[8] = math.Sqrt(d)
	return low, true
}
