// SPDX-License-Identifier: MIT

// Package sequence plays what the timeline says: it turns stand, walk, change
// of gait, moves, recovery and pauses into one plan without gaps.
//
// # Walks
//
// Walk and change entries that follow one another are one walk (package
// stride plans it): where one ends and the next begins the robot goes on, in
// the new gait and at the new command, from whatever instant of the cycle that
// is. An entry lasts as many periods as it has cycles, counted from the first
// lift-off when it begins from standing. Half a period before the end of the
// last one, but not sooner than half a period after its beginning, a stop is
// asked for: in half a period the body has halted, and the entry ends when each
// foot that is off its standing point has stepped there, which takes up to
// about a period more.
//
// So a move begins with every foot on its standing point, wherever in a stride
// the walk was when it was asked to end. What a move leaves behind (feet in the
// air or planted elsewhere, a body that leans) is put right by the walk or the
// recovery that comes next: feet in the air are put down, the body goes to its
// stand pose, and then a walk begins, whose first steps are right, or feet
// step back.
//
// Invariants: chains have no gaps in time or place; a planted foot does not
// move.
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
	Walk                // walk with a gait and a command
	Change              // go on with the last command in another gait
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
	Gait     int          // Walk, Change, Recover: index into Script.Gaits; -1 for Recover: as many legs at once as leave the robot standing
	Cycles   float64      // Walk, Change: periods, speeding up and slowing down included, above 0
	Command  motion.Twist // Walk
	Move     int          // Move: index into Script.Moves
	Speed    float64      // Move: 1 as drawn, 2 twice as fast
}

// Script is everything that is played.
type Script struct {
	Robot  *kin.Robot
	Height float64 // of B above the ground when standing, m
	Margin float64 // wanted static stability margin of sets of feet that no gait asks for: while feet step back, and in a change of gait, m
	Tilt   kin.Rot // of the ground
	Gaits  []gait.Gait
	Moves  []move.Move
	Seq    []Entry
}
