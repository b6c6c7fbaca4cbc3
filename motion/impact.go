// SPDX-License-Identifier: MIT

package motion

import (
	"sort"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

// impacts finds, from the plan itself, when a foot meets the ground at the end
// of a swing and when the underside of a striking foot comes down through the
// height of its target, with the foot's exact velocity just before. In order
// of time.
func (s *Sampler) impacts(p *Plan, out []Impact) []Impact {
	for i := range s.robot.Legs {
		c := p.Feet[i]
		for n := 1; n < len(c); n++ {
			if c[n].Hold == Planted && c[n-1].Hold != Planted && c[n-1].To < p.Duration+1e-9 {
				out = append(out, s.impact(p, i, c[n-1].To, &c[n-1]))
			}
		}
	}
	for n := range p.Targets {
		g := &p.Targets[n]
		for k := range p.Feet[g.Leg] {
			f := &p.Feet[g.Leg][k]
			if f.Hold == Planted || f.To <= g.From+1e-9 || f.From >= g.To-1e-9 {
				continue
			}
			for _, at := range s.falls(p, g, f) {
				m := s.impact(p, g.Leg, at, f)
				m.Strike, m.Height = true, g.Height
				out = append(out, m)
			}
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].At < out[j].At })
	return out
}

// impact tells how the foot of a leg moves at a time at which the piece f
// still holds.
func (s *Sampler) impact(p *Plan, leg int, at float64, f *FootPiece) Impact {
	m := p.BodyAt(at - 1e-9).moving(at)
	inG, inB := f.moving(at, &m)
	sol := s.robot.Legs[leg].Solve(s.mount[leg].Into(inB.p))
	return Impact{
		At: at, Leg: leg,
		XWB: kin.Pose{P: p.RWG.Mul(m.x.P), R: p.RWG.Dot(m.x.R)},
		Q:   sol.Q, Vel: p.RWG.Mul(inG.v),
	}
}

// falls gives the times at which the underside of a foot comes down through
// the height of a target during the piece f. A foot that touches the height
// and goes no lower counts where it is lowest.
func (s *Sampler) falls(p *Plan, g *Stretch, f *FootPiece) (at []float64) {
	const pieces = 200 // finer than the humps of a cubic path under an eased timing
	radius := s.robot.Legs[g.Leg].FootRadius
	from, to := max(f.From, g.From), min(f.To, g.To)
	height := func(t float64) float64 {
		if f.Hold == OverGround { // wherever the body is
			return f.path(t).p.Z - radius - g.Height
		}
		m := p.BodyAt(min(max(t, from+1e-9), to-1e-9)).moving(t)
		inG, _ := f.moving(t, &m)
		return inG.p.Z - radius - g.Height
	}
	const touch = 1e-6 // m, what counts as reaching the height
	t0, h0 := from, height(from)
	for n := 1; n <= pieces; n++ {
		t1 := from + (to-from)*float64(n)/pieces
		h1 := height(t1)
		if h0 > touch && h1 <= touch {
			a, b := t0, t1
			for range 60 {
				if mid := (a + b) / 2; height(mid) > min(touch, max(h1, 0)) {
					a = mid
				} else {
					b = mid
				}
			}
			at = append(at, b)
		}
		t0, h0 = t1, h1
	}
	return at
}

// Down gives the speed at which the foot comes down, along -n, m/s.
func (m *Impact) Down(n r3.Vec) float64 { return -r3.Dot(n, m.Vel) }
