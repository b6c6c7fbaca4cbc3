// SPDX-License-Identifier: MIT

package dynamics

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/support"
)

// Plane is a plane of the world.
type Plane struct {
	P r3.Vec // a point of it, m
	N r3.Vec // unit normal, pointing out of the ground
}

// Footing tells whether a zero-moment point exists.
type Footing int

const (
	Loaded    Footing = iota // the ground must push
	Unloaded                 // it must not push at all, or pull: there is no such point
	Undefined                // a number of the demand is not finite
)

// lightest is the share of the whole force below which a push into the ground
// counts as none: the point would lie too far out to mean anything.
const lightest = 1e-9

// ZeroMoment gives the zero-moment point in W (m): where on the ground a
// single force, with a moment along the ground's normal only, meets the
// demand (about the centre of mass com, W's axes, as Model.Demand gives it;
// inertia terms of every link are in its moment). The zero vector unless
// Loaded.
//
// With the moment m about a point o of the plane and the normal n:
// p = o + n×m / (n·f) (Vukobratović and Borovac, International Journal of
// Humanoid Robotics 1, 2004; from memory).
func ZeroMoment(demand Wrench, com r3.Vec, ground Plane) (r3.Vec, Footing) {
	f, n := demand.Force, ground.N
	m := r3.Add(demand.Moment, r3.Cross(r3.Sub(com, ground.P), f))
	push := r3.Dot(n, f)
	if s := push + m.X + m.Y + m.Z; math.IsNaN(s) || math.IsInf(s, 0) {
		return r3.Vec{}, Undefined
	}
	if !(push > lightest*r3.Norm(f)) {
		return r3.Vec{}, Unloaded
	}
	return r3.Add(ground.P, r3.Scale(1/push, r3.Cross(n, m))), Loaded
}

// EnergyMargin gives the normalised energy stability margin, m: the least
// height by which the centre of mass com must rise before the robot rolls over
// an edge between planted feet (both in W, gravity along -z). Times the weight
// it is the energy stability margin in J. Edges are those of the feet's convex
// hull seen from above, feet at any height; at most kin.MaxLegs feet, more
// panic.
//
// Beyond an edge the sign turns: minus the height already lost. Two feet, or
// feet in a line, count as an edge from both sides, one foot as a pivot: 0 with
// com right above, negative elsewhere. With no feet -Inf. Feet one above the
// other count as the higher of them.
//
// h = |R|·(1 - cos θ)·cos ψ for each edge, R the perpendicular from the edge to
// com, θ its angle from the vertical plane through the edge, ψ the edge's slope
// (Messuri and Klein, IEEE Journal of Robotics and Automation 1, 1985; Hirose,
// Tsukagoshi and Yoneda, CLAWAR 1998; from memory). The signs are ours.
func EnergyMargin(com r3.Vec, feet []r3.Vec) float64 {
	e := EdgesOf(feet)
	return e.Margin(com)
}

// Edges are the edges of EnergyMargin, for many places of the centre of mass
// over the same feet. The zero value is that of no feet.
type Edges struct {
	Hull support.Polygon // of the feet, seen from above, W

	corner [kin.MaxLegs]r3.Vec // of the hull, W
	along  [kin.MaxLegs]r3.Vec // unit, from each corner to the next
	slope  [kin.MaxLegs]float64
}

// EdgesOf gives the edges between planted feet (W, m; at most kin.MaxLegs,
// more panic).
func EdgesOf(feet []r3.Vec) (e Edges) {
	var flat [kin.MaxLegs]support.Point
	if len(feet) > len(flat) {
		panic("dynamics: too many feet")
	}
	for i, p := range feet {
		flat[i] = support.Point{X: p.X, Y: p.Y}
	}
	e.Hull = support.Hull(flat[:len(feet)])
	n := e.Hull.N
	for i := range n {
		v := e.Hull.V[i]
		e.corner[i] = r3.Vec{X: v.X, Y: v.Y, Z: math.Inf(-1)}
		for _, p := range feet {
			if p.X == v.X && p.Y == v.Y {
				e.corner[i].Z = max(e.corner[i].Z, p.Z)
			}
		}
	}
	if n < 2 {
		return e
	}
	for i := range n {
		a := r3.Unit(r3.Sub(e.corner[(i+1)%n], e.corner[i])) // corners differ in x or y
		e.along[i], e.slope[i] = a, math.Hypot(a.X, a.Y)
	}
	return e
}

// Margin is EnergyMargin for the centre of mass com (W, m).
func (e *Edges) Margin(com r3.Vec) float64 {
	switch e.Hull.N {
	case 0:
		return math.Inf(-1)
	case 1:
		w := r3.Sub(com, e.corner[0])
		return -rise(w.X*w.X+w.Y*w.Y, w.Z)
	}
	least := math.Inf(1)
	for i := range e.Hull.N {
		a, slope := e.along[i], e.slope[i]
		w := r3.Sub(com, e.corner[i])
		in := (a.X*w.Y - a.Y*w.X) / slope // horizontal distance, positive inside
		up := (w.Z - a.Z*r3.Dot(w, a)) / slope
		h := rise(in*in, up) * slope
		if in < 0 {
			h = -h
		}
		least = min(least, h)
	}
	return least
}

// rise gives √(side2 + up²) - up without losing digits where side is small.
func rise(side2, up float64) float64 {
	r := math.Sqrt(side2 + up*up)
	if up <= 0 {
		return r - up
	}
	return side2 / (r + up)
}
