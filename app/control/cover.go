// SPDX-License-Identifier: MIT

package control

import (
	"gioui.org/io/event"
	"gioui.org/io/pointer"
	"gioui.org/layout"
)

// Cover keeps the pointer from what lies below an area. Add it inside the clip
// of the area, before what is drawn there.
type Cover struct{ tag int } // a size, so that its address is its own

// Add covers the present clip.
func (c *Cover) Add(gtx layout.Context) {
	const far = 1 << 20
	for {
		if _, ok := gtx.Event(pointer.Filter{
			Target: &c.tag, Kinds: pointer.Press | pointer.Release | pointer.Drag | pointer.Move | pointer.Scroll,
			ScrollX: pointer.ScrollRange{Min: -far, Max: far}, ScrollY: pointer.ScrollRange{Min: -far, Max: far},
		}); !ok {
			break
		}
	}
	event.Op(gtx.Ops, &c.tag)
}
