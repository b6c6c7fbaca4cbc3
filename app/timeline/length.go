// SPDX-License-Identifier: MIT

package timeline

import (
	"fmt"
	"image"
	"math"
	"strings"

	"gioui.org/f32"
	"gioui.org/io/pointer"
	"gioui.org/layout"
	"gioui.org/op/clip"

	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/motion/workfile/edit"
)

// stretching is a drag of the right end of an entry, which changes its length.
type stretching struct {
	entry int
	grip  document.Grip
	axis  axis // when it began: the motion's length changes under the hand
	press float32
	moved bool
	by    float64 // how much longer, s
}

// endAt gives the entry whose right end is under a point of the row of the
// sequence, and the pixel of that end: none where the file does not say how
// long the entry lasts.
func (p *Panel) endAt(gtx layout.Context, q f32.Point, d *document.Document) (entry, x int, ok bool) {
	at := q.Round()
	if d.Showing() || at.X < p.lanes.x0 || !at.In(p.lanes.entries) {
		return 0, 0, false
	}
	t := d.Result().Trajectory
	a := p.axis(t.Duration())
	best := float64(gtx.Dp(endReach))
	for i := range t.Parts {
		q := &t.Parts[i]
		if !a.shows(q.To) || !edit.Stretchable(d.File(), q.Index) {
			continue
		}
		px := a.px(q.To)
		if off := math.Abs(px - float64(at.X)); off <= best {
			best, entry, x, ok = off, q.Index, a.column(q.To), true
		}
	}
	return entry, x, ok
}

// holdEnd begins a drag of the end of an entry, and goes into the entry.
func (p *Panel) holdEnd(entry int, q f32.Point, d *document.Document, at *document.Place) {
	t := d.Result().Trajectory
	p.grip = endGrip
	p.length = stretching{entry: entry, axis: p.axis(t.Duration()), press: q.X}
	p.length.grip.Take()
	at.Playing = false
	for i := range t.Parts {
		if part := &t.Parts[i]; part.Index == entry && (at.Time < part.From || at.Time >= part.To) {
			at.GoTo(d, part.From)
		}
	}
}

// dragEnd moves the end that is held.
func (p *Panel) dragEnd(gtx layout.Context, q f32.Point) {
	s := &p.length
	s.moved = s.moved || abs(q.X-s.press) > float32(gtx.Dp(dragReach))
	if s.moved {
		s.by = s.axis.time(float64(q.X)) - s.axis.time(float64(s.press))
		s.grip.Ask()
	}
}

// applyEnd takes what the drag asks for: once a frame, however many events
// came.
func (p *Panel) applyEnd(d *document.Document) {
	if s := &p.length; s.grip.Due(d) {
		d.Drag("change the length of an entry", edit.Stretching(s.entry, s.by))
	}
}

// letGoEnd ends the drag and makes it one undo step.
func (p *Panel) letGoEnd(d *document.Document) {
	if p.length.grip.Held() {
		p.applyEnd(d)
		p.length.grip.Let()
		d.Drop()
	}
}

// tellEnd marks the end of an entry under the pointer, or the one held, and
// says how long the entry is.
func (w *painter) tellEnd() bool {
	held := w.grip == endGrip
	entry, x, ok := w.length.entry, 0, held
	if !held {
		entry, x, ok = w.endAt(w.gtx, w.mouse, w.d)
	}
	t := w.d.Result().Trajectory
	if !ok || entry >= len(w.d.File().Sequence) {
		return false
	}
	for i := range t.Parts {
		if t.Parts[i].Index == entry {
			x = w.axis.column(t.Parts[i].To)
		}
	}
	g := &w.lanes
	wide := max(w.gtx.Dp(3), 2)
	box := image.Rect(x-wide/2, g.entries.Min.Y, x-wide/2+wide, g.entries.Max.Y)
	draw.Rect(w.gtx.Ops, box, w.th.Accent.Ink)
	area := clip.Rect(g.entries).Push(w.gtx.Ops)
	pointer.CursorColResize.Add(w.gtx.Ops)
	area.Pop()
	text := endWords(w.d, entry)
	if !held {
		text += " (drag this end to change it)"
	}
	w.card(spot{box: g.entries, x: int(w.mouse.X)}, text)
	return true
}

// endWords says how long an entry is in its own measure, and in time.
func endWords(d *document.Document, entry int) string {
	e := &d.File().Sequence[entry]
	t := d.Result().Trajectory
	name, span := e.Kind, ""
	for i := range t.Parts {
		if t.Parts[i].Index == entry {
			name, span = t.Parts[i].Name, draw.Number(t.Parts[i].To-t.Parts[i].From, 2)+" s"
		}
	}
	measure := ""
	switch {
	case e.Cycles != nil:
		measure = strings.TrimSuffix(strings.TrimRight(draw.Number(*e.Cycles, 2), "0"), ".") + " cycles, "
	case e.Kind == "move" && e.Speed != nil:
		measure = draw.Number(*e.Speed, 2) + " × the speed, "
	}
	return fmt.Sprintf("%s: %s%s", name, measure, span)
}
