// SPDX-License-Identifier: MIT

// Package sequence plays what the timeline says: it turns stand, walk, change
// of gait, moves, recovery and pauses into one plan without gaps.
//
// # How a walk is planned
//
// One phase clock drives all legs; leg i swings while the clock's phase is
// between φᵢ+β and φᵢ+1 (modulo 1). The body follows the command along a true
// arc, speeding up and slowing down over one period each. A foot that lands
// is put where the body will pass over its standing point in the middle of
// the coming stance, so that strokes lie evenly around the stand. Because
// that middle, late in the walk, falls after the body has halted, the last
// step of each leg ends exactly on its standing point: stopping needs no
// extra state and no sliding. Legs already on their standing point are not
// lifted any more.
//
// Invariants: chains have no gaps in time or place; a planted foot does not
// move; a leg lifts only when its gait says so.
package sequence

import (
	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/gait"
	"gaitwright/motion/move"
)

// Kind is what an entry of the sequence does.
type Kind int

// The kinds of entries.
const (
	Stand   Kind = iota // bring the body to its stand pose, feet where they are
	Walk                // walk with a gait and a command, from standing to standing
	Change              // go on with the last command in another gait; the change waits until all feet are down
	Move                // run a scripted move
	Recover             // step every foot back to its standing point
	Wait                // hold the pose
)

var kinds = [...]string{"stand", "walk", "change", "move", "recover", "wait"}

// String gives the kind's word.
func (k Kind) String() string {
	if k < 0 || int(k) >= len(kinds) {
		return ""
	}
	return kinds[k]
}

// ParseKind is the inverse of String.
func ParseKind(s string) (Kind, bool) {
	for i, w := range kinds {
		if w == s {
			return Kind(i), true
		}
	}
	return 0, false
}

// Entry is one entry. Fields that its kind does not use are ignored.
type Entry struct {
	Name     string
	Kind     Kind
	Duration float64      // Stand, Wait, s
	Gait     int          // Walk, Change, Recover: index into Script.Gaits; -1 for Recover: one leg after another
	Cycles   float64      // Walk, Change: periods of advance, speeding up and slowing down included
	Command  motion.Twist // Walk
	Move     int          // Move: index into Script.Moves
	Speed    float64      // Move: 1 as drawn, 2 twice as fast
}

// Script is everything that is played.
type Script struct {
	Robot  *kin.Robot
	Height float64 // of B above the ground when standing, m
	Tilt   kin.Rot // of the ground
	Gaits  []gait.Gait
	Moves  []move.Move
	Seq    []Entry
}
