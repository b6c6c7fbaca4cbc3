// SPDX-License-Identifier: MIT

package load

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/alike"
)

// how is what loads were estimated from, beside the samples.
type how struct {
	robot   *kin.Robot
	rate    float64 // Hz
	stride  float64 // s
	onStand bool
	jolts   []motion.Jolt
}

func (h *how) same(o *how) bool {
	return h.rate == o.rate && h.stride == o.stride && h.onStand == o.onStand && alike.Bits(h.robot, o.robot)
}

// footing is the samples over which the same feet stand.
type footing struct {
	from, to int
	n        int
	leg      [kin.MaxLegs]int
	foot     [kin.MaxLegs]r3.Vec // W, m
}

// part is the samples between two knots that nothing outside has a say in.
type part struct {
	from, to int
	solved   int // samples between the two at which forces were sought
}

// keeping tells which samples are left as they were in a run before. Of one
// sample all that needs no forces follows from itself, from the feet that
// stand, and from the steps of speed near it; the forces of a part follow from
// its samples. The zero value keeps nothing.
type keeping struct {
	now, before *Loads
	mark        []mark // nil for nothing kept
}

// mark says of a sample whether it is left as it was.
type mark uint8

const (
	changed mark = iota
	asItWas
	woken // as it was, but worked out again
)

// begin takes over all that may stay from the loads before.
func (p *keeping) begin(t *motion.Trajectory, l, before *Loads) {
	p.now, p.before, p.mark = l, nil, p.mark[:0]
	l.footings, l.parts, l.Kept = l.footings[:0], l.parts[:0], nil
	if before == nil || t.Kept == nil || before.Legs != l.Legs || !before.how.same(&l.how) {
		return
	}
	p.before, p.mark = before, sized(p.mark, l.N)
	n := min(before.N, l.N)
	for k := range p.mark {
		p.mark[k] = changed
		if k < n && t.Kept[k] {
			p.mark[k] = asItWas
		}
	}
	p.jolted(t.Jolts, before.how.jolts)
	w := l.Legs * kin.Joints
	copy(l.State, before.State[:n])
	for _, a := range [...]struct {
		to, from []float64
		width    int
	}{
		{l.Acc, before.Acc, 3}, {l.Spin, before.Spin, 3}, {l.ZMP, before.ZMP, 3}, {l.Dynamic, before.Dynamic, 1}, {l.Energy, before.Energy, 1},
		{l.Force, before.Force, w}, {l.Torque, before.Torque, w}, {l.Current, before.Current, 1}, {l.Voltage, before.Voltage, 1},
	} {
		copy(a.to, a.from[:n*a.width]) // nothing where they share their array
	}
}

// jolted marks the samples near a step of speed that is not as it was.
func (p *keeping) jolted(a, b []motion.Jolt) {
	rate := p.now.how.rate
	near := func(j *motion.Jolt) {
		half := span(rate)
		from := max(0, int(math.Floor((j.At-half)*rate))-1)
		for k := from; k < len(p.mark) && float64(k) <= (j.At+half)*rate+1; k++ {
			p.mark[k] = changed
		}
	}
	for len(a) > 0 || len(b) > 0 {
		switch {
		case len(b) == 0 || len(a) > 0 && a[0].At < b[0].At:
			near(&a[0])
			a = a[1:]
		case len(a) == 0 || b[0].At < a[0].At:
			near(&b[0])
			b = b[1:]
		default:
			if !alike.Bits(&a[0], &b[0]) {
				near(&a[0])
			}
			a, b = a[1:], b[1:]
		}
	}
}

// footing notes the feet that stand over some samples. Those over which others
// stood before have changed.
func (p *keeping) footing(t *motion.Trajectory, from, to int, onStand bool) {
	f := footing{from: from, to: to}
	for i := range t.Legs {
		if t.Planted[from*t.Legs+i] && !onStand {
			f.leg[f.n], f.foot[f.n] = i, t.FootAt(from, i)
			f.n++
		}
	}
	p.now.footings = append(p.now.footings, f)
	if p.before == nil {
		return
	}
	all := p.before.footings
	i := sort.Search(len(all), func(i int) bool { return all[i].to >= from })
	for ; i < len(all) && all[i].from <= to; i++ {
		g := &all[i]
		if g.n == f.n && g.leg == f.leg && alike.Bits(&g.foot, &f.foot) {
			continue
		}
		for k := max(from, g.from); k <= min(to, g.to); k++ {
			p.mark[k] = changed
		}
	}
}

// asIs tells whether a sample is left as it was.
func (p *keeping) asIs(k int) bool { return p.before != nil && p.mark[k] == asItWas }

// known tells whether there was a part between the same samples before, all
// of them as they were, and how often forces were sought inside.
func (p *keeping) known(from, to int) (solved int, ok bool) {
	if p.before == nil {
		return 0, false
	}
	all := p.before.parts
	i := sort.Search(len(all), func(i int) bool { return all[i].from >= from })
	if i == len(all) || all[i].from != from || all[i].to != to {
		return 0, false
	}
	for k := from; k <= to; k++ {
		if p.mark[k] == changed {
			return 0, false
		}
	}
	return all[i].solved, true
}

// end tells in the loads what was left as it was.
func (p *keeping) end(l *Loads) {
	if p.before == nil {
		return
	}
	l.Kept = make([]bool, l.N)
	for k := range l.Kept {
		l.Kept[k] = p.mark[k] == asItWas
	}
	p.now, p.before = nil, nil
}
