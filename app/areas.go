// SPDX-License-Identifier: MIT

package app

import (
	"gioui.org/layout"

	"gaitwright/app/control"
	"gaitwright/app/shape"
)

// The areas of the window, round which F6 leads, and the page in the right
// column, which is a part of one.
const (
	areaTop      = "bar at the top"
	areaFindings = "findings"
	areaJoints   = "joints"
	areaRobot    = "robot"
	areaEdit     = "right column"
	areaTime     = "timeline"
	areaStrips   = "strips"

	areaPage = "page"
)

// area lays a part of the window out as an area for the keys.
func (w *Workbench) area(name string, child layout.Widget) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions { return control.Area(gtx, name, child) }
}

// seeking is what is to have the keys from the next frame on.
type seeking uint8

const (
	nothingSought seeking = iota
	nextArea
	previousArea
	whereMended // the plate or the page on which the chosen finding is mended
)

// seek lets the keys go somewhere once that is laid out.
func (w *Workbench) seek(what seeking) { w.seeking = what }

// seekFocus gives the keys away as was asked for, at the end of a frame.
func (w *Workbench) seekFocus(gtx layout.Context) {
	what := w.seeking
	w.seeking = nothingSought
	turn := func(by int) {
		w.tabs.Turn(gtx, by, areaTop, areaFindings, areaJoints, areaRobot, areaEdit, areaTime, areaStrips)
	}
	switch what {
	case nextArea:
		turn(1)
	case previousArea:
		turn(-1)
	case whereMended:
		if w.shapes.Value == shapeMove && !w.liveOn() && !w.trying() {
			w.shape.Part = shape.End
			if w.tabs.Focus(gtx, w.shape.Plate()) {
				return
			}
		}
		w.tabs.Focus(gtx, w.tabs.First(areaPage))
	}
}
