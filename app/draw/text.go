// SPDX-License-Identifier: MIT

package draw

import (
	"image"
	"image/color"
	"math"
	"strconv"

	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/paint"
	"gioui.org/text"
	"gioui.org/unit"
	"gioui.org/widget"
	"gonum.org/v1/gonum/spatial/r2"
)

// Text writes short strings at points of a canvas. The shaper keeps about a
// thousand strings shaped; a canvas should show far fewer different ones in a
// frame (see [Number]), or every frame shapes them all again.
type Text struct {
	Shaper *text.Shaper
	Font   font.Font
	Size   unit.Sp
	Color  color.NRGBA
	Back   color.NRGBA // filled behind the text; transparent paints nothing
	Pad    int         // room of Back around the text, px
}

// fixedRoom is the room given to a canvas text. It is the same for all of
// them, since the shaper's cache key contains it.
const fixedRoom = 4096

// Measure returns the size of s and the distance of its baseline from the
// bottom, px, and a drawing of s at the origin.
func (t Text) Measure(gtx layout.Context, s string) (layout.Dimensions, op.CallOp) {
	gtx.Constraints = layout.Constraints{Max: image.Pt(fixedRoom, fixedRoom)}
	size := t.Size
	if size <= 0 {
		size = 12
	}
	m := op.Record(gtx.Ops)
	ink := op.Record(gtx.Ops)
	paint.ColorOp{Color: t.Color}.Add(gtx.Ops)
	call := ink.Stop()
	d := widget.Label{MaxLines: 1}.Layout(gtx, t.Shaper, t.Font, size, s, call)
	return d, m.Stop()
}

// At writes s so that the place of its box named by anchor lies at p: with
// layout.W the text starts at p and is centred on it in height. It returns the
// box. A point that is not finite, or an empty string, draws nothing.
func (t Text) At(gtx layout.Context, p r2.Vec, anchor layout.Direction, s string) image.Rectangle {
	if s == "" || t.Shaper == nil || !finite(p) || math.Abs(p.X) > 1e6 || math.Abs(p.Y) > 1e6 {
		return image.Rectangle{}
	}
	d, call := t.Measure(gtx, s)
	// Whole pixels keep the glyphs crisp and their paths cached.
	at := image.Pt(pixel(p.X), pixel(p.Y)).Sub(anchorOf(anchor, d.Size))
	box := image.Rectangle{Min: at, Max: at.Add(d.Size)}
	if t.Back.A > 0 {
		back := box.Inset(-t.Pad)
		RoundRect(gtx.Ops, back, max(t.Pad, 2), t.Back)
	}
	o := op.Offset(at).Push(gtx.Ops)
	call.Add(gtx.Ops)
	o.Pop()
	return box
}

// Fitting returns the first of some ways to say the same that is no wider than
// room, px, or else the last.
func (t Text) Fitting(gtx layout.Context, room int, ways ...string) string {
	for i, s := range ways {
		if i == len(ways)-1 {
			return s
		}
		if d, _ := t.Measure(gtx, s); d.Size.X <= room {
			return s
		}
	}
	return ""
}

// anchorOf is the point of a box of the given size that anchor names.
func anchorOf(anchor layout.Direction, size image.Point) image.Point {
	p := size.Div(2)
	switch anchor {
	case layout.NW, layout.W, layout.SW:
		p.X = 0
	case layout.NE, layout.E, layout.SE:
		p.X = size.X
	}
	switch anchor {
	case layout.NW, layout.N, layout.NE:
		p.Y = 0
	case layout.SW, layout.S, layout.SE:
		p.Y = size.Y
	}
	return p
}

// Figures formats v with n significant figures, but with the whole of what
// lies before the point and with n decimals at most.
func Figures(v float64, n int) string {
	decimals := 0
	s, err := strconv.ParseFloat(strconv.FormatFloat(math.Abs(v), 'e', n-1, 64), 64) // 9.996 rounds to one more before the point
	if err == nil && s > 0 && s-s == 0 {
		decimals = n - 1 - int(math.Floor(math.Log10(s)+1e-9))
	}
	return Number(v, min(max(decimals, 0), n))
}

// Number formats v with the given number of decimals. The few different
// strings that result keep the text cache small; a value that is not finite
// reads "–", and no zero carries a sign.
func Number(v float64, decimals int) string {
	if v-v != 0 {
		return "–"
	}
	s := strconv.FormatFloat(v, 'f', max(decimals, 0), 64)
	if s[0] == '-' {
		zero := true
		for _, c := range s[1:] {
			zero = zero && (c == '0' || c == '.')
		}
		if zero {
			return s[1:]
		}
		return "−" + s[1:] // the minus sign, U+2212
	}
	return s
}
