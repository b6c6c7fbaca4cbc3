// SPDX-License-Identifier: MIT

package drive

import (
	"gioui.org/io/event"
	"gioui.org/layout"
	"gioui.org/op/clip"
)

// eventArea gives tag the whole room.
func eventArea(gtx layout.Context, tag event.Tag) {
	defer clip.Rect{Max: gtx.Constraints.Max}.Push(gtx.Ops).Pop()
	event.Op(gtx.Ops, tag)
}
