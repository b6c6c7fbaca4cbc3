// SPDX-License-Identifier: MIT

package draw

import (
	"image"
	"image/color"
	"math"

	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/op/paint"
)

// Rect fills an upright rectangle of whole pixels. It needs no path and costs
// far less than a shape in a Batch.
func Rect(ops *op.Ops, r image.Rectangle, c color.NRGBA) {
	if r.Empty() || c.A == 0 {
		return
	}
	paint.FillShape(ops, c, clip.Rect(r).Op())
}

// Horizontal fills a level line of whole pixels from x0 to x1 about y.
func Horizontal(ops *op.Ops, x0, x1, y float64, width int, c color.NRGBA) {
	if y-y != 0 || x0-x0 != 0 || x1-x1 != 0 {
		return
	}
	top := snap(y, width)
	Rect(ops, image.Rect(pixel(x0), top, pixel(x1), top+width), c)
}

// Vertical fills an upright line of whole pixels from y0 to y1 about x.
func Vertical(ops *op.Ops, x, y0, y1 float64, width int, c color.NRGBA) {
	if x-x != 0 || y0-y0 != 0 || y1-y1 != 0 {
		return
	}
	left := snap(x, width)
	Rect(ops, image.Rect(left, pixel(y0), left+width, pixel(y1)), c)
}

// Frame fills the border of r, drawn inside it.
func Frame(ops *op.Ops, r image.Rectangle, width int, c color.NRGBA) {
	if r.Dx() <= 2*width || r.Dy() <= 2*width {
		Rect(ops, r, c)
		return
	}
	Rect(ops, image.Rect(r.Min.X, r.Min.Y, r.Max.X, r.Min.Y+width), c)
	Rect(ops, image.Rect(r.Min.X, r.Max.Y-width, r.Max.X, r.Max.Y), c)
	Rect(ops, image.Rect(r.Min.X, r.Min.Y+width, r.Min.X+width, r.Max.Y-width), c)
	Rect(ops, image.Rect(r.Max.X-width, r.Min.Y+width, r.Max.X, r.Max.Y-width), c)
}

// RoundRect fills a rectangle with round corners of the given radius, px.
func RoundRect(ops *op.Ops, r image.Rectangle, radius int, c color.NRGBA) {
	if r.Empty() || c.A == 0 {
		return
	}
	paint.FillShape(ops, c, clip.UniformRRect(r, fitRadius(r, radius)).Op(ops))
}

// RoundFrame paints the border of a rectangle with round corners, drawn
// inside r: the outer shape in line, the inner in fill.
func RoundFrame(ops *op.Ops, r image.Rectangle, radius, width int, line, fill color.NRGBA) {
	RoundRect(ops, r, radius, line)
	RoundRect(ops, r.Inset(width), max(radius-width, 0), fill)
}

func fitRadius(r image.Rectangle, radius int) int {
	return max(min(radius, min(r.Dx(), r.Dy())/2), 0)
}

// snap returns the first pixel of a line of the given width about v.
func snap(v float64, width int) int {
	return pixel(math.Round(v - float64(width)/2))
}

// pixel rounds to a whole pixel, kept within what the renderer can take.
func pixel(v float64) int {
	const far = 1 << 20
	return int(math.Round(math.Max(-far, math.Min(far, v))))
}
