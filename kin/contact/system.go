// SPDX-License-Identifier: MIT

package contact

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

const rows = 6 // equations of balance

// system is a problem in numbers of size one: forces in units of size,
// lengths in units of spread, in cone coordinates.
type system struct {
	n            int
	size, spread float64 // N, m; size 0: free fall
	normal       r3.Vec
	t1, t2       r3.Vec
	arm          [kin.MaxLegs]r3.Vec // feet from their centroid, m
	force        r3.Vec              // demand, N
	moment       r3.Vec              // about the centroid of the feet, N·m
	push         float64             // normal demand
	mu           float64

	// Balance: Σ a[i]·g[i] = b, rows orthonormal over all feet, or zero where
	// the feet leave nothing to choose.
	a [kin.MaxLegs][rows]vec
	b [rows]float64

	// Loads: |free - joint·g| <= v.
	free  [kin.MaxLegs][kin.Joints]float64
	joint [kin.MaxLegs][kin.Joints]vec
	share float64 // load that v = 1 stands for
}

// scale sets the frame and the units; false if the numbers overflow.
func (s *system) scale(p *Problem, feet []Foot) bool {
	s.n = len(feet)
	var c r3.Vec
	for i := range feet {
		c = r3.Add(c, r3.Scale(1/float64(s.n), feet[i].P))
	}
	s.spread = 0
	for i := range feet {
		s.arm[i] = r3.Sub(feet[i].P, c)
		s.spread = max(s.spread, r3.Norm(s.arm[i]))
	}
	lever := r3.Sub(p.Point, c)
	// Rounding of a far point's moment must stay well below the tolerance;
	// feet in one place have no spread of their own.
	s.spread = max(s.spread, 1e-3*r3.Norm(lever))
	if s.spread == 0 {
		s.spread = 1
	}
	s.force = p.Force
	s.moment = r3.Add(p.Moment, r3.Cross(lever, p.Force))
	s.size = r3.Norm(s.force) + r3.Norm(s.moment)/s.spread
	if !finiteNumber(s.size) || !finiteNumber(s.spread) {
		return false
	}
	if s.size <= weightless {
		s.size = 0
	}
	s.normal = r3.Unit(p.Normal)
	// A tangent from the axis that the normal leans on least.
	n, e := s.normal, r3.Vec{X: 1}
	if math.Abs(n.X) > 0.6 {
		e = r3.Vec{Y: 1}
	}
	s.t1 = r3.Unit(r3.Cross(n, e))
	s.t2 = r3.Cross(n, s.t1)
	s.push = r3.Dot(n, s.force) / s.size
	return true
}

// equations sets up balance for a friction coefficient. It gives false if the
// demand has a part that no forces on these feet can meet.
func (s *system) equations(mu float64) bool {
	mu = min(mu, grippiest)
	s.mu = mu
	axis := [3]r3.Vec{s.normal, s.t1, s.t2}
	weigh := [3]float64{1, mu, mu}
	for i := range s.n {
		r := s.arm[i]
		for k, e := range axis {
			// In the axes of the ground the forces are the unit vectors.
			m := r3.Scale(weigh[k]/s.spread, r3.Cross(r, e))
			a := &s.a[i]
			a[0][k], a[1][k], a[2][k] = 0, 0, 0
			a[k][k] = weigh[k]
			a[3][k], a[4][k], a[5][k] = r3.Dot(m, s.normal), r3.Dot(m, s.t1), r3.Dot(m, s.t2)
		}
	}
	for k, e := range axis {
		s.b[k] = r3.Dot(s.force, e) / s.size
		s.b[3+k] = r3.Dot(s.moment, e) / (s.size * s.spread)
	}
	return s.orthonormal()
}

// orthonormal makes the rows so by Gram and Schmidt's method, largest first,
// twice over for rounding. Rows that the others span are cleared; false if
// their right-hand sides do not follow.
func (s *system) orthonormal() bool {
	var norm [rows]float64
	var done [rows]bool
	dots := func(p, q int) float64 {
		sum := 0.0
		for i := range s.n {
			sum += dot(&s.a[i][p], &s.a[i][q])
		}
		return sum
	}
	for q := range rows {
		norm[q] = dots(q, q)
	}
	for range rows {
		p := -1
		for q := range rows {
			if !done[q] && (p < 0 || norm[q] > norm[p]) {
				p = q
			}
		}
		done[p] = true
		for q := range rows {
			if done[q] && q != p {
				s.subtract(p, q, dots(p, q)) // once more
			}
		}
		length := math.Sqrt(dots(p, p))
		if length <= balance {
			if math.Abs(s.b[p]) > balance {
				return false
			}
			for i := range s.n {
				s.a[i][p] = vec{}
			}
			s.b[p] = 0
			continue
		}
		k := 1 / length
		for i := range s.n {
			a := &s.a[i][p]
			a[0], a[1], a[2] = k*a[0], k*a[1], k*a[2]
		}
		s.b[p] *= k
		for q := range rows {
			if !done[q] {
				s.subtract(q, p, dots(q, p))
				norm[q] = dots(q, q)
			}
		}
	}
	return true
}

// subtract takes k times row q from row p.
func (s *system) subtract(p, q int, k float64) {
	for i := range s.n {
		a, c := &s.a[i][p], &s.a[i][q]
		a[0] -= k * c[0]
		a[1] -= k * c[1]
		a[2] -= k * c[2]
	}
	s.b[p] -= k * s.b[q]
}

// loads sets up the joints' rows, in units of what evenly shared normal forces
// would load them with.
func (s *system) loads(p *Problem, feet []Foot) {
	var most, even float64
	for i := range feet {
		f := &feet[i]
		for j := range kin.Joints {
			k := 1 / f.Limit[j]
			row := r3.Vec{X: f.JT[3*j], Y: f.JT[3*j+1], Z: f.JT[3*j+2]}
			b := vec{r3.Dot(row, s.normal), s.mu * r3.Dot(row, s.t1), s.mu * r3.Dot(row, s.t2)}
			k *= s.size
			b[0], b[1], b[2] = k*b[0], k*b[1], k*b[2]
			s.joint[i][j] = b
			s.free[i][j] = f.Free[j] / f.Limit[j]
			most = max(most, math.Abs(b[0])+math.Abs(b[1])+math.Abs(b[2]))
			even = max(even, math.Abs(s.free[i][j]-b[0]*s.push/float64(s.n)))
		}
	}
	// Written so that an overflow ends here too.
	if !(most > 1e-12*even && even < math.MaxFloat64 && most < math.MaxFloat64) {
		for i := range s.n {
			s.free[i] = [kin.Joints]float64{}
			s.joint[i] = [kin.Joints]vec{{float64(s.n) / max(s.push, balance)}}
		}
		s.share = 0
		return
	}
	if even <= 1e-3*most/float64(s.n) {
		even = most / float64(s.n)
	}
	s.share = even
	k := 1 / even
	for i := range s.n {
		for j := range kin.Joints {
			s.free[i][j] *= k
			b := &s.joint[i][j]
			b[0], b[1], b[2] = k*b[0], k*b[1], k*b[2]
		}
	}
}
