// SPDX-License-Identifier: MIT

package edit

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/motion/workfile"
)

// Bend is where a span of a track gives way to the next: the end of span Span,
// with the handle that leads into it and the next span's handle that leads out
// of it.
type Bend struct {
	Move  int
	Track int // foot track of the move, -1: the body's
	Span  int // the one that ends here
}

// inLine is how far two handles may be from one straight line to count as in
// line, as a sine: about a degree. Handles are written to a hundredth of a
// millimetre, which turns one of a millimetre by half of that.
const inLine = 0.02

// InLine tells whether two handles at one point, mm in the same axes, lie
// opposite to each other on a straight line, so that the path goes on smoothly
// there. A handle without a length has no direction.
func InLine(in, out r3.Vec) bool {
	a, b := r3.Norm(in), r3.Norm(out)
	return a > 0 && b > 0 && r3.Dot(in, out) < 0 && r3.Norm(r3.Cross(in, out)) <= inLine*a*b
}

// slots finds the two handles; a place in a span whose handle is left out is
// nil. Not ok where the bend has none: at the end of the track, or beside a
// planted span.
func (b Bend) slots(f *workfile.File) (in, out **[3]float64, ok bool) {
	if b.Move < 0 || b.Move >= len(f.Moves) || b.Span < 0 {
		return nil, nil, false
	}
	m := &f.Moves[b.Move]
	if b.Track < 0 {
		if b.Span+1 >= len(m.Body) {
			return nil, nil, false
		}
		return &m.Body[b.Span].ShiftIn, &m.Body[b.Span+1].ShiftOut, true
	}
	if b.Track >= len(m.Feet) || b.Span+1 >= len(m.Feet[b.Track].Spans) {
		return nil, nil, false
	}
	s := m.Feet[b.Track].Spans[b.Span:]
	if s[0].Hold == "planted" || s[1].Hold == "planted" {
		return nil, nil, false
	}
	return &s[0].In, &s[1].Out, true
}

// Handles gives the handle that leads into the bend and the one that leads out
// of it, mm, each in its own span's axes.
func (b Bend) Handles(f *workfile.File) (in, out r3.Vec, ok bool) {
	i, o, ok := b.slots(f)
	if !ok {
		return in, out, false
	}
	return read(*i), read(*o), true
}

func read(p *[3]float64) r3.Vec {
	if p == nil {
		return r3.Vec{}
	}
	return r3.Vec{X: p[0], Y: p[1], Z: p[2]}
}

// write rounds to a hundredth of a millimetre, as all of the window does.
func write(p **[3]float64, v r3.Vec) {
	*p = &[3]float64{hundredth(v.X), hundredth(v.Y), hundredth(v.Z)}
}

func hundredth(v float64) float64 { return math.Round(v*100)/100 + 0 }

// Align turns one handle of the bend into line with the other, which has
// moved: into is for the handle that leads into the bend having moved. The
// length of the turned one stays. r takes directions from the next span's axes
// into this span's. Where a handle has no length there is nothing to turn.
func (b Bend) Align(f *workfile.File, into bool, r kin.Rot) {
	i, o, ok := b.slots(f)
	if !ok {
		return
	}
	in, out := read(*i), read(*o)
	li, lo := r3.Norm(in), r3.Norm(out)
	if li == 0 || lo == 0 {
		return
	}
	if into {
		write(o, r.TMul(r3.Scale(-lo/li, in)))
	} else {
		write(i, r.Mul(r3.Scale(-li/lo, out)))
	}
}

// ErrNoBend is why a bend cannot be made smooth.
var ErrNoBend = errors.New("no path leads through this point: it lies at the end of the track or beside a planted span; choose another one")

// errNoWay is why a bend without any direction cannot be made smooth.
var errNoWay = errors.New("the path does not go anywhere at this point: move one of its handles first")

// Smooth puts both handles of a bend on one line: halfway between the two
// directions that they have. A handle without a length takes the other's
// direction and the length that room gives, mm, for the handle into the bend
// and for the one out of it; when neither has one, the line is along, in this
// span's axes. Where the two point the same way, so that no line lies between
// them, the handle into the bend stays. r is as for Align.
func (b Bend) Smooth(f *workfile.File, r kin.Rot, room [2]float64, along r3.Vec) error {
	i, o, ok := b.slots(f)
	if !ok {
		return ErrNoBend
	}
	in, out := read(*i), r.Mul(read(*o))
	li, lo := r3.Norm(in), r3.Norm(out)
	var way r3.Vec
	if li > 0 {
		way = r3.Scale(-1/li, in)
	}
	if lo > 0 {
		if sum := r3.Add(way, r3.Scale(1/lo, out)); r3.Norm(sum) > 0.05 {
			way = sum
		}
	}
	if n := r3.Norm(way); n > 0 {
		way = r3.Scale(1/n, way)
	} else if n := r3.Norm(along); n > 0 && !math.IsInf(n, 0) {
		way = r3.Scale(1/n, along)
	} else {
		return errNoWay
	}
	if li == 0 {
		li = room[0]
	}
	if lo == 0 {
		lo = room[1]
	}
	if !(li > 0 && lo > 0) {
		return errNoWay
	}
	write(i, r3.Scale(-li, way))
	write(o, r.TMul(r3.Scale(lo, way)))
	return nil
}
