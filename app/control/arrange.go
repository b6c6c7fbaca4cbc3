// SPDX-License-Identifier: MIT

package control

import (
	"image"

	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"

	"gaitwright/app/draw"
	"gaitwright/app/look"
)

func recorded(gtx layout.Context, w layout.Widget) (layout.Dimensions, op.CallOp) {
	m := op.Record(gtx.Ops)
	d := w(gtx)
	return d, m.Stop()
}

// Bar lays parts out in a row, centred in height, with gap units between them.
func Bar(gtx layout.Context, gap float32, parts ...layout.Widget) layout.Dimensions {
	children := make([]layout.FlexChild, 0, len(parts))
	for _, p := range parts {
		children = append(children, layout.Rigid(p))
	}
	gtx.Constraints.Min.X = 0
	return layout.Flex{Alignment: layout.Middle, Gap: gtx.Dp(look.Unit * unit.Dp(gap))}.Layout(gtx, children...)
}

// Column lays parts out below each other, as wide as the room, with gap units
// between them.
func Column(gtx layout.Context, gap float32, parts ...layout.Widget) layout.Dimensions {
	children := make([]layout.FlexChild, 0, len(parts))
	for _, p := range parts {
		children = append(children, layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min.X = gtx.Constraints.Max.X
			return p(gtx)
		}))
	}
	return layout.Flex{Axis: layout.Vertical, Gap: gtx.Dp(look.Unit * unit.Dp(gap))}.Layout(gtx, children...)
}

// Natural lays w out in its own width inside a wider room, at its start.
func Natural(w layout.Widget) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		gtx.Constraints.Min = image.Point{}
		return w(gtx)
	}
}

// Line lays out a control behind its name, for forms: the name takes a fixed
// width and the control starts at its end.
func Line(gtx layout.Context, th *look.Theme, name string, width unit.Dp, w layout.Widget) layout.Dimensions {
	gtx.Constraints.Min.Y = 0
	return layout.Flex{}.Layout(gtx,
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			size := image.Pt(min(gtx.Dp(width), gtx.Constraints.Max.X), gtx.Dp(look.Control))
			g := gtx
			g.Constraints = layout.Constraints{Max: image.Pt(max(size.X-gtx.Dp(look.Unit*2), 0), size.Y)}
			d, call := sizeOf(g, th.Quiet(name).Layout)
			put(gtx, image.Pt(0, (size.Y-d.Size.Y)/2), call)
			return layout.Dimensions{Size: size}
		}),
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min = image.Point{}
			return w(gtx)
		}),
	)
}

// Header draws the heading of a section with a hairline below; trailing parts
// stand at the right end.
func Header(gtx layout.Context, th *look.Theme, title string, trailing ...layout.Widget) layout.Dimensions {
	size := image.Pt(gtx.Constraints.Max.X, gtx.Dp(look.Control+2))
	line := hair(gtx)
	d, call := sizeOf(gtx, th.Strong(title).Layout)
	put(gtx, image.Pt(0, (size.Y-line-d.Size.Y)/2), call)
	if len(trailing) > 0 {
		d, call := sizeOf(gtx, func(gtx layout.Context) layout.Dimensions { return Bar(gtx, 1, trailing...) })
		put(gtx, image.Pt(size.X-d.Size.X, (size.Y-line-d.Size.Y)/2), call)
	}
	draw.Rect(gtx.Ops, image.Rect(0, size.Y-line, size.X, size.Y), th.Line)
	return layout.Dimensions{Size: size}
}

// Badge draws a short word with a glyph on the pale ground of a tone.
func Badge(gtx layout.Context, th *look.Theme, tone look.Tone, g look.Glyph, word string) layout.Dimensions {
	d, call := sizeOf(gtx, th.Label(look.Body, tone.Ink, word).Layout)
	pad := gtx.Dp(look.Unit * 2)
	x := pad
	if g != look.NoGlyph {
		x += gtx.Dp(14) + gtx.Dp(look.Unit*1.5)
	}
	size := image.Pt(x+d.Size.X+pad, gtx.Dp(22))
	defer clip.UniformRRect(image.Rectangle{Max: size}, size.Y/2).Push(gtx.Ops).Pop()
	semantic.LabelOp(word).Add(gtx.Ops)
	draw.Rect(gtx.Ops, image.Rectangle{Max: size}, tone.Wash)
	if g != look.NoGlyph {
		put(gtx, image.Pt(pad, (size.Y-gtx.Dp(14))/2), recordGlyph(gtx, th, g, 14, tone.Ink))
	}
	put(gtx, image.Pt(x, (size.Y-d.Size.Y)/2), call)
	return layout.Dimensions{Size: size}
}

// Ground fills the room given with the colour of panels, and lays w on it.
func Ground(gtx layout.Context, th *look.Theme, w layout.Widget) layout.Dimensions {
	draw.Rect(gtx.Ops, image.Rectangle{Max: gtx.Constraints.Max}, th.Panel)
	d := w(gtx)
	d.Size = gtx.Constraints.Max
	return d
}
