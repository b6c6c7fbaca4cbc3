// SPDX-License-Identifier: MIT

package load

import (
	"math"

	"gaitwright/kin"
	"gaitwright/motion"
)

// Shares tell how much of what its servo can do every joint takes. Arrays are
// flat like the trajectory's (samples x legs x 3); 1 is the limit. +Inf stands
// where the supply has nothing left and something is asked for.
type Shares struct {
	Torque []float64 // of the derated stall torque, NaN where the torque is not known or the servo has none
	Speed  []float64 // of the no-load speed, NaN where that is not known
	Line   []float64 // of the derated torque-speed line, NaN where the torque is not known or the servo has none
}

// Shares works out the shares at the speeds of t, from which the loads must
// have been estimated, and at the voltage that the supply has left at each
// sample; only derating of the stall torque, (0,1], is counted on, anything
// else counts on all of it. While a servo drives, the share of its line is
// that of the torque plus that of the speed; while it brakes, the greater of
// the two (servo.Line.Use). The arrays of reuse are taken over, which may be
// nil. Cost: two divisions a joint and sample, no allocation with reuse.
func (l *Loads) Shares(t *motion.Trajectory, derating float64, reuse *Shares) *Shares {
	if t.N != l.N || t.Legs != l.Legs {
		panic("load: the loads are those of another trajectory")
	}
	s := reuse
	if s == nil {
		s = &Shares{}
	}
	if !(derating > 0 && derating <= 1) {
		derating = 1
	}
	w := l.Legs * kin.Joints
	s.Torque, s.Speed, s.Line = sized(s.Torque, l.N*w), sized(s.Speed, l.N*w), sized(s.Line, l.N*w)
	for k := range l.N {
		left := l.left(k)
		for o := range w {
			line := &l.Lines[o]
			i := k*w + o
			s.Torque[i], s.Line[i] = math.NaN(), math.NaN()
			s.Speed[i] = share(t.V[i], left*line.NoLoad)
			if math.IsInf(line.NoLoad, 1) {
				s.Speed[i] = math.NaN()
			}
			if tau := l.Torque[i]; line.Stall > 0 && tau == tau {
				s.Torque[i] = share(tau, left*derating*line.Stall)
				s.Line[i] = s.Torque[i]
				if v := s.Speed[i]; v == v {
					if tau*t.V[i] > 0 {
						s.Line[i] += v
					} else {
						s.Line[i] = max(s.Line[i], v)
					}
				}
			}
		}
	}
	return s
}

// left gives the share of its voltage that the supply has at sample k.
func (l *Loads) left(k int) float64 {
	if v := l.Voltage[k]; l.Supply.Voltage > 0 && v < l.Supply.Voltage { // false for NaN
		return max(0, v/l.Supply.Voltage)
	}
	return 1
}

// share gives the size of v as a share of a limit: nothing of anything is
// nothing.
func share(v, limit float64) float64 {
	if v == 0 {
		return 0
	}
	return math.Abs(v) / limit
}
