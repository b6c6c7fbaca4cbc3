// SPDX-License-Identifier: MIT

// Package compare keeps snapshots of a workfile with their rehearsals, and says
// what is different between two of them: findings that appeared, went, grew or
// shrank, and the numbers that matter side by side. Nothing is worked out here
// that the rehearsals do not have.
package compare

import (
	"cmp"
	"math"
	"slices"

	"gaitwright/motion/rehearsal"
	"gaitwright/motion/review"
)

// Kind says how a finding is different.
type Kind uint8

// The kinds, in the order in which changes are listed.
const (
	Appeared Kind = iota
	Grew
	Shrank
	Went
)

// String gives the word for the screen.
func (k Kind) String() string {
	return [...]string{"new", "grew", "shrank", "gone"}[min(k, Went)]
}

// Change is a finding that is different.
type Change struct {
	Kind          Kind
	Before, After *review.Finding // nil where there is none
}

// Finding is the one to show: that after, or if it went, that before.
func (c *Change) Finding() *review.Finding {
	if c.After != nil {
		return c.After
	}
	return c.Before
}

// subject is what a finding is about, by names: two robots may have their legs
// in another order, and two motions differ in time.
type subject struct {
	word, entry, leg, other string
	joint                   int
}

func about(r *rehearsal.Rehearsal, f *review.Finding) subject {
	name := func(i int) string {
		if legs := r.Built.Robot.Legs; i >= 0 && i < len(legs) {
			return legs[i].Name
		}
		return ""
	}
	return subject{f.Word, f.Entry, name(f.Leg), name(f.Other), f.Joint}
}

// Findings lists what is different in the findings of two motions, and counts
// those that are the same. Findings about the same (word, entry, leg, joint,
// second leg) belong together, in the order of their times: their times
// themselves may differ. One grew when it became a stop, or lies farther
// beyond its limit by more than can be read.
func Findings(before, after *rehearsal.Rehearsal) (changes []Change, same int) {
	old := map[subject][]*review.Finding{}
	inTime := func(all []review.Finding) (out []*review.Finding) {
		for i := range all {
			out = append(out, &all[i])
		}
		slices.SortStableFunc(out, func(a, b *review.Finding) int { return cmp.Compare(a.From, b.From) })
		return out
	}
	for _, f := range inTime(before.Findings) {
		s := about(before, f)
		old[s] = append(old[s], f)
	}
	for _, f := range inTime(after.Findings) {
		s := about(after, f)
		q := old[s]
		if len(q) == 0 {
			changes = append(changes, Change{Appeared, nil, f})
			continue
		}
		b := q[0]
		old[s] = q[1:]
		switch d := worse(b, f); {
		case d > 0:
			changes = append(changes, Change{Grew, b, f})
		case d < 0:
			changes = append(changes, Change{Shrank, b, f})
		default:
			same++
		}
	}
	for _, f := range inTime(before.Findings) {
		if s := about(before, f); slices.Contains(old[s], f) {
			changes = append(changes, Change{Went, f, nil})
		}
	}
	slices.SortStableFunc(changes, func(a, b Change) int {
		return cmp.Or(cmp.Compare(a.Kind, b.Kind), -cmp.Compare(a.Finding().Level, b.Finding().Level), cmp.Compare(a.Finding().From, b.Finding().From))
	})
	return changes, same
}

// worse compares two findings about the same: positive when b is worse.
func worse(a, b *review.Finding) int {
	if a.Level != b.Level {
		return cmp.Compare(b.Level, a.Level)
	}
	d := beyond(b) - beyond(a)
	const read = 5e-4 // of the value: three figures are written
	if math.Abs(d) <= read*max(math.Abs(a.Value), math.Abs(b.Value), 1e-9) {
		return 0
	}
	return cmp.Compare(d, 0)
}

// beyond gives how far a value lies past its limit, on whichever side.
func beyond(f *review.Finding) float64 { return math.Abs(f.Value - f.Limit) }
