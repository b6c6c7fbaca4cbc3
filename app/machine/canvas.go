// SPDX-License-Identifier: MIT

package machine

import (
	"image"
	"image/color"
	"math"

	"gioui.org/f32"
	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gonum.org/v1/gonum/spatial/r2"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/app/plate"
	"gaitwright/motion/workfile"
)

// form is how a handle is drawn.
type form uint8

const (
	disc    form = iota
	square       // of an outline
	diamond      // of an angle
	ring         // of a point on the ground
	target       // of a mass
)

// handle is something on a drawing that can be taken. Its functions belong to
// the geometry of the frame that they were made in, which a drag keeps.
type handle struct {
	name string // spoken
	tip  string // beside the chosen one: its numbers
	what string // the undo step
	form form
	at   r2.Vec // m
	pick any    // what it chooses, for the panel

	// move changes the file so that the handle comes to lie at a point of the
	// paper, m, rounded to a unit of the workfile (mm or degrees).
	move func(f *workfile.File, to r2.Vec, unit float64)
	// turn changes an angle by steps of one degree; nil where arrow keys move.
	turn func(f *workfile.File, by float64)
}

// spot is a number on the drawing that can be typed.
type spot struct {
	box image.Rectangle
	id  string
	a   amount
}

// canvas is a drawing to scale with handles. The zero value is ready.
type canvas struct {
	view  plate.View
	sheet draw.Sheet
	fit   any
	size  image.Point
	seen  int // rehearsal that the paper was last looked at for

	handles []handle
	spots   []spot
	late    []op.CallOp       // texts, above the lines
	taken   []image.Rectangle // where something is drawn that a text is to keep clear of
	chosen  string            // name of the chosen handle
	fresh   bool              // another one was chosen by hand in this frame

	grip    document.Grip
	held    handle
	grab    r2.Vec
	to      f32.Point
	fine    bool // a tenth of the unit
	panning bool
	last    f32.Point
	pressed int64  // of the last press, ns
	larger  bool   // asks to be shown alone, or not any more
	open    string // the number that was asked for
}

// area is what a drawing has to show, m.
type area struct{ lo, hi r2.Vec }

func nothing() area {
	return area{r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}}
}

func (a *area) add(p ...r2.Vec) {
	for _, p := range p {
		a.lo = r2.Vec{X: min(a.lo.X, p.X), Y: min(a.lo.Y, p.Y)}
		a.hi = r2.Vec{X: max(a.hi.X, p.X), Y: max(a.hi.Y, p.Y)}
	}
}

// around adds a circle.
func (a *area) around(p r2.Vec, r float64) {
	a.add(r2.Sub(p, r2.Vec{X: r, Y: r}), r2.Add(p, r2.Vec{X: r, Y: r}))
}

// paper shows an area: when another thing or size is drawn, and when a change
// that is no drag has left the paper. While one edits, the paper stays still.
func (c *canvas) paper(d *document.Document, what any, a area, size image.Point, margin float64) {
	c.view.Size = size
	idle := !d.Dragging() && !c.grip.Held()
	left := idle && c.seen != d.Serial() && c.off(a, margin)
	if idle {
		c.seen = d.Serial()
	}
	if c.fit == what && c.size == size && !left {
		return
	}
	if c.view.Fit(a.lo, a.hi, margin) {
		c.fit, c.size = what, size
	}
}

// off tells whether an area lies outside the canvas or has become small on it.
func (c *canvas) off(a area, margin float64) bool {
	const small = 0.6
	p, q := c.view.Px(a.lo), c.view.Px(a.hi)
	w, h := float64(c.view.Size.X), float64(c.view.Size.Y)
	return p.X < 0 || q.X > w || q.Y < 0 || p.Y > h ||
		q.X-p.X < small*(w-2*margin) && p.Y-q.Y < small*(h-2*margin)
}

func flat(p f32.Point) r2.Vec { return r2.Vec{X: float64(p.X), Y: float64(p.Y)} }

// update answers pointer and keys with the handles of the last frame.
func (c *canvas) update(gtx layout.Context, p *Panel, d *document.Document) {
	c.fresh, c.larger, c.open = false, false, ""
	for {
		ev, ok := gtx.Event(
			pointer.Filter{
				Target: c, Kinds: pointer.Press | pointer.Drag | pointer.Release | pointer.Scroll | pointer.Cancel,
				ScrollY: pointer.ScrollRange{Min: -1e6, Max: 1e6},
			},
			key.FocusFilter{Target: c},
			key.Filter{Focus: c, Name: key.NameLeftArrow, Optional: key.ModShift},
			key.Filter{Focus: c, Name: key.NameRightArrow, Optional: key.ModShift},
			key.Filter{Focus: c, Name: key.NameUpArrow, Optional: key.ModShift},
			key.Filter{Focus: c, Name: key.NameDownArrow, Optional: key.ModShift},
			key.Filter{Focus: c, Name: key.NamePageUp}, key.Filter{Focus: c, Name: key.NamePageDown},
			key.Filter{Focus: c, Name: key.NameEscape}, key.Filter{Focus: c, Name: key.NameReturn},
		)
		if !ok {
			c.follow(p, d)
			return
		}
		switch e := ev.(type) {
		case pointer.Event:
			c.point(gtx, e, p, d)
		case key.Event:
			if e.State == key.Press {
				c.follow(p, d)
				c.key(e, p, d)
			}
		}
	}
}

// follow moves what is held to where the pointer is, once a frame.
func (c *canvas) follow(p *Panel, d *document.Document) {
	if !c.grip.Due(d) {
		return
	}
	to, unit, h := c.view.M(r2.Sub(flat(c.to), c.grab)), 1.0, c.held
	if c.fine {
		unit = 0.1
	}
	p.took(d.Drag(h.what, func(f *workfile.File) { h.move(f, to, unit) }))
}

// refused tells where the hand holds something that was not taken there, px.
func (c *canvas) refused(d *document.Document) (r2.Vec, bool) {
	return r2.Sub(flat(c.to), c.grab), c.grip.Held() && d.Dragging() && d.Err() != nil
}

func (c *canvas) point(gtx layout.Context, e pointer.Event, p *Panel, d *document.Document) {
	switch e.Kind {
	case pointer.Press:
		gtx.Execute(key.FocusCmd{Tag: c})
		moved := e.Position.Sub(c.last)
		near := float32(gtx.Dp(4))
		double := c.pressed > 0 && int64(e.Time)-c.pressed < 350e6 && moved.X*moved.X+moved.Y*moved.Y < near*near
		c.pressed = int64(e.Time)
		c.last = e.Position
		if e.Buttons != pointer.ButtonPrimary {
			c.panning = true
			return
		}
		if h, ok := c.near(flat(e.Position), float64(gtx.Dp(11))); ok {
			c.choose(h.name)
			c.held = h
			c.grab = r2.Sub(flat(e.Position), c.view.Px(h.at))
			c.grip.Take()
			gtx.Execute(pointer.GrabCmd{Tag: c, ID: e.PointerID})
			return
		}
		for _, s := range c.spots {
			if e.Position.Round().In(s.box) {
				c.open = s.id
				return
			}
		}
		c.larger, c.panning = double, true
	case pointer.Drag:
		if c.panning {
			c.view.Pan(float64(e.Position.X-c.last.X), float64(e.Position.Y-c.last.Y))
			c.last = e.Position
			return
		}
		if m := e.Position.Sub(c.last); c.held.name != "" && m.X*m.X+m.Y*m.Y < 4 && !d.Dragging() {
			return // a click that shook
		}
		c.to, c.fine = e.Position, e.Modifiers.Contain(key.ModShift)
		c.grip.Ask()
	case pointer.Release:
		c.follow(p, d)
		if c.grip.Held() {
			d.Drop()
		}
		c.grip.Let()
		c.panning = false
	case pointer.Cancel:
		c.grip.Cancel(d)
		c.panning = false
	case pointer.Scroll:
		c.view.Zoom(math.Exp(-float64(e.Scroll.Y)/100), flat(e.Position))
	}
}

// near finds the handle nearest to a pixel; of several at one place the chosen
// one, else the last.
func (c *canvas) near(px r2.Vec, within float64) (best handle, ok bool) {
	for _, h := range c.handles {
		q := r2.Norm(r2.Sub(px, c.view.Px(h.at)))
		if h.name == c.chosen {
			q -= 1.5
		}
		if q <= within {
			within, best, ok = q, h, true
		}
	}
	return best, ok
}

func (c *canvas) choose(name string) { c.fresh, c.chosen = true, name }

// which gives the chosen handle.
func (c *canvas) which() (handle, bool) {
	for _, h := range c.handles {
		if h.name == c.chosen {
			return h, true
		}
	}
	return handle{}, false
}

// step chooses the handle before or after the chosen one.
func (c *canvas) step(by int) {
	n := len(c.handles)
	if n == 0 {
		return
	}
	at := -1
	for i := range c.handles {
		if c.handles[i].name == c.chosen {
			at = i
		}
	}
	if at < 0 && by < 0 {
		at = 0
	}
	c.choose(c.handles[((at+by)%n+n)%n].name)
}

// key moves the chosen handle by 1 mm or 1 degree, with Shift a tenth of it.
// Page Up and Page Down choose another one; Escape takes back the drag under
// way.
func (c *canvas) key(e key.Event, p *Panel, d *document.Document) {
	switch e.Name {
	case key.NameEscape:
		c.grip.Cancel(d)
		return
	case key.NameReturn:
		c.larger = !c.grip.Held()
		return
	case key.NamePageUp:
		c.step(-1)
		return
	case key.NamePageDown:
		c.step(1)
		return
	}
	h, ok := c.which()
	if !ok || c.grip.Held() {
		return
	}
	unit := 1.0
	if e.Modifiers.Contain(key.ModShift) {
		unit = 0.1
	}
	var by r2.Vec
	switch e.Name {
	case key.NameLeftArrow:
		by.X = -unit
	case key.NameRightArrow:
		by.X = unit
	case key.NameUpArrow:
		by.Y = unit
	case key.NameDownArrow:
		by.Y = -unit
	}
	if h.turn != nil {
		p.took(d.Change(h.what, func(f *workfile.File) { h.turn(f, by.X+by.Y) }))
		return
	}
	p.took(d.Change(h.what, func(f *workfile.File) { h.move(f, r2.Add(h.at, r2.Scale(1e-3, by)), unit) }))
}

// begin clears the canvas: ground, grid, and what is drawn next.
func (c *canvas) begin(gtx layout.Context, th *look.Theme, ground bool, z float64) {
	size := c.view.Size
	draw.Rect(gtx.Ops, image.Rectangle{Max: size}, th.Canvas)
	step := c.view.Step(float64(gtx.Dp(28)))
	for _, x := range c.view.TicksX(step) {
		draw.Vertical(gtx.Ops, c.view.Px(r2.Vec{X: x}).X, 0, float64(size.Y), 1, th.Grid)
	}
	for _, y := range c.view.TicksY(step) {
		draw.Horizontal(gtx.Ops, 0, float64(size.X), c.view.Px(r2.Vec{Y: y}).Y, 1, th.Grid)
	}
	if ground {
		draw.Horizontal(gtx.Ops, 0, float64(size.X), c.view.Px(r2.Vec{Y: z}).Y, max(1, gtx.Dp(1)), th.Edge)
	}
	c.sheet.Reset(image.Rectangle{Max: size})
	c.spots, c.late, c.taken = c.spots[:0], c.late[:0], c.taken[:0]
	c.handles = c.handles[:0]
}

// end puts lines and then texts on the paper.
func (c *canvas) end(gtx layout.Context) {
	c.sheet.Paint(gtx.Ops)
	for _, t := range c.late {
		t.Add(gtx.Ops)
	}
}

// write writes a text above the lines.
func (c *canvas) write(gtx layout.Context, t draw.Text, at r2.Vec, anchor layout.Direction, s string) image.Rectangle {
	m := op.Record(gtx.Ops)
	box := t.At(gtx, at, anchor, s)
	c.late = append(c.late, m.Stop())
	c.taken = append(c.taken, box)
	return box
}

// avoid keeps texts clear of a line.
func (c *canvas) avoid(p, q r2.Vec, by float64) {
	n := int(r2.Norm(r2.Sub(q, p))/(2*by)) + 1
	if n > 500 {
		return
	}
	for i := range n + 1 {
		at := r2.Add(p, r2.Scale(float64(i)/float64(n), r2.Sub(q, p)))
		c.taken = append(c.taken, image.Rect(int(at.X-by), int(at.Y-by), int(at.X+by)+1, int(at.Y+by)+1))
	}
}

// take makes something that can be taken, and keeps texts clear of it.
func (c *canvas) take(gtx layout.Context, all ...handle) {
	by := float64(gtx.Dp(6))
	for _, h := range all {
		c.handles = append(c.handles, h)
		q := c.view.Px(h.at)
		c.avoid(q, q, by)
	}
}

// free gives the first of some places for a text of a size that is clear of
// everything, or the one that is covered least.
func (c *canvas) free(size image.Point, places ...r2.Vec) r2.Vec {
	best, least := places[0], math.MaxInt
	paper := image.Rectangle{Max: c.view.Size}
	for _, p := range places {
		box := image.Rect(0, 0, size.X, size.Y).Add(image.Pt(int(p.X)-size.X/2, int(p.Y)-size.Y/2))
		in := box.Intersect(paper)
		n := 4 * (size.X*size.Y - in.Dx()*in.Dy())
		for _, t := range c.taken {
			o := box.Intersect(t)
			n += o.Dx() * o.Dy()
		}
		if n < least {
			best, least = p, n
		}
	}
	return best
}

// legend writes what the plate shows, its axes and its grid.
func (c *canvas) legend(gtx layout.Context, th *look.Theme, axes string, titles ...string) {
	px := float64(gtx.Dp(1))
	small := th.Writer(look.Small, th.Dim)
	small.Back = th.Canvas
	w, h := float64(c.view.Size.X), float64(c.view.Size.Y)
	box := c.write(gtx, small, r2.Vec{X: w - 6*px, Y: 5 * px}, layout.NE, axes)
	c.write(gtx, small, r2.Vec{X: 6 * px, Y: 5 * px}, layout.NW, small.Fitting(gtx, box.Min.X-gtx.Dp(12), titles...))
	step := c.view.Step(float64(gtx.Dp(28))) * 1000
	c.write(gtx, small, r2.Vec{X: 6 * px, Y: h - 5*px}, layout.SW, draw.Number(step, plate.Decimals(step))+" mm grid")
}

// grips draws the handles, the chosen one with a ring and its numbers.
func (c *canvas) grips(gtx layout.Context, th *look.Theme) {
	px := float64(gtx.Dp(1))
	for _, h := range c.handles {
		q := c.view.Px(h.at)
		c.say(gtx, h.name, q, 6*px)
		ink := c.sheet.In(th.Accent.Ink)
		switch h.form {
		case square:
			ink.Square(q, 3.5*px)
		case diamond:
			ink.Diamond(q, 5*px)
		case ring:
			ink.Ring(q, 4.5*px, 1.7*px)
		case target:
			ink.Ring(q, 5*px, 1.5*px)
			ink.Plus(q, 5*px, 1.2*px)
		default:
			ink.Disc(q, 4*px)
		}
		if h.name == c.chosen {
			c.sheet.In(th.Text).Ring(q, 8.5*px, 1.5*px)
		}
	}
}

// tip writes the numbers of the chosen handle beside it.
func (c *canvas) tip(gtx layout.Context, th *look.Theme) {
	h, ok := c.which()
	if !ok || h.tip == "" {
		return
	}
	px := float64(gtx.Dp(1))
	q := c.view.Px(h.at)
	t := th.Writer(look.Small, th.Text)
	t.Back, t.Pad = th.Canvas, gtx.Dp(1)
	anchor, x := layout.W, 12*px
	if q.X > float64(c.view.Size.X)*0.6 {
		anchor, x = layout.E, -12*px
	}
	y := max(28*px, min(q.Y-15*px, float64(c.view.Size.Y)-28*px))
	c.write(gtx, t, r2.Vec{X: q.X + x, Y: y}, anchor, h.tip)
}

// cross marks where the hand is with something that was not taken there.
func (c *canvas) cross(gtx layout.Context, th *look.Theme, at r2.Vec) {
	px := float64(gtx.Dp(1))
	c.sheet.In(th.Stop.Ink).Cross(at, 5*px, 2*px)
}

// say puts the name of a place into the semantic tree.
func (c *canvas) say(gtx layout.Context, name string, q r2.Vec, reach float64) {
	w, h := float64(c.view.Size.X), float64(c.view.Size.Y)
	if !(q.X > -reach && q.X < w+reach && q.Y > -reach && q.Y < h+reach) {
		return
	}
	box := image.Rect(int(q.X-reach), int(q.Y-reach), int(q.X+reach)+1, int(q.Y+reach)+1)
	defer clip.Rect(box).Push(gtx.Ops).Pop()
	semantic.LabelOp(name).Add(gtx.Ops)
}

// layout lays the canvas out: what build draws, with its handles.
func (c *canvas) layout(gtx layout.Context, th *look.Theme, p *Panel, d *document.Document, name string, build func(gtx layout.Context)) layout.Dimensions {
	size := gtx.Constraints.Max
	c.update(gtx, p, d)
	func() {
		defer clip.Rect{Max: size}.Push(gtx.Ops).Pop()
		event.Op(gtx.Ops, c)
		control.Reachable(gtx, c)
		semantic.LabelOp(name).Add(gtx.Ops)
		build(gtx)
		if gtx.Focused(c) {
			draw.Frame(gtx.Ops, image.Rectangle{Max: size}, gtx.Dp(2), th.Focus)
		}
	}()
	p.typeSpot(gtx, th, d, c)
	return layout.Dimensions{Size: size}
}

// arc draws a part of a circle line about q, from angle a to b, rad, y up.
func arc(b *draw.Batch, q r2.Vec, radius, from, to float64, l draw.Line) {
	n := max(2, int(math.Ceil(math.Abs(to-from)/(math.Pi/60))))
	var pts []r2.Vec
	for i := range n + 1 {
		pts = append(pts, polar(q, radius, from+(to-from)*float64(i)/float64(n)))
	}
	b.Polyline(pts, l)
}

// polar gives the pixel at a distance (px) and an angle (rad, y up) from q.
func polar(q r2.Vec, radius, angle float64) r2.Vec {
	s, c := math.Sincos(angle)
	return r2.Vec{X: q.X + radius*c, Y: q.Y - radius*s}
}

// faded is a colour with a share of its strength.
func faded(c color.NRGBA, share float64) color.NRGBA { return look.Faded(c, share) }

// to rounds to a multiple of a unit, such that the number is the one that its
// decimals say: 918 times 0.1 is 91.80000000000001, and would be read again as
// another number.
func to(v, unit float64) float64 {
	if unit < 1 {
		n := math.Round(1 / unit)
		return math.Round(v*n)/n + 0
	}
	return math.Round(v/unit)*unit + 0
}

// mm rounds a length in metres to a unit of millimetres, mm.
func mm(v, unit float64) float64 { return to(math.Round(v*1e9)/1e6, unit) }
