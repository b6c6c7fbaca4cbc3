// SPDX-License-Identifier: MIT

package compare

import (
	"errors"

	"gaitwright/motion/rehearsal"
	"gaitwright/motion/workfile"
)

// Snapshot is a workfile as it once was, played and judged.
type Snapshot struct {
	Number int    // counted from 1
	Label  string // what it was, in words
	File   *workfile.File

	played [2]*rehearsal.Rehearsal // on the ground, and on a stand
	facts  [2][]Fact
}

// mode is the place of a rehearsal.
func mode(onStand bool) int {
	if onStand {
		return 1
	}
	return 0
}

// Result is the rehearsal on the ground or on a stand. Each is made once.
func (s *Snapshot) Result(onStand bool) (*rehearsal.Rehearsal, error) {
	i := mode(onStand)
	if s.played[i] == nil {
		r, err := rehearsal.Run(s.File, rehearsal.Options{OnStand: onStand})
		if err != nil {
			return nil, err
		}
		s.played[i] = r
	}
	return s.played[i], nil
}

// Facts are those of Result, also made once; none where that cannot be made.
func (s *Snapshot) Facts(onStand bool) []Fact {
	i := mode(onStand)
	if r, err := s.Result(onStand); err == nil && s.facts[i] == nil {
		s.facts[i] = Facts(r)
	}
	return s.facts[i]
}

// Most is how many snapshots a list keeps: each has a whole rehearsal.
const Most = 6

// ErrFull is why no more snapshots are kept.
var ErrFull = errors.New("there are six snapshots: forget one first")

// List holds snapshots in the order in which they were taken. The zero value
// is an empty list.
type List struct {
	all    []*Snapshot
	taken  int
	chosen *Snapshot
}

// Keep takes a snapshot of a file with its rehearsal at the full rate, both of
// which must not be changed afterwards, and chooses it.
func (l *List) Keep(f *workfile.File, r *rehearsal.Rehearsal, onStand bool, label string) (*Snapshot, error) {
	if l.Full() {
		return nil, ErrFull
	}
	l.taken++
	s := &Snapshot{Number: l.taken, Label: label, File: f}
	s.played[mode(onStand)] = r
	l.all = append(l.all, s)
	l.chosen = s
	return s, nil
}

// Full tells whether no more are kept.
func (l *List) Full() bool { return len(l.all) >= Most }

// All are the snapshots.
func (l *List) All() []*Snapshot { return l.all }

// Chosen is the one to compare with, nil for none.
func (l *List) Chosen() *Snapshot { return l.chosen }

// Choose takes the i-th to compare with.
func (l *List) Choose(i int) {
	if i >= 0 && i < len(l.all) {
		l.chosen = l.all[i]
	}
}

// Index is the place of the chosen one, -1 for none.
func (l *List) Index() int {
	for i, s := range l.all {
		if s == l.chosen {
			return i
		}
	}
	return -1
}

// Forget drops the chosen one and chooses the one before it.
func (l *List) Forget() {
	i := l.Index()
	if i < 0 {
		return
	}
	l.all = append(l.all[:i], l.all[i+1:]...)
	l.chosen = nil
	if len(l.all) > 0 {
		l.chosen = l.all[max(i-1, 0)]
	}
}
