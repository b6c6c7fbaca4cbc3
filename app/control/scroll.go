// SPDX-License-Identifier: MIT

package control

import (
	"gioui.org/layout"
	"gioui.org/widget"
	"gioui.org/widget/material"

	"gaitwright/app/look"
)

// Scroll is the state of an area whose contents may be longer than its room.
type Scroll struct{ list widget.List }

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
	return scrolling(th, &s.list).Layout(gtx, len(parts), func(gtx layout.Context, i int) layout.Dimensions {
		gtx.Constraints.Min.X = gtx.Constraints.Max.X
		return parts[i](gtx)
	})
}
