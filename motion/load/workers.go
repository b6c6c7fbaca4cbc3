// SPDX-License-Identifier: MIT

package load

import (
	"sync"

	"gaitwright/motion"
)

// worthwhile is how many samples make it worthwhile to bring in another
// worker.
const worthwhile = 128

// footings works out the samples that are not left as they were. What stands
// on other feet has nothing to do with one another, so the workers take some
// stretches of time each.
func (e *Estimator) footings(t *motion.Trajectory, l *Loads, stride int, onStand bool, workers int) {
	all := l.footings
	changed := func(f *footing) (n int) {
		for k := f.from; k <= f.to; k++ {
			if !e.keep.asIs(k) {
				n++
			}
		}
		return n
	}
	sum := 0
	for i := range all {
		sum += changed(&all[i])
	}
	e.parts, e.solved = l.parts, 0
	workers = min(workers, sum/worthwhile)
	if workers < 2 {
		e.stretch(t, l, all, stride, onStand)
		l.parts, l.Solved = e.parts, e.solved
		return
	}
	// Bounds with about as many changed samples between each two.
	bounds, seen := []int{0}, 0
	for i := range all {
		if len(bounds) < workers && seen*workers >= sum*len(bounds) {
			bounds = append(bounds, i)
		}
		seen += changed(&all[i])
	}
	bounds = append(bounds, len(all))
	others := make([]Estimator, len(bounds)-2)
	var wait sync.WaitGroup
	for i := range others {
		w := &others[i]
		w.robot, w.model, w.xBH, w.recall, w.keep = e.robot, e.model, e.xBH, e.recall, e.keep
		wait.Go(func() { w.stretch(t, l, all[bounds[i+1]:bounds[i+2]], stride, onStand) })
	}
	e.stretch(t, l, all[:bounds[1]], stride, onStand)
	wait.Wait()
	l.parts, l.Solved = e.parts, e.solved
	for i := range others {
		l.parts = append(l.parts, others[i].parts...)
		l.Solved += others[i].solved
	}
}

// stretch works out the samples of some footings.
func (e *Estimator) stretch(t *motion.Trajectory, l *Loads, all []footing, stride int, onStand bool) {
	for i := range all {
		f := &all[i]
		e.stand.set(t, f.from, onStand)
		for k := f.from; k <= f.to; k++ {
			if !e.keep.asIs(k) {
				e.motion(t, l, k, onStand)
			}
		}
		if e.stand.n > 0 {
			e.carry(t, l, f.from, f.to, stride)
		}
		for k := f.from; k <= f.to; k++ {
			if !e.keep.asIs(k) {
				l.draw(t, k)
			}
		}
	}
}
