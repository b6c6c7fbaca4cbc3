// SPDX-License-Identifier: MIT

package control

import (
	"image"
	"time"

	"gioui.org/layout"
	"gioui.org/op"

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
	gtx.Constraints = layout.Constraints{Max: image.Pt(gtx.Dp(320), gtx.Dp(200))}
	m := op.Record(gtx.Ops)
	d, call := sizeOf(gtx, func(gtx layout.Context) layout.Dimensions {
		l := th.Label(look.Small+1, th.Panel, text)
		l.MaxLines = 0
		return l.Layout(gtx)
	})
	pad := image.Pt(gtx.Dp(look.Unit*2), gtx.Dp(look.Unit))
	box := image.Rectangle{Max: d.Size.Add(pad.Mul(2))}
	box = box.Add(image.Pt(0, under.Y+gtx.Dp(look.Unit)))
	draw.RoundRect(gtx.Ops, box, corner(gtx), th.Text)
	put(gtx, box.Min.Add(pad), call)
	op.Defer(gtx.Ops, m.Stop())
}
