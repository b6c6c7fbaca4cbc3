// SPDX-License-Identifier: MIT

package load

import (
	"slices"
	"sync"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/contact"
)

// Recall remembers what the ground was asked for and what it answered, from
// one run to the next. Where a motion is changed here and played again, most
// of it is as it was: what is asked for at a sample exactly as it was before
// is not worked out again. The answers are the same with it and without it,
// whatever ran before. The zero value remembers nothing yet. Not to be copied.
type Recall struct {
	lock sync.Mutex
	at   map[int]*sought
}

// sought is one question with its answer.
type sought struct {
	p      contact.Problem
	feet   []contact.Foot
	force  [kin.MaxLegs]r3.Vec
	status contact.Status
}

// mostRecalled bounds the memory that is kept: at some 2 kB each.
const mostRecalled = 16384

// answer gives what was answered at sample k, if the very same was asked.
func (r *Recall) answer(k int, p *contact.Problem, feet []contact.Foot, force []r3.Vec) (contact.Status, bool) {
	if r == nil {
		return 0, false
	}
	r.lock.Lock()
	defer r.lock.Unlock()
	s := r.at[k]
	if s == nil || s.p != *p || !slices.Equal(s.feet, feet) {
		return 0, false
	}
	copy(force, s.force[:len(feet)])
	return s.status, true
}

// keep remembers an answer.
func (r *Recall) keep(k int, p *contact.Problem, feet []contact.Foot, force []r3.Vec, st contact.Status) {
	if r == nil {
		return
	}
	r.lock.Lock()
	defer r.lock.Unlock()
	if r.at == nil || len(r.at) >= mostRecalled {
		r.at = map[int]*sought{}
	}
	s := r.at[k]
	if s == nil {
		s = new(sought)
		r.at[k] = s
	}
	s.p, s.feet, s.status = *p, append(s.feet[:0], feet...), st
	copy(s.force[:], force)
}
