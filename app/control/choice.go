// SPDX-License-Identifier: MIT

package control

import (
	"image"
	"image/color"

	"gioui.org/gesture"
	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op/clip"
	"gioui.org/unit"

	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// Choice is the state of a row of options of which one holds. As one stop of
// the Tab key it moves by the arrow keys.
type Choice struct {
	Value int // index of the option that holds

	clicks  []*gesture.Click
	hints   []hint
	n       int // options at the last Layout
	changed bool
}

// Update reports whether the person chose another option.
func (c *Choice) Update(gtx layout.Context) bool {
	c.pull(gtx)
	changed := c.changed
	c.changed = false
	return changed
}

func (c *Choice) pull(gtx layout.Context) {
	set := func(i int) {
		if i >= 0 && i < c.n && i != c.Value {
			c.Value, c.changed = i, true
		}
	}
	for i, k := range c.clicks {
		for {
			e, ok := k.Update(gtx.Source)
			if !ok {
				break
			}
			if e.Kind == gesture.KindPress {
				c.hints[i].done = true
				gtx.Execute(key.FocusCmd{Tag: c})
			}
			if e.Kind == gesture.KindClick {
				set(i)
			}
		}
	}
	for {
		ev, ok := gtx.Event(
			key.FocusFilter{Target: c},
			key.Filter{Focus: c, Name: key.NameLeftArrow}, key.Filter{Focus: c, Name: key.NameRightArrow},
			key.Filter{Focus: c, Name: key.NameHome}, key.Filter{Focus: c, Name: key.NameEnd},
		)
		if !ok {
			return
		}
		e, ok := ev.(key.Event)
		if !ok || e.State != key.Press {
			continue
		}
		switch e.Name {
		case key.NameLeftArrow:
			set(c.Value - 1)
		case key.NameRightArrow:
			set(c.Value + 1)
		case key.NameHome:
			set(0)
		case key.NameEnd:
			set(c.n - 1)
		}
	}
}

// Focused reports whether the choice has the keys.
func (c *Choice) Focused(gtx layout.Context) bool { return gtx.Focused(c) }

// Option is one of a choice.
type Option struct {
	Text  string // may be empty beside a glyph
	Glyph look.Glyph
	Label string // spoken name; the text when empty
	Hint  string
}

// Options makes options of texts.
func Options(texts ...string) []Option {
	o := make([]Option, len(texts))
	for i, s := range texts {
		o[i].Text = s
	}
	return o
}

// ChoiceStyle is the look of a choice in this frame.
type ChoiceStyle struct {
	Theme    *look.Theme
	Choice   *Choice
	Options  []Option
	Disabled bool
}

// Pick returns the style of a choice.
func Pick(th *look.Theme, c *Choice, options ...Option) ChoiceStyle {
	return ChoiceStyle{Theme: th, Choice: c, Options: options}
}

// Layout draws the choice. With a least width the options share it evenly.
func (s ChoiceStyle) Layout(gtx layout.Context) layout.Dimensions {
	c, th := s.Choice, s.Theme
	if s.Disabled {
		gtx = gtx.Disabled()
	}
	c.n = len(s.Options)
	for len(c.clicks) < c.n {
		c.clicks = append(c.clicks, new(gesture.Click))
		c.hints = append(c.hints, hint{})
	}
	c.changed = false
	c.pull(gtx)
	if c.n == 0 {
		return layout.Dimensions{}
	}

	h := gtx.Dp(look.Control)
	widths := make([]int, c.n)
	pad := 2 * gtx.Dp(look.Unit*2.5)
	total, widest := 0, 0
	for i, o := range s.Options {
		d, _ := sizeOf(gtx, func(gtx layout.Context) layout.Dimensions { return s.content(gtx, o, i) })
		widths[i] = d.Size.X + pad
		if o.Text == "" {
			widths[i] = h
		}
		total += widths[i]
		widest = max(widest, widths[i])
	}
	if least := gtx.Constraints.Min.X; least > 0 {
		// Evenly, where the widest fits so with half its margins; else each
		// by what it needs, with narrower margins when it must be.
		even := widest-pad/2 <= least/c.n
		spare := least - total
		for i := range widths {
			switch {
			case even && total <= least:
				widths[i] = least*(i+1)/c.n - least*i/c.n
			case spare > -pad*c.n*2/3:
				widths[i] += spare*(i+1)/c.n - spare*i/c.n
			}
		}
		if even && total <= least || spare > -pad*c.n*2/3 {
			total = least
		}
	}
	size := image.Pt(total, h)
	box := image.Rectangle{Max: size}
	radius := corner(gtx)

	hints := func() {}
	func() {
		defer clip.UniformRRect(box, radius).Push(gtx.Ops).Pop()
		event.Op(gtx.Ops, c)
		Reachable(gtx, c)
		draw.Rect(gtx.Ops, box, th.Raised)
		x := 0
		for i, o := range s.Options {
			seg := image.Rect(x, 0, x+widths[i], h)
			s.segment(gtx, o, i, seg)
			if o.Hint != "" {
				prev, at := hints, x
				hints = func() {
					prev()
					defer offset(gtx, at, 0).Pop()
					c.hints[i].layout(gtx, th, telling(o.Hint, o.Text), image.Pt(widths[i], size.Y), hintState{over: c.clicks[i].Hovered(), down: c.clicks[i].Pressed()})
				}
			}
			x += widths[i]
		}
		border(gtx, box, radius, hair(gtx), look.Mix(th.Line, th.Edge, 0.45))
		if c.Focused(gtx) {
			ring(gtx, th, box, radius)
		}
	}()
	hints()
	return layout.Dimensions{Size: size}
}

func (s ChoiceStyle) segment(gtx layout.Context, o Option, i int, seg image.Rectangle) {
	c, th := s.Choice, s.Theme
	defer clip.Rect(seg).Push(gtx.Ops).Pop()
	semantic.RadioButton.Add(gtx.Ops)
	name := o.Label
	if name == "" {
		name = o.Text
	}
	semantic.LabelOp(name).Add(gtx.Ops)
	if o.Hint != "" && o.Hint != name {
		semantic.DescriptionOp(o.Hint).Add(gtx.Ops)
	}
	semantic.SelectedOp(i == c.Value).Add(gtx.Ops)
	semantic.EnabledOp(gtx.Enabled()).Add(gtx.Ops)
	if gtx.Enabled() { // see pressable
		c.clicks[i].Add(gtx.Ops)
		pointer.CursorPointer.Add(gtx.Ops)
	}
	switch {
	case i == c.Value:
		draw.Rect(gtx.Ops, seg, th.Accent.Wash)
		// A bar below says the same as the colour.
		draw.Rect(gtx.Ops, image.Rect(seg.Min.X, seg.Max.Y-gtx.Dp(unit.Dp(2.5)), seg.Max.X, seg.Max.Y), th.Accent.Ink)
	case gtx.Enabled() && c.clicks[i].Hovered():
		draw.Rect(gtx.Ops, seg, look.Mix(th.Raised, th.Text, 0.06))
	}
	if i > 0 {
		draw.Rect(gtx.Ops, image.Rect(seg.Min.X, seg.Min.Y, seg.Min.X+hair(gtx), seg.Max.Y), look.Mix(th.Line, th.Edge, 0.45))
	}
	d, call := sizeOf(gtx, func(gtx layout.Context) layout.Dimensions { return s.content(gtx, o, i) })
	put(gtx, seg.Min.Add(seg.Size().Sub(d.Size).Div(2)), call)
}

func (s ChoiceStyle) content(gtx layout.Context, o Option, i int) layout.Dimensions {
	th := s.Theme
	ink := th.Text
	switch {
	case !gtx.Enabled():
		ink = th.Faint
	case i == s.Choice.Value:
		ink = th.Accent.Ink
	}
	return glyphText(gtx, th, o.Glyph, o.Text, ink)
}

// glyphText lays out a glyph and a text in a line; each may be missing.
func glyphText(gtx layout.Context, th *look.Theme, g look.Glyph, text string, ink color.NRGBA) layout.Dimensions {
	if g == look.NoGlyph {
		return th.Label(look.Body, ink, text).Layout(gtx)
	}
	sign := layout.Rigid(func(gtx layout.Context) layout.Dimensions { return th.Glyph(gtx, g, 16, ink) })
	if text == "" {
		return layout.Flex{}.Layout(gtx, sign)
	}
	return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
		sign,
		layout.Rigid(layout.Spacer{Width: look.Unit * 1.5}.Layout),
		layout.Rigid(th.Label(look.Body, ink, text).Layout),
	)
}
