// SPDX-License-Identifier: MIT

package kin

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Status tells how a leg answered a target.
type Status int

// The three answers (ok, degraded, failed).
const (
	Reached  Status = iota // the foot is on the target
	Singular               // on the target, but straight, folded or on the coxa axis: a joint is not determined or not steerable there
	Missed                 // the target cannot be touched; the closest foot point is given
)

// Solution is the answer of Solve.
type Solution struct {
	Q      [Joints]float64 // joint angles, rad, each in [-π, π]
	Status Status
	Miss   float64 // distance from the closest foot point to the target, m, 0 if reached
	Margin float64 // signed reach: distance from the target to the edge of what the leg touches, positive inside (with a lateral offset a lower bound of it), -Miss outside, m
	Chain  Chain   // where the links are
}

// onEdge is how far a target may lie outside the reach by rounding alone, m.
const onEdge = 1e-12

// nowhere is a length below which squares lose their digits, m.
const nowhere = 1e-100

// Solve gives the angles that put the foot centre on pHF (hip frame, m), with
// the knee on the leg's own side and the coxa turned towards the foot (a
// hobby servo cannot turn it the other way round; All lists those too).
// Joint limits are not looked at: a target past a limit is still reachable on
// paper.
//
// Out of reach it gives the closest foot point with the coxa so turned, and
// the distance missed. On the coxa axis the coxa is 0. A target that is not
// finite, or so far that its square is not, is Missed with an infinite Miss
// and all angles 0. Never NaN. No allocation; three arc tangents. Out of reach
// it costs some four times as much, and a few microseconds with a lateral
// offset.
//
// Method: the plane two-link arm by the law of cosines (Lynch and Park,
// Modern Robotics, 2017, ch. 6), behind a yaw. The cosine's distances from 1
// and -1 are taken as products, so that no digits are lost at the edges.
func (l *Leg) Solve(pHF r3.Vec) Solution { return l.solve(pHF, l.Knee) }

func (l *Leg) solve(pHF r3.Vec, knee Knee) (sol Solution) {
	x, y := pHF.X, pHF.Y
	d, cox := l.Lateral, l.Length[Coxa]
	f, t := l.Length[Femur], l.Length[Tibia]
	rho2 := x*x + y*y
	u2 := rho2 - d*d // outward distance in the leg's plane, squared
	v := pHF.Z - l.Vertical
	if !(rho2+v*v < math.MaxFloat64) { // NaN or too far to square
		sol = Solution{Status: Missed, Miss: math.Inf(1), Margin: math.Inf(-1)}
		sol.Chain = l.Chain(sol.Q)
		return sol
	}
	u := 0.0
	if u2 > 0 {
		u = math.Sqrt(u2)
	}
	w := u - cox
	r2 := w*w + v*v
	r := math.Sqrt(r2)
	hi, lo := f+t, math.Abs(f-t)
	edge := hi - r
	if lo > 0 {
		edge = min(edge, r-lo)
	}
	if edge < -onEdge || u2 < -2*onEdge*math.Abs(d) {
		return l.closest(pHF, knee)
	}
	sol.Margin = l.inside(edge, r, w, v, u, rho2)

	// Law of cosines: 1-c and 1+c, over 1/2ft.
	less, more := max(0, (hi-r)*(hi+r)), max(0, (r-lo)*(r+lo))
	i := 1 / (2 * f * t)
	c, s := (more-less)*i/2, math.Sqrt(less*more)*i
	if knee == KneeUp && less > 0 { // straight is 0, not -0; folded is -π
		s = -s
	}
	sol.Q[Tibia] = math.Atan2(s, c)
	a, b := f-t+more/(2*f), t*s
	sf, cf := v*a-w*b, w*a+v*b
	sol.Q[Femur] = math.Atan2(sf, cf)
	if s == 0 || edge <= onEdge || u <= onEdge {
		sol.Status = Singular
	}

	// The links' sines without calling for them: (cf, sf) is the femur's
	// direction, (c, s) the tibia's from there.
	ch := &sol.Chain
	if n2 := cf*cf + sf*sf; n2 > nowhere*nowhere {
		n := 1 / math.Sqrt(n2)
		ch.CosF, ch.SinF = cf*n, sf*n
	} else {
		ch.SinF, ch.CosF = math.Sincos(sol.Q[Femur])
	}
	if n2 := c*c + s*s; n2 != 1 {
		n := 1 / math.Sqrt(n2)
		c, s = c*n, s*n
	}
	ch.CosT, ch.SinT = ch.CosF*c-ch.SinF*s, ch.SinF*c+ch.CosF*s
	// The coxa's direction is the foot's less that of (u, d) in the plane.
	cc, sc := x, y
	if d != 0 {
		cc, sc = x*u+y*d, y*u-x*d
	}
	if n2 := cc*cc + sc*sc; n2 > nowhere*nowhere {
		sol.Q[Coxa] = math.Atan2(sc, cc)
		n := 1 / math.Sqrt(n2)
		ch.CosC, ch.SinC = cc*n, sc*n
	} else {
		ch.CosC = 1
	}
	l.place(ch)
	return sol
}

// inside gives the Margin of a reachable target from its distance edge to the
// two circles in the leg's plane.
//
// Without a lateral offset that is the answer, but for a target so near the
// coxa axis that the nearest point of the outer circle would lie behind the
// axis: then it is the distance to where the circle meets the axis. With an
// offset d the plane's distances outward shrink by the sweep of the coxa:
// a step from u to u-m changes the radius from √(u²+d²) only to √((u-m)²+d²).
// That change, the shortest of all directions, is the bound returned; it is 0
// on each edge, the cylinder of radius |d| among them.
func (l *Leg) inside(edge, r, w, v, u, rho2 float64) float64 {
	m := max(0, edge)
	if d := l.Lateral; d != 0 {
		if m = min(m, u); m == 0 {
			return 0
		}
		return m * (2*u - m) / (math.Sqrt(rho2) + math.Sqrt((u-m)*(u-m)+d*d))
	}
	hi, cox := l.Length[Femur]+l.Length[Tibia], l.Length[Coxa]
	if w < 0 && cox*r < -hi*w {
		m = math.Hypot(u, math.Abs(v)-math.Sqrt((hi-cox)*(hi+cox)))
		if lo := math.Abs(l.Length[Femur] - l.Length[Tibia]); lo > 0 {
			m = min(m, max(0, r-lo))
		}
	}
	return m
}

// wrap brings a difference of two arc tangents into [-π, π].
func wrap(a float64) float64 {
	if a > math.Pi {
		return a - 2*math.Pi
	}
	if a < -math.Pi {
		return a + 2*math.Pi
	}
	return a
}

// closest answers a target that cannot be touched. Seen in radius ρ from the
// coxa axis and height, the leg touches the points (√(s²+d²), z) whose (s, z)
// lies between two circles about the femur axis, s ≥ 0. The closest of them
// is on the outer circle (too far), the inner one (too near), or at s = 0
// (the target lies within the lateral offset of the axis).
func (l *Leg) closest(pHF r3.Vec, knee Knee) (sol Solution) {
	rho := math.Hypot(pHF.X, pHF.Y)
	d, cox := l.Lateral, l.Length[Coxa]
	zt := pHF.Z - l.Vertical
	f, t := l.Length[Femur], l.Length[Tibia]
	hi, lo := f+t, math.Abs(f-t)
	w, v, r := 0.0, 0.0, hi
	best := math.Inf(1)
	try := func(radius float64) {
		if th, m := l.onCircle(radius, rho, zt); m < best {
			sn, cs := math.Sincos(th)
			best, w, v, r = m, radius*cs, radius*sn, radius
		}
	}
	if rho >= math.Abs(d) {
		u := math.Sqrt((rho - d) * (rho + d))
		if math.Hypot(u-cox, zt) > (hi+lo)/2 {
			try(hi)
		} else {
			try(lo)
		}
	} else {
		try(hi)
		try(lo)
		if hi > cox {
			z := math.Abs(zt)
			z = min(z, math.Sqrt((hi-cox)*(hi+cox)))
			if lo > cox {
				z = max(z, math.Sqrt((lo-cox)*(lo+cox)))
			}
			dr, dz := math.Abs(d)-rho, z-math.Abs(zt)
			if dr*dr+dz*dz < best {
				w, v, r = -cox, math.Copysign(z, zt), math.Hypot(cox, z)
			}
		}
	}
	less, more := max(0, (hi-r)*(hi+r)), max(0, (r-lo)*(r+lo))
	i := 1 / (2 * f * t)
	s := math.Sqrt(less*more) * i
	if knee == KneeUp && less > 0 {
		s = -s
	}
	sol.Q[Tibia] = math.Atan2(s, (more-less)*i/2)
	a, b := f-t+more/(2*f), t*s
	sol.Q[Femur] = math.Atan2(v*a-w*b, w*a+v*b)
	if rho > 0 {
		sol.Q[Coxa] = wrap(math.Atan2(pHF.Y, pHF.X) - math.Atan2(d, max(0, cox+w)))
	}
	sol.Chain = l.Chain(sol.Q)
	sol.Miss = r3.Norm(r3.Sub(sol.Chain.PHF, pHF))
	sol.Margin = -sol.Miss
	sol.Status = Missed
	return sol
}

// onCircle gives the angle of the point with s ≥ 0 on a circle about the
// femur axis that comes closest to radius rho and height zt, and the square
// of its distance. Without a lateral offset that is the direction of the
// target; with one, a coarse look round the circle and a bisection.
func (l *Leg) onCircle(radius, rho, zt float64) (th, miss2 float64) {
	d, cox := l.Lateral, l.Length[Coxa]
	end := math.Pi
	if radius > cox {
		end = math.Acos(-cox / radius)
	}
	// at gives the squared distance and half its slope.
	at := func(th float64) (m, slope float64) {
		sn, cs := math.Sincos(th)
		s := max(0, cox+radius*cs)
		rad := math.Hypot(s, d)
		dr, dz := rad-rho, radius*sn-zt
		if rad > 0 {
			slope = dz*radius*cs - dr*radius*sn*s/rad
		}
		return dr*dr + dz*dz, slope
	}
	if d == 0 {
		th = max(-end, min(end, math.Atan2(zt, rho-cox)))
		miss2, _ = at(th)
		return th, miss2
	}
	const looks = 32
	step := 2 * end / looks
	miss2 = math.Inf(1)
	for i := range looks + 1 {
		a := -end + float64(i)*step
		if m, _ := at(a); m < miss2 {
			th, miss2 = a, m
		}
	}
	a, b := th-step, th+step
	if end < math.Pi {
		a, b = max(a, -end), min(b, end)
	}
	for range 52 {
		th = (a + b) / 2
		if _, slope := at(th); slope > 0 {
			b = th
		} else {
			a = th
		}
	}
	th = (a + b) / 2
	miss2, _ = at(th)
	return th, miss2
}

// All lists every set of angles that puts the foot on pHF: coxa towards the
// foot with knee up and down, then coxa turned away with knee up and down.
// None when out of reach, up to four otherwise; solutions that coincide at an
// edge (to 1e-12 m) are listed once. For checks and for people; it allocates.
func (l *Leg) All(pHF r3.Vec) [][Joints]float64 {
	var all [][Joints]float64
	rho := math.Hypot(pHF.X, pHF.Y)
	d := l.Lateral
	if !(rho >= math.Abs(d)-onEdge) || math.IsInf(rho, 0) {
		return nil
	}
	f, t := l.Length[Femur], l.Length[Tibia]
	hi, lo := f+t, math.Abs(f-t)
	v := pHF.Z - l.Vertical
	u := math.Sqrt(max(0, (rho-d)*(rho+d)))
	for k, u := range [2]float64{u, -u} {
		if k == 1 && u == 0 {
			break
		}
		w := u - l.Length[Coxa]
		r := math.Hypot(w, v)
		if !(r <= hi+onEdge && r >= lo-onEdge) {
			continue
		}
		less, more := max(0, (hi-r)*(hi+r)), max(0, (r-lo)*(r+lo))
		once := hi-r <= onEdge || r-lo <= onEdge
		if hi-r <= onEdge {
			less = 0
		} else if once {
			more = 0
		}
		for _, sign := range [2]float64{-1, 1} {
			s := sign * math.Sqrt(less*more) / (2 * f * t)
			a, b := f-t+more/(2*f), t*s
			all = append(all, [Joints]float64{
				wrap(math.Atan2(pHF.Y, pHF.X) - math.Atan2(d, u)),
				math.Atan2(v*a-w*b, w*a+v*b),
				math.Atan2(s, (more-less)/(4*f*t)),
			})
			if once {
				break
			}
		}
	}
	return all
}
