// SPDX-License-Identifier: MIT

package machine

import (
	"image"
	"math"

	"gioui.org/f32"
	"gioui.org/layout"
	"gioui.org/op"
	"gonum.org/v1/gonum/spatial/r2"

	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// measure is a distance that is told on the drawing, px.
type measure struct {
	p, q r2.Vec // what it is measured between
	a, b r2.Vec // ends of the dimension line
	id   string
	am   amount
	text string
}

// along gives the dimension of p-q on a line beside it, by px to its left as
// seen from p (on the paper, where y is down, to the right when negative).
func along(p, q r2.Vec, by float64) measure {
	d := r2.Sub(q, p)
	n := r2.Norm(d)
	if !(n > 0) {
		return measure{p: p, q: q, a: p, b: q}
	}
	off := r2.Vec{X: d.Y / n * by, Y: -d.X / n * by}
	return measure{p: p, q: q, a: r2.Add(p, off), b: r2.Add(q, off)}
}

// dimension draws a measure as drawing offices do (ISO 129-1): thin extension
// lines from a little off the feature to a little past the dimension line, a
// line with filled arrow heads, and the number above it, readable from below
// or from the right. Where there is no room between the extension lines the
// arrows point inwards from outside, and the number stands past the end.
func (c *canvas) dimension(gtx layout.Context, th *look.Theme, m measure) {
	px := float64(gtx.Dp(1))
	ink := c.sheet.In(th.Dim)
	thin := draw.Line{Width: max(px, 1)}
	for _, e := range [...][2]r2.Vec{{m.p, m.a}, {m.q, m.b}} {
		d := r2.Sub(e[1], e[0])
		if n := r2.Norm(d); n > 6*px {
			u := r2.Scale(1/n, d)
			ink.Segment(r2.Add(e[0], r2.Scale(3*px, u)), r2.Add(e[1], r2.Scale(4*px, u)), thin)
		}
	}
	d := r2.Sub(m.b, m.a)
	n := r2.Norm(d)
	u := r2.Vec{X: 1}
	if n > 1e-6 {
		u = r2.Scale(1/n, d)
	}
	head := 8 * px
	t := th.Writer(look.Small, th.Text)
	t.Back, t.Pad = th.Canvas, gtx.Dp(1)
	size, _ := t.Measure(gtx, m.text)
	wide := float64(size.Size.X)
	mid := r2.Scale(0.5, r2.Add(m.a, m.b))
	if n > 2.6*head {
		ink.Segment(m.a, m.b, thin)
		ink.Arrow(m.b, m.a, head)
		ink.Arrow(m.a, m.b, head)
		if wide+4*px > n {
			mid = r2.Add(m.b, r2.Scale(wide/2+5*px, u))
		}
	} else {
		a, b := r2.Sub(m.a, r2.Scale(2*head, u)), r2.Add(m.b, r2.Scale(2*head, u))
		ink.Segment(a, b, thin)
		ink.Arrow(a, m.a, head)
		ink.Arrow(b, m.b, head)
		if math.Abs(u.X) < 0.1 { // upright: level text beside it takes the least room
			c.place(gtx, m.id, m.am, c.write(gtx, t, r2.Add(mid, r2.Vec{X: 6 * px}), layout.W, m.text))
			return
		}
		mid = r2.Add(b, r2.Scale(wide/2+2*px, u))
	}
	c.avoid(m.a, m.b, 3*px)
	c.slanted(gtx, t, mid, math.Atan2(u.Y, u.X), m)
}

// slanted writes the number of a measure above the line through mid, turned so
// that it is read from below or from the right.
func (c *canvas) slanted(gtx layout.Context, t draw.Text, mid r2.Vec, angle float64, m measure) {
	const hair = 1e-6
	if angle > math.Pi/2+hair {
		angle -= math.Pi
	} else if angle <= -math.Pi/2+hair-1e-3 {
		angle += math.Pi
	}
	if math.Abs(angle-math.Pi/2) < 1e-3 { // upright: from the right
		angle = -math.Pi / 2
	}
	dim, call := t.Measure(gtx, m.text)
	half := r2.Vec{X: float64(dim.Size.X) / 2, Y: float64(dim.Size.Y) / 2}
	s, k := math.Sincos(angle)
	at := r2.Add(mid, r2.Scale(half.Y+1, r2.Vec{X: s, Y: -k}))
	if at.X-at.X != 0 || at.Y-at.Y != 0 {
		return
	}
	m32 := f32.AffineId().Offset(f32.Pt(-float32(half.X), -float32(half.Y))).Rotate(f32.Point{}, float32(angle)).Offset(f32.Pt(float32(at.X), float32(at.Y)))
	if math.Abs(angle) < 1e-6 { // whole pixels keep it crisp
		m32 = f32.AffineId().Offset(f32.Pt(float32(math.Round(at.X-half.X)), float32(math.Round(at.Y-half.Y))))
	}
	rec := op.Record(gtx.Ops)
	o := op.Affine(m32).Push(gtx.Ops)
	call.Add(gtx.Ops)
	o.Pop()
	c.late = append(c.late, rec.Stop())
	w := math.Abs(half.X*k) + math.Abs(half.Y*s)
	h := math.Abs(half.X*s) + math.Abs(half.Y*k)
	c.taken = append(c.taken, image.Rect(int(at.X-w), int(at.Y-h), int(at.X+w)+1, int(at.Y+h)+1))
	c.place(gtx, m.id, m.am, image.Rect(int(at.X-w), int(at.Y-h), int(at.X+w)+1, int(at.Y+h)+1))
}

// place makes a number on the drawing one that can be typed.
func (c *canvas) place(gtx layout.Context, id string, a amount, box image.Rectangle) {
	if id == "" {
		return
	}
	c.spots = append(c.spots, spot{box.Inset(-gtx.Dp(2)), id, a})
	mid := r2.Vec{X: float64(box.Min.X+box.Max.X) / 2, Y: float64(box.Min.Y+box.Max.Y) / 2}
	c.say(gtx, "dimension "+a.name, mid, float64(gtx.Dp(6)))
}

// note writes a number that can be typed about the first of some places that
// is free.
func (c *canvas) note(gtx layout.Context, th *look.Theme, text string, a amount, places ...r2.Vec) {
	t := th.Writer(look.Small, th.Text)
	t.Back, t.Pad = th.Canvas, gtx.Dp(1)
	size, _ := t.Measure(gtx, text)
	c.place(gtx, a.name, a, c.write(gtx, t, c.free(size.Size, places...), layout.Center, text))
}

// about gives places round a point at a distance, the given direction first.
func about(q r2.Vec, out r2.Vec, by r2.Vec) []r2.Vec {
	var all []r2.Vec
	for _, turn := range [...]float64{0, 0.5, -0.5, 1, -1, 1.6, -1.6, 2.2, -2.2, math.Pi} {
		s, k := math.Sincos(turn)
		all = append(all, r2.Add(q, r2.Vec{X: (out.X*k - out.Y*s) * by.X, Y: (out.X*s + out.Y*k) * by.Y}))
	}
	return all
}
