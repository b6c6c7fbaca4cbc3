// SPDX-License-Identifier: MIT

package load

import (
	"sort"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin/dynamics"
	"gaitwright/motion"
)

// takenUp is the time in which servos take up a step of speed, s: a frame of the
// usual 50 Hz pulse (common practice). What tips or slides a robot is the
// momentum that the step asks for, and hardly depends on how short it is.
const takenUp = 0.020

// span gives half the time over which a step of speed is spread: at least a
// sample on either side, so that a coarse look does not miss it.
func span(rate float64) float64 { return max(takenUp/2, 1/rate) }

// jolts gives the steps of speed under way at sample k.
func (e *Estimator) jolts(t *motion.Trajectory, k int) []motion.Jolt {
	if len(t.Jolts) == 0 {
		return nil
	}
	now, half := t.Time(k), span(t.Rate)
	from := sort.Search(len(t.Jolts), func(i int) bool { return t.Jolts[i].At > now-half+1e-9 })
	to := from
	for to < len(t.Jolts) && t.Jolts[to].At <= now+half+1e-9 {
		to++
	}
	return t.Jolts[from:to]
}

// taken adds to the accelerations of sample k, of the body and of the joints,
// those with which steps of speed are taken up, evenly over their time.
func (e *Estimator) taken(all []motion.Jolt, b *dynamics.BodyMotion, qdd []float64, rate float64) []float64 {
	e.qdd = append(e.qdd[:0], qdd...)
	f := 1 / (2 * span(rate))
	for i := range all {
		j := &all[i]
		b.Acc = r3.Add(b.Acc, r3.Scale(f, j.Vel))
		b.Alpha = r3.Add(b.Alpha, r3.Scale(f, j.Omega))
		for o, v := range j.Joints {
			e.qdd[o] += f * v
		}
	}
	return e.qdd
}
