// SPDX-License-Identifier: MIT

package tour

import (
	"fmt"
	"image"

	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// Sizes of the card.
const (
	cardWidth unit.Dp = 276
	frameLine unit.Dp = 3
)

// Layout draws the frame about a place, px of the window, and the card beside
// it, so that it hides as little as it can of what is watched. An empty place
// has no frame, and the card stands in the lower left.
func (t *Tour) Layout(gtx layout.Context, th *look.Theme, place, watched image.Rectangle) layout.Dimensions {
	size := gtx.Constraints.Max
	if !t.on && !t.offered {
		return layout.Dimensions{Size: size}
	}
	window := image.Rectangle{Max: size}
	place = place.Intersect(window)
	line := max(gtx.Dp(frameLine), 2)
	if !place.Empty() {
		// Two lines, so that one of them stands out from whatever lies below.
		draw.Frame(gtx.Ops, place, line+2, th.Panel)
		draw.Frame(gtx.Ops, place.Inset(1), line, th.Accent.Ink)
	}
	pad, gap := gtx.Dp(look.Unit*4), gtx.Dp(look.Unit*2)
	g := gtx
	wide := max(min(gtx.Dp(cardWidth), size.X-2*gap)-2*pad, 1)
	g.Constraints = layout.Constraints{Min: image.Pt(wide, 0), Max: image.Pt(wide, max(size.Y-2*gap-2*pad, 1))}
	m := op.Record(gtx.Ops)
	var d layout.Dimensions
	if t.offered {
		d = t.offer(g, th)
	} else {
		d = t.step(g, th)
	}
	call := m.Stop()
	box := image.Rectangle{Max: d.Size.Add(image.Pt(2*pad, 2*pad))}
	box = box.Add(beside(place, watched.Intersect(window), box.Size(), window, gap))

	area := clip.Rect(box).Push(gtx.Ops)
	t.cover.Add(gtx)
	area.Pop()
	draw.RoundFrame(gtx.Ops, box, gtx.Dp(look.Corner*2), max(gtx.Dp(1.5), 1), th.Accent.Ink, th.Panel)
	defer clip.Rect(box).Push(gtx.Ops).Pop()
	semantic.LabelOp("tour").Add(gtx.Ops)
	defer op.Offset(box.Min.Add(image.Pt(pad, pad))).Push(gtx.Ops).Pop()
	call.Add(gtx.Ops)
	return layout.Dimensions{Size: size}
}

// beside gives where a box of a size goes so that it hides as little as it can
// of a place, and then of what is watched: at the right, left, lower or upper
// side of the place, or in a corner of the window. Of those that hide alike the
// first one holds.
func beside(place, watched image.Rectangle, size image.Point, window image.Rectangle, gap int) image.Point {
	left, right := window.Min.X+gap, window.Max.X-gap-size.X
	top, bottom := window.Min.Y+gap, window.Max.Y-gap-size.Y
	corner := image.Pt(left, bottom)
	if place.Empty() {
		return corner
	}
	within := func(v, lo, hi int) int { return max(min(v, hi), lo) }
	y, x := within(place.Min.Y, top, bottom), within(place.Min.X, left, right)
	best, least := corner, -1
	for _, at := range [...]image.Point{
		{X: place.Max.X + gap, Y: y},
		{X: place.Min.X - gap - size.X, Y: y},
		{X: x, Y: place.Max.Y + gap},
		{X: x, Y: place.Min.Y - gap - size.Y},
		{X: left, Y: y},
		{X: right, Y: y},
		corner,
		{X: right, Y: bottom},
	} {
		box := image.Rectangle{Min: at, Max: at.Add(size)}
		if !box.In(window) {
			continue
		}
		const dearer = 8 // the place than what is watched
		if hides := dearer*area(box.Intersect(place)) + area(box.Intersect(watched)); least < 0 || hides < least {
			best, least = at, hides
		}
	}
	return best
}

func area(r image.Rectangle) int { return r.Dx() * r.Dy() }

func (t *Tour) step(gtx layout.Context, th *look.Theme) layout.Dimensions {
	s := &t.Steps[t.at]
	last := t.at == len(t.Steps)-1
	text := s.Text
	next, rank := "Skip", control.Normal
	if t.done {
		next, rank = "Next", control.Primary
	}
	if last && t.done {
		next = "Finish"
	}
	return layout.Flex{Axis: layout.Vertical}.Layout(gtx,
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			return layout.Flex{Alignment: layout.Baseline}.Layout(gtx,
				layout.Flexed(1, th.Head(s.Title).Layout),
				look.Gap(2),
				layout.Rigid(th.Note(fmt.Sprintf("%d of %d", t.at+1, len(t.Steps))).Layout))
		}),
		look.Gap(2),
		layout.Rigid(th.Para(text).Layout),
		look.Gap(2),
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			if !t.done {
				return layout.Dimensions{Size: image.Pt(gtx.Constraints.Min.X, gtx.Dp(look.Unit*4))}
			}
			return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
				layout.Rigid(func(gtx layout.Context) layout.Dimensions { return th.Glyph(gtx, look.Tick, 16, th.Fine.Ink) }),
				look.Gap(1), layout.Rigid(th.Label(look.Body, th.Fine.Ink, "Done").Layout))
		}),
		look.Gap(3),
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
				layout.Rigid(control.Push(th, &t.leave, "Leave").WithHint("Leave the tour; “Take the tour” in the search goes on from here").Layout),
				layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
					return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, 0)}
				}),
				layout.Rigid(control.Push(th, &t.back, "Back").When(t.at > 0).Layout),
				look.Gap(2),
				layout.Rigid(control.Push(th, &t.next, next).As(rank).Layout))
		}),
	)
}

func (t *Tour) offer(gtx layout.Context, th *look.Theme) layout.Dimensions {
	return layout.Flex{Axis: layout.Vertical}.Layout(gtx,
		layout.Rigid(th.Head("New here?").Layout),
		look.Gap(2),
		layout.Rigid(th.Para(fmt.Sprintf("%d small things to try on this robot, in about five minutes. You can leave at any time.", len(t.Steps))).Layout),
		look.Gap(3),
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			return control.Bar(gtx, 2,
				control.Push(th, &t.next, "Take the tour").As(control.Primary).Layout,
				control.Push(th, &t.leave, "No, thanks").Layout)
		}),
	)
}
