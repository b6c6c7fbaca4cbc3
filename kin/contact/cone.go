// SPDX-License-Identifier: MIT

package contact

import "math"

// vec is a foot's force in cone coordinates: along the normal, then the two
// tangents divided by the friction coefficient, so that every foot's cone is
// v[0] >= |(v[1], v[2])| whatever the friction is.
type vec [3]float64

func dot(a, b *vec) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

// depth tells how far v lies inside the cone, negative outside.
func depth(v *vec) float64 { return v[0] - math.Sqrt(v[1]*v[1]+v[2]*v[2]) }

// det is the square of the hyperbolic length, positive inside the cone.
func det(v *vec) float64 { return v[0]*v[0] - v[1]*v[1] - v[2]*v[2] }

// jordan is the cone's product a∘b.
func jordan(a, b *vec) vec {
	return vec{dot(a, b), a[0]*b[1] + b[0]*a[1], a[0]*b[2] + b[0]*a[2]}
}

// divide gives x with l∘x = d.
func (s *scaling) divide(d *vec) vec {
	l := &s.l
	x0 := (l[0]*d[0] - l[1]*d[1] - l[2]*d[2]) * s.rhyper
	k := 1 / l[0]
	return vec{x0, k * (d[1] - x0*l[1]), k * (d[2] - x0*l[2])}
}

// haste is the reciprocal of the longest step from l along d that stays inside
// the cone; not positive if none leaves it.
func (s *scaling) haste(d *vec) float64 {
	l := &s.l
	b := l[0]*d[0] - l[1]*d[1] - l[2]*d[2]
	// Never negative, apart from rounding.
	disc := max(0, b*b-det(d)*s.hyper)
	return (math.Sqrt(disc) - b) * s.rhyper
}

// scaling is the Nesterov-Todd scaling W of a slack u and a multiplier z:
// W·z = W⁻¹·u = l.
type scaling struct {
	inv    float64 // 1/eta
	inv2   float64 // 1/eta²
	w      vec     // hyperbolic unit vector; W = eta·(the boost to it)
	turn   float64 // 1/(1+w[0])
	l      vec
	hyper  float64 // det(l)
	rhyper float64 // 1/hyper
}

// set computes the scaling of u and z, both inside the cone; false if
// rounding has put one outside.
func (s *scaling) set(u, z *vec) bool {
	du, dz := det(u), det(z)
	if !(du > 0 && dz > 0 && u[0] > 0 && z[0] > 0) {
		return false
	}
	// w = (u/√du + J·z/√dz) / normalisation, inv = (dz/du)^¼.
	s.hyper = math.Sqrt(du * dz)
	s.rhyper = 1 / s.hyper
	s.inv2 = dz * s.rhyper
	k := 1 / math.Sqrt(2*(dz+s.inv2*dot(u, z)))
	s.w = vec{k * (s.inv2*u[0] + z[0]), k * (s.inv2*u[1] - z[1]), k * (s.inv2*u[2] - z[2])}
	s.turn = 1 / (1 + s.w[0])
	s.inv = math.Sqrt(s.inv2)
	s.l = s.inverse(u)
	return true
}

// inverse gives W⁻¹·x.
func (s *scaling) inverse(x *vec) vec {
	k := s.inv
	p := s.w[1]*x[1] + s.w[2]*x[2]
	q := p*s.turn - x[0]
	return vec{k * (s.w[0]*x[0] - p), k * (x[1] + q*s.w[1]), k * (x[2] + q*s.w[2])}
}
