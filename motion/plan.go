// SPDX-License-Identifier: MIT

package motion

import (
	"sort"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/motion/curve"
)

// Hold says what a foot does during a piece.
type Hold int

// A foot stands on one point of the ground, or moves on a path given in the
// ground's or in the body's axes.
const (
	Planted Hold = iota
	OverGround
	WithBody
)

// Source tells which part of the document a foot piece came from, so that a
// click can lead back. The zero value is none.
type Source struct {
	Track int // foot track of the entry's move, counted from 1
	Span  int // span of that track, counted from 1
}

// FootPiece is a part of a foot's chain.
type FootPiece struct {
	From, To float64    // s
	Hold     Hold       // which axes Span is in: G, or B
	Span     curve.Span // foot centre, m; when planted P0 is where it stands
	Source   Source

	Clock [2]float64 // times at which Span begins and ends where the piece is a part of it; zero: From and To, s
	Aim   *Aim       // added to Span, nil for none
}

// BodyPiece is a part of the body's chain. The body's pose in the course
// frame C is a shift and a lean, each on a path and with a timing of its own;
// in a walk C moves, and the body is carried over it.
type BodyPiece struct {
	From, To float64 // s

	Start Course     // C, where it stays
	Shift curve.Span // pCB, m
	Lean  curve.Span // roll, pitch, yaw of B in C, rad

	Drive    *Drive    // moves the course, nil for none
	Carriage *Carriage // in place of Shift and Lean, nil for none
}

// Mark is a named instant.
type Mark struct {
	Name string
	At   float64 // s
}

// Stretch is a time in which something is asked of a leg.
type Stretch struct {
	Leg      int
	Other    int     // the leg of the other side, for Mirrored
	From, To float64 // s
	Height   float64 // m
}

// Part is one entry of the sequence in time.
type Part struct {
	Name     string
	Kind     string
	From, To float64 // s
	Index    int     // entry of the sequence, from 0
	Speed    float64 // of a move, 1 as drawn; 0 for entries without a speed
	Fewest   int     // feet that the gaits of a walk leave on the ground at the least; 0 when it is none
}

// Plan is a motion before sampling. Everything in it is in the ground frame
// G, a frame on the ground plane with z along its normal.
type Plan struct {
	Duration float64 // s
	RWG      kin.Rot // tilt of the ground
	Body     []BodyPiece
	Feet     [][]FootPiece // a chain a leg

	Parts    []Part
	Marks    []Mark
	Floors   []Stretch // underside of a striking foot stays above Height, over the ground
	Targets  []Stretch // what a striking foot hits, at Height over the ground
	Mirrored []Stretch // Leg and Other are meant to mirror, in the body's axes
	Floating []Stretch // a foot said to be planted, but Height above the ground
}

// CourseAt gives C at time t within the piece.
func (b *BodyPiece) CourseAt(t float64) Course {
	if b.Drive != nil {
		return b.Drive.CourseAt(t)
	}
	return b.Start
}

// share gives how much of [from, to] has passed, 1 for an empty interval.
func share(t, from, to float64) float64 {
	if to <= from {
		return 1
	}
	return (t - from) / (to - from)
}

// Offset gives the body's shift (m) and lean (roll, pitch, yaw, rad) in C.
func (b *BodyPiece) Offset(t float64) (shift, lean r3.Vec) {
	if c := b.Carriage; c != nil {
		shift, _, _ = c.ShiftAt(t)
		lean, _, _ = c.Lean.At(t)
		return shift, lean
	}
	x := max(0, min(1, share(t, b.From, b.To)))
	shift, _, _ = b.Shift.At(x)
	lean, _, _ = b.Lean.At(x)
	return shift, lean
}

// Pose gives xGB at time t and the same as angles (yaw about the ground's
// normal, unbounded, so that a turn does not wrap).
func (b *BodyPiece) Pose(t float64) (x kin.Pose, rpy r3.Vec) {
	c := b.CourseAt(t)
	shift, lean := b.Offset(t)
	rpy = r3.Vec{X: lean.X, Y: lean.Y, Z: lean.Z + c.Yaw}
	return kin.Pose{P: c.At(shift), R: kin.RPY(rpy.X, rpy.Y, rpy.Z)}, rpy
}

// At gives pGF at time t within the piece, for a body at xGB.
func (f *FootPiece) At(t float64, xGB *kin.Pose) r3.Vec {
	if f.Hold == Planted {
		return f.Span.Path.P0
	}
	from, to := f.clock()
	p, _, _ := f.Span.At(max(0, min(1, share(t, from, to))))
	if f.Aim != nil {
		by, _, _ := f.Aim.At(t)
		p = r3.Add(p, by)
	}
	if f.Hold == WithBody {
		return xGB.At(p)
	}
	return p
}

// BodyAt gives the piece of the body's chain in force at t: the one that
// begins at t, at a seam. The last for times past the end.
func (p *Plan) BodyAt(t float64) *BodyPiece {
	i := sort.Search(len(p.Body), func(i int) bool { return p.Body[i].To > t })
	return &p.Body[min(i, len(p.Body)-1)]
}

// FootAt gives the piece of a leg's chain in force at t, as BodyAt does.
func (p *Plan) FootAt(leg int, t float64) *FootPiece {
	c := p.Feet[leg]
	i := sort.Search(len(c), func(i int) bool { return c[i].To > t })
	return &c[min(i, len(c)-1)]
}

// Seams lists the times at which a piece of any chain gives way to the next,
// in order, each once, without the start and the end.
func (p *Plan) Seams() []float64 {
	var all []float64
	for i := range p.Body {
		all = append(all, p.Body[i].To)
	}
	for _, c := range p.Feet {
		for i := range c {
			all = append(all, c[i].To)
		}
	}
	sort.Float64s(all)
	var out []float64
	for _, t := range all {
		if t > 1e-9 && t < p.Duration-1e-9 && (len(out) == 0 || t-out[len(out)-1] > 1e-9) {
			out = append(out, t)
		}
	}
	return out
}
