// SPDX-License-Identifier: MIT

package control

import (
	"image"
	"image/color"

	"gioui.org/f32"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"

	"gaitwright/app/look"
)

func pt(x, y float32) f32.Point { return f32.Pt(x, y) }

func offset(gtx layout.Context, x, y int) op.TransformStack {
	return op.Offset(image.Pt(x, y)).Push(gtx.Ops)
}

func recordGlyph(gtx layout.Context, th *look.Theme, g look.Glyph, size unit.Dp, c color.NRGBA) op.CallOp {
	m := op.Record(gtx.Ops)
	th.Glyph(gtx, g, size, c)
	return m.Stop()
}
