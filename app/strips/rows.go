// SPDX-License-Identifier: MIT

package strips

import (
	"image"

	"gioui.org/font"
	"gioui.org/io/event"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gonum.org/v1/gonum/spatial/r2"

	"gaitwright/app/control"
	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// header draws the line above the rows: what the legs' strips show, and that
// the sampling is coarse when it is.
func (w *painter) header() {
	gtx, th := w.gtx, w.th
	box := image.Rectangle{Max: image.Pt(w.size.X, w.head)}
	defer clip.Rect(box).Push(gtx.Ops).Pop()
	x0, _ := w.axis.Ends()
	head := th.Writer(look.Small, th.Dim).At(gtx, r2.Vec{X: float64(gtx.Dp(12)), Y: float64(w.head) / 2}, layout.W, "standing and loads")
	x0 = max(x0, head.Max.X+gtx.Dp(12))

	part := func(x int, lay layout.Widget) int {
		g := gtx
		g.Constraints = layout.Constraints{Max: image.Pt(max(w.size.X-x, 0), w.head)}
		m := op.Record(gtx.Ops)
		d := lay(g)
		call := m.Stop()
		defer op.Offset(image.Pt(x, (w.head-d.Size.Y)/2)).Push(gtx.Ops).Pop()
		call.Add(gtx.Ops)
		return x + d.Size.X
	}
	x := part(x0, control.Pick(th, &w.show,
		control.Option{Text: "torque and speed", Label: "torque and speed together", Hint: "what each joint takes of its servo's torque-speed line"},
		control.Option{Text: "torque", Label: "torque alone", Hint: "torque of each joint as a share of what is counted on at rest"},
		control.Option{Text: "speed", Label: "speed alone", Hint: "speed of each joint as a share of the speed without load"},
		control.Option{Text: "angle", Label: "angle of each joint", Hint: "angle of each joint as drawn, and as a robot's log has it"},
	).Layout)
	x = part(x+gtx.Dp(8), th.Label(look.Small+1, th.Dim, w.derived.shows()).Layout)
	if w.derived.coarse {
		part(x+gtx.Dp(20), th.Label(look.Small+1, th.Caution.Ink, "sampled coarsely while dragging").Layout)
	}
}

// swatch draws a piece of a line.
func (w *painter) swatch(gtx layout.Context, x, y, long, stroke int) {
	k, width := faint(w.th, strokes(w.th)[0]), ghostWidth
	switch {
	case stroke == ghostDots:
		k.Pattern = draw.Dotted
	case stroke != ghostStroke:
		k, width = strokes(w.th)[stroke], 1.4
	}
	b := &w.lines.batch
	b.Reset(image.Rect(x, y-10, x+long, y+10))
	width = max(float64(gtx.Metric.PxPerDp)*width, 1)
	b.Segment(r2.Vec{X: float64(x), Y: float64(y)}, r2.Vec{X: float64(x + long), Y: float64(y)},
		draw.Line{Width: width, Pattern: k.Pattern, Unit: width * 0.9})
	b.Paint(gtx.Ops, k.Color)
}

// rows draws the strips.
func (w *painter) rows() {
	gtx, th := w.gtx, w.th
	area := image.Rect(0, w.head, w.size.X, w.size.Y)
	defer clip.Rect(area).Push(gtx.Ops).Pop()
	event.Op(gtx.Ops, &w.area)
	semantic.LabelOp("strips").Add(gtx.Ops)
	keys := clip.Rect(area).Push(gtx.Ops)
	event.Op(gtx.Ops, &w.list)
	control.Reachable(gtx, &w.list)
	keys.Pop()
	x0, x1 := w.axis.Ends()
	for len(w.tags) < 2*len(w.Panel.rows) {
		w.tags = append(w.tags, new(tag))
	}
	for i := range w.Panel.rows {
		r := &w.Panel.rows[i]
		if !r.box.Overlaps(area) {
			continue
		}
		s := &w.derived.strips[r.strip]
		ground := th.Canvas
		draw.Rect(gtx.Ops, image.Rect(x0, r.box.Min.Y, w.size.X, r.box.Max.Y), ground)
		if s.leg >= 0 && s.leg == w.place.Leg {
			draw.Rect(gtx.Ops, image.Rect(0, r.box.Min.Y, x0, r.box.Max.Y), th.Chosen)
			draw.Rect(gtx.Ops, image.Rect(0, r.box.Min.Y, gtx.Dp(4), r.box.Max.Y), th.Accent.Fill)
		}
		w.curves(r)
		draw.Rect(gtx.Ops, image.Rect(0, r.box.Max.Y-w.hair, w.size.X, r.box.Max.Y), th.Line)
		w.name(i, r, s)
		if !r.open {
			w.worstWords(i, r, s, x0, x1)
		}
	}
	w.cursor(area)
	if gtx.Focused(&w.list) && len(w.Panel.rows) > 0 {
		draw.Frame(gtx.Ops, area, w.hair, th.Focus)
		draw.Frame(gtx.Ops, w.Panel.rows[w.at].box.Intersect(area), max(gtx.Dp(2), 1), th.Focus)
	}
	w.bar(area)
	w.hover(area)
}

// name writes what a row is, and of an open one its worst value.
func (w *painter) name(i int, r *row, s *strip) {
	gtx, th := w.gtx, w.th
	x0, _ := w.axis.Ends()
	box := image.Rect(0, r.box.Min.Y, x0-gtx.Dp(edge), r.box.Max.Y)
	area := box.Intersect(image.Rect(0, w.head, w.size.X, w.size.Y))
	defer clip.Rect(area).Push(gtx.Ops).Pop()
	event.Op(gtx.Ops, w.tags[2*i])
	w.known(2 * i)
	pointer.CursorPointer.Add(gtx.Ops)
	semantic.LabelOp("strip " + s.name).Add(gtx.Ops)
	semantic.DescriptionOp(s.says()).Add(gtx.Ops)
	semantic.Button.Add(gtx.Ops)
	semantic.SelectedOp(r.open).Add(gtx.Ops)

	line := gtx.Dp(foldedHeight)
	g, px := look.Shut, gtx.Dp(11)
	if r.open {
		g = look.Open
	}
	b := &w.lines.batch
	b.Reset(box)
	g.Add(b, float64(gtx.Dp(11)), float64(r.box.Min.Y)+float64(line)/2, float64(px))
	b.Paint(gtx.Ops, th.Dim)
	at := func(y int, l func(layout.Context) layout.Dimensions, indent int) {
		g := gtx
		x := gtx.Dp(19) + indent
		g.Constraints = layout.Constraints{Max: image.Pt(max(box.Max.X-x, 0), line*2)}
		m := op.Record(gtx.Ops)
		d := l(g)
		call := m.Stop()
		defer op.Offset(image.Pt(x, y+(line-d.Size.Y)/2)).Push(gtx.Ops).Pop()
		call.Add(gtx.Ops)
	}
	l := th.Label(look.Small+1, th.Text, s.name)
	if s.leg >= 0 && s.leg == w.place.Leg {
		l.Color, l.Font.Weight = th.Accent.Ink, font.Bold
	}
	at(r.box.Min.Y, l.Layout, 0)
	if !r.open || !s.worst.ok {
		return
	}
	step := gtx.Dp(15)
	ink := inkOf(th, s.worst.bad)
	value := s.amount(s.worst.value)
	if s.angle {
		value = "off " + value
	}
	at(r.box.Min.Y+step, th.Label(look.Small, ink, value).Layout, 0)
	at(r.box.Min.Y+2*step, th.Label(look.Small, th.Dim, "at "+draw.Number(s.worst.at, 2)+" s").Layout, 0)
}

// known makes an area known as something to click.
func (w *painter) known(i int) {
	for {
		if _, ok := w.gtx.Event(pointer.Filter{Target: w.tags[i], Kinds: pointer.Press}); !ok {
			return
		}
	}
}

// worstWords writes the worst value of a folded row beside its instant.
func (w *painter) worstWords(i int, r *row, s *strip, x0, x1 int) {
	gtx := w.gtx
	write := w.th.Writer(look.Small, inkOf(w.th, max(s.worst.bad, s.noted)))
	write.Back, write.Pad = w.th.Canvas, 0
	d, call := write.Measure(gtx, s.says())
	gap := gtx.Dp(8)
	x := x0 + gap
	if s.worst.ok { // clear of the stretch that it is in
		x = max(w.axis.Column(s.worst.at), w.axis.Column(s.until(s.worst.at))) + gap
		if x+d.Size.X > x1 {
			x = w.axis.Column(s.worst.at) + gap
		}
	}
	if x+d.Size.X > x1 {
		x = max(w.axis.Column(s.worst.at)-gap-d.Size.X, x0)
		if !s.worst.ok || !w.axis.Shows(s.worst.at) {
			x = x1 - d.Size.X
		}
	}
	at := image.Pt(x, r.box.Min.Y+(r.box.Dy()-w.hair-d.Size.Y)/2)
	r.worst = image.Rect(x-gap/2, r.box.Min.Y, x+d.Size.X, r.box.Max.Y)
	defer clip.Rect(r.worst.Intersect(image.Rect(x0-gap, w.head, w.size.X, w.size.Y))).Push(gtx.Ops).Pop()
	if s.worst.ok {
		event.Op(gtx.Ops, w.tags[2*i+1])
		w.known(2*i + 1)
		pointer.CursorPointer.Add(gtx.Ops)
		semantic.LabelOp(s.name + " " + s.says()).Add(gtx.Ops)
		semantic.Button.Add(gtx.Ops)
	}
	draw.Rect(gtx.Ops, image.Rectangle{Min: at, Max: at.Add(d.Size)}.Inset(-gtx.Dp(2)), w.th.Canvas)
	defer op.Offset(at).Push(gtx.Ops).Pop()
	call.Add(gtx.Ops)
}

// cursor draws the present time.
func (w *painter) cursor(area image.Rectangle) {
	if !w.axis.Shows(w.place.Time) {
		return
	}
	wide := max(w.gtx.Dp(1.5), 1)
	x := w.axis.Column(w.place.Time) - wide/2
	low := w.low(area)
	draw.Rect(w.gtx.Ops, image.Rect(x-w.hair, area.Min.Y, x+wide+w.hair, low), w.th.Canvas)
	draw.Rect(w.gtx.Ops, image.Rect(x, area.Min.Y, x+wide, low), w.th.Text)
}

// low is where lines through all rows end, px.
func (w *painter) low(area image.Rectangle) int {
	if n := len(w.Panel.rows); n > 0 {
		return min(area.Max.Y, w.Panel.rows[n-1].box.Max.Y)
	}
	return area.Max.Y
}

// bar shows how much of the rows is seen.
func (w *painter) bar(area image.Rectangle) {
	if !w.overflow(w.size.Y) || w.length == 0 {
		return
	}
	h := area.Dy()
	y := area.Min.Y + h*w.scroll/w.length
	x := w.size.X - w.gtx.Dp(2)
	draw.Rect(w.gtx.Ops, image.Rect(x, y, w.size.X, y+h*h/w.length), w.th.Edge)
}
