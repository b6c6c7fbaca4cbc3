// SPDX-License-Identifier: MIT

package load

import (
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/dynamics"
	"gaitwright/motion"
)

// stance is the planted feet, and what does not change while they stand. The
// zero value is that of no feet.
type stance struct {
	n     int
	leg   [kin.MaxLegs]int
	foot  [kin.MaxLegs]r3.Vec // pWF, m
	edges dynamics.Edges

	mid     r3.Vec              // of the feet, W, m
	arm     [kin.MaxLegs]r3.Vec // of each from there, m
	inertia kin.Inertia         // of unit masses at the feet about mid, m²
}

// stays tells whether the same feet stand on the same places at two samples.
func stays(t *motion.Trajectory, a, b int) bool {
	for i := range t.Legs {
		p := t.Planted[a*t.Legs+i]
		if p != t.Planted[b*t.Legs+i] || p && t.FootAt(a, i) != t.FootAt(b, i) {
			return false
		}
	}
	return true
}

// set takes the feet of sample k, none of a robot on a stand.
func (s *stance) set(t *motion.Trajectory, k int, onStand bool) {
	*s = stance{}
	if onStand {
		return
	}
	for i := range t.Legs {
		if t.Planted[k*t.Legs+i] {
			s.leg[s.n], s.foot[s.n] = i, t.FootAt(k, i)
			s.n++
		}
	}
	s.edges = dynamics.EdgesOf(s.foot[:s.n])
	for _, p := range s.foot[:s.n] {
		s.mid = r3.Add(s.mid, r3.Scale(1/float64(s.n), p))
	}
	in := &s.inertia
	for i, p := range s.foot[:s.n] {
		r := r3.Sub(p, s.mid)
		s.arm[i] = r
		in.XX += r.Y*r.Y + r.Z*r.Z
		in.YY += r.X*r.X + r.Z*r.Z
		in.ZZ += r.X*r.X + r.Y*r.Y
		in.XY -= r.X * r.Y
		in.XZ -= r.X * r.Z
		in.YZ -= r.Y * r.Z
	}
}

// balance changes forces on the feet as little as possible (least squares) so
// that they sum to a force and to a moment about mid exactly. The correction
// is a common force and, as from a stiff part of unit masses at the feet, a
// moment: f += a + b×p with Σp = 0. Not ok for feet in a line.
func (s *stance) balance(force, moment r3.Vec, f *[kin.MaxLegs]r3.Vec) bool {
	for i := range s.n {
		force, moment = r3.Sub(force, f[i]), r3.Sub(moment, r3.Cross(s.arm[i], f[i]))
	}
	b, ok := s.inertia.Solve(moment)
	if !ok {
		return false
	}
	a := r3.Scale(1/float64(s.n), force)
	for i := range s.n {
		f[i] = r3.Add(f[i], r3.Add(a, r3.Cross(b, s.arm[i])))
	}
	return true
}
