// SPDX-License-Identifier: MIT

package control

import (
	"image"
	"strings"
	"time"

	"gioui.org/io/input"
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
	if s.down || typing(gtx) {
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

// telling is what a hint adds to a text that shows anyhow: the keys alone where
// it only has these to add, nothing where it repeats the text.
func telling(hint, shown string) string {
	if shown == "" {
		return hint
	}
	rest, ok := strings.CutPrefix(hint, shown)
	if !ok {
		return hint
	}
	if rest = strings.Trim(rest, " ."); strings.HasPrefix(rest, "(") && strings.HasSuffix(rest, ")") {
		return rest[1 : len(rest)-1]
	}
	if rest == "" {
		return ""
	}
	return hint
}

// bubble is the box with a hint's words.
func bubble(gtx layout.Context, th *look.Theme, text string) (image.Point, op.CallOp) {
	gtx.Constraints = layout.Constraints{Max: image.Pt(gtx.Dp(320), gtx.Dp(200))}
	whole := op.Record(gtx.Ops)
	d, call := sizeOf(gtx, func(gtx layout.Context) layout.Dimensions {
		l := th.Label(look.Body, th.Text, text)
		l.MaxLines = 0
		return l.Layout(gtx)
	})
	pad := image.Pt(gtx.Dp(look.Unit*2), gtx.Dp(look.Unit))
	box := image.Rectangle{Max: d.Size.Add(pad.Mul(2))}
	area := clip.Rect(box).Push(gtx.Ops)
	semantic.LabelOp("hint").Add(gtx.Ops)
	draw.RoundFrame(gtx.Ops, box, corner(gtx), hair(gtx), th.Edge, th.Raised)
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
	parts := semantics(gtx.Ops)
	at, ok := placed(parts, hintPlace)
	if !ok {
		return
	}
	size, call := bubble(gtx, th, text)
	put(gtx, beside(at, size, gtx.Constraints.Max, gtx.Dp(look.Unit), parts), call)
}

// beside gives where a hint of a size stands about a control: below it, above
// it, or to a side, wherever it covers the least of other controls.
func beside(at image.Rectangle, size, room image.Point, gap int, parts []input.SemanticNode) image.Point {
	within := func(p image.Point) image.Point {
		return image.Pt(max(min(p.X, room.X-size.X-gap), gap), max(min(p.Y, room.Y-size.Y-gap), gap))
	}
	best, least := within(image.Pt(at.Min.X, at.Max.Y+gap)), -1
	for _, p := range [...]image.Point{
		{at.Min.X, at.Max.Y + gap},
		{at.Min.X, at.Min.Y - gap - size.Y},
		{at.Max.X + gap, (at.Min.Y + at.Max.Y - size.Y) / 2},
		{at.Min.X - gap - size.X, (at.Min.Y + at.Max.Y - size.Y) / 2},
	} {
		box := image.Rectangle{Min: within(p)}
		box.Max = box.Min.Add(size)
		n := 0
		for _, q := range parts {
			if q.Desc.Class == semantic.Unknown || q.Desc.Bounds.In(at) {
				continue
			}
			o := box.Intersect(q.Desc.Bounds)
			n += o.Dx() * o.Dy()
		}
		o := box.Intersect(at) // the control itself least of all
		if n += 16 * o.Dx() * o.Dy(); least < 0 || n < least {
			best, least = box.Min, n
		}
	}
	return best
}
