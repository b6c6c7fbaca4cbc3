// SPDX-License-Identifier: MIT

package control

import (
	"image"

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

// Split is the state of two parts of a window beside or below each other, with
// a handle between them that drags or moves by the arrow keys.
type Split struct {
	Axis  layout.Axis // direction in which the parts follow each other
	Share float64     // of the first part, (0,1); zero means one half
	// Least sizes that dragging leaves to the parts.
	First, Second unit.Dp

	length   int     // of both parts at the last Layout, px
	grab     float64 // pointer minus handle at the press, px
	pid      pointer.ID
	dragging bool
	over     bool
	moved    bool
}

// Update reports whether the person moved the handle.
func (s *Split) Update(gtx layout.Context) bool {
	s.pull(gtx)
	m := s.moved
	s.moved = false
	return m
}

func (s *Split) share() float64 {
	if !(s.Share > 0 && s.Share < 1) {
		return 0.5
	}
	return s.Share
}

const handle unit.Dp = 7

// first returns the length of the first part, px.
func (s *Split) first(gtx layout.Context) int {
	a := int(s.share()*float64(s.length) + 0.5)
	a = min(a, s.length-gtx.Dp(s.Second))
	a = max(a, gtx.Dp(s.First))
	return min(max(a, 0), max(s.length, 0))
}

func (s *Split) set(gtx layout.Context, px float64) {
	if s.length <= 0 || px-px != 0 {
		return
	}
	px = min(px, float64(s.length-gtx.Dp(s.Second)))
	px = max(px, float64(gtx.Dp(s.First)))
	share := min(max(px/float64(s.length), 0.001), 0.999)
	if share != s.Share {
		s.Share, s.moved = share, true
	}
}

func (s *Split) pull(gtx layout.Context) {
	less, more := key.NameLeftArrow, key.NameRightArrow
	if s.Axis == layout.Vertical {
		less, more = key.NameUpArrow, key.NameDownArrow
	}
	for {
		ev, ok := gtx.Event(
			pointer.Filter{Target: s, Kinds: pointer.Press | pointer.Drag | pointer.Release | pointer.Cancel | pointer.Enter | pointer.Leave},
			key.FocusFilter{Target: s},
			key.Filter{Focus: s, Name: less, Optional: key.ModShift},
			key.Filter{Focus: s, Name: more, Optional: key.ModShift},
		)
		if !ok {
			return
		}
		switch e := ev.(type) {
		case key.Event:
			if e.State != key.Press {
				continue
			}
			step := float64(gtx.Dp(8))
			if e.Modifiers.Contain(key.ModShift) {
				step *= 8
			}
			if e.Name == less {
				step = -step
			}
			s.set(gtx, float64(s.first(gtx))+step)
		case pointer.Event:
			at := float64(e.Position.X)
			if s.Axis == layout.Vertical {
				at = float64(e.Position.Y)
			}
			switch e.Kind {
			case pointer.Enter:
				s.over = true
			case pointer.Leave:
				s.over = false
			case pointer.Press:
				if s.dragging || e.Source == pointer.Mouse && e.Buttons != pointer.ButtonPrimary {
					continue
				}
				s.dragging, s.pid = true, e.PointerID
				s.grab = at - float64(s.first(gtx))
				gtx.Execute(key.FocusCmd{Tag: s})
				gtx.Execute(pointer.GrabCmd{Tag: s, ID: e.PointerID})
			case pointer.Drag:
				if s.dragging && e.PointerID == s.pid {
					s.set(gtx, at-s.grab)
				}
			case pointer.Release, pointer.Cancel:
				s.dragging = false
				if e.Kind == pointer.Cancel {
					s.over = false
				}
			}
		}
	}
}

// Layout lays out both parts in the whole room given.
func (s *Split) Layout(gtx layout.Context, th *look.Theme, label string, first, second layout.Widget) layout.Dimensions {
	s.pull(gtx)
	size := gtx.Constraints.Max
	bar := gtx.Dp(handle)
	main := s.Axis.Convert(size)
	s.length = max(main.X-bar, 0)
	a := s.first(gtx)
	convert := s.Axis.Convert

	part := func(from, length int, w layout.Widget) {
		o := offset(gtx, convert(image.Pt(from, 0)).X, convert(image.Pt(from, 0)).Y)
		defer o.Pop()
		box := convert(image.Pt(max(length, 0), main.Y))
		defer clip.Rect{Max: box}.Push(gtx.Ops).Pop()
		exactly(gtx, box, w)
	}
	part(0, a, first)
	part(a+bar, s.length-a, second)

	// The handle's area is not moved by an offset: pointer positions stay in
	// one frame while it moves.
	box := image.Rectangle{Min: convert(image.Pt(a, 0)), Max: convert(image.Pt(a+bar, main.Y))}
	defer clip.Rect(box).Push(gtx.Ops).Pop()
	semantic.LabelOp(label).Add(gtx.Ops)
	event.Op(gtx.Ops, s)
	Reachable(gtx, s)
	if s.Axis == layout.Horizontal {
		pointer.CursorColResize.Add(gtx.Ops)
	} else {
		pointer.CursorRowResize.Add(gtx.Ops)
	}
	line, width := th.Line, hair(gtx)
	draw.Rect(gtx.Ops, box, th.Panel)
	if s.over || s.dragging || gtx.Focused(s) {
		line, width = th.Focus, gtx.Dp(3)
	}
	mid := a + (bar-width)/2
	draw.Rect(gtx.Ops, image.Rectangle{Min: convert(image.Pt(mid, 0)), Max: convert(image.Pt(mid+width, main.Y))}, line)
	return layout.Dimensions{Size: size}
}
