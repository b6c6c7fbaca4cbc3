// SPDX-License-Identifier: MIT

// Package contact says how the ground pushes on the feet of a walking robot:
// forces on the planted feet that balance the whole-body motion, push and
// never pull, stay inside the friction cones, and least load the joint that is
// worst off relative to what its servo may bear.
//
// Feet are points: forces only, no moments. All vectors are in the axes of the
// world W; pWF is the point of a foot F where its force acts.
package contact

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

// Foot is one planted foot. With the force f on it (W axes, N) the leg's
// joints exert Free - JT·f.
type Foot struct {
	P     r3.Vec              // pWF, where the force acts, m
	Free  [kin.Joints]float64 // joint torques with no force on the foot, N·m
	JT    [9]float64          // transposed foot Jacobian, rows: joints, columns: x, y, z of W, m
	Limit [kin.Joints]float64 // torque a joint's load is measured against, above 0, +Inf: not counted, N·m
}

// Problem is what the ground must do. All feet stand on one plane or on
// parallel ones.
type Problem struct {
	Force    r3.Vec  // what the ground must exert in all, W, N
	Moment   r3.Vec  // and about Point, W, N·m
	Point    r3.Vec  // W, m
	Normal   r3.Vec  // unit, out of the ground, W
	Friction float64 // coefficient, >= 0
}

// Status tells what became of a problem.
type Status int

const (
	Balanced      Status = iota // forces found, no joint past its limit
	Overloaded                  // balance exists, but every distribution loads some joint past its limit
	NeedsPull                   // no pushes balance it: a foot would have to pull
	NeedsFriction               // pushes would do, but not inside the friction cones
	Undefined                   // no feet, or a number that cannot be computed with
)

// String names the status in plain words.
func (s Status) String() string {
	switch s {
	case Balanced:
		return "balanced"
	case Overloaded:
		return "overloaded"
	case NeedsPull:
		return "needs pull"
	case NeedsFriction:
		return "needs friction"
	}
	return "undefined"
}

// The tolerances, all relative: forces to the size of the demand, lengths to
// the spread of the feet.
const (
	// balance is how far off an equation may be that no force on the feet can
	// change (the moment about the line through two feet, say), and how far
	// outside its cone a force may lie; what is nearer counts as met.
	balance = 1e-9
	// gap is the share of the load that the optimum may lie below it.
	gap = 5e-7
	// weightless is the demand that counts as none, N.
	weightless = 1e-9
	// grippiest is the friction coefficient above which more changes nothing.
	grippiest = 1e4
)

// Solver solves problems one after another; its memory is only scratch. The
// zero value is ready. Not for use by two goroutines at a time.
type Solver struct {
	system
	interior
}

// Solve distributes the demand p over the feet (at most kin.MaxLegs, and as
// many forces; anything else panics). It gives the forces on the feet, W, N,
// and the load: the largest |torque|/Limit of a joint of these feet. When
// nothing balances, the forces are zero and the load is +Inf; when Undefined,
// zero and NaN.
//
// The problem, a second-order-cone program with a foot's force f_i, its normal
// part n_i and tangential part t_i:
//
//	minimise s  subject to  |Free - JT·f|_j <= s·Limit_j,  |t_i| <= Friction·n_i,
//	Σ f_i = Force,  Σ (pWF_i - Point)×f_i = Moment
//
// Feet that could share in several ways without changing the worst joint get
// the forces of the central path (a barrier of fixed relative size): they vary
// smoothly with the problem, mirror with it and do not depend on the order of
// the feet, to about 1e-4 of the demand (1e-2 where limits differ more than a
// thousandfold). If no joint counts (every Limit +Inf, or JT zero) the largest
// normal force is minimised instead. A demand below 1e-9 N (and that much times the spread of the feet) is free
// fall: forces zero. Friction above 1e4 counts as 1e4.
//
// Exactness: balance to rounding, or to 1e-9 of the demand where feet in one
// place or in a line cannot do better; cones to 1e-9 of the demand; the load
// at most 1e-6 of itself above the optimum (at most 1e-9 of the load that
// evenly shared weight would bring, if the optimum is that small). Overloaded
// when it is above 1 by more than that. A zero-moment point on the very edge
// of the feet is balanced.
//
// Infeasibility is proven: a first phase finds the greatest depth to which
// forces in balance fit into the cones, from below (forces) and from above
// (its dual, a motion of the ground that every push would drive and the demand
// does not); NeedsPull and NeedsFriction are given only when that is negative
// by more than 1e-9 (should rounding stop the phase before it can tell, when
// the forces found are outside by that). NeedsFriction then means that a coefficient of 2 would do
// (more than dry ground gives, common practice), or that normal forces can
// push once the tangential demand is shared evenly: on level feet that is the
// zero-moment point in their hull, on uneven feet it leaves out feet that
// wedge themselves against one another with enormous forces. All else is
// NeedsPull, so too the moment that a single foot or a line of feet cannot
// give at all.
//
// Method: the forces of least norm in balance if they lie well inside the
// cones, else phase one; then phase two for the load. Both are a feasible
// primal-dual interior point method with Nesterov-Todd scaling and Mehrotra's
// predictor and corrector; the Newton systems are 3 by 3 per foot with a border of 7,
// factored from its square root where normal equations would lose half the
// digits. Cost: linear in the feet, some 7 to 15 steps, never more than 80. No
// allocation.
//
// Sources, all from memory: Klein and Kittivatcharapong, IEEE Transactions on
// Robotics and Automation 6(1), 1990 (distribution with friction cones);
// Nesterov and Todd, SIAM Journal on Optimization 8(2), 1998; Mehrotra, SIAM
// Journal on Optimization 2(4), 1992; Boyd and Vandenberghe, Convex
// Optimization, 2004, chapter 11 (phase one, barriers).
func (s *Solver) Solve(p *Problem, feet []Foot, force []r3.Vec) (load float64, st Status) {
	if len(feet) > kin.MaxLegs {
		panic("contact: too many feet")
	}
	if len(force) != len(feet) {
		panic("contact: as many forces as feet")
	}
	clear(force)
	if !usable(p, feet) || !s.scale(p, feet) {
		return math.NaN(), Undefined
	}
	if s.size == 0 {
		return judge(worst(feet, force))
	}
	if !s.feasible(p.Friction) {
		return math.Inf(1), s.lacking(p)
	}
	s.loads(p, feet)
	s.optimise(&s.system)
	s.restore(p, force)
	load = worst(feet, force)
	if math.IsNaN(load) {
		clear(force)
		return load, Undefined
	}
	return judge(load)
}

// judge gives the status of forces in balance.
func judge(load float64) (float64, Status) {
	if math.IsNaN(load) {
		return load, Undefined
	}
	if load*(1-2*gap) > 1 {
		return load, Overloaded
	}
	return load, Balanced
}

// worst is the largest load of a joint.
func worst(feet []Foot, force []r3.Vec) float64 {
	load := 0.0
	for i := range feet {
		f, at := &feet[i], force[i]
		for j := range kin.Joints {
			t := f.Free[j] - f.JT[3*j]*at.X - f.JT[3*j+1]*at.Y - f.JT[3*j+2]*at.Z
			if l := math.Abs(t) / f.Limit[j]; !(l <= load) {
				load = l
			}
		}
	}
	return load
}

// usable tells whether every number can be computed with.
func usable(p *Problem, feet []Foot) bool {
	if len(feet) == 0 || !(p.Friction >= 0) || math.Abs(r3.Norm2(p.Normal)-1) > 1e-6 {
		return false
	}
	ok := finite(p.Force) && finite(p.Moment) && finite(p.Point) && finite(p.Normal) && finiteNumber(p.Friction)
	for i := range feet {
		f := &feet[i]
		ok = ok && finite(f.P)
		sum := 0.0 // NaN as soon as a term is infinite or no number
		for _, v := range f.JT {
			sum += 0 * v
		}
		for j := range kin.Joints {
			sum += 0 * f.Free[j]
			ok = ok && f.Limit[j] > 0
		}
		ok = ok && sum == 0
	}
	return ok
}

func finite(v r3.Vec) bool { return 0*v.X+0*v.Y+0*v.Z == 0 }

func finiteNumber(v float64) bool { return 0*v == 0 }
