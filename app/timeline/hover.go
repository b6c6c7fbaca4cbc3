// SPDX-License-Identifier: MIT

package timeline

import (
	"fmt"
	"image"

	"gioui.org/layout"
	"gioui.org/op"

	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// hover shows in words what lies under the pointer.
func (w *painter) hover() {
	if w.grip == barGrip && w.bar.moved {
		w.tell()
		return
	}
	if w.grip == endGrip {
		w.tellEnd()
		return
	}
	if w.tellFlag() {
		return
	}
	if !w.over || w.grip != resting || !w.gtx.Enabled() {
		return
	}
	s, ok := w.spotAt(w.mouse)
	if !ok {
		if !w.tellEnd() {
			w.tell()
		}
		return
	}
	switch s.kind {
	case markSpot:
		text := w.flagWords(s.index)
		if _, ok := w.flagAt(s.index, w.d); ok {
			text += " (drag to change it)"
		}
		w.card(s, text)
	case findingSpot:
		i := w.pick(w.gtx, s, w.at)
		text := w.derived.texts[i]
		if n := len(w.pile(w.gtx, s)); n > 1 {
			text = fmt.Sprintf("%s (and %d more here)", text, n-1)
		}
		w.card(s, text)
	case stepSpot:
		text := w.stepWords(s.index)
		if s.n > 1 {
			text = fmt.Sprintf("%s (the worst of %d here)", text, s.n)
		}
		w.card(s, text)
	}
}

// card writes a text beside a spot, clear of it and within the canvas.
func (w *painter) card(s spot, text string) {
	gtx, th := w.gtx, w.th
	gtx.Constraints = layout.Constraints{Max: w.lanes.size}
	m := op.Record(gtx.Ops)
	d := th.Label(look.Small+1, th.Text, text).Layout(gtx)
	call := m.Stop()
	pad := image.Pt(gtx.Dp(look.Unit*2), gtx.Dp(look.Unit))
	size := d.Size.Add(pad.Mul(2))
	gap := gtx.Dp(look.Unit)
	at := image.Pt(s.x+gtx.Dp(8), s.box.Min.Y-gap-size.Y)
	if at.Y < 0 {
		at.Y = s.box.Max.Y + gap
	}
	at.X = max(0, min(at.X, w.lanes.size.X-size.X-gap))
	at.Y = max(0, min(at.Y, w.lanes.size.Y-size.Y))
	draw.RoundFrame(gtx.Ops, image.Rectangle{Min: at, Max: at.Add(size)}, gtx.Dp(look.Corner), w.hair, th.Edge, th.Raised)
	o := op.Offset(at.Add(pad)).Push(gtx.Ops)
	call.Add(gtx.Ops)
	o.Pop()
}
