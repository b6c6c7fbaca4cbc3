// SPDX-License-Identifier: MIT

package control

import (
	"gioui.org/layout"
	"gioui.org/widget"
	"gioui.org/widget/material"

	"gaitwright/app/look"
)

// Scroll is the state of an area whose contents may be longer than its room.
type Scroll struct {
	list   widget.List
	reveal int // part to bring into view, counted from 1; 0 for none
}

// part is the part of a scrolled area that is being laid out.
type part struct {
	of *Scroll
	i  int
}

// scrollKey is where a context has the part.
const scrollKey = "gaitwright/app/control.Scroll"

// scrolling is the look of every scroll bar.
func scrolling(th *look.Theme, l *widget.List) material.ListStyle {
	s := material.List(th.Theme, l)
	s.AnchorStrategy = material.Occupy
	s.Indicator.MinorWidth = 6
	s.Indicator.Color = look.Mix(th.Panel, th.Edge, 0.75)
	s.Indicator.HoverColor = th.Dim
	s.Indicator.MajorMinLen = 24
	return s
}

// Area lays out parts below each other in the room given, with a scroll bar
// when they are longer.
func (s *Scroll) Area(gtx layout.Context, th *look.Theme, parts ...layout.Widget) layout.Dimensions {
	s.list.Axis = layout.Vertical
	if i := s.reveal - 1; i >= 0 {
		s.reveal = 0
		switch p := s.list.Position; {
		case i < p.First || i == p.First && p.Offset > 0:
			s.list.ScrollTo(i)
		case i >= p.First+p.Count-1 && p.OffsetLast < 0:
			s.list.ScrollBy(float32(i-(p.First+p.Count-1)) + 1)
		}
	}
	return scrolling(th, &s.list).Layout(gtx, len(parts), func(gtx layout.Context, i int) layout.Dimensions {
		gtx.Constraints.Min.X = gtx.Constraints.Max.X
		if orderOf(gtx) != nil {
			gtx = with(gtx, scrollKey, part{s, i})
		}
		return parts[i](gtx)
	})
}

// Show brings a part into view in the next Area, to the top unless it is seen in
// full already.
func (s *Scroll) Show(part int) {
	if p := s.list.Position; p.Count == 0 || part <= p.First || part >= p.First+p.Count-1 {
		s.list.ScrollTo(part)
	}
}

// By scrolls by so many parts, up when negative.
func (s *Scroll) By(parts float32) { s.list.ScrollBy(parts) }
