// SPDX-License-Identifier: MIT

package control

import (
	"image"
	"image/color"

	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/op/paint"
	"gioui.org/unit"

	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// ring draws the border that shows where the keys go, inside r.
func ring(gtx layout.Context, th *look.Theme, r image.Rectangle, radius int) {
	border(gtx, r, radius, max(gtx.Dp(2), 1), th.Focus)
}

// border strokes a rectangle with round corners, inside r. One short stroke is
// cheap, unlike long ones.
func border(gtx layout.Context, r image.Rectangle, radius, width int, c color.NRGBA) {
	if r.Empty() || width <= 0 {
		return
	}
	if radius == 0 {
		draw.Frame(gtx.Ops, r, width, c)
		return
	}
	var p clip.Path
	p.Begin(gtx.Ops)
	x0, y0, x1, y1 := float32(r.Min.X), float32(r.Min.Y), float32(r.Max.X), float32(r.Max.Y)
	w := float32(width)
	contour(&p, x0, y0, x1, y1, float32(radius), false)
	contour(&p, x0+w, y0+w, x1-w, y1-w, float32(radius)-w, true)
	paint.FillShape(gtx.Ops, c, clip.Outline{Path: p.End()}.Op())
}

// contour adds a rectangle with round corners, the other way round when it is
// a hole.
func contour(p *clip.Path, x0, y0, x1, y1, r float32, hole bool) {
	r = max(min(r, (x1-x0)/2, (y1-y0)/2), 0)
	if hole {
		p.MoveTo(pt(x0, y0+r))
		p.LineTo(pt(x0, y1-r))
		p.QuadTo(pt(x0, y1), pt(x0+r, y1))
		p.LineTo(pt(x1-r, y1))
		p.QuadTo(pt(x1, y1), pt(x1, y1-r))
		p.LineTo(pt(x1, y0+r))
		p.QuadTo(pt(x1, y0), pt(x1-r, y0))
		p.LineTo(pt(x0+r, y0))
		p.QuadTo(pt(x0, y0), pt(x0, y0+r))
	} else {
		p.MoveTo(pt(x0+r, y0))
		p.LineTo(pt(x1-r, y0))
		p.QuadTo(pt(x1, y0), pt(x1, y0+r))
		p.LineTo(pt(x1, y1-r))
		p.QuadTo(pt(x1, y1), pt(x1-r, y1))
		p.LineTo(pt(x0+r, y1))
		p.QuadTo(pt(x0, y1), pt(x0, y1-r))
		p.LineTo(pt(x0, y0+r))
		p.QuadTo(pt(x0, y0), pt(x0+r, y0))
	}
	p.Close()
}

// exactly lays w out in a box of the given size.
func exactly(gtx layout.Context, size image.Point, w layout.Widget) layout.Dimensions {
	gtx.Constraints = layout.Exact(size)
	return w(gtx)
}

// sizeOf lays w out without a lower bound and returns its drawing.
func sizeOf(gtx layout.Context, w layout.Widget) (layout.Dimensions, op.CallOp) {
	gtx.Constraints.Min = image.Point{}
	m := op.Record(gtx.Ops)
	d := w(gtx)
	return d, m.Stop()
}

// put adds a recorded drawing at p.
func put(gtx layout.Context, p image.Point, call op.CallOp) {
	o := op.Offset(p).Push(gtx.Ops)
	call.Add(gtx.Ops)
	o.Pop()
}

func corner(gtx layout.Context) int { return gtx.Dp(look.Corner) }

func hair(gtx layout.Context) int { return max(gtx.Dp(unit.Dp(1)), 1) }
