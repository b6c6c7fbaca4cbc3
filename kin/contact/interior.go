// SPDX-License-Identifier: MIT

package contact

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

const (
	maxSteps = 40
	maxLate  = 6    // of them to centre in the end
	toWall   = 0.99 // share of the way to the boundary that a step may go
	roomy    = 0.25 // depth in the cones, in shares of an even load, that needs no deepening
)

// interior is the interior point method's state. It minimises v over the
// forces g in balance, with either
//
//	phase one: g[i] + v·e in the cone, e its axis, or
//	phase two: g[i] + slack·e in the cone and |free - joint·g| <= v.
//
// Multipliers: z for the cones, zp and zm for joint torques up to +v and -v, y
// for balance. Both phases start at points that satisfy all equations of the
// primal and of the dual, and keep doing so.
type interior struct {
	steps  int // of the last run
	second bool
	slack  float64

	g, u, z        [kin.MaxLegs]vec
	sound          [kin.MaxLegs]vec // the last g of phase two in balance
	sp, sm, zp, zm [kin.MaxLegs][kin.Joints]float64
	v              float64
	y              [rows]float64
	mean           float64 // mean of slack times multiplier

	foot   [kin.MaxLegs]newton
	kb     [kin.MaxLegs][rows]vec // scratch
	border border
	dv     float64
	dy     [rows]float64
}

// feasible finds forces in balance well inside the cones of friction mu, or
// proves that there are none.
func (s *Solver) feasible(mu float64) bool {
	if !s.equations(mu) {
		return false
	}
	return s.deepen(&s.system)
}

// deepen is phase one. It leaves g, slack and multipliers as phase two starts
// from them.
func (w *interior) deepen(s *system) bool {
	n := float64(s.n)
	w.second, w.slack, w.steps = false, 0, 0
	even := s.push / n
	// The least forces in balance; often they will do.
	least, most := math.Inf(1), 0.0
	for i := range s.n {
		g := &w.g[i]
		*g = vec{}
		for k := range rows {
			a, b := &s.a[i][k], s.b[k]
			g[0] += b * a[0]
			g[1] += b * a[1]
			g[2] += b * a[2]
		}
		d := depth(g)
		least, most = min(least, d), max(most, math.Abs(d))
		w.z[i] = vec{1 / n}
	}
	w.v = -least
	if least > 0 && least >= roomy*even {
		w.place(s)
		return true
	}
	w.v = max(0, -least) + max(0.5*most, even, balance)
	// e/n at every foot is the equal lift's share of balance: a·y = -z exactly.
	for k := range rows {
		w.y[k] = 0
		for i := range s.n {
			w.y[k] -= s.a[i][k][0] / n
		}
	}
	for w.steps = 0; ; w.steps++ {
		if !w.prepare(s) || w.steps == maxSteps {
			break
		}
		below := w.v - w.mean*n // no depth is greater than -below
		if below > balance/2 && w.certified(s) {
			return false
		}
		if w.v < 0 && w.v <= below/2 || w.mean*n < 1e-3*balance {
			break
		}
		w.step(s, 0, n)
	}
	if !(w.v <= balance) {
		return false
	}
	if w.v > -balance {
		w.slack = max(w.v, 0) + balance/2
	}
	return true
}

// certified tells whether the multipliers prove that no depth above -balance/2
// exists, rounding apart: with x[i] = -a[i]·y, all within miss of the cone,
// every g in balance has Σ x·g = -y·b, and Σ g[0] is the demand's.
func (w *interior) certified(s *system) bool {
	bound, miss, total := 0.0, 0.0, 0.0
	for k := range rows {
		bound += w.y[k] * s.b[k]
	}
	for i := range s.n {
		var x vec
		for k := range rows {
			a, y := &s.a[i][k], w.y[k]
			x[0] -= y * a[0]
			x[1] -= y * a[1]
			x[2] -= y * a[2]
		}
		miss = max(miss, -depth(&x))
		total += x[0]
	}
	return bound-miss*(math.Abs(s.push)+float64(s.n)*balance) > balance/2*math.Abs(total)
}

// place computes slacks from forces; false if one is not positive.
func (w *interior) place(s *system) bool {
	shift := w.slack
	if !w.second {
		shift = w.v
	}
	ok := true
	for i := range s.n {
		w.u[i] = w.g[i]
		w.u[i][0] += shift
		ok = ok && depth(&w.u[i]) > 0
		if !w.second {
			continue
		}
		g, sp, sm := &w.g[i], &w.sp[i], &w.sm[i]
		for j := range kin.Joints {
			t := s.free[i][j] - dot(&s.joint[i][j], g)
			sp[j], sm[j] = w.v-t, w.v+t
			ok = ok && sp[j] > 0 && sm[j] > 0
		}
	}
	return ok
}

// prepare computes slacks, scalings and the mean complementarity; false if
// rounding has ended the interior.
func (w *interior) prepare(s *system) bool {
	if !w.place(s) {
		return false
	}
	sum := 0.0
	for i := range s.n {
		if !w.foot[i].nt.set(&w.u[i], &w.z[i]) {
			return false
		}
		sum += dot(&w.u[i], &w.z[i])
		if !w.second {
			continue
		}
		sp, sm, zp, zm := &w.sp[i], &w.sm[i], &w.zp[i], &w.zm[i]
		for j := range kin.Joints {
			sum += sp[j]*zp[j] + sm[j]*zm[j]
		}
	}
	w.mean = sum / w.terms(s)
	return w.mean > 0 && finiteNumber(w.mean)
}

// terms counts the complementarity products.
func (w *interior) terms(s *system) float64 {
	if w.second {
		return float64(s.n * (1 + 2*kin.Joints))
	}
	return float64(s.n)
}

// optimise is phase two, from where phase one has left off.
func (w *interior) optimise(s *system) {
	// All multipliers of the joints alike cancel in every equation; those of
	// the cones may be taken any number of times.
	w.second = true
	v := 0.0
	for i := range s.n {
		for j := range kin.Joints {
			v = max(v, math.Abs(s.free[i][j]-dot(&s.joint[i][j], &w.g[i])))
		}
	}
	w.v = 1.5*v + 1e-3
	sum, terms := 0.0, float64(s.n*2*kin.Joints)
	w.place(s)
	for i := range s.n {
		sum += dot(&w.u[i], &w.z[i])
		for j := range kin.Joints {
			w.zp[i][j], w.zm[i][j] = 1/terms, 1/terms
		}
	}
	k := w.v / terms * float64(s.n) / sum
	for i := range s.n {
		z := &w.z[i]
		z[0], z[1], z[2] = k*z[0], k*z[1], k*z[2]
	}
	w.balanceMultipliers(s)
	best, bestV := w.g, w.v
	late := 0
	for last := w.steps + maxSteps; w.steps < last; w.steps++ {
		if !w.prepare(s) {
			break
		}
		best, bestV = w.g, w.v
		if r := w.residual(s); largest(&r) <= balance/10 {
			w.sound = w.g
		}
		goal := gap * max(w.v, 1e-3) / w.terms(s)
		if w.mean < 1.5*goal {
			if late++; late > maxLate || w.centred(s, goal) {
				break
			}
		}
		w.step(s, goal, w.terms(s))
	}
	w.g, w.v = best, bestV
}

// balanceMultipliers finds y with a·y = -z, which the cones' multipliers allow.
func (w *interior) balanceMultipliers(s *system) {
	for k := range rows {
		w.y[k] = 0
		for i := range s.n {
			w.y[k] -= dot(&s.a[i][k], &w.z[i])
		}
	}
}

// centred tells whether every product of slack and multiplier is near goal.
func (w *interior) centred(s *system, goal float64) bool {
	const near = 0.05
	worst := 0.0
	for i := range s.n {
		l := &w.foot[i].nt.l
		worst = max(worst, math.Abs(dot(l, l)/goal-1), 2*l[0]*math.Hypot(l[1], l[2])/goal)
		for j := range kin.Joints {
			worst = max(worst, math.Abs(w.sp[i][j]*w.zp[i][j]/goal-1), math.Abs(w.sm[i][j]*w.zm[i][j]/goal-1))
		}
	}
	return worst <= near
}

// restore turns the forces back into newtons.
func (s *Solver) restore(p *Problem, force []r3.Vec) {
	s.rebalance(&s.system)
	for i := range force {
		g := &s.g[i]
		f := r3.Scale(g[0], s.normal)
		f = r3.Add(f, r3.Scale(s.mu*g[1], s.t1))
		f = r3.Add(f, r3.Scale(s.mu*g[2], s.t2))
		force[i] = r3.Scale(s.size, f)
	}
}

// residual is what balance lacks.
func (w *interior) residual(s *system) [rows]float64 {
	r := s.b
	for i := range s.n {
		a, g := &s.a[i], &w.g[i]
		for k := range rows {
			r[k] -= dot(&a[k], g)
		}
	}
	return r
}

// rebalance takes what rounding has left of that out of the forces: as the
// last Newton system would, where there is little room least, then by the
// least change. That system may be too ill-conditioned to keep the forces in
// their cones; then the last step that was in balance stands.
func (w *interior) rebalance(s *system) {
	for range 3 {
		r := w.residual(s)
		if largest(&r) < 1e-15 {
			break
		}
		w.border.shift(&r)
		for i := range s.n {
			f, g := &w.foot[i], &w.g[i]
			f.back(&vec{}, &w.border.x, 0)
			g[0] += f.dg[0]
			g[1] += f.dg[1]
			g[2] += f.dg[2]
		}
	}
	w.leastChange(s)
	for i := range s.n {
		if !(depth(&w.g[i]) >= -w.slack-balance/2) {
			w.g = w.sound
			w.leastChange(s)
			return
		}
	}
}

// leastChange puts forces near balance into it.
func (w *interior) leastChange(s *system) {
	r := w.residual(s)
	for i := range s.n {
		a, g := &s.a[i], &w.g[i]
		for k := range rows {
			g[0] += r[k] * a[k][0]
			g[1] += r[k] * a[k][1]
			g[2] += r[k] * a[k][2]
		}
	}
}

func largest(r *[rows]float64) float64 {
	m := 0.0
	for _, x := range r {
		m = max(m, math.Abs(x))
	}
	return m
}
