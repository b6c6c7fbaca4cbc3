// SPDX-License-Identifier: MIT

package control

import (
	"image"

	"gioui.org/io/input"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
)

// placeMark tells the names of places from what else is labelled in a window.
const placeMark = "place: "

// Mark lays w out as a place with a name, which Where finds.
func Mark(gtx layout.Context, name string, w layout.Widget) layout.Dimensions {
	d, call := recorded(gtx, w)
	defer clip.Rect{Max: d.Size}.Push(gtx.Ops).Pop()
	semantic.LabelOp(placeMark + name).Add(gtx.Ops)
	call.Add(gtx.Ops)
	return d
}

// Where gives where a place has been laid out in the frame so far, px of the
// window. It reads the operations with a router of its own, so that a place
// needs no knowledge of where it stands; the cost is that of routing a frame.
func Where(ops *op.Ops, name string) (image.Rectangle, bool) {
	if name == "" {
		return image.Rectangle{}, false
	}
	return placed(semantics(ops), name)
}

// semantics lists what the frame so far says of its parts.
func semantics(ops *op.Ops) []input.SemanticNode {
	var r input.Router
	r.Frame(ops)
	return r.AppendSemantics(nil)
}

// placed finds a place among a frame's parts.
func placed(parts []input.SemanticNode, name string) (image.Rectangle, bool) {
	for _, n := range parts {
		if n.Desc.Label == placeMark+name && !n.Desc.Bounds.Empty() {
			return n.Desc.Bounds, true
		}
	}
	return image.Rectangle{}, false
}
