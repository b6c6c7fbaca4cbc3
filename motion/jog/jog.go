// SPDX-License-Identifier: MIT

// Package jog tells how one leg of a robot that hangs on a stand is put
// somewhere by hand: its joint angles, what its servos get, and what is in the
// way. To jog is the trade's word for driving a machine's axes by hand.
//
// Nothing here belongs to a motion: the leg is driven, read, and let go.
package jog

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/motion/workfile"
)

// State is a leg as it was driven.
type State struct {
	Leg    int
	Q      [kin.Joints]float64 // joint angles, rad
	Joints [kin.Joints]Joint

	Want r3.Vec  // where the foot centre is wanted, B, m
	Foot r3.Vec  // where it is, B, m
	Miss float64 // the distance between the two, m; 0 where it is reached
	Edge bool    // the knee is straight or folded, or the foot is on the coxa axis: the leg cannot be steered on in every direction

	Off r3.Vec // the foot from the leg's standing point, the body in its stand pose, B's axes, m
}

// Joint is what a joint does, and what its servo gets.
type Joint struct {
	Angle float64 // rad
	Share float64 // place within the travel: 0 at its lower end, 1 at its upper one; NaN where there is no travel
	Past  float64 // how far past an end of the travel, negative below the lower one, rad

	Wired     bool    // it has a channel; else the rest is not known
	Channel   int     // output of the servo driver
	Servo     float64 // angle of the servo: with direction, trim and the tibia's offset, rad
	Pulse     float64 // pulse width, µs
	PulsePast float64 // how far past an end of the channel's range, negative below the lower one, µs
}

// ToFoot drives the foot centre of a leg to pBF (body frame, m), with the knee
// on the leg's own side and the coxa turned towards the foot, as a motion
// would. Out of reach the leg comes as near as it can and Miss tells the gap.
// The ends of the joints' travel do not stop it: Past tells. A point that is
// not finite leaves the joints at 0 with an infinite Miss. No allocation.
func ToFoot(b *workfile.Built, leg int, pBF r3.Vec) State {
	l := &b.Robot.Legs[leg]
	x := l.XBH()
	sol := l.Solve(x.Into(pBF))
	s := read(b, leg, sol.Q)
	s.Want, s.Miss, s.Edge = pBF, sol.Miss, sol.Status == kin.Singular
	if sol.Status != kin.Missed {
		s.Miss = 0
	}
	return s
}

// ToAngles drives the joints of a leg to angles (rad).
func ToAngles(b *workfile.Built, leg int, q [kin.Joints]float64) State {
	s := read(b, leg, q)
	s.Want = s.Foot
	return s
}

// read gives everything that follows from the angles.
func read(b *workfile.Built, leg int, q [kin.Joints]float64) State {
	l := &b.Robot.Legs[leg]
	x := l.XBH()
	s := State{Leg: leg, Q: q, Foot: x.At(l.Forward(q))}
	s.Off = r3.Sub(s.Foot, Stand(b, leg))
	for j := range kin.Joints {
		r := l.Limits[j]
		o := &s.Joints[j]
		o.Angle = q[j]
		o.Share = math.NaN()
		if r.Hi > r.Lo {
			o.Share = (q[j] - r.Lo) / (r.Hi - r.Lo)
		}
		o.Past = beyond(q[j], r.Lo, r.Hi, 1e-9)
		if leg >= len(b.Channels) || !b.Channels[leg][j].Set {
			continue
		}
		c := &b.Channels[leg][j]
		o.Wired, o.Channel = true, c.Number
		o.Servo = c.Sign*(q[j]+c.Offset) + c.Trim
		o.Pulse = c.Pulse(q[j])
		o.PulsePast = beyond(o.Pulse, c.Min, c.Max, 1e-6)
	}
	return s
}

// beyond gives how far v lies past lo or hi, by more than rounding.
func beyond(v, lo, hi, rounding float64) float64 {
	switch {
	case v < lo-rounding:
		return v - lo
	case v > hi+rounding:
		return v - hi
	}
	return 0
}

// Stand gives where the foot centre of a leg stands with the body in its stand
// pose, B, m.
func Stand(b *workfile.Built, leg int) r3.Vec {
	l := &b.Robot.Legs[leg]
	return r3.Vec{X: l.Stand.X, Y: l.Stand.Y, Z: l.FootRadius - b.Height}
}

// Troubles says in short sentences what is in the way, the worst first; none
// where nothing is.
func (s State) Troubles() []string {
	const deg = 180 / math.Pi
	var out []string
	if s.Miss > 0 {
		if math.IsInf(s.Miss, 1) {
			out = append(out, "The foot is wanted at no place at all.")
		} else {
			out = append(out, fmt.Sprintf("Out of reach: the foot stays %.1f mm short.", s.Miss*1000))
		}
	}
	for j := range s.Joints {
		if p := s.Joints[j].Past; p != 0 {
			out = append(out, fmt.Sprintf("The %s is past its travel by %.1f°.", kin.JointName(j), math.Abs(p)*deg))
		}
	}
	for j := range s.Joints {
		o := &s.Joints[j]
		if o.PulsePast != 0 {
			out = append(out, fmt.Sprintf("The pulse of the %s is past the range of channel %d by %.0f µs.", kin.JointName(j), o.Channel, math.Abs(o.PulsePast)))
		}
	}
	if s.Edge && s.Miss == 0 {
		out = append(out, "The leg is at the edge of its reach: it cannot be steered on in every direction.")
	}
	return out
}
