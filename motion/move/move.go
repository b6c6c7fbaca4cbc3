// SPDX-License-Identifier: MIT

// Package move describes scripted moves: named marks in time, one track for
// the body and one for each foot (or mirrored pair of feet) that moves.
//
// A track is a chain of spans. A span has an end but no start: it starts where
// the one before ended, so a track cannot jump. Its shape says where it goes,
// its timing says when; the two are edited apart.
package move

import (
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/motion/curve"
)

// Hold says which axes a foot span is drawn in.
type Hold int

// A foot stands still on the ground, or moves on a path that stays fixed to
// the ground or travels with the body.
const (
	Planted Hold = iota
	OverGround
	WithBody
)

// Mark is a named instant.
type Mark struct {
	Name string
	At   float64 // since the move's start, s
}

// Move is a scripted motion. The body's and the feet's tracks share the
// marks.
type Move struct {
	Name     string
	Marks    []Mark // ascending
	Body     []BodySpan
	Feet     []FootTrack
	CoolDown float64 // pause after the last mark, holding the last pose, s
	Mirrored bool    // every pair of legs is meant to mirror
}

// Duration is the time of the last mark, s.
func (m *Move) Duration() float64 {
	if len(m.Marks) == 0 {
		return 0
	}
	return m.Marks[len(m.Marks)-1].At
}

// BodySpan takes the body to an offset from its stand pose.
type BodySpan struct {
	To              float64 // time of its end, s
	Shift           r3.Vec  // end, from the stand pose, course axes, m
	Lean            r3.Vec  // end, roll, pitch, yaw, rad
	ShiftOut        r3.Vec  // handle at the start, from the start, m
	ShiftIn         r3.Vec  // handle at the end, from the end, m
	LeanOut, LeanIn r3.Vec  // the same for the lean, rad
	Timing          curve.Timing
	Even            bool // progress by arc length of the shift
}

// FootTrack is the chain of one foot.
type FootTrack struct {
	Leg   int
	Pair  bool // the mirrored leg does the same, mirrored
	Spans []FootSpan
}

// FootSpan is one piece. End and handles are measured from the leg's standing
// point with the body in its stand pose: x forward, y left, z up; the
// mirrored leg has y negated. A foot with z = 0 over the ground touches it.
type FootSpan struct {
	To      float64 // time of its end, s
	Hold    Hold
	End     r3.Vec // not for Planted, m
	Out, In r3.Vec // handles, from the start and from the end, m
	Timing  curve.Timing
	Even    bool
	Target  *float64 // height over the ground of what the foot strikes, nil for none, m
	Floor   *float64 // height over the ground that the foot's underside keeps, nil for none, m
}

// Flip mirrors a point or direction to the other side.
func Flip(v r3.Vec) r3.Vec { return r3.Vec{X: v.X, Y: -v.Y, Z: v.Z} }
