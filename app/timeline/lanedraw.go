// SPDX-License-Identifier: MIT

package timeline

import (
	"image"
	"math"

	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gonum.org/v1/gonum/spatial/r2"

	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/app/plate"
	"gaitwright/motion"
)

// ruler draws round instants, with numbers.
func (w *painter) ruler() {
	g, gtx, th := &w.lanes, w.gtx, w.th
	perPx := (w.axis.to - w.axis.from) / float64(max(g.x1-g.x0, 1))
	step := plate.Round(float64(gtx.Dp(tickGap)) * perPx)
	parts := 5.0
	if k := step / math.Pow10(int(math.Floor(math.Log10(step)+1e-9))); math.Round(k) == 2 {
		parts = 4
	}
	y := g.ruler.Max.Y
	for _, t := range plate.Ticks(w.axis.from, w.axis.to, step/parts) {
		w.upright(t, y-gtx.Dp(3), y, th.Edge)
	}
	write := th.Writer(look.Small, th.Dim)
	digits := plate.Decimals(step)
	for _, t := range plate.Ticks(w.axis.from, w.axis.to, step) {
		w.upright(t, y-gtx.Dp(6), y, th.Edge)
		write.At(gtx, r2.Vec{X: float64(w.axis.column(t)), Y: float64(y - gtx.Dp(5))}, layout.S, draw.Number(t, digits))
	}
}

// entries draws the entries of the sequence, moves with a bar below and in
// strong letters.
func (w *painter) entries(t *motion.Trajectory) {
	g, gtx, th := &w.lanes, w.gtx, w.th
	now := t.PartAt(w.at.Time)
	for i := range t.Parts {
		part := &t.Parts[i]
		if part.To <= w.axis.from || part.From >= w.axis.to {
			continue
		}
		box := image.Rect(w.axis.column(part.From), g.entries.Min.Y+w.hair, w.axis.column(part.To), g.entries.Max.Y-w.hair)
		if part.From > w.axis.from {
			box.Min.X += w.hair
		}
		if box.Empty() {
			continue
		}
		tint, ink := look.Mix(th.Canvas, th.Text, 0.055+0.05*float64(i%2)), th.Dim
		if part.Kind == "move" {
			tint, ink = th.Accent.Wash, th.Accent.Ink
		}
		draw.Rect(gtx.Ops, box, tint)
		if part.Kind == "move" {
			draw.Rect(gtx.Ops, image.Rect(box.Min.X, box.Max.Y-gtx.Dp(2), box.Max.X, box.Max.Y), th.Accent.Fill)
		}
		if i == now {
			ink = th.Text
		}
		l := th.Label(look.Small+1, ink, part.Name)
		if part.Kind == "move" {
			l.Font.Weight = font.Bold
		}
		w.fit(box, l.Layout)
	}
}

// fit lays a text out in a box, at its left and in the middle of its height,
// when there is room for some letters.
func (w *painter) fit(box image.Rectangle, text layout.Widget) {
	gtx := w.gtx
	pad := gtx.Dp(6)
	room := box.Dx() - 2*pad
	if room < gtx.Dp(18) {
		return
	}
	gtx.Constraints = layout.Constraints{Max: image.Pt(room, box.Dy()*2)}
	m := op.Record(gtx.Ops)
	d := text(gtx)
	call := m.Stop()
	defer clip.Rect(box).Push(gtx.Ops).Pop()
	defer op.Offset(image.Pt(box.Min.X+pad, box.Min.Y+(box.Dy()-d.Size.Y)/2)).Push(gtx.Ops).Pop()
	call.Add(gtx.Ops)
}

// markFlags draws the marks of moves as pennants, with names where they fit.
func (w *painter) markFlags() {
	marks := w.derived.marks
	if len(marks) == 0 {
		return
	}
	g, gtx, th := &w.lanes, w.gtx, w.th
	w.flags.Reset(image.Rectangle{Max: g.size})
	write := th.Writer(look.Small, th.Dim)
	top, h := float64(g.marks.Min.Y+gtx.Dp(3)), float64(gtx.Dp(8))
	y := float64(g.marks.Min.Y+g.marks.Max.Y) / 2
	for i, m := range marks {
		if !w.axis.shows(m.At) {
			continue
		}
		x := w.axis.column(m.At)
		next := g.size.X
		if i+1 < len(marks) {
			next = min(next, int(w.axis.px(marks[i+1].At)))
		}
		fx := float64(x)
		w.flags.Polygon(r2.Vec{X: fx, Y: top}, r2.Vec{X: fx + h, Y: top + h/2}, r2.Vec{X: fx, Y: top + h})
		right := x + int(h)
		if next-x > gtx.Dp(24) { // else no name fits, and none need be shaped
			d, call := write.Measure(gtx, m.Name)
			if at := x + int(h) + gtx.Dp(3); at+d.Size.X+gtx.Dp(4) <= next {
				o := op.Offset(image.Pt(at, int(y)-d.Size.Y/2)).Push(gtx.Ops)
				call.Add(gtx.Ops)
				o.Pop()
				right = at + d.Size.X
			}
		}
		w.spots = append(w.spots, spot{markSpot, i, -1, image.Rect(x-gtx.Dp(4), g.marks.Min.Y, right+gtx.Dp(2), g.marks.Max.Y), x, 1})
	}
	w.flags.Paint(gtx.Ops, th.Dim)
}

// names writes what each lane is, and the legs.
func (w *painter) names() {
	g, gtx, th := &w.lanes, w.gtx, w.th
	left := gtx.Dp(namesPad)
	cell := func(lane image.Rectangle) image.Rectangle {
		return image.Rect(left-gtx.Dp(6), lane.Min.Y, g.x0-gtx.Dp(edge), lane.Max.Y)
	}
	for _, n := range [...]struct {
		lane image.Rectangle
		name string
	}{{g.ruler, "time, s"}, {g.entries, "sequence"}, {g.marks, "marks"}, {g.findings, "findings"}} {
		w.fit(cell(n.lane), th.Label(look.Small, th.Dim, n.name).Layout)
	}
	defer clip.Rect(g.rows).Push(gtx.Ops).Pop()
	for i, name := range w.derived.legs {
		row := g.leg(i)
		if !row.Overlaps(g.rows) {
			continue
		}
		l := th.Label(look.Small+1, th.Text, name)
		if i == w.at.Leg {
			l.Color, l.Font.Weight = th.Accent.Ink, font.Bold
			draw.Rect(gtx.Ops, image.Rect(0, row.Min.Y, gtx.Dp(4), row.Max.Y), th.Accent.Fill)
		}
		w.fit(cell(row), l.Layout)
		w.spots = append(w.spots, spot{legSpot, i, i, image.Rect(0, row.Min.Y, g.x0-gtx.Dp(edge), row.Max.Y).Intersect(g.rows), 0, 1})
	}
	if over := g.overflow(); over > 0 { // how much of the rows shows
		h := g.rows.Dy()
		long := h * h / (h + over)
		y := g.rows.Min.Y + (h-long)*g.scroll/over
		x := g.size.X - gtx.Dp(6)
		draw.Rect(gtx.Ops, image.Rect(x, y, x+gtx.Dp(3), y+long), th.Edge)
	}
}
