// SPDX-License-Identifier: MIT

package load

import (
	"math"

	"gaitwright/kin"
	"gaitwright/motion"
)

// Peak is the hardest instant of a joint within a stretch.
type Peak struct {
	Share      float64 // 1 is the limit; +Inf where the supply has nothing left
	Leg, Joint int
	K          int // sample
}

// SpeedPeak finds the greatest share of the no-load speed that a joint of a
// leg takes at the samples from to to, both counted, at the voltage left to
// it; leg -1 stands for all legs. It is the greatest of Shares.Speed there,
// found without working the others out. Not ok where no speed is known.
func (l *Loads) SpeedPeak(t *motion.Trajectory, leg, from, to int) (p Peak, ok bool) {
	if t.N != l.N || t.Legs != l.Legs {
		panic("load: the loads are those of another trajectory")
	}
	first, last := leg, leg
	if leg < 0 {
		first, last = 0, l.Legs-1
	}
	for k := max(from, 0); k <= min(to, l.N-1); k++ {
		left := l.left(k)
		for i := first; i <= last && i < l.Legs; i++ {
			for j := range kin.Joints {
				o := i*kin.Joints + j
				s := share(t.V[k*l.Legs*kin.Joints+o], left*l.Lines[o].NoLoad)
				if s != s || math.IsInf(l.Lines[o].NoLoad, 1) {
					continue
				}
				if !ok || s > p.Share {
					p, ok = Peak{s, i, j, k}, true
				}
			}
		}
	}
	return p, ok
}
