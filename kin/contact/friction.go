// SPDX-License-Identifier: MIT

package contact

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/support"
)

// grip is a friction coefficient that no dry ground exceeds (common practice).
const grip = 2

// lacking tells what an infeasible problem lacks. Called after scale.
func (s *Solver) lacking(p *Problem) Status {
	if s.level() || (p.Friction < grip && s.feasible(grip)) {
		return NeedsFriction
	}
	return NeedsPull
}

// level tells whether normal forces can push once the tangential demand is
// shared evenly: the same tangential force on every foot, and tangential
// forces for the turning moment in proportion to the feet's distance from
// their centroid. On level feet the sharing does not matter.
func (s *system) level() bool {
	if !(s.push > balance) {
		return false
	}
	n := s.normal
	along := func(v r3.Vec) r3.Vec { return r3.Sub(v, r3.Scale(r3.Dot(n, v), n)) }
	turn, inertia := r3.Dot(n, s.moment), 0.0
	for i := range s.n {
		inertia += r3.Norm2(along(s.arm[i]))
	}
	if inertia > 0 {
		turn /= inertia
	} else if math.Abs(turn) > balance*s.size*s.spread {
		return false
	}
	rest := along(s.moment)
	even := r3.Scale(1/float64(s.n), along(s.force))
	var feet [kin.MaxLegs]support.Point
	for i := range s.n {
		r := s.arm[i]
		f := r3.Add(even, r3.Scale(turn, r3.Cross(n, r)))
		rest = r3.Sub(rest, along(r3.Cross(r, f)))
		feet[i] = support.Point{X: r3.Dot(r, s.t1) / s.spread, Y: r3.Dot(r, s.t2) / s.spread}
	}
	at := r3.Scale(1/(s.push*s.size*s.spread), r3.Cross(n, rest))
	hull := support.Hull(feet[:s.n])
	return hull.Margin(support.Point{X: r3.Dot(at, s.t1), Y: r3.Dot(at, s.t2)}) >= -balance
}

// LeastFriction gives the least friction coefficient (to a millionth of
// itself, never too low by more than the tolerance of the cones) with which
// the demand p could be balanced; p.Friction is not looked at. False if no
// coefficient up to 1000 would do, or Solve would say Undefined.
//
// By halving on phase one of Solve; cost: some 20 to 40 solutions.
func (s *Solver) LeastFriction(p *Problem, feet []Foot) (mu float64, ok bool) {
	if len(feet) > kin.MaxLegs {
		panic("contact: too many feet")
	}
	q := *p
	q.Friction = 0
	if !usable(&q, feet) || !s.scale(&q, feet) {
		return math.NaN(), false
	}
	if s.size == 0 || s.feasible(0) {
		return 0, true
	}
	if !(s.push > balance) {
		return math.Inf(1), false
	}
	// The forces together lie in the cone too.
	lo := r3.Norm(r3.Cross(s.normal, s.force)) / (s.push * s.size)
	if lo > 0 && s.feasible(lo) {
		return lo, true
	}
	hi := max(grip, 2*lo)
	for !s.feasible(hi) {
		if lo = hi; hi >= 1000 {
			return math.Inf(1), false
		}
		hi = min(2*hi, 1000)
	}
	for range 80 {
		mid := (lo + hi) / 2
		if hi-lo <= 1e-6*hi || mid <= lo || mid >= hi {
			break
		}
		if s.feasible(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return hi, true
}
