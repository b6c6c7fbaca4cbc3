// SPDX-License-Identifier: MIT

package jog

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/motion"
	"gaitwright/motion/move"
	"gaitwright/motion/rehearsal"
)

// What SpanEnd's errors are. Each is a sentence for a person.
var (
	ErrNotPlayed = errors.New("the move is not played in the sequence: add it there first")
	ErrNotMoved  = errors.New("the chosen track does not move this leg: choose a track that does")
	ErrPlanted   = errors.New("the foot is planted in the chosen span: choose a span in which it moves")
)

// SpanEnd gives the end that a foot span has to have, so that the leg stands
// with its foot at pBF (body frame, m) when the span ends: measured from the
// leg's standing point, y turned round for the mirrored leg of a pair, as the
// workfile has it, but in m. The span is one of the move's that plays in part.
//
// A span that goes with the body ends at the very point. One that is fixed to
// the ground ends where the point is on the ground with the body as it is
// shifted and leaned at that instant.
func SpanEnd(r *rehearsal.Rehearsal, part motion.Part, leg, track, span int, pBF r3.Vec) (end r3.Vec, err error) {
	seq := r.Built.Script.Seq
	if part.Kind != "move" || part.Index < 0 || part.Index >= len(seq) {
		return end, ErrNotPlayed
	}
	m := seq[part.Index].Move
	if m < 0 || m >= len(r.Built.Script.Moves) {
		return end, ErrNotPlayed
	}
	feet := r.Built.Script.Moves[m].Feet
	if track < 0 || track >= len(feet) || leg < 0 || leg >= len(r.Plan.Feet) || span < 0 || span >= len(feet[track].Spans) {
		return end, ErrNotMoved
	}
	p := piece(r.Plan, part, leg, motion.Source{Track: track + 1, Span: span + 1})
	if p == nil {
		return end, ErrNotMoved
	}
	off := r3.Sub(pBF, Stand(r.Built, leg))
	switch feet[track].Spans[span].Hold {
	case move.Planted:
		return end, ErrPlanted
	case move.OverGround:
		// A hair inside, so that the pose is this span's and not the next one's.
		b := r.Plan.BodyAt(p.To - 1e-9)
		x, _ := b.Pose(p.To)
		l := &r.Built.Robot.Legs[leg]
		on := r.Plan.BodyAt(part.From).Start.Into(x.At(pBF))
		off = r3.Sub(on, r3.Vec{X: l.Stand.X, Y: l.Stand.Y, Z: l.FootRadius})
	}
	if feet[track].Leg != leg {
		off = move.Flip(off)
	}
	if n := r3.Norm(off); math.IsNaN(n) || math.IsInf(n, 0) {
		return end, errors.New("the foot is at no place: drive the leg to one first")
	}
	return off, nil
}

// piece finds the piece of a leg's chain that a span of the move in a part was
// made into, nil for none.
func piece(pl *motion.Plan, part motion.Part, leg int, from motion.Source) *motion.FootPiece {
	const hair = 1e-9
	for i := range pl.Feet[leg] {
		p := &pl.Feet[leg][i]
		if p.Source == from && p.From >= part.From-hair && p.To <= part.To+hair {
			return p
		}
	}
	return nil
}
