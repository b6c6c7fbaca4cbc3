// SPDX-License-Identifier: MIT

package timeline

import (
	"image"

	"gioui.org/layout"
	"gioui.org/unit"
)

// Heights and widths on the canvas.
const (
	namesWidth     unit.Dp = 92
	rightMargin    unit.Dp = 22
	rulerHeight    unit.Dp = 20
	entriesHeight  unit.Dp = 19
	marksHeight    unit.Dp = 15
	findingsHeight unit.Dp = 17
	leastRow       unit.Dp = 13
	mostRow        unit.Dp = 24
)

// lanes is where things lie on the canvas, px.
type lanes struct {
	size image.Point
	x0   int // where the axis begins, right of the names
	x1   int

	ruler, entries, marks, findings image.Rectangle
	rows                            image.Rectangle // all that shows of the legs' rows
	row                             int             // height of one
	legs                            int
	scroll                          int
}

// arrange lays the canvas out. Rows share the room that is left; when they do
// not fit they scroll.
func arrange(gtx layout.Context, size image.Point, legs, scroll int) lanes {
	g := lanes{size: size, legs: legs}
	g.x0 = min(gtx.Dp(namesWidth), size.X/3)
	g.x1 = max(size.X-gtx.Dp(rightMargin), g.x0+1)
	y := 0
	lane := func(h unit.Dp) image.Rectangle {
		r := image.Rect(0, y, size.X, y+gtx.Dp(h))
		y = r.Max.Y
		return r
	}
	g.ruler = lane(rulerHeight)
	g.entries = lane(entriesHeight)
	g.marks = lane(marksHeight)
	g.findings = lane(findingsHeight)
	g.rows = image.Rect(0, y, size.X, max(size.Y-gtx.Dp(3), y))
	if legs > 0 {
		g.row = max(gtx.Dp(leastRow), min(g.rows.Dy()/legs, gtx.Dp(mostRow)))
	}
	g.scroll = max(0, min(scroll, g.overflow()))
	g.rows.Max.Y = min(g.rows.Max.Y, y+g.row*legs)
	return g
}

// overflow is how far the rows can be scrolled, px.
func (g *lanes) overflow() int { return max(g.row*g.legs-g.rows.Dy(), 0) }

// leg gives the row of a leg; it may lie outside of what shows.
func (g *lanes) leg(i int) image.Rectangle {
	y := g.rows.Min.Y + i*g.row - g.scroll
	return image.Rect(0, y, g.size.X, y+g.row)
}

// revealing gives the scroll that shows the row of a leg.
func (g *lanes) revealing(leg, scroll int) int {
	top := leg * g.row
	return max(0, min(max(min(scroll, top), top+g.row-g.rows.Dy()), g.overflow()))
}

// bottom is where lines through all lanes end, px.
func (g *lanes) bottom() int { return g.rows.Max.Y }

// axis gives the scale of time for a visible stretch.
func (g *lanes) axis(from, to float64) axis { return axis{from, to, g.x0, g.x1} }
