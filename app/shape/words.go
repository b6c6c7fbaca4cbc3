// SPDX-License-Identifier: MIT

package shape

import (
	"image"
	"strconv"

	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op/clip"
	"gonum.org/v1/gonum/spatial/r2"

	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/app/plate"
)

// shows gives which two of x, y and z a plate shows.
func (s Side) shows() [2]int {
	switch s {
	case FromAbove:
		return [2]int{0, 1}
	case FromFront:
		return [2]int{1, 2}
	}
	return [2]int{0, 2}
}

// words writes the title, the axes, the scale and the numbers of the chosen
// point.
func (w *drawing) words(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place, t *track, part Part, step, px float64) {
	small := draw.Text{Shaper: th.Shaper, Size: look.Small, Color: th.Dim}
	size := w.view.Size
	h, v := w.side.axes()
	axes := small.At(gtx, r2.Vec{X: float64(size.X) - 6*px, Y: 5 * px}, layout.NE, h+" →  "+v+" ↑")
	small.At(gtx, r2.Vec{X: 6 * px, Y: 5 * px}, layout.NW, small.Fitting(gtx, axes.Min.X-gtx.Dp(12), w.title(), w.side.String()))
	mm := draw.Number(step*1000, plate.Decimals(step*1000))
	room := size.X - gtx.Dp(12)
	if w.first {
		room -= gtx.Dp(toolsRoom)
	}
	foot := []string{mm + " mm grid"}
	if t.ok && w.region.shown && w.region.edge.Len() > 0 {
		foot = []string{foot[0] + ", shaded: within reach of " + d.Result().Built.Robot.Legs[at.Leg].Name, foot[0]}
	}
	if p, ok := w.hovered(gtx, d, t, at, part); ok {
		foot = w.about(p, t.joint(d, p.span).kind)
	}
	small.At(gtx, r2.Vec{X: 6 * px, Y: float64(size.Y) - 5*px}, layout.SW, small.Fitting(gtx, room, foot...))
	if !t.ok {
		small.At(gtx, r2.Vec{X: float64(size.X) / 2, Y: float64(size.Y) / 2}, layout.Center, t.empty)
		return
	}
	q, text, ok := w.reading(gtx, d, at, t, part)
	if !ok {
		return
	}
	label := small
	label.Color, label.Back, label.Pad = th.Text, th.Canvas, gtx.Dp(1)
	anchor, off := layout.W, r2.Vec{X: 10 * px, Y: -15 * px}
	turns := at.Track < 0 && part != Turn && q.X > 120*px // the handle for that is on the right of the body
	if q.X > float64(size.X)*0.6 || turns {

		anchor, off.X = layout.E, -10*px
	}
	p := r2.Add(q, off)
	if in := 29 * px; q.Y > 0 && q.Y < float64(size.Y) { // clear of the titles and the scale
		p.Y = max(in, min(p.Y, float64(size.Y)-in))
	}
	label.At(gtx, p, anchor, text)
	if !w.grip.Held() || !d.Dragging() {
		return
	}
	// In the drag, below: what it is caught on and what it asks of the joints.
	line := 15 * px
	if w.caught != "" {
		p.Y += line
		note := label
		note.Color = th.Accent.Ink
		spoken(gtx, note.At(gtx, p, anchor, "on "+w.caught), "caught on "+w.caught)
	}
	if e := t.effort(d, at); e.ok && w.alone { // else the timing says it
		p.Y += line
		note := label
		note.Color = e.ink(th)
		note.At(gtx, p, anchor, e.short)
	}
}

// hovered gives the control point under the pointer while nothing is dragged.
func (w *drawing) hovered(gtx layout.Context, d *document.Document, t *track, at *document.Place, part Part) (point, bool) {
	if !w.over || !t.ok || w.grip.Held() {
		return point{}, false
	}
	return w.pick(gtx, d, t, at, part, vec(w.mouse))
}

// about says what a control point is, in more and in fewer words.
func (w *drawing) about(p point, kind bend) []string {
	name := p.part.String() + " of span " + strconv.Itoa(p.span+1)
	switch {
	case p.part == Turn:
		return []string{"turns the body: " + leanNames[w.side.axis()]}
	case p.part == End && kind == smooth:
		return []string{name + ": smooth; S sets its handles free", name + ": smooth", "smooth"}
	case p.part == End && kind == corner:
		return []string{name + ": corner; S makes it smooth", name + ": corner", "corner"}
	}
	return []string{name, p.part.String()}
}

// spoken names a text for the semantic tree.
func spoken(gtx layout.Context, box image.Rectangle, words string) {
	defer clip.Rect(box).Push(gtx.Ops).Pop()
	semantic.LabelOp(words).Add(gtx.Ops)
}

// reading gives the numbers of the chosen point and where it is drawn.
func (w *drawing) reading(gtx layout.Context, d *document.Document, at *document.Place, t *track, part Part) (q r2.Vec, text string, ok bool) {
	if part == Turn {
		turn, ok := w.turning(gtx, d, at, t)
		if !ok {
			return q, "", false
		}
		return turn.at, leanNames[turn.axis] + " " + draw.Number(turn.lean[turn.axis], 1) + "°", true
	}
	p, ok := t.find(at.Span, part)
	if !ok {
		return q, "", false
	}
	val, ok := Value(d.File(), at, part)
	if !ok {
		return q, "", false
	}
	h, v := w.side.axes()
	i := w.side.shows()
	return w.view.Px(w.side.flat(p.pC)), h + " " + draw.Number(val[i[0]], 1) + "  " + v + " " + draw.Number(val[i[1]], 1), true
}

// guides draws thin lines from what the dragged point was caught on.
func (w *drawing) guides(th *look.Theme, at *document.Place, t *track, part Part, sh *draw.Sheet, px float64) {
	p, ok := t.find(at.Span, part)
	if !ok || !w.grip.Held() {
		return
	}
	c := w.view.Px(w.side.flat(p.pC))
	line := draw.Line{Width: px, Pattern: draw.Dashed, Unit: px}
	for _, m := range w.guide {
		if m == nil {
			continue
		}
		ink := sh.In(th.Accent.Ink)
		if m.flat {
			ink.Segment(r2.Vec{X: 0, Y: c.Y}, r2.Vec{X: float64(w.view.Size.X), Y: c.Y}, line)
			continue
		}
		q := w.view.Px(w.side.flat(m.pC))
		ink.Segment(q, c, line)
		ink.Plus(q, 4*px, px)
	}
}
