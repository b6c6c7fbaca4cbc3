// SPDX-License-Identifier: MIT

package shape

import (
	"image"
	"math"
	"strings"

	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op/clip"
	"gonum.org/v1/gonum/spatial/r2"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/motion/curve"
	"gaitwright/motion/workfile"
)

// clock is the plate of a span's timing: progress over time, with the speed
// that it gives.
type clock struct {
	handle int // 0 first, 1 second
	grip   document.Grip
	place  document.Place // whose timing is dragged: playing may choose another span
	from   [2]r2.Vec      // handles when the drag began
	to     r2.Vec         // where the pointer has taken the handle
	grab   r2.Vec
	sheet  draw.Sheet
	area   draw.Batch // under the curve of the speed
	shape  []r2.Vec
	box    image.Rectangle
}

// layout handles the pointer and draws the timing of the chosen span.
func (c *clock) layout(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place, t *track) layout.Dimensions {
	size := gtx.Constraints.Max
	m := gtx.Dp(22)
	c.box = image.Rect(m, m, size.X-m, size.Y-m)
	c.update(gtx, d, at)
	defer clip.Rect{Max: size}.Push(gtx.Ops).Pop()
	event.Op(gtx.Ops, c)
	control.Reachable(gtx, c)
	semantic.LabelOp("timing curve").Add(gtx.Ops)
	draw.Rect(gtx.Ops, image.Rectangle{Max: size}, th.Canvas)
	c.paint(gtx, th, d, at, t, size)
	if gtx.Focused(c) {
		draw.Frame(gtx.Ops, image.Rectangle{Max: size}, gtx.Dp(2), th.Colours.Focus)
	}
	return layout.Dimensions{Size: size}
}

// px places share x and progress y on the canvas.
func (c *clock) px(x, y float64) r2.Vec {
	return r2.Vec{
		X: float64(c.box.Min.X) + x*float64(c.box.Dx()),
		Y: float64(c.box.Max.Y) - y*float64(c.box.Dy()),
	}
}

// handles gives the two handles of a timing; of a straight one those that
// would draw it.
func handles(t curve.Timing) [2]r2.Vec {
	if t.Kind == curve.CubicBezier {
		return [2]r2.Vec{{X: t.X1, Y: t.Y1}, {X: t.X2, Y: t.Y2}}
	}
	return [2]r2.Vec{{X: 1. / 3, Y: 1. / 3}, {X: 2. / 3, Y: 2. / 3}}
}

func (c *clock) update(gtx layout.Context, d *document.Document, at *document.Place) {
	for {
		ev, ok := gtx.Event(
			pointer.Filter{Target: c, Kinds: pointer.Press | pointer.Drag | pointer.Release | pointer.Cancel},
			key.FocusFilter{Target: c},
			key.Filter{Focus: c, Name: key.NameLeftArrow, Optional: key.ModShift},
			key.Filter{Focus: c, Name: key.NameRightArrow, Optional: key.ModShift},
			key.Filter{Focus: c, Name: key.NameUpArrow, Optional: key.ModShift},
			key.Filter{Focus: c, Name: key.NameDownArrow, Optional: key.ModShift},
			key.Filter{Focus: c, Name: key.NameReturn},
			key.Filter{Focus: c, Name: key.NameEscape},
		)
		if !ok {
			c.follow(d)
			return
		}
		t, has := Timing(d.File(), at)
		has = has && t.Kind != curve.Hold // which has no handles
		h := handles(t)
		switch e := ev.(type) {
		case pointer.Event:
			switch e.Kind {
			case pointer.Press:
				gtx.Execute(key.FocusCmd{Tag: c})
				if c.grip.Let(); !has {
					continue
				}
				best := float64(gtx.Dp(14))
				for i := range h {
					if dist := r2.Norm(r2.Sub(vec(e.Position), c.px(h[i].X, h[i].Y))); dist < best {
						best, c.handle = dist, i
						c.grip.Take()
						c.grab = r2.Sub(vec(e.Position), c.px(h[i].X, h[i].Y))
					}
				}
				if c.grip.Held() {
					c.place, c.from = *at, h
					gtx.Execute(pointer.GrabCmd{Tag: c, ID: e.PointerID})
				}
			case pointer.Drag:
				if c.grip.Held() && c.box.Dx() > 0 && c.box.Dy() > 0 {
					p := r2.Sub(vec(e.Position), c.grab)
					c.grip.Ask()
					c.to = r2.Vec{
						X: (p.X - float64(c.box.Min.X)) / float64(c.box.Dx()),
						Y: (float64(c.box.Max.Y) - p.Y) / float64(c.box.Dy()),
					}
				}
			case pointer.Release:
				c.follow(d)
				c.grip.Let()
				d.Drop()
			case pointer.Cancel:
				c.grip.Cancel(d)
			}
		case key.Event:
			c.follow(d)
			if e.State != key.Press || !has || c.grip.Held() && e.Name != key.NameEscape {
				continue
			}
			step := 0.05
			if e.Modifiers.Contain(key.ModShift) {
				step = 0.01
			}
			by := r2.Vec{}
			switch e.Name {
			case key.NameEscape:
				c.grip.Let()
				d.Cancel()
				continue
			case key.NameReturn:
				c.handle = 1 - c.handle
				continue
			case key.NameLeftArrow:
				by.X = -step
			case key.NameRightArrow:
				by.X = step
			case key.NameUpArrow:
				by.Y = step
			case key.NameDownArrow:
				by.Y = -step
			}
			c.put(d, *at, h, r2.Add(h[c.handle], by))
			d.Drop()
		}
	}
}

// follow moves the held handle to where the pointer is: once a frame, however
// many moves it brought.
func (c *clock) follow(d *document.Document) {
	if c.grip.Due(d) {
		c.put(d, c.place, c.from, c.to)
	}
}

// put moves a handle. Time and progress stay within 0 and 1: outside there is
// nothing that a span could mean.
func (c *clock) put(d *document.Document, at document.Place, h [2]r2.Vec, to r2.Vec) {
	round := func(v float64) float64 { return math.Round(max(0, min(1, v))*1000) / 1000 }
	h[c.handle] = r2.Vec{X: round(to.X), Y: round(to.Y)}
	t := curve.Timing{Kind: curve.CubicBezier, X1: round(h[0].X), Y1: round(h[0].Y), X2: round(h[1].X), Y2: round(h[1].Y)}
	d.Drag("shape the timing", func(f *workfile.File) {
		if s := timingOf(f, &at); s != nil {
			*s = t.String()
		}
	})
}

func (c *clock) paint(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place, tk *track, size image.Point) {
	px := float64(gtx.Dp(1))
	small := draw.Text{Shaper: th.Shaper, Size: look.Small, Color: th.Dim}
	sh := &c.sheet
	sh.Reset(image.Rectangle{Max: size})
	t, ok := Timing(d.File(), at)
	speed := ""
	if ok && c.box.Dx() > 0 && c.box.Dy() > 0 {
		speed = c.speed(gtx, th, tk, at, sh, px)
	}
	for i := range 5 {
		s := float64(i) / 4
		a, b := c.px(s, 0), c.px(0, s)
		draw.Vertical(gtx.Ops, a.X, float64(c.box.Min.Y), float64(c.box.Max.Y), 1, th.Grid)
		draw.Horizontal(gtx.Ops, float64(c.box.Min.X), float64(c.box.Max.X), b.Y, 1, th.Grid)
	}
	title := small.At(gtx, r2.Vec{X: 6 * px, Y: 5 * px}, layout.NW, "timing")
	if !ok {
		small.At(gtx, r2.Vec{X: float64(size.X) / 2, Y: float64(size.Y) / 2}, layout.Center, "no span chosen")
		return
	}
	c.joint(gtx, th, d, at, tk, title.Max.X+gtx.Dp(8), size, sh, px)
	right := small.At(gtx, r2.Vec{X: float64(size.X) - 6*px, Y: float64(size.Y) - 5*px}, layout.SE, "time →")
	left := gtx.Dp(6)
	words := small.Fitting(gtx, right.Min.X-left-gtx.Dp(8), speed, strings.TrimPrefix(speed, "peak speed "))
	spoken(gtx, small.At(gtx, r2.Vec{X: float64(left), Y: float64(size.Y) - 5*px}, layout.SW, words), speed)

	const n = 60
	ink := sh.In(th.Reach[look.ReachOK].Color)
	var prev r2.Vec
	for i := range n + 1 {
		x := float64(i) / n
		y, _, _ := t.At(x)
		p := c.px(x, y)
		if i > 0 {
			ink.Segment(prev, p, draw.Line{Width: 2 * px})
		}
		prev = p
	}
	if t.Kind != curve.Hold {
		h := handles(t)
		ends := [2]r2.Vec{c.px(0, 0), c.px(1, 1)}
		for i := range h {
			p := c.px(h[i].X, h[i].Y)
			sh.In(th.Accent.Ink).Segment(ends[i], p, draw.Line{Width: px})
			sh.In(th.Accent.Ink).Diamond(p, 4.5*px)
			if i == c.handle && gtx.Focused(c) {
				sh.In(th.Text).Ring(p, 8*px, 1.5*px)
			}
		}
	}
	sh.Paint(gtx.Ops)
}
