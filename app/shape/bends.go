// SPDX-License-Identifier: MIT

package shape

import (
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/app/document"
	"gaitwright/kin"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// bend is what two spans do where they meet.
type bend int

// Nothing to bend: the path ends here, or the foot stands. A smooth bend has
// its two handles in one line, and keeps them so; a corner does not.
const (
	noBend bend = iota
	smooth
	corner
)

// freed is a smooth bend that was set free: its handles are in line until one
// of them is dragged. The zero value is none.
type freed struct {
	doc  *document.Document
	bend edit.Bend
}

// joint is a bend with what turning its handles needs.
type joint struct {
	bend    edit.Bend
	in, out point
	kind    bend
	axes    kin.Rot // from the next span's axes to this span's
}

// joint gives the bend at the end of a span.
func (t *track) joint(d *document.Document, span int) (j joint) {
	j.bend = edit.Bend{Move: t.place.Move, Track: t.place.Track, Span: span}
	var ok bool
	if j.in, ok = t.find(span, In); !ok {
		return j
	}
	if j.out, ok = t.find(span+1, Out); !ok {
		return j
	}
	j.kind = corner
	if edit.InLine(r3.Sub(j.in.pC, j.in.from), r3.Sub(j.out.pC, j.out.from)) && t.free != (freed{d, j.bend}) {
		j.kind = smooth
	}
	var back kin.Rot // of the end's rotation
	for i := range 3 {
		for k := range 3 {
			back[3*i+k] = j.in.rot[3*k+i]
		}
	}
	j.axes = back.Dot(j.out.rot)
	if t.flip { // the file has the other leg's numbers: y changes its sign
		for _, i := range [...]int{1, 3, 5, 7} {
			j.axes[i] = -j.axes[i]
		}
	}
	return j
}

// jointOf gives the bend that a control point belongs to.
func (t *track) jointOf(d *document.Document, span int, part Part) joint {
	if part == Out {
		span--
	}
	return t.joint(d, span)
}

// hold is what has to stay in line while a handle moves.
type hold struct {
	joint joint
	into  bool // the handle into the bend is the one that moves
}

// holding gives what a drag of a control point keeps in line.
func (t *track) holding(d *document.Document, span int, part Part) (h hold) {
	if part == In || part == Out {
		h = hold{t.jointOf(d, span, part), part == In}
	}
	return h
}

// keep turns the other handle of a smooth bend.
func (h *hold) keep(f *workfile.File) {
	if h.joint.kind == smooth {
		h.joint.bend.Align(f, h.into, h.joint.axes)
	}
}

// write puts a control point that was typed; a smooth bend stays smooth.
func (t *track) write(d *document.Document, at *document.Place, part Part, v [3]float64) error {
	h := hold{}
	if t.place.Move == at.Move && t.place.Track == at.Track {
		h = t.holding(d, at.Span, part)
	}
	a := *at
	return d.Change("type a point of the path", func(f *workfile.File) {
		set(f, a, part, v)
		h.keep(f)
	})
}

// switchBend makes a corner smooth, or sets a smooth bend free.
func (t *track) switchBend(d *document.Document, at *document.Place, part Part) {
	j := t.jointOf(d, at.Span, part)
	if j.kind == smooth {
		t.free = freed{d, j.bend}
		return
	}
	if t.free == (freed{d, j.bend}) {
		t.free = freed{}
		if j = t.jointOf(d, at.Span, part); j.kind == smooth {
			return
		}
	}
	if j.kind == noBend {
		return
	}
	// A handle that there is not yet takes a third of the way, as a straight
	// span has; without any the line is that between the points beside.
	var room [2]float64
	var along r3.Vec
	if before, ok := t.find(j.bend.Span, Out); ok {
		if after, ok := t.find(j.bend.Span+1, End); ok {
			const milli = 1000
			room = [2]float64{
				r3.Norm(r3.Sub(j.in.from, before.from)) / 3 * milli,
				r3.Norm(r3.Sub(after.pC, j.in.from)) / 3 * milli,
			}
			along = j.in.rot.TMul(r3.Sub(after.pC, before.from))
			if t.flip {
				along.Y = -along.Y
			}
		}
	}
	var err error
	refused := d.Change("make a bend smooth", func(f *workfile.File) { err = j.bend.Smooth(f, j.axes, room, along) })
	if refused == nil && err != nil {
		t.tools.why = err.Error()
	}
}

// words names a bend.
func (b bend) words() string {
	switch b {
	case smooth:
		return "smooth"
	case corner:
		return "corner"
	}
	return "path ends"
}
