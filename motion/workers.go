// SPDX-License-Identifier: MIT

package motion

import "sync"

// worthwhile is how many samples make it worthwhile to bring in another
// worker.
const worthwhile = 256

// rows fills the samples of t that are not kept, of which there are so many.
// Every sample follows from the plan alone, so the workers take one stretch of
// time each.
func (s *Sampler) rows(p *Plan, t *Trajectory, changed int) {
	s.loose = s.loose[:0]
	workers := min(s.Workers, changed/worthwhile)
	if workers < 2 {
		s.stretch(p, t, 0, t.N)
		return
	}
	// Bounds with as many changed samples between each two.
	bounds, seen := []int{0}, 0
	for k := range t.N {
		if len(bounds) < workers && seen*workers >= changed*len(bounds) {
			bounds = append(bounds, k)
		}
		if t.Kept == nil || !t.Kept[k] {
			seen++
		}
	}
	bounds = append(bounds, t.N)
	others := make([]Sampler, len(bounds)-2)
	var wait sync.WaitGroup
	for i := range others {
		w := &others[i]
		*w = *NewSampler(s.robot)
		wait.Go(func() { w.stretch(p, t, bounds[i+1], bounds[i+2]) })
	}
	s.stretch(p, t, bounds[0], bounds[1])
	wait.Wait()
	for i := range others {
		s.loose = append(s.loose, others[i].loose...)
	}
}

// stretch fills the samples from one to before another that are not kept.
func (s *Sampler) stretch(p *Plan, t *Trajectory, from, to int) {
	var c cursor
	for k := from; k < to; k++ {
		if t.Kept != nil && t.Kept[k] {
			continue
		}
		now := min(float64(k)/t.Rate, p.Duration)
		c.to(p, now)
		s.row(p, t, k, now, &c)
	}
}
