// SPDX-License-Identifier: MIT

package gait

import (
	"math"
	"slices"
)

// Standing is a share of the cycle in which the same number of feet is down.
type Standing struct {
	From, To float64 // phase, cycles, [0,1]
	Feet     int
}

// atOnce is how far apart two events count as one, cycles: rounding of phases
// and duty factors that are meant to meet.
const atOnce = 1e-9

// Events gives the phases at which some foot touches down or lifts off, in
// order, each once, [0,1).
func (g *Gait) Events() []float64 {
	var all []float64
	for i, p := range g.Phase {
		all = append(all, Frac(p), Frac(p+g.DutyOf(i)))
	}
	for i, p := range all {
		if p > 1-atOnce {
			all[i] = 0
		}
	}
	slices.Sort(all)
	return slices.CompactFunc(all, func(a, b float64) bool { return math.Abs(b-a) < atOnce })
}

// Standing gives how many feet are down, from phase 0 to 1 without gaps,
// exactly: by the events. Where one foot lifts as another touches down, none
// of the two is missing.
func (g *Gait) Standing() []Standing {
	at := g.Events()
	if len(at) == 0 || at[0] > 0 {
		at = slices.Insert(at, 0, 0)
	}
	at = append(at, 1)
	var out []Standing
	for n := 1; n < len(at); n++ {
		mid := (at[n-1] + at[n]) / 2
		feet := 0
		for i := range g.Phase {
			if g.Down(i, mid) {
				feet++
			}
		}
		if k := len(out); k > 0 && out[k-1].Feet == feet {
			out[k-1].To = at[n]
			continue
		}
		out = append(out, Standing{at[n-1], at[n], feet})
	}
	return out
}

// LeastDown gives the least number of feet that the gait leaves standing over
// its cycle. With fewer than three the robot is not held up at rest.
func (g *Gait) LeastDown() int {
	least := len(g.Phase)
	for _, s := range g.Standing() {
		least = min(least, s.Feet)
	}
	return least
}

// MeanDown gives the mean number of feet on the ground over the cycle: the sum
// of the legs' duty factors.
func (g *Gait) MeanDown() float64 { return g.MeanDuty() * float64(len(g.Phase)) }
