// SPDX-License-Identifier: MIT

package timeline

import (
	"image"
	"image/color"

	"gioui.org/io/event"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op/clip"
	"gioui.org/unit"
	"gonum.org/v1/gonum/spatial/r2"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/motion"
)

// Sizes on the canvas.
const (
	tickGap  unit.Dp = 84 // least distance of numbers on the ruler
	namesPad unit.Dp = 12
	signSize unit.Dp = 13 // glyph of a finding; smaller in a low row
	crowd    unit.Dp = 10 // glyphs closer than this are drawn as one
)

// painter draws one frame of the canvas.
type painter struct {
	*Panel
	gtx  layout.Context
	th   *look.Theme
	d    *document.Document
	at   *document.Place
	axis axis
	hair int // px
}

func (p *Panel) drawCanvas(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) {
	size := gtx.Constraints.Max
	p.lanes = arrange(gtx, size, len(p.derived.legs), p.scroll)
	p.scroll = p.lanes.scroll
	p.spots = p.spots[:0]
	t := d.Result().Trajectory
	w := painter{
		Panel: p, gtx: gtx, th: th, d: d, at: at,
		axis: p.axis(t.Duration()), hair: max(gtx.Dp(1), 1),
	}

	defer clip.Rect{Max: size}.Push(gtx.Ops).Pop()
	event.Op(gtx.Ops, &p.canvas)
	control.Reachable(gtx, &p.canvas)
	semantic.LabelOp("timeline").Add(gtx.Ops)

	w.grounds(t)
	w.legRows(t)
	w.ruler()
	w.entries(t)
	w.markFlags()
	w.names()
	w.cursor()
	// Above the cursor, which stands on the finding that is chosen.
	w.findingRows()
	w.findingLane()
	w.flagLane()
	w.declare()
	if gtx.Focused(&p.canvas) {
		draw.Frame(gtx.Ops, image.Rectangle{Max: size}, max(gtx.Dp(2), 1), th.Focus)
	}
	w.hover()
}

// grounds fills what lies below everything: the drawing area, the chosen row,
// and lines at the seams of the sequence and at the marks.
func (w *painter) grounds(t *motion.Trajectory) {
	g, ops, th := &w.lanes, w.gtx.Ops, w.th
	draw.Rect(ops, image.Rect(g.x0, g.ruler.Max.Y, g.size.X, g.size.Y), th.Canvas)
	if row := g.leg(w.at.Leg).Intersect(g.rows); !row.Empty() {
		draw.Rect(ops, row, th.Chosen)
	}
	for i := range t.Parts {
		if at := t.Parts[i].From; i > 0 && w.axis.shows(at) {
			w.upright(at, g.entries.Min.Y, g.bottom(), th.GridStrong)
		}
	}
	for _, m := range w.derived.marks {
		if w.axis.shows(m.At) {
			w.upright(m.At, g.marks.Min.Y, g.bottom(), th.Line)
		}
	}
	draw.Rect(ops, image.Rect(0, 0, g.size.X, w.hair), th.Line)
	draw.Rect(ops, image.Rect(0, g.rows.Min.Y-w.hair, g.size.X, g.rows.Min.Y), th.Line)
}

func (w *painter) upright(t float64, y0, y1 int, c color.NRGBA) {
	x := w.axis.column(t)
	draw.Rect(w.gtx.Ops, image.Rect(x, y0, x+w.hair, y1), c)
}

// legRows draws stance and swing of each leg.
func (w *painter) legRows(t *motion.Trajectory) {
	g, gtx, th := &w.lanes, w.gtx, w.th
	defer w.drawingArea(g.rows).Push(gtx.Ops).Pop()
	begin, end := w.axis.column(0), w.axis.column(t.Duration())
	for i, runs := range w.derived.stance {
		row := g.leg(i)
		if !row.Overlaps(g.rows) {
			continue
		}
		ink := look.Mix(th.Canvas, th.RobotFar, 0.82)
		if i == w.at.Leg {
			ink = th.Accent.Fill
		}
		thick := max(g.row*11/20, 3)
		y := row.Min.Y + (g.row-thick)/2
		if w.measured.has(i) {
			y, thick, _, _ = halves(g.row)
			y += row.Min.Y
		}
		thin := max(g.row/12, w.hair)
		mid := y + (thick-thin)/2
		draw.Rect(gtx.Ops, image.Rect(begin, mid, end, mid+thin), ink)
		w.axis.bars(runs, func(x0, x1 int) {
			draw.Rect(gtx.Ops, image.Rect(x0, y, x1, y+thick), ink)
		})
		if w.measured.has(i) {
			w.rowMeasured(i, row)
		}
	}
}

// drawingArea is the part of some lanes that is right of the names.
func (w *painter) drawingArea(r image.Rectangle) clip.Rect {
	r.Min.X = w.lanes.x0 - w.gtx.Dp(edge)
	return clip.Rect(r)
}

// cursor draws the present time over all lanes.
func (w *painter) cursor() {
	if !w.axis.shows(w.at.Time) {
		return
	}
	g, gtx, th := &w.lanes, w.gtx, w.th
	x := w.axis.column(w.at.Time)
	wide := max(gtx.Dp(1.5), 1)
	x0 := x - wide/2
	y0, y1 := g.ruler.Max.Y-gtx.Dp(9), g.bottom()
	draw.Rect(gtx.Ops, image.Rect(x0-w.hair, g.entries.Min.Y, x0+wide+w.hair, y1), th.Canvas)
	draw.Rect(gtx.Ops, image.Rect(x0, y0, x0+wide, y1), th.Text)
	mid, half := float64(x0)+float64(wide)/2, float64(gtx.Dp(5))
	top, low := float64(y0), float64(g.ruler.Max.Y)
	w.flags.Reset(image.Rectangle{Max: g.size})
	w.flags.Polygon(
		r2.Vec{X: mid - half, Y: top}, r2.Vec{X: mid + half, Y: top},
		r2.Vec{X: mid + half, Y: low - half}, r2.Vec{X: mid, Y: low}, r2.Vec{X: mid - half, Y: low - half},
	)
	w.flags.Paint(gtx.Ops, th.Text)
}

// declare gives every spot an area with its words. The canvas answers for
// them; the areas are there for those who look for the words.
func (w *painter) declare() {
	gtx := w.gtx
	for len(w.tags) < len(w.spots) {
		w.tags = append(w.tags, new(tag))
	}
	w.tags = w.tags[:len(w.spots)]
	for i, s := range w.spots {
		area := clip.Rect(s.box).Push(gtx.Ops)
		event.Op(gtx.Ops, w.tags[i])
		for { // asking for presses makes it known as something to click
			if _, ok := gtx.Event(pointer.Filter{Target: w.tags[i], Kinds: pointer.Press}); !ok {
				break
			}
		}
		pointer.CursorPointer.Add(gtx.Ops)
		semantic.LabelOp(w.words(s)).Add(gtx.Ops)
		switch s.kind {
		case legSpot:
			semantic.RadioButton.Add(gtx.Ops)
			semantic.SelectedOp(s.index == w.at.Leg).Add(gtx.Ops)
		case findingSpot:
			semantic.Button.Add(gtx.Ops)
			semantic.SelectedOp(s.index == w.at.Finding).Add(gtx.Ops)
		default:
			semantic.Button.Add(gtx.Ops)
		}
		area.Pop()
	}
}

// words names a spot.
func (p *Panel) words(s spot) string {
	switch s.kind {
	case legSpot:
		return p.derived.legs[s.index]
	case markSpot:
		return p.derived.marks[s.index].Name
	case findingSpot:
		return p.derived.texts[s.index]
	case stepSpot:
		return p.stepWords(s.index)
	}
	return ""
}
