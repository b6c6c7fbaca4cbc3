// SPDX-License-Identifier: MIT

package shape

import (
	"image"

	"gioui.org/layout"
	"gonum.org/v1/gonum/spatial/r2"

	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/app/plate"
)

// speed draws how fast the foot (or the body) goes in the chosen span, over the
// same time as its timing, and gives the peak in words. The scale goes to the
// next round speed.
func (c *clock) speed(gtx layout.Context, th *look.Theme, t *track, at *document.Place, sh *draw.Sheet, px float64) string {
	p, ok := t.piece(at.Span)
	if !ok {
		return ""
	}
	const n = 64
	var v [n + 1]float64
	top := 0
	for i := range v {
		v[i] = p.Speed(float64(i)/n) * 1000 // mm/s
		if v[i] > v[top] {
			top = i
		}
	}
	peak := v[top]
	if !(peak > 0) {
		return "stands still"
	}
	scale := plate.Round(peak)
	c.shape = append(c.shape[:0], c.px(0, 0))
	for i := range v {
		c.shape = append(c.shape, c.px(float64(i)/n, v[i]/scale))
	}
	line := c.shape[1:]
	ink := th.Dim
	c.area.Reset(c.box)
	c.area.Polygon(append(c.shape, c.px(1, 0))...)
	c.area.Paint(gtx.Ops, veil(th, ink, 0.16))
	sh.In(ink).Polyline(line, draw.Line{Width: px})
	sh.In(ink).Disc(line[top], 2.5*px)
	const most = 99999 // of what is written, mm/s
	if peak > most {
		return "peak speed over " + draw.Number(most, 0) + " mm/s"
	}
	return "peak speed " + draw.Number(peak, 0) + " mm/s"
}

// joint says how much of its speed the span takes of the fastest joint, from
// left on.
func (c *clock) joint(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place, t *track, left int, size image.Point, sh *draw.Sheet, px float64) {
	small := draw.Text{Shaper: th.Shaper, Size: look.Small, Color: th.Dim}
	e := t.effort(d, at)
	axis := "progress ↑"
	right := size.X - gtx.Dp(6)
	y := 5 * px
	if !e.ok {
		small.At(gtx, r2.Vec{X: float64(right), Y: y}, layout.NE, axis)
		return
	}
	small.Color = e.ink(th)
	room := right - left
	if g := e.glyph(); g != look.NoGlyph {
		w := gtx.Dp(12)
		g.Add(sh.In(small.Color), float64(left+w/2), y+float64(w)/2+px, float64(w))
		left += w + gtx.Dp(3)
		room -= w + gtx.Dp(3)
	}
	box := small.At(gtx, r2.Vec{X: float64(left), Y: y}, layout.NW, small.Fitting(gtx, room, e.full, e.short))
	spoken(gtx, box, "fastest joint: "+e.short)
	small.Color = th.Dim
	if dim, _ := small.Measure(gtx, axis); box.Max.X+gtx.Dp(8)+dim.Size.X <= right {
		small.At(gtx, r2.Vec{X: float64(right), Y: y}, layout.NE, axis)
	}
}
