// SPDX-License-Identifier: MIT

package control

import (
	"image"
	"image/color"

	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op/clip"
	"gioui.org/unit"
	"gioui.org/widget"

	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// Button is the state of a push button.
type Button struct {
	click widget.Clickable
	hint  hint
	hit   bool // pushed in the events seen by the last Layout
}

// Update reports whether the button was pushed, by pointer, Enter or Space.
func (b *Button) Update(gtx layout.Context) bool {
	b.pull(gtx)
	hit := b.hit
	b.hit = false
	return hit
}

func (b *Button) pull(gtx layout.Context) {
	for {
		if _, ok := b.click.Update(gtx); !ok {
			return
		}
		b.hit, b.hint.done = true, true
	}
}

// Focused reports whether the button has the keys.
func (b *Button) Focused(gtx layout.Context) bool { return gtx.Focused(&b.click) }

// Tag is what to give the keyboard focus to.
func (b *Button) Tag() any { return &b.click }

// Rank says how much a button stands out.
type Rank uint8

// The ranks.
const (
	Normal  Rank = iota
	Primary      // the one thing to do next
	Quiet        // no ground until the pointer is over it
)

// ButtonStyle is the look of a button in this frame.
type ButtonStyle struct {
	Theme    *look.Theme
	Button   *Button
	Text     string // may be empty beside a glyph
	Glyph    look.Glyph
	Tail     look.Glyph // small, behind the text
	Label    string     // spoken name; the text when empty
	Hint     string     // shown when the pointer rests on it
	Rank     Rank
	On       bool // pressed in, for a button that switches something
	Disabled bool
	Small    bool // height of a list row
}

// Push returns the style of a button with a text.
func Push(th *look.Theme, b *Button, text string) ButtonStyle {
	return ButtonStyle{Theme: th, Button: b, Text: text}
}

// Sign returns the style of a quiet button with a glyph only; the words are its
// label and hint.
func Sign(th *look.Theme, b *Button, g look.Glyph, words string) ButtonStyle {
	return ButtonStyle{Theme: th, Button: b, Glyph: g, Label: words, Hint: words, Rank: Quiet}
}

// WithGlyph adds a glyph before the text.
func (s ButtonStyle) WithGlyph(g look.Glyph) ButtonStyle { s.Glyph = g; return s }

// WithHint adds a hint.
func (s ButtonStyle) WithHint(h string) ButtonStyle { s.Hint = h; return s }

// As sets the rank.
func (s ButtonStyle) As(r Rank) ButtonStyle { s.Rank = r; return s }

// When disables the button unless ok.
func (s ButtonStyle) When(ok bool) ButtonStyle { s.Disabled = !ok; return s }

// Lit shows the button pressed in.
func (s ButtonStyle) Lit(on bool) ButtonStyle { s.On = on; return s }

// Layout draws the button.
func (s ButtonStyle) Layout(gtx layout.Context) layout.Dimensions {
	b, th := s.Button, s.Theme
	if s.Disabled {
		gtx = gtx.Disabled()
	}
	b.hit = false
	b.pull(gtx)
	d := pressable(gtx, &b.click, func(gtx layout.Context) layout.Dimensions {
		semantic.Button.Add(gtx.Ops)
		if name := s.name(); name != "" {
			semantic.LabelOp(name).Add(gtx.Ops)
		}
		if s.Hint != "" {
			semantic.DescriptionOp(s.Hint).Add(gtx.Ops)
		}
		if s.On {
			semantic.SelectedOp(true).Add(gtx.Ops)
		}
		if gtx.Enabled() {
			pointer.CursorPointer.Add(gtx.Ops)
		}
		return s.face(gtx)
	})
	b.hint.layout(gtx, th, telling(s.Hint, s.Text), d.Size, hintState{
		over: b.click.Hovered(), down: b.click.Pressed(), keys: s.Text == "" && b.Focused(gtx),
	})
	return d
}

// pressable lays w out in the area of a clickable. Without events it makes the
// area itself: an area whose handler asks for nothing loses its semantics.
func pressable(gtx layout.Context, c *widget.Clickable, w layout.Widget) layout.Dimensions {
	if gtx.Enabled() {
		Reachable(gtx, c)
		if c.Pressed() {
			press(gtx, c)
		}
		return c.Layout(gtx, w)
	}
	d, call := recorded(gtx, w)
	defer clip.Rect{Max: d.Size}.Push(gtx.Ops).Pop()
	semantic.EnabledOp(false).Add(gtx.Ops)
	call.Add(gtx.Ops)
	return d
}

func (s ButtonStyle) name() string {
	if s.Label != "" {
		return s.Label
	}
	return s.Text
}

func (s ButtonStyle) face(gtx layout.Context) layout.Dimensions {
	th := s.Theme
	ground, ink, edge := s.colours(gtx)
	height, glyph, pad := look.Control, unit.Dp(16), look.Unit*2.5
	if s.Small {
		height, glyph, pad = 22, 14, look.Unit*2
	}
	h := gtx.Dp(height)
	var textSize, glyphSize image.Point
	label, labelCall := layout.Dimensions{}, func() {}
	if s.Text != "" {
		d, call := sizeOf(gtx, th.Label(look.Body, ink, s.Text).Layout)
		label, textSize = d, d.Size
		labelCall = func() { call.Add(gtx.Ops) }
	}
	gap := 0
	if s.Glyph != look.NoGlyph {
		g := gtx.Dp(glyph)
		glyphSize = image.Pt(g, g)
		if s.Text != "" {
			gap = gtx.Dp(look.Unit * 1.5)
		}
	}
	inner := textSize.X + glyphSize.X + gap
	tail := 0
	if s.Tail != look.NoGlyph {
		tail = gtx.Dp(12) + gtx.Dp(look.Unit)
		inner += tail
	}
	w := inner + 2*gtx.Dp(pad)
	if s.Text == "" {
		w = h
	}
	w = max(w, gtx.Constraints.Min.X)
	size := gtx.Constraints.Constrain(image.Pt(w, max(h, gtx.Constraints.Min.Y)))
	box := image.Rectangle{Max: size}

	defer clip.UniformRRect(box, corner(gtx)).Push(gtx.Ops).Pop()
	if ground.A > 0 {
		draw.Rect(gtx.Ops, box, ground)
	}
	x := (size.X - inner) / 2
	if s.Glyph != look.NoGlyph {
		put(gtx, image.Pt(x, (size.Y-glyphSize.Y)/2), recordGlyph(gtx, th, s.Glyph, glyph, ink))
		x += glyphSize.X + gap
	}
	if s.Text != "" {
		o := offset(gtx, x, (size.Y-textSize.Y)/2)
		labelCall()
		o.Pop()
	}
	if tail > 0 {
		px := gtx.Dp(12)
		put(gtx, image.Pt(x+textSize.X+tail-px, (size.Y-px)/2), recordGlyph(gtx, th, s.Tail, 12, ink))
	}
	if edge.A > 0 {
		border(gtx, box, corner(gtx), hair(gtx), edge)
	}
	if s.Button.Focused(gtx) {
		if s.Rank == Primary && gtx.Enabled() { // the ring's colour is the ground here
			in := gtx.Dp(2)
			border(gtx, box.Inset(in), max(corner(gtx)-in, 1), max(gtx.Dp(1.5), 1), th.Accent.On)
		} else {
			ring(gtx, th, box, corner(gtx))
		}
	}
	return layout.Dimensions{Size: size, Baseline: (size.Y-textSize.Y)/2 + label.Baseline}
}

func (s ButtonStyle) colours(gtx layout.Context) (ground, ink, edge color.NRGBA) {
	th, click := s.Theme, &s.Button.click
	on, over, down := gtx.Enabled(), click.Hovered(), click.Pressed()
	switch {
	case s.Rank == Primary && on:
		ground, ink = th.Accent.Fill, th.Accent.On
		if over || down {
			ground = look.Mix(ground, th.Text, 0.12)
		}
		if down {
			ground = look.Mix(ground, th.Text, 0.12)
		}
		return ground, ink, edge
	case s.On:
		ground, ink, edge = th.Accent.Wash, th.Accent.Ink, th.Accent.Ink
	case s.Rank == Quiet:
		ink = th.Text
		if over {
			ground = look.Mix(th.Panel, th.Text, 0.09)
		}
	default:
		ground, ink, edge = th.Raised, th.Text, look.Mix(th.Line, th.Edge, 0.45)
		if over {
			ground = look.Mix(ground, th.Text, 0.05)
		}
	}
	if down {
		ground = look.Mix(th.Panel, th.Text, 0.16)
	}
	if !on {
		ink = th.Faint
		if s.Rank != Quiet {
			ground = th.Panel
			edge = th.Line
		} else {
			ground, edge = color.NRGBA{}, color.NRGBA{}
		}
	}
	return ground, ink, edge
}
