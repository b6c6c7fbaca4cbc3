// SPDX-License-Identifier: MIT

package look

import (
	"image"
	"image/color"

	"gioui.org/font"
	"gioui.org/font/gofont"
	"gioui.org/layout"
	"gioui.org/op/clip"
	"gioui.org/op/paint"
	"gioui.org/text"
	"gioui.org/unit"
	"gioui.org/widget/material"

	"gaitwright/app/draw"
)

// Space.
const (
	Unit    unit.Dp = 4  // every gap is a multiple of it
	Row     unit.Dp = 26 // height of a row in a list
	Control unit.Dp = 28 // height of a button or field
	Corner  unit.Dp = 4  // radius of corners
)

// Sizes of text.
const (
	Small unit.Sp = 11
	Body  unit.Sp = 13
	Title unit.Sp = 16
	Big   unit.Sp = 20
)

// KgfCm is the unit of stall torque on datasheets, with a space that does not
// break: in this font a point would stick to the f.
const KgfCm = "kgf\u00a0cm"

// Theme is the look of one window. It is not safe for use by several
// goroutines, since its shaper is not.
type Theme struct {
	*material.Theme
	Colours
	Dark bool

	// HintsApart says that the window itself draws the hint of a control, see
	// control.Hints; Hint is the one that is due in this frame.
	HintsApart bool
	Hint       string

	glyphs *glyphPaths
}

// New returns the light or the dark look, with fonts of its own, so that it is
// the same on every machine.
func New(dark bool) *Theme {
	th := &Theme{
		Theme:  material.NewTheme(),
		glyphs: new(glyphPaths),
	}
	th.Shaper = text.NewShaper(text.NoSystemFonts(), text.WithCollection(gofont.Collection()))
	th.TextSize = Body
	th.FingerSize = 20
	th.SetDark(dark)
	return th
}

// SetDark changes between the light and the dark look, keeping the fonts.
func (th *Theme) SetDark(dark bool) {
	th.Dark = dark
	th.Colours = colours(dark)
	th.Palette = material.Palette{
		Bg: th.Panel, Fg: th.Text, ContrastBg: th.Accent.Fill, ContrastFg: th.Accent.On,
	}
}

// Label returns a one-line text.
func (th *Theme) Label(size unit.Sp, c color.NRGBA, s string) material.LabelStyle {
	l := material.Label(th.Theme, size, s)
	l.Color = c
	l.MaxLines = 1
	return l
}

// Plain returns a text of normal size.
func (th *Theme) Plain(s string) material.LabelStyle { return th.Label(Body, th.Text, s) }

// Quiet returns a text of second rank.
func (th *Theme) Quiet(s string) material.LabelStyle { return th.Label(Body, th.Dim, s) }

// Note returns a small text of second rank.
func (th *Theme) Note(s string) material.LabelStyle { return th.Label(Small, th.Dim, s) }

// Strong returns a bold text of normal size.
func (th *Theme) Strong(s string) material.LabelStyle {
	l := th.Plain(s)
	l.Font.Weight = font.Bold
	return l
}

// Head returns the bold heading of a card or page.
func (th *Theme) Head(s string) material.LabelStyle {
	l := th.Label(Title, th.Text, s)
	l.Font.Weight = font.Bold
	return l
}

// Para returns a text of normal size that wraps.
func (th *Theme) Para(s string) material.LabelStyle {
	l := th.Plain(s)
	l.MaxLines = 0
	return l
}

// Mono returns a one-line text of equal letter widths, for numbers in columns.
func (th *Theme) Mono(size unit.Sp, c color.NRGBA, s string) material.LabelStyle {
	l := th.Label(size, c, s)
	l.Font.Typeface = "Go Mono"
	return l
}

// Writer returns a text for canvases, of the given size and colour.
func (th *Theme) Writer(size unit.Sp, c color.NRGBA) draw.Text {
	return draw.Text{Shaper: th.Shaper, Size: size, Color: c}
}

// Gap returns an empty space of n units to both sides, for flex layouts.
func Gap(n float32) layout.FlexChild {
	return layout.Rigid(layout.Spacer{Width: Unit * unit.Dp(n), Height: Unit * unit.Dp(n)}.Layout)
}

// Inset returns equal room of n units on all sides.
func Inset(n float32) layout.Inset { return layout.UniformInset(Unit * unit.Dp(n)) }

// Glyph draws g in a square of the given size and returns its room.
func (th *Theme) Glyph(gtx layout.Context, g Glyph, size unit.Dp, c color.NRGBA) layout.Dimensions {
	px := gtx.Dp(size)
	if p, ok := th.glyphs.path(g, px); ok {
		paint.FillShape(gtx.Ops, c, clip.Outline{Path: p}.Op())
	}
	return layout.Dimensions{Size: image.Pt(px, px)}
}
