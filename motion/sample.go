// SPDX-License-Identifier: MIT

package motion

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/mass"
	"gaitwright/kin/support"
)

// MaxSamples bounds a trajectory: ten minutes at 1 kHz.
const MaxSamples = 600_001

// atSeam is how near before a seam a sample counts as on it, and so to the
// piece that begins: more than rounding, less than any span lasts, s.
const atSeam = 1e-9

// Sampler turns plans into trajectories. It may be used again and again; the
// arrays of a trajectory passed to it are reused. The zero value is not
// ready: see NewSampler.
type Sampler struct {
	// Workers is how many samples may be worked out at a time; 0 and 1: one
	// after another. The trajectory is the same.
	Workers int

	robot *kin.Robot
	mass  *mass.Model
	mount []kin.Mount
	chain []kin.Chain
	loose []int // samples x legs whose speed has to be differenced

	feet [kin.MaxLegs]support.Point // planted at the last sample, W
	down int                        // how many
	hull support.Polygon            // their hull
}

// NewSampler prepares for a robot, which must pass its Check.
func NewSampler(r *kin.Robot) *Sampler {
	s := &Sampler{robot: r, mass: mass.Lump(r), chain: make([]kin.Chain, len(r.Legs))}
	for i := range r.Legs {
		s.mount = append(s.mount, r.Legs[i].Mount())
	}
	return s
}

// Mass gives the weight model that the sampler uses.
func (s *Sampler) Mass() *mass.Model { return s.mass }

// Sample evaluates p at rate (Hz) from its start to its end, both ends
// included where the rate divides the duration. Arrays of reuse, which may be
// nil, are taken over. An error when the rate is not positive or there would
// be more than MaxSamples.
func (s *Sampler) Sample(p *Plan, rate float64, reuse *Trajectory) (*Trajectory, error) {
	n, err := count(p, rate)
	if err != nil {
		return nil, err
	}
	t := reuse
	if t == nil {
		t = &Trajectory{}
	}
	s.shape(p, t, rate, n)
	t.Kept = nil
	s.rows(p, t, n)
	s.finish(p, t, t.Seams[:0], t.Jolts[:0], t.Impacts[:0])
	return t, nil
}

// count gives how many samples there are.
func count(p *Plan, rate float64) (int, error) {
	if !(rate > 0) || math.IsInf(rate, 0) {
		return 0, fmt.Errorf("motion: rate %v Hz is not positive", rate)
	}
	n := math.Floor(p.Duration*rate+1e-6) + 1
	if !(n <= MaxSamples) {
		return 0, fmt.Errorf("motion: %.1f s at %g Hz are more than %d samples: shorten the sequence or lower the rate", p.Duration, rate, MaxSamples)
	}
	return int(n), nil
}

// shape gives t the size of n samples, and what it takes from the plan as it
// is. What its arrays hold stays, as far as it fits.
func (s *Sampler) shape(p *Plan, t *Trajectory, rate float64, n int) {
	legs := len(s.robot.Legs)
	t.Rate, t.N, t.Legs, t.RWG = rate, n, legs, p.RWG
	t.Parts, t.Marks, t.Floors, t.Mirrored, t.Floating, t.Targets = p.Parts, p.Marks, p.Floors, p.Mirrored, p.Floating, p.Targets
	t.Body = sized(t.Body, n*6)
	t.BodyV = sized(t.BodyV, n*6)
	t.BodyA = sized(t.BodyA, n*6)
	t.COM = sized(t.COM, n*3)
	t.Margin = sized(t.Margin, n)
	t.Q = sized(t.Q, n*legs*3)
	t.V = sized(t.V, n*legs*3)
	t.A = sized(t.A, n*legs*3)
	t.Foot = sized(t.Foot, n*legs*3)
	t.Points = sized(t.Points, n*legs*9)
	t.Reach = sized(t.Reach, n*legs)
	t.Planted = sized(t.Planted, n*legs)
}

// finish adds what is not of one sample, to lists that are given.
func (s *Sampler) finish(p *Plan, t *Trajectory, seams []Seam, jolts []Jolt, impacts []Impact) {
	for _, o := range s.loose {
		t.differ(o/t.Legs, o%t.Legs)
	}
	t.Breaks = p.Seams()
	t.Seams, t.Jolts = s.seams(p, t.Breaks, seams, jolts)
	t.Impacts = s.impacts(p, impacts)
}

// cursor is the pieces of a plan in force at a time, which goes on only.
type cursor struct {
	body int
	foot [kin.MaxLegs]int
}

func (c *cursor) to(p *Plan, now float64) {
	for c.body < len(p.Body)-1 && p.Body[c.body].To <= now+atSeam {
		c.body++
	}
	for i, chain := range p.Feet {
		for c.foot[i] < len(chain)-1 && chain[c.foot[i]].To <= now+atSeam {
			c.foot[i]++
		}
	}
}

// sized gives a list n elements, the first of which are those it has.
func sized[T any](a []T, n int) []T {
	if cap(a) < n {
		b := make([]T, n)
		copy(b, a)
		return b
	}
	return a[:n]
}

// row fills sample k of t.
func (s *Sampler) row(p *Plan, t *Trajectory, k int, now float64, at *cursor) {
	legs := len(s.robot.Legs)
	m := p.Body[at.body].moving(now)
	xGB, rpy := m.x, m.rpy
	level := p.RWG == kin.Identity
	xWB, vw := xGB, m
	if !level {
		r := &p.RWG
		xWB = kin.Pose{P: r.Mul(xGB.P), R: r.Dot(xGB.R)}
		rpy.X, rpy.Y, rpy.Z = xWB.R.RPY()
		vw.v, vw.omega, vw.a, vw.alpha = r.Mul(m.v), r.Mul(m.omega), r.Mul(m.a), r.Mul(m.alpha)
	}
	b := t.Body[k*6 : k*6+6]
	put(b, xWB.P)
	put(b[3:], rpy)
	put(t.BodyV[k*6:], vw.v)
	put(t.BodyV[k*6+3:], vw.omega)
	put(t.BodyA[k*6:], vw.a)
	put(t.BodyA[k*6+3:], vw.alpha)

	var feet [kin.MaxLegs]support.Point
	down := 0
	var inG, inB path
	for i := range legs {
		f := &p.Feet[i][at.foot[i]]
		f.move(now, &m, &inG, &inB)
		h := &s.mount[i]
		leg := &s.robot.Legs[i]
		sol := leg.Solve(h.Into(inB.p))
		s.chain[i] = sol.Chain

		pWF := inG.p
		if !level {
			pWF = p.RWG.Mul(pWF)
		}
		o := k*legs + i
		t.Planted[o] = f.Hold == Planted
		if f.Hold == Planted {
			feet[down] = support.Point{X: pWF.X, Y: pWF.Y}
			down++
		}
		t.Reach[o] = sol.Margin
		if sol.Status == kin.Missed {
			t.Reach[o] = min(sol.Margin, -math.SmallestNonzeroFloat64)
		}
		copy(t.Q[o*3:o*3+3], sol.Q[:])
		ok := sol.Status != kin.Missed
		var qd, qdd [kin.Joints]float64
		if ok {
			qd, qdd, ok = leg.Rates(&sol.Chain, h.Turn(inB.v), h.Turn(inB.a))
		}
		if !ok {
			s.loose = append(s.loose, o)
			qdd = [kin.Joints]float64{math.NaN(), math.NaN(), math.NaN()}
		}
		copy(t.V[o*3:o*3+3], qd[:])
		copy(t.A[o*3:o*3+3], qdd[:])
		put(t.Foot[o*3:o*3+3], pWF)
		pt := t.Points[o*9 : o*9+9]
		put(pt, h.Out(sol.Chain.PHK0))
		put(pt[3:], h.Out(sol.Chain.PHK))
		put(pt[6:], h.Out(sol.Chain.PHF))
	}
	c := xWB.At(s.mass.Centre(s.chain))
	put(t.COM[k*3:k*3+3], c)
	if down != s.down || feet != s.feet {
		s.down, s.feet, s.hull = down, feet, support.Hull(feet[:down])
	}
	t.Margin[k] = s.hull.Margin(support.Point{X: c.X, Y: c.Y})
}

func put(a []float64, v r3.Vec) { a[0], a[1], a[2] = v.X, v.Y, v.Z }
