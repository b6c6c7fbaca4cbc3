// SPDX-License-Identifier: MIT

package pace

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/gait"
)

// instant is one of a leg's steady cycle: what of it does not depend on the
// command.
type instant struct {
	leg   int
	phase float64 // of the clock, cycles, [0,1)
	t     float64 // since the middle of the stance, or of the swing, s
	swing bool

	along, alongV float64 // share of the step done, and by the second
	up, upV       float64 // m, m/s

	shift, shiftV r3.Vec // pCB, m, and its rate, m/s
}

// instantAt gives the instant of leg i at a phase of the clock, which is own
// after the leg's touchdown (cycles).
func (p *Pace) instantAt(i int, phase, own float64) instant {
	g := &p.gait
	d, period := p.legs[i].duty, g.Period
	n := instant{leg: i, phase: gait.Frac(phase)}
	n.shift, n.shiftV = p.sway(phase)
	n.shift.Z += p.height
	if own <= d {
		n.t = (own - d/2) * period
		return n
	}
	n.swing = true
	n.t = (own - (1+d)/2) * period
	x, last := (own-d)/(1-d), 1/((1-d)*period)
	for _, s := range g.Parts(r3.Vec{}, r3.Vec{X: 1}) {
		if x <= s.To {
			w := s.To - s.From
			q, v, _ := s.Span.At((x - s.From) / w)
			n.along, n.alongV = q.X, v.X/w*last
			n.up, n.upV = q.Z, v.Z/w*last
			break
		}
	}
	return n
}

// sway gives the shift of the body away from the swinging legs, and its rate:
// a raised cosine for each leg about the middle of its swing, as a walk has
// it.
func (p *Pace) sway(phase float64) (s, v r3.Vec) {
	g := &p.gait
	if g.Sway == 0 {
		return s, v
	}
	least := 1.0
	for i := range p.legs {
		least = min(least, p.legs[i].duty)
	}
	width := max(1-least, 1/float64(len(p.legs)))
	for i := range p.legs {
		x := phase - g.MidSwing(i)
		x -= math.Round(x)
		if math.Abs(x) >= width {
			continue
		}
		away := r3.Vec{X: -p.legs[i].stand.X, Y: -p.legs[i].stand.Y}
		if l := r3.Norm(away); l > 0 {
			away = r3.Scale(1/l, away)
		}
		sn, cs := math.Sincos(math.Pi * x / width)
		s = r3.Add(s, r3.Scale(g.Sway*(0.5+0.5*cs), away))
		v = r3.Add(v, r3.Scale(-g.Sway*0.5*sn*math.Pi/(width*g.Period), away))
	}
	return s, v
}

// state is where a foot is and how it moves, as seen from B.
type state struct {
	p r3.Vec // m
	v r3.Vec // m/s
}

// at gives where the foot of an instant is under a command.
func (p *Pace) at(n *instant, w *motion.Twist) state {
	l := &p.legs[n.leg]
	var q, v r3.Vec // in C
	here := motion.Course{}.Along(*w, n.t)
	if n.swing {
		half := p.gait.Period / 2
		a := motion.Course{}.Along(*w, -half).At(l.stand)
		step := r3.Sub(motion.Course{}.Along(*w, half).At(l.stand), a)
		q = r3.Add(a, r3.Vec{X: n.along * step.X, Y: n.along * step.Y, Z: n.up})
		q = here.Into(q)
		v = motion.Course{Yaw: -here.Yaw}.Turn(r3.Vec{X: n.alongV * step.X, Y: n.alongV * step.Y, Z: n.upV})
	} else {
		q = here.Into(l.stand)
	}
	// As the body goes on, the ground goes back.
	v.X -= w.Forward - w.Turn*q.Y
	v.Y -= w.Side + w.Turn*q.X
	return state{r3.Sub(q, n.shift), r3.Sub(v, n.shiftV)}
}

// slack is by how much a joint may stand past its travel by rounding, rad.
const slack = 1e-9

// leg checks a leg by itself at an instant: what it runs into, nil for nothing,
// and else which share of the speed counted on its joints take.
func (p *Pace) leg(n *instant, w *motion.Twist) (_ *Limit, share float64) {
	l := &p.legs[n.leg]
	s := p.at(n, w)
	sol := l.Solve(l.mount.Into(s.p))
	if sol.Status == kin.Missed {
		return &Limit{Word: "out-of-reach", Leg: n.leg, Joint: -1, Other: -1, Phase: n.phase, Swing: n.swing, Value: sol.Miss}, 0
	}
	for j, q := range sol.Q {
		if r := &l.Limits[j]; q < r.Lo-slack || q > r.Hi+slack {
			end := r.Lo
			if q > r.Hi {
				end = r.Hi
			}
			return &Limit{Word: "joint-limit", Leg: n.leg, Joint: j, Other: -1, Phase: n.phase, Swing: n.swing, Value: q, Bound: end}, 0
		}
	}
	qd, _, ok := l.Rates(&sol.Chain, l.mount.Turn(s.v), r3.Vec{})
	if !ok {
		// Straight, folded or on the coxa axis: no speed is fast enough.
		return &Limit{Word: "out-of-reach", Leg: n.leg, Joint: -1, Other: -1, Phase: n.phase, Swing: n.swing}, 0
	}
	for j, v := range qd {
		v = math.Abs(v)
		if v > l.fast[j] {
			return &Limit{Word: "joint-speed", Leg: n.leg, Joint: j, Other: -1, Phase: n.phase, Swing: n.swing, Value: v, Bound: l.fast[j]}, 0
		}
		share = max(share, v/l.fast[j])
	}
	return nil, share
}
