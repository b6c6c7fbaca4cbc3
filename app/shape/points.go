// SPDX-License-Identifier: MIT

package shape

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/app/document"
	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/curve"
	"gaitwright/motion/workfile"
)

// Part of a span that can be dragged.
type Part int

// The end of a span, the handle at its start, the handle at its end, and of the
// body the handle that turns it.
const (
	End Part = iota
	Out
	In
	Turn
)

// String names the part as the panel labels it.
func (p Part) String() string {
	switch p {
	case Out:
		return "start handle"
	case In:
		return "end handle"
	case Turn:
		return "turning handle"
	}
	return "end point"
}

// point is a control point where it lies in the course frame C.
type point struct {
	span int
	part Part
	pC   r3.Vec  // m
	from r3.Vec  // what a handle belongs to, m
	rot  kin.Rot // from the axes that the file gives it in to C's
	at   float64 // when the foot is where it belongs to, s
}

// track is the chosen track as the plates draw it.
type track struct {
	ok     bool
	course motion.Course
	part   motion.Part // of the sequence
	flip   bool        // the chosen leg is the mirrored one of a pair
	points []point
	pieces []piece

	empty string // why there is nothing to draw

	place document.Place // what all this was gathered for
	free  freed
	snap  Snap
	ghost before
	tools tools
}

// piece is a span of the track as the plan has it; one of the two is there.
type piece struct {
	span     int
	from, to float64 // s
	foot     *motion.FootPiece
	body     *motion.BodyPiece
}

// Speed gives how fast the foot or the body goes when the share x of the span
// has passed, m/s.
func (p *piece) Speed(x float64) float64 {
	if p.foot != nil {
		return p.foot.Speed(x)
	}
	return p.body.Speed(x)
}

// chosen gathers the control points of the chosen track for the chosen leg.
func chosen(d *document.Document, at *document.Place, t *track) {
	t.points, t.pieces = t.points[:0], t.pieces[:0]
	t.ok, t.flip, t.place, t.empty = false, false, *at, ""
	f, r := d.File(), d.Result()
	if at.Move >= len(f.Moves) {
		return
	}
	part, ok := at.MovePart(d)
	if !ok {
		t.empty = "not in the sequence: nothing to draw"
		return
	}
	t.part = part
	t.course = r.Plan.BodyAt(part.From).Start
	if at.Track < 0 {
		bodyPoints(d, at, t)
		return
	}
	if at.Track >= len(f.Moves[at.Move].Feet) {
		return
	}
	ft := &f.Moves[at.Move].Feet[at.Track]
	t.flip = r.Built.Robot.Legs[at.Leg].Name != ft.Leg
	t.ok = true
	for i := range r.Plan.Feet[at.Leg] {
		p := &r.Plan.Feet[at.Leg][i]
		if p.Source.Track != at.Track+1 || p.From < part.From-1e-9 || p.To > part.To+1e-9 {
			continue
		}
		s := p.Source.Span - 1
		t.pieces = append(t.pieces, piece{span: s, from: p.From, to: p.To, foot: p})
		if p.Hold == motion.Planted || ft.Spans[s].Hold == "planted" {
			continue
		}
		// Where the four points lie in C; what travels with the body is drawn
		// where the body is at that end of the span.
		place := func(v r3.Vec, when float64) (r3.Vec, kin.Rot) {
			if p.Hold == motion.WithBody {
				x, _ := r.Plan.BodyAt(when).Pose(when)
				return t.course.Into(x.At(v)), turned(&t.course, x.R)
			}
			return t.course.Into(v), kin.Identity
		}
		// A hair inside, so that the pose is this span's and not the next one's.
		const hair = 1e-9
		p0, r0 := place(p.Span.Path.P0, p.From)
		p1, _ := place(p.Span.Path.P1, p.From)
		p2, _ := place(p.Span.Path.P2, p.To-hair)
		p3, r3m := place(p.Span.Path.P3, p.To-hair)
		t.points = append(t.points,
			point{span: s, part: End, pC: p3, from: p3, rot: r3m, at: p.To - hair},
			point{span: s, part: Out, pC: p1, from: p0, rot: r0, at: p.From},
			point{span: s, part: In, pC: p2, from: p3, rot: r3m, at: p.To - hair},
		)
	}
}

// turned gives the rotation from the body's axes to C's.
func turned(c *motion.Course, r kin.Rot) kin.Rot {
	return kin.RPY(0, 0, -c.Yaw).Dot(r)
}

func bodyPoints(d *document.Document, at *document.Place, t *track) {
	r := d.Result()
	n := len(d.File().Moves[at.Move].Body)
	s := 0
	if t.ok = n > 0; !t.ok {
		t.empty = "the body has no span yet"
	}
	for i := range r.Plan.Body {
		p := &r.Plan.Body[i]
		if p.From < t.part.From-1e-9 || p.To > t.part.To+1e-9 {
			continue
		}
		if s >= n {
			return
		}
		b := p.Shift.Path
		t.pieces = append(t.pieces, piece{span: s, from: p.From, to: p.To, body: p})
		t.points = append(t.points,
			point{span: s, part: End, pC: b.P3, from: b.P3, rot: kin.Identity, at: p.To},
			point{span: s, part: Out, pC: b.P1, from: b.P0, rot: kin.Identity, at: p.From},
			point{span: s, part: In, pC: b.P2, from: b.P3, rot: kin.Identity, at: p.To},
		)
		s++
	}
}

// find gives the point of a span's part.
func (t *track) find(span int, part Part) (point, bool) {
	for _, p := range t.points {
		if p.span == span && p.part == part {
			return p, true
		}
	}
	return point{}, false
}

// piece gives a span of the track.
func (t *track) piece(span int) (piece, bool) {
	for i := range t.pieces {
		if t.pieces[i].span == span {
			return t.pieces[i], true
		}
	}
	return piece{}, false
}

// Value reads a control point as the file has it, mm.
func Value(f *workfile.File, at *document.Place, part Part) (v [3]float64, ok bool) {
	p := field(f, at, part, false)
	if p == nil {
		return v, false
	}
	return *p, true
}

// set writes a control point, rounded to a hundredth of a millimetre.
func set(f *workfile.File, at document.Place, part Part, v [3]float64) {
	if p := field(f, &at, part, true); p != nil {
		for i := range v {
			p[i] = math.Round(v[i]*100) / 100
			if p[i] == 0 {
				p[i] = 0 // no negative zero in the file
			}
		}
	}
}

// field finds the numbers of a control point in f. A handle left out stands
// at its end, [0, 0, 0]; with make it is written into the file.
func field(f *workfile.File, at *document.Place, part Part, make bool) *[3]float64 {
	if at.Move < 0 || at.Move >= len(f.Moves) || at.Span < 0 {
		return nil
	}
	m := &f.Moves[at.Move]
	get := func(p **[3]float64) *[3]float64 {
		if *p == nil {
			z := &[3]float64{}
			if make {
				*p = z
			}
			return z
		}
		return *p
	}
	if at.Track < 0 {
		if at.Span >= len(m.Body) {
			return nil
		}
		b := &m.Body[at.Span]
		switch part {
		case Out:
			return get(&b.ShiftOut)
		case In:
			return get(&b.ShiftIn)
		case Turn:
			return nil
		}
		return &b.Shift
	}
	if at.Track >= len(m.Feet) || at.Span >= len(m.Feet[at.Track].Spans) {
		return nil
	}
	s := &m.Feet[at.Track].Spans[at.Span]
	if s.Hold == "planted" {
		return nil
	}
	switch part {
	case Out:
		return get(&s.Out)
	case In:
		return get(&s.In)
	case Turn:
		return nil
	}
	return get(&s.End)
}

// timingOf finds the text of the chosen span's timing.
func timingOf(f *workfile.File, at *document.Place) *string {
	if at.Move < 0 || at.Move >= len(f.Moves) || at.Span < 0 {
		return nil
	}
	m := &f.Moves[at.Move]
	if at.Track < 0 {
		if at.Span >= len(m.Body) {
			return nil
		}
		return &m.Body[at.Span].Timing
	}
	if at.Track >= len(m.Feet) || at.Span >= len(m.Feet[at.Track].Spans) {
		return nil
	}
	return &m.Feet[at.Track].Spans[at.Span].Timing
}

// Timing reads the chosen span's timing.
func Timing(f *workfile.File, at *document.Place) (curve.Timing, bool) {
	s := timingOf(f, at)
	if s == nil {
		return curve.Timing{}, false
	}
	text := *s
	if text == "" {
		text = "ease-in-out"
	}
	t, err := curve.ParseTiming(text)
	return t, err == nil
}
