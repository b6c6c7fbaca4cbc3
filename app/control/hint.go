// SPDX-License-Identifier: MIT

package control

import (
	"image"
	"time"

	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"

	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// hint is the state of the short text that appears at a control under the
// resting pointer.
type hint struct {
	since time.Time // when the pointer came; zero while it is away
	done  bool      // a press put the hint away until the pointer leaves
}

type hintState struct{ over, down, keys bool }

// hintDelay is how long the pointer rests before the hint appears.
const hintDelay = 600 * time.Millisecond

// layout shows text below a control of the given size, above everything else.
func (h *hint) layout(gtx layout.Context, th *look.Theme, text string, under image.Point, s hintState) {
	if text == "" || !gtx.Enabled() {
		*h = hint{}
		return
	}
	if s.down {
		h.done = true
	}
	if !s.over && !s.keys {
		*h = hint{}
		return
	}
	if h.since.IsZero() {
		h.since = gtx.Now
	}
	if h.done {
		return
	}
	if wait := h.since.Add(hintDelay); gtx.Now.Before(wait) {
		gtx.Execute(op.InvalidateCmd{At: wait})
		return
	}
	if th.HintsApart { // the window draws it, see Hints
		th.Hint = text
		Mark(gtx, hintPlace, func(gtx layout.Context) layout.Dimensions { return layout.Dimensions{Size: under} })
		return
	}
	m := op.Record(gtx.Ops)
	_, call := bubble(gtx, th, text)
	put(gtx, image.Pt(0, under.Y+gtx.Dp(look.Unit)), call)
	op.Defer(gtx.Ops, m.Stop())
}

// hintPlace is the name of the control whose hint is to be shown.
const hintPlace = "what the hint is about"

// bubble is the box with a hint's words.
func bubble(gtx layout.Context, th *look.Theme, text string) (image.Point, op.CallOp) {
	gtx.Constraints = layout.Constraints{Max: image.Pt(gtx.Dp(320), gtx.Dp(200))}
	whole := op.Record(gtx.Ops)
	d, call := sizeOf(gtx, func(gtx layout.Context) layout.Dimensions {
		l := th.Label(look.Body, th.Panel, text)
		l.MaxLines = 0
		return l.Layout(gtx)
	})
	pad := image.Pt(gtx.Dp(look.Unit*2), gtx.Dp(look.Unit))
	box := image.Rectangle{Max: d.Size.Add(pad.Mul(2))}
	area := clip.Rect(box).Push(gtx.Ops)
	semantic.LabelOp("hint").Add(gtx.Ops)
	draw.RoundRect(gtx.Ops, box, corner(gtx), th.Text)
	put(gtx, box.Min.Add(pad), call)
	area.Pop()
	return box.Size(), whole.Stop()
}

// Hints draws the hint that is due over a window whose theme has HintsApart,
// wholly inside it. Call it last in a frame.
func Hints(gtx layout.Context, th *look.Theme) {
	text := th.Hint
	th.Hint = ""
	if text == "" {
		return
	}
	at, ok := Where(gtx.Ops, hintPlace)
	if !ok {
		return
	}
	size, call := bubble(gtx, th, text)
	gap := gtx.Dp(look.Unit)
	room := gtx.Constraints.Max
	p := image.Pt(min(at.Min.X, room.X-size.X-gap), at.Max.Y+gap)
	if p.Y+size.Y+gap > room.Y { // no room below
		p.Y = at.Min.Y - gap - size.Y
	}
	put(gtx, image.Pt(max(p.X, gap), max(p.Y, gap)), call)
}
