// SPDX-License-Identifier: MIT

package timeline

import (
	"image"
	"image/color"
	"math"

	"gioui.org/font"
	"gioui.org/io/event"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"
	"gonum.org/v1/gonum/spatial/r2"

	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/app/plate"
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
		thin := max(g.row/12, w.hair)
		mid := row.Min.Y + (g.row-thin)/2
		draw.Rect(gtx.Ops, image.Rect(begin, mid, end, mid+thin), ink)
		w.axis.bars(runs, func(x0, x1 int) {
			draw.Rect(gtx.Ops, image.Rect(x0, y, x1, y+thick), ink)
		})
	}
}

// intervals draws when there are findings as lines upon y: a caution thin, a
// stop thicker.
func (w *painter) intervals(levels [levels][]stretch, y int) {
	for l, in := range levels {
		h := w.gtx.Dp(unit.Dp(1.5 + 1.5*float32(l)))
		w.axis.bars(in, func(x0, x1 int) {
			draw.Rect(w.gtx.Ops, image.Rect(x0, y-h, x1, y), w.tone(l).Fill)
		})
	}
}

// tone gives the colours of a level, sign its glyph.
func (w *painter) tone(level int) look.Tone {
	if level == levels-1 {
		return w.th.Stop
	}
	return w.th.Caution
}

func sign(level int) look.Glyph {
	if level == levels-1 {
		return look.Halt
	}
	return look.Warning
}

// signs draws the glyphs of the findings of a leg, or of all for row -1, px
// large about the height y. A crowd is drawn as one: the first stop in it,
// else the first caution. The chosen finding is drawn besides, above the
// others, so that choosing moves none of them.
func (w *painter) signs(row, y, px int, ground color.NRGBA) {
	near := w.gtx.Dp(crowd)
	w.taken = w.taken[:0]
	w.beginSigns()
	seen := w.derived.within(w.axis)
	for l := levels - 1; l >= 0; l-- {
		for _, i := range seen {
			f := &w.derived.findings[i]
			if levelOf(f) != l || row >= 0 && f.Leg != row && f.Other != row {
				continue
			}
			x := w.axis.column(f.Worst)
			if _, ok := w.crowdAt(x, near); ok {
				continue
			}
			w.taken = append(w.taken, x)
			if i != w.at.Finding {
				w.sign(i, row, y, px, x)
			}
		}
	}
	w.endSigns(ground)

	i := w.at.Finding
	if i < 0 || i >= len(w.derived.findings) || !w.axis.shows(w.derived.findings[i].Worst) {
		return
	}
	f := &w.derived.findings[i]
	if row >= 0 && f.Leg != row && f.Other != row {
		return
	}
	w.beginSigns()
	heart, _ := w.crowdAt(w.axis.column(f.Worst), near)
	box := w.sign(i, row, y, px, heart)
	if row < 0 {
		draw.Rect(w.gtx.Ops, box, ground)
		draw.Frame(w.gtx.Ops, box, w.hair, w.th.Text)
	}
	w.endSigns(ground)
}

func (w *painter) beginSigns() {
	view := image.Rectangle{Max: w.lanes.size}
	w.flags.Reset(view)
	for l := range levels {
		w.glyphs[l].Reset(view)
	}
}

func (w *painter) endSigns(ground color.NRGBA) {
	w.flags.Paint(w.gtx.Ops, ground)
	for l := range levels {
		w.glyphs[l].Paint(w.gtx.Ops, w.tone(l).Ink)
	}
}

// sign puts the glyph of finding i into a row and makes a spot of it, which
// stands for the crowd at heart, px. Where something is behind it, a bar or
// the cursor, a rim keeps the glyph apart.
func (w *painter) sign(i, row, y, px, heart int) image.Rectangle {
	f := &w.derived.findings[i]
	x := w.axis.column(f.Worst)
	box := image.Rect(x-px/2, y-px/2, x-px/2+px, y-px/2+px).Inset(-w.gtx.Dp(1))
	w.spots = append(w.spots, spot{findingSpot, i, row, box, heart})
	l, fx, fy := levelOf(f), float64(x), float64(y)
	if now := w.axis.column(w.at.Time); row >= 0 || i == w.at.Finding || max(x-now, now-x) < px {
		halo(&w.flags, l, fx, fy, float64(px), float64(w.hair))
	}
	sign(l).Add(&w.glyphs[l], fx, fy, float64(px))
	return box
}

// crowdAt gives the glyph in the lane that is less than near from x, px. Only
// one a crowd is kept, so that there are few to look through.
func (p *Panel) crowdAt(x, near int) (heart int, ok bool) {
	for _, k := range p.taken {
		if max(x-k, k-x) < near {
			return k, true
		}
	}
	return x, false
}

// halo adds the outer shape of a level's glyph, wider by rim, px.
func halo(b *draw.Batch, level int, x, y, size, rim float64) {
	if sign(level) == look.Halt {
		b.Disc(r2.Vec{X: x, Y: y}, size*0.47+rim)
		return
	}
	b.Triangle(r2.Vec{X: x, Y: y + size*0.125}, size*0.53+2*rim, -math.Pi/2)
}

// findingRows draws the findings in the rows of their legs.
func (w *painter) findingRows() {
	g := &w.lanes
	defer w.drawingArea(g.rows).Push(w.gtx.Ops).Pop()
	for i := range w.derived.legs {
		if row := g.leg(i); row.Overlaps(g.rows) {
			w.rowFindings(i, row)
		}
	}
}

// drawingArea is the part of some lanes that is right of the names.
func (w *painter) drawingArea(r image.Rectangle) clip.Rect {
	r.Min.X = w.lanes.x0 - w.gtx.Dp(edge)
	return clip.Rect(r)
}

// rowFindings draws the findings of a leg in its row.
func (w *painter) rowFindings(leg int, row image.Rectangle) {
	in := &w.derived.rows[leg]
	if len(in[0])+len(in[1]) == 0 {
		return
	}
	ground := w.th.Canvas
	if leg == w.at.Leg {
		ground = w.th.Chosen
	}
	px := max(min(w.gtx.Dp(signSize), w.lanes.row-w.gtx.Dp(3)), 3)
	y := (row.Min.Y+row.Max.Y)/2 - w.gtx.Dp(1)
	w.signs(leg, y, px, ground)
	w.intervals(*in, y+px/2+w.gtx.Dp(1.5))
}

// findingLane draws the findings of all legs.
func (w *painter) findingLane() {
	if len(w.derived.findings) == 0 {
		return
	}
	g := &w.lanes
	defer w.drawingArea(g.findings).Push(w.gtx.Ops).Pop()
	w.signs(-1, (g.findings.Min.Y+g.findings.Max.Y)/2-w.gtx.Dp(1), w.gtx.Dp(signSize), w.th.Canvas)
	w.intervals(w.derived.lane, g.findings.Max.Y-w.hair)
}

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
		w.spots = append(w.spots, spot{markSpot, i, -1, image.Rect(x-gtx.Dp(4), g.marks.Min.Y, right+gtx.Dp(2), g.marks.Max.Y), x})
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
		w.spots = append(w.spots, spot{legSpot, i, i, image.Rect(0, row.Min.Y, g.x0-gtx.Dp(edge), row.Max.Y).Intersect(g.rows), 0})
	}
	if over := g.overflow(); over > 0 { // how much of the rows shows
		h := g.rows.Dy()
		long := h * h / (h + over)
		y := g.rows.Min.Y + (h-long)*g.scroll/over
		x := g.size.X - gtx.Dp(6)
		draw.Rect(gtx.Ops, image.Rect(x, y, x+gtx.Dp(3), y+long), th.Edge)
	}
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
	}
	return ""
}
