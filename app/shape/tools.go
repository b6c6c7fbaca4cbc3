// SPDX-License-Identifier: MIT

package shape

import (
	"image"

	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"
	"gioui.org/widget"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// tools are the two small buttons in the corner of one plate: what the chosen
// bend does, and what a dragged point catches on.
type tools struct {
	bend, snap widget.Clickable
	tips       [2]control.Tip
	why        string // why the last wish was refused
}

// toolsRoom is the room that they take.
const toolsRoom unit.Dp = 150

// update answers the buttons.
func (t *track) update(gtx layout.Context, d *document.Document, at *document.Place, part Part) {
	for t.tools.bend.Clicked(gtx) {
		t.tools.why = ""
		t.switchBend(d, at, part)
	}
	for t.tools.snap.Clicked(gtx) {
		t.snap = (t.snap + 1) % snaps
	}
}

// layout draws the buttons with their lower right corner at the plate's, and
// above them why the last wish was refused.
func (t *tools) layout(gtx layout.Context, th *look.Theme, size image.Point, kind bend, snap Snap) {
	pad := gtx.Dp(look.Unit)
	right, bottom := size.X-pad, size.Y-pad
	button := func(c *widget.Clickable, tip *control.Tip, text, hint string, can bool) {
		g, ink := gtx, th.Text
		if !can {
			g, ink = gtx.Disabled(), th.Faint
		}
		words := draw.Text{Shaper: th.Shaper, Size: look.Small, Color: ink}
		dim, call := words.Measure(g, text)
		box := image.Rectangle{Max: dim.Size.Add(image.Pt(2*pad, pad))}
		right -= box.Dx()
		o := op.Offset(image.Pt(right, bottom-box.Dy())).Push(gtx.Ops)
		defer o.Pop()
		g.Constraints = layout.Exact(box.Max)
		control.Reachable(gtx, c)
		face := func(gtx layout.Context) layout.Dimensions {
			semantic.Button.Add(gtx.Ops)
			semantic.LabelOp(text).Add(gtx.Ops)
			semantic.DescriptionOp(hint).Add(gtx.Ops)
			semantic.EnabledOp(can).Add(gtx.Ops)
			defer clip.Rect(box).Push(gtx.Ops).Pop()
			ground := th.Raised
			if c.Hovered() && can {
				ground = look.Mix(th.Raised, th.Text, 0.12)
			}
			draw.RoundFrame(gtx.Ops, box, gtx.Dp(3), max(1, gtx.Dp(1)), look.Mix(th.Line, th.Edge, 0.45), ground)
			if can {
				pointer.CursorPointer.Add(gtx.Ops)
			}
			in := op.Offset(image.Pt(pad, pad/2)).Push(gtx.Ops)
			call.Add(gtx.Ops)
			in.Pop()
			if gtx.Focused(c) {
				draw.Frame(gtx.Ops, box, gtx.Dp(2), th.Colours.Focus)
			}
			return layout.Dimensions{Size: box.Max}
		}
		tip.Keys = can && gtx.Focused(c)
		tip.Layout(g, th, hint, func(gtx layout.Context) layout.Dimensions { return c.Layout(gtx, face) })
		right -= pad
	}
	button(&t.snap, &t.tips[0], snap.String(), "What a dragged point catches on (R). Hold Ctrl to drag freely", true)
	hint := "One line through the point (S)"
	if kind == smooth {
		hint = "Set the two handles free (S)"
	}
	button(&t.bend, &t.tips[1], kind.words(), hint, kind != noBend)
	if t.why != "" {
		g := gtx
		g.Constraints = layout.Constraints{Max: image.Pt(max(size.X-4*pad, 1), size.Y)}
		m := op.Record(gtx.Ops)
		l := th.Label(look.Small, th.Text, t.why)
		l.MaxLines = 3
		dim := l.Layout(g)
		call := m.Stop()
		at := image.Pt(size.X-2*pad-dim.Size.X, bottom-gtx.Dp(look.Row)-dim.Size.Y)
		draw.RoundRect(gtx.Ops, image.Rectangle{Min: at, Max: at.Add(dim.Size)}.Inset(-pad/2), pad, th.Raised)
		defer op.Offset(at).Push(gtx.Ops).Pop()
		call.Add(gtx.Ops)
	}
}

// first tells whether a plate is the first one that shows.
func (p *Panel) first(i int) bool {
	switch {
	case p.alone > 0:
		return p.alone == i+1
	case p.few:
		return p.low == i
	}
	return i == int(FromSide)
}
