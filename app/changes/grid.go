// SPDX-License-Identifier: MIT

package changes

import (
	"image"
	"image/color"
	"math"

	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/plot/palette/moreland"

	"gaitwright/app/control"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/motion/sweep"
)

// grid is the drawing of the cells. Its address is the tag of its events.
type grid struct {
	cells  image.Rectangle // where the rows show, px
	row    int             // height, px
	scroll int             // of the first row above the cells, px
	over   bool            // the pointer is over a cell
	at     [2]int          // the cell under the pointer: row, column
	down   bool            // pressed there
	reveal bool            // the chosen row is to come into view

	shown  *sweep.Result // that lo, hi and worst are of
	lo, hi float64       // m
	worst  []sweep.Worst // of the rows
	shades []color.NRGBA
	sheet  draw.Sheet
}

// Sizes of the grid.
const (
	rowHeight  unit.Dp = 22
	headHeight unit.Dp = 22
	axisHeight unit.Dp = 18
)

// The columns of the summary behind the cells.
var summary = [...]struct {
	head  string
	width unit.Dp
}{{"smallest", 80}, {"asked at", 62}, {"stops", 52}}

const shades = 128

// derive keeps what does not change from frame to frame.
func (g *grid) derive(r *sweep.Result) {
	if g.shown == r {
		return
	}
	g.shown, g.worst = r, g.worst[:0]
	g.lo, g.hi = math.Inf(1), math.Inf(-1)
	for i := range r.Rows {
		g.worst = append(g.worst, r.Rows[i].Worst())
		for k := range r.Rows[i].Cells {
			if v := r.Rows[i].Cells[k].Dynamic; !math.IsNaN(v) && !math.IsInf(v, 0) {
				g.lo, g.hi = min(g.lo, v), max(g.hi, v)
			}
		}
	}
	switch {
	case g.lo > g.hi:
		g.lo, g.hi = 0, 0.001
	case g.hi-g.lo < 0.001:
		mid := (g.lo + g.hi) / 2
		g.lo, g.hi = mid-0.0005, mid+0.0005
	}
	if len(g.shades) == 0 {
		// The scale of the command line's picture: lightness tells the order.
		scale := moreland.ExtendedBlackBody()
		scale.SetMin(0)
		scale.SetMax(1)
		for _, c := range scale.Palette(shades).Colors() {
			g.shades = append(g.shades, color.NRGBAModel.Convert(c).(color.NRGBA))
		}
	}
}

// shade gives the colour of a margin, m.
func (g *grid) shade(v float64) color.NRGBA {
	share := max(0, min(1, (v-g.lo)/(g.hi-g.lo)))
	return g.shades[int(math.Round(share*float64(len(g.shades)-1)))]
}

// box is where a cell is drawn.
func (g *grid) box(row, column, columns int) image.Rectangle {
	c := g.cells
	y := c.Min.Y + row*g.row - g.scroll
	return image.Rect(c.Min.X+c.Dx()*column/columns, y, c.Min.X+c.Dx()*(column+1)/columns, y+g.row)
}

// cellAt gives the cell at a point.
func (m *Map) cellAt(p image.Point) (at [2]int, ok bool) {
	g := &m.grid
	if m.result == nil || g.row <= 0 || !p.In(g.cells) {
		return at, false
	}
	at[0] = (p.Y - g.cells.Min.Y + g.scroll) / g.row
	if at[0] >= len(m.result.Rows) {
		return at, false
	}
	n := len(m.result.Rows[at[0]].Cells)
	for at[1] = 0; at[1] < n-1 && p.X >= g.box(at[0], at[1], n).Max.X; {
		at[1]++
	}
	return at, true
}

// take answers the pointer and the keys. It tells whether the chosen cell is
// to be looked at.
func (m *Map) take(gtx layout.Context) (show bool) {
	g := &m.grid
	for {
		ev, ok := gtx.Event(
			pointer.Filter{
				Target: g, Kinds: pointer.Press | pointer.Release | pointer.Move | pointer.Drag | pointer.Enter | pointer.Leave | pointer.Cancel | pointer.Scroll,
				ScrollY: pointer.ScrollRange{Min: -1 << 20, Max: 1 << 20},
			},
			key.FocusFilter{Target: g},
			key.Filter{Focus: g, Name: key.NameLeftArrow}, key.Filter{Focus: g, Name: key.NameRightArrow},
			key.Filter{Focus: g, Name: key.NameUpArrow}, key.Filter{Focus: g, Name: key.NameDownArrow},
			key.Filter{Focus: g, Name: key.NameHome}, key.Filter{Focus: g, Name: key.NameEnd},
			key.Filter{Focus: g, Name: key.NamePageUp}, key.Filter{Focus: g, Name: key.NamePageDown},
			key.Filter{Focus: g, Name: key.NameReturn}, key.Filter{Focus: g, Name: key.NameEnter},
		)
		if !ok {
			return show
		}
		switch e := ev.(type) {
		case pointer.Event:
			show = m.point(gtx, e) || show
		case key.Event:
			if e.State == key.Press && m.result != nil && len(m.result.Rows) > 0 {
				show = m.press(e) || show
			}
		}
	}
}

func (m *Map) point(gtx layout.Context, e pointer.Event) (show bool) {
	g := &m.grid
	switch e.Kind {
	case pointer.Scroll:
		g.scroll += int(e.Scroll.Y)
		g.bound(m)
	case pointer.Press:
		gtx.Execute(key.FocusCmd{Tag: g})
		g.at, g.over = m.cellAt(e.Position.Round())
		if g.down = g.over && e.Buttons == pointer.ButtonPrimary; g.down {
			m.choose(g.at[0], g.at[1])
		}
	case pointer.Release:
		at, over := m.cellAt(e.Position.Round())
		show = g.down && over && at == [2]int{m.row, m.column}
		g.down = false
	case pointer.Leave, pointer.Cancel:
		g.over, g.down = false, false
	default:
		g.at, g.over = m.cellAt(e.Position.Round())
	}
	return show
}

func (m *Map) press(e key.Event) (show bool) {
	g := &m.grid
	row, column := m.row, m.column
	page := 1
	if g.row > 0 {
		page = max(1, g.cells.Dy()/g.row-1)
	}
	switch e.Name {
	case key.NameReturn, key.NameEnter:
		return true
	case key.NameLeftArrow:
		column--
	case key.NameRightArrow:
		column++
	case key.NameUpArrow:
		row--
	case key.NameDownArrow:
		row++
	case key.NameHome:
		column = 0
	case key.NameEnd:
		column = len(m.result.Rows[row].Cells) - 1
	case key.NamePageUp:
		row -= page
	case key.NamePageDown:
		row += page
	}
	g.over = false // the reading is of what the keys chose
	row = max(0, min(row, len(m.result.Rows)-1))
	m.choose(row, max(0, min(column, len(m.result.Rows[row].Cells)-1)))
	return false
}

func (m *Map) choose(row, column int) {
	m.row, m.column, m.fault = row, column, nil
	m.grid.reveal = true
}

// bound keeps the rows in view.
func (g *grid) bound(m *Map) {
	rows := 0
	if m.result != nil {
		rows = len(m.result.Rows)
	}
	if g.reveal {
		g.reveal = false
		g.scroll = max(min(g.scroll, m.row*g.row), (m.row+1)*g.row-g.cells.Dy())
	}
	g.scroll = max(0, min(g.scroll, rows*g.row-g.cells.Dy()))
}

// canvas draws the map, or how far it is.
func (m *Map) canvas(gtx layout.Context, th *look.Theme) layout.Dimensions {
	g := &m.grid
	if m.result == nil || len(m.result.Rows) == 0 {
		g.cells, g.over, g.down = image.Rectangle{}, false, false
		size := image.Pt(gtx.Constraints.Max.X, gtx.Dp(60))
		defer clip.Rect{Max: size}.Push(gtx.Ops).Pop()
		event.Op(gtx.Ops, g) // the keys are kept for the map to come
		control.Reachable(gtx, g)
		if m.Running() {
			defer op.Offset(image.Pt(0, gtx.Dp(16))).Push(gtx.Ops).Pop()
			m.progress(gtx, th)
		}
		return layout.Dimensions{Size: size}
	}
	rows := m.result.Rows
	width := gtx.Constraints.Max.X
	g.row = gtx.Dp(rowHeight)
	head, foot := gtx.Dp(headHeight), gtx.Dp(axisHeight)
	high := min(len(rows)*g.row, max(g.row, gtx.Constraints.Max.Y-head-foot))
	small := th.Writer(look.Small, th.Dim)
	names := 0
	for i := range rows {
		d, _ := th.Writer(look.Body, th.Text).Measure(gtx, rows[i].Name)
		names = max(names, d.Size.X)
	}
	names = min(names+gtx.Dp(2), width*3/10)
	right := width - gtx.Dp(8)
	for _, s := range summary {
		right -= gtx.Dp(s.width)
	}
	g.cells = image.Rect(names+gtx.Dp(10), head, right, head+high)
	g.bound(m)
	size := image.Pt(width, head+high+foot)
	area := clip.Rect{Max: size}.Push(gtx.Ops)
	event.Op(gtx.Ops, g)
	control.Reachable(gtx, g)
	semantic.LabelOp("map of changes").Add(gtx.Ops)

	// Heads of the columns, and the axis.
	px := float64(gtx.Dp(1))
	mid := float64(head)/2 - 2*px
	small.At(gtx, r2.Vec{Y: mid}, layout.W, "change")
	small.At(gtx, r2.Vec{X: float64(g.cells.Min.X), Y: mid}, layout.W,
		small.Fitting(gtx, g.cells.Dx(), "asked for at this share of the old gait's cycle; colour: the smallest dynamic margin", "asked for at this share of the cycle", "share of the cycle"))
	for i, x := 0, right; i < len(summary); i++ {
		x += gtx.Dp(summary[i].width)
		small.At(gtx, r2.Vec{X: float64(x), Y: mid}, layout.E, summary[i].head)
	}
	for k := 0; k <= 10; k += 2 {
		x := float64(g.cells.Min.X) + float64(g.cells.Dx())*float64(k)/10
		y := float64(g.cells.Max.Y)
		draw.Vertical(gtx.Ops, x, y, y+3*px, max(1, gtx.Dp(1)), th.Edge)
		small.At(gtx, r2.Vec{X: x, Y: y + 3*px}, layout.N, draw.Number(float64(k)/10, 1))
	}
	view := clip.Rect(image.Rect(0, g.cells.Min.Y, width, g.cells.Max.Y)).Push(gtx.Ops)
	m.rows(gtx, th, right)
	view.Pop()
	hair := max(1, gtx.Dp(1))
	draw.Frame(gtx.Ops, g.cells.Inset(-hair), hair, th.Edge)
	if full := len(rows) * g.row; full > high { // where in the rows one is
		bar := image.Rect(width-gtx.Dp(4), g.cells.Min.Y+high*g.scroll/full, width, g.cells.Min.Y+high*(g.scroll+high)/full)
		draw.RoundRect(gtx.Ops, bar, gtx.Dp(2), th.Edge)
	}
	if gtx.Focused(g) {
		draw.Frame(gtx.Ops, g.cells.Inset(-gtx.Dp(3)), gtx.Dp(2), th.Colours.Focus)
	}
	area.Pop()
	return layout.Dimensions{Size: size}
}

// rows draws the rows that show.
func (m *Map) rows(gtx layout.Context, th *look.Theme, right int) {
	g := &m.grid
	hair := max(1, gtx.Dp(1))
	all := m.result.Rows
	text := th.Writer(look.Body, th.Text)
	g.sheet.Reset(g.cells)
	white, black := g.sheet.In(color.NRGBA{R: 255, G: 255, B: 255, A: 255}), g.sheet.In(color.NRGBA{A: 255})
	px := float64(gtx.Dp(1))
	draw.Rect(gtx.Ops, g.cells, th.Panel)
	end := right
	for _, s := range summary {
		end += gtx.Dp(s.width)
	}
	last := min(len(all), (g.scroll+g.cells.Dy()+g.row-1)/g.row)
	for i := g.scroll / g.row; i < last; i++ {
		r, worst := &all[i], &g.worst[i]
		n := len(r.Cells)
		line := g.box(i, 0, 1)
		if i == m.row {
			draw.Rect(gtx.Ops, image.Rect(0, line.Min.Y, g.cells.Min.X-gtx.Dp(4), line.Max.Y), th.Chosen)
			draw.Rect(gtx.Ops, image.Rect(right+gtx.Dp(4), line.Min.Y, end+gtx.Dp(2), line.Max.Y), th.Chosen)
		}
		m.name(gtx, th, r.Name, line)
		for k := range r.Cells {
			c := &r.Cells[k]
			box := g.box(i, k, n)
			ground := th.Line
			known := !math.IsNaN(c.Dynamic) && !math.IsInf(c.Dynamic, 0)
			if known {
				ground = g.shade(c.Dynamic)
			}
			draw.Rect(gtx.Ops, image.Rectangle{Min: box.Min, Max: box.Max.Sub(image.Pt(hair, hair))}, ground)
			centre := r2.Vec{X: float64(box.Min.X+box.Max.X-hair) / 2, Y: float64(box.Min.Y+box.Max.Y-hair) / 2}
			half := min(float64(box.Dx()), float64(box.Dy())) * 0.26
			switch {
			case c.Bad():
				white.Cross(centre, half+px, 4.5*px)
				black.Cross(centre, half, 2*px)
			case !known:
				bar(white, centre, half+px, 4.5*px)
				bar(black, centre, half, 2*px)
			}
		}
		y := float64(line.Min.Y+line.Max.Y) / 2
		x := right
		stops, ink := "none", th.Dim
		if worst.Bad > 0 {
			stops, ink = "× "+draw.Number(float64(worst.Bad), 0), th.Stop.Ink
		}
		for j, s := range [...]string{mm(worst.Dynamic, 1), draw.Number(worst.Phase, 2), stops} {
			x += gtx.Dp(summary[j].width)
			w := text
			if j == 2 {
				w.Color = ink
			}
			w.At(gtx, r2.Vec{X: float64(x), Y: y}, layout.E, s)
		}
	}
	g.sheet.Paint(gtx.Ops)
	defer clip.Rect(g.cells).Push(gtx.Ops).Pop()
	mark := func(row, column, width int) {
		box := g.box(row, column, len(all[row].Cells))
		box.Max = box.Max.Sub(image.Pt(hair, hair))
		draw.Frame(gtx.Ops, box, width, color.NRGBA{A: 255})
		draw.Frame(gtx.Ops, box.Inset(width), width, color.NRGBA{R: 255, G: 255, B: 255, A: 255})
	}
	mark(m.row, m.column, gtx.Dp(2))
	if g.over && g.at != [2]int{m.row, m.column} {
		mark(g.at[0], g.at[1], hair)
	}
}

// bar adds a level bar.
func bar(b *draw.Batch, c r2.Vec, half, width float64) {
	b.Segment(r2.Vec{X: c.X - half, Y: c.Y}, r2.Vec{X: c.X + half, Y: c.Y}, draw.Line{Width: width})
}

// name writes the name of a row, and gives the row its spoken words.
func (m *Map) name(gtx layout.Context, th *look.Theme, name string, line image.Rectangle) {
	area := clip.Rect(line).Push(gtx.Ops)
	semantic.LabelOp("row " + name).Add(gtx.Ops)
	area.Pop()
	gtx.Constraints = layout.Constraints{Max: image.Pt(m.grid.cells.Min.X-gtx.Dp(8), line.Dy())}
	l := th.Plain(name)
	macro := op.Record(gtx.Ops)
	d := l.Layout(gtx)
	call := macro.Stop()
	defer op.Offset(image.Pt(0, line.Min.Y+(line.Dy()-d.Size.Y)/2)).Push(gtx.Ops).Pop()
	call.Add(gtx.Ops)
}

// legend tells what colours and marks mean.
func (m *Map) legend(gtx layout.Context, th *look.Theme) layout.Dimensions {
	g := &m.grid
	size := image.Pt(gtx.Constraints.Max.X, gtx.Dp(18))
	px := float64(gtx.Dp(1))
	y := float64(size.Y) / 2
	small := th.Writer(look.Small, th.Dim)
	x := 0
	say := func(s string, gap unit.Dp) {
		x = small.At(gtx, r2.Vec{X: float64(x), Y: y}, layout.W, s).Max.X + gtx.Dp(gap)
	}
	say("smallest dynamic margin", 10)
	say(mm(g.lo, 1), 5)
	wide := gtx.Dp(150)
	scale := image.Rect(x, gtx.Dp(3), x+wide, size.Y-gtx.Dp(3))
	const steps = 50
	for k := range steps {
		v := g.lo + (g.hi-g.lo)*float64(k)/(steps-1)
		draw.Rect(gtx.Ops, image.Rect(x+wide*k/steps, scale.Min.Y, x+wide*(k+1)/steps, scale.Max.Y), g.shade(v))
	}
	draw.Frame(gtx.Ops, scale, max(1, gtx.Dp(1)), th.Edge)
	x += wide + gtx.Dp(5)
	say(mm(g.hi, 1), 28)
	g.sheet.Reset(image.Rectangle{Max: size})
	ink := g.sheet.In(th.Text)
	ink.Cross(r2.Vec{X: float64(x) + 5*px, Y: y}, 5*px, 2*px)
	x += gtx.Dp(16)
	say("a finding of level stop", 28)
	bar(ink, r2.Vec{X: float64(x) + 5*px, Y: y}, 5*px, 2*px)
	x += gtx.Dp(16)
	say("no number", 28)
	g.sheet.Paint(gtx.Ops)
	return layout.Dimensions{Size: size}
}
