// SPDX-License-Identifier: MIT

package control

import (
	"image"

	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op/clip"
	"gioui.org/unit"
	"gioui.org/widget"

	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// Toggle is the state of a box that is ticked or not.
type Toggle struct {
	Value bool

	click   widget.Clickable
	hint    hint
	changed bool
}

// Update reports whether the person changed it.
func (t *Toggle) Update(gtx layout.Context) bool {
	t.pull(gtx)
	changed := t.changed
	t.changed = false
	return changed
}

func (t *Toggle) pull(gtx layout.Context) {
	for {
		if _, ok := t.click.Update(gtx); !ok {
			return
		}
		t.Value, t.changed, t.hint.done = !t.Value, true, true
	}
}

// Focused reports whether the toggle has the keys.
func (t *Toggle) Focused(gtx layout.Context) bool { return gtx.Focused(&t.click) }

// ToggleStyle is the look of a toggle in this frame.
type ToggleStyle struct {
	Theme    *look.Theme
	Toggle   *Toggle
	Text     string
	Hint     string
	Disabled bool
}

// Check returns the style of a toggle with a text.
func Check(th *look.Theme, t *Toggle, text string) ToggleStyle {
	return ToggleStyle{Theme: th, Toggle: t, Text: text}
}

// WithHint adds a hint.
func (s ToggleStyle) WithHint(h string) ToggleStyle { s.Hint = h; return s }

// When disables the toggle unless ok.
func (s ToggleStyle) When(ok bool) ToggleStyle { s.Disabled = !ok; return s }

// Layout draws the toggle.
func (s ToggleStyle) Layout(gtx layout.Context) layout.Dimensions {
	t, th := s.Toggle, s.Theme
	if s.Disabled {
		gtx = gtx.Disabled()
	}
	t.changed = false
	t.pull(gtx)
	d := pressable(gtx, &t.click, func(gtx layout.Context) layout.Dimensions {
		semantic.CheckBox.Add(gtx.Ops)
		semantic.LabelOp(s.Text).Add(gtx.Ops)
		semantic.SelectedOp(t.Value).Add(gtx.Ops)
		if s.Hint != "" {
			semantic.DescriptionOp(s.Hint).Add(gtx.Ops)
		}
		ink := th.Text
		if !gtx.Enabled() {
			ink = th.Faint
		} else {
			pointer.CursorPointer.Add(gtx.Ops)
		}
		h := gtx.Dp(look.Row)
		pad := gtx.Dp(look.Unit)
		side := gtx.Dp(16)
		text, call := sizeOf(gtx, th.Label(look.Body, ink, s.Text).Layout)
		size := image.Pt(pad+side+2*pad+text.Size.X+pad, h)
		defer clip.Rect{Max: size}.Push(gtx.Ops).Pop()

		box := image.Rect(pad, (h-side)/2, pad+side, (h-side)/2+side)
		radius := gtx.Dp(unit.Dp(3))
		fill, edge := th.Field, th.Edge
		switch {
		case !gtx.Enabled():
			fill, edge = th.Panel, th.Line
		case t.Value:
			fill, edge = th.Accent.Fill, th.Accent.Fill
		case t.click.Hovered():
			edge = th.Text
		}
		draw.RoundFrame(gtx.Ops, box, radius, hair(gtx), edge, fill)
		if t.Value {
			mark := th.Accent.On
			if !gtx.Enabled() {
				mark = th.Faint
			}
			put(gtx, box.Min.Add(image.Pt(gtx.Dp(2), gtx.Dp(2))), recordGlyph(gtx, th, look.Tick, 12, mark))
		}
		put(gtx, image.Pt(pad+side+2*pad, (h-text.Size.Y)/2), call)
		if t.Focused(gtx) {
			ring(gtx, th, image.Rectangle{Max: size}, corner(gtx))
		}
		return layout.Dimensions{Size: size}
	})
	t.hint.layout(gtx, th, telling(s.Hint, s.Text), d.Size, hintState{over: t.click.Hovered(), down: t.click.Pressed()})
	return d
}
