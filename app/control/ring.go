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
	half := float32(width) / 2
	// clip.RRect is on whole pixels: draw the outline with its centre line
	// half a width inside by a path of our own.
	p := roundPath(gtx.Ops, float32(r.Min.X)+half, float32(r.Min.Y)+half, float32(r.Max.X)-half, float32(r.Max.Y)-half, float32(radius)-half)
	paint.FillShape(gtx.Ops, c, clip.Stroke{Path: p, Width: float32(width)}.Op())
}

func roundPath(ops *op.Ops, x0, y0, x1, y1, r float32) clip.PathSpec {
	r = max(min(r, (x1-x0)/2, (y1-y0)/2), 0)
	const k = 1 - 0.5522847498 // cubic arc of a quarter circle
	var p clip.Path
	p.Begin(ops)
	p.MoveTo(pt(x0+r, y0))
	p.LineTo(pt(x1-r, y0))
	p.CubeTo(pt(x1-r*k, y0), pt(x1, y0+r*k), pt(x1, y0+r))
	p.LineTo(pt(x1, y1-r))
	p.CubeTo(pt(x1, y1-r*k), pt(x1-r*k, y1), pt(x1-r, y1))
	p.LineTo(pt(x0+r, y1))
	p.CubeTo(pt(x0+r*k, y1), pt(x0, y1-r*k), pt(x0, y1-r))
	p.LineTo(pt(x0, y0+r))
	p.CubeTo(pt(x0, y0+r*k), pt(x0+r*k, y0), pt(x0+r, y0))
	p.Close()
	return p.End()
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
