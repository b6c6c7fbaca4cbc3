// SPDX-License-Identifier: MIT

package shape

import (
	"image"
	"image/color"
	"math"

	"gioui.org/layout"
	"gioui.org/unit"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/app/plate"
	"gaitwright/kin"
	"gaitwright/kin/reach"
	"gaitwright/motion"
)

// region is where the chosen foot can be in a plate's plane. It is kept until
// the plane, the leg, the body or the view changes.
type region struct {
	key  regionKey
	edge reach.Outline
	fill draw.Batch
	rim  draw.Batch
	px   []r2.Vec

	shown bool // on the paper at hand
}

// regionKey is what a region follows from.
type regionKey struct {
	limb   reach.Limb
	mount  kin.Mount
	xGB    kin.Pose
	course motion.Course
	depth  float64 // of the plane, along the plate's line of sight, m
	view   plate.View
}

// depth is the coordinate that a plate does not show, m.
func (s Side) depth(p r3.Vec) r3.Vec {
	switch s {
	case FromAbove:
		return r3.Vec{Z: p.Z}
	case FromFront:
		return r3.Vec{X: p.X}
	}
	return r3.Vec{Y: p.Y}
}

// regionCell is the size of the squares that the region is looked for in.
const regionCell unit.Dp = 8

// reach draws the area in which the chosen leg can put its foot, in the plane
// through the point to which the chosen control point belongs, with the body
// as it is at that instant.
func (w *drawing) reach(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place, t *track, part Part) {
	p, ok := t.find(at.Span, part)
	if w.region.shown = ok && at.Track >= 0; !w.region.shown {
		return
	}
	r := d.Result()
	l := &r.Built.Robot.Legs[at.Leg]
	x, _ := r.Plan.BodyAt(p.at).Pose(p.at)
	deep := w.side.depth(p.from)
	key := regionKey{reach.Of(l), l.Mount(), x, t.course, deep.X + deep.Y + deep.Z, w.view}
	if g := &w.region; g.key != key {
		g.key = key
		g.trace(w.side, deep, float64(gtx.Dp(regionCell)), float64(gtx.Dp(1)))
	}
	ink := th.Reach[look.ReachOK].Color
	w.region.fill.Paint(gtx.Ops, veil(th, ink, 0.1))
	w.region.rim.Paint(gtx.Ops, veil(th, ink, 0.5))
}

// veil is a colour for areas that stay behind everything else. Blending is
// linear in light, where the same share looks stronger on a dark ground.
func veil(th *look.Theme, c color.NRGBA, share float64) color.NRGBA {
	if th.Dark {
		share *= 0.35
	}
	return look.Faded(c, share)
}

// trace finds the region anew.
func (g *region) trace(side Side, deep r3.Vec, cell, px float64) {
	k := &g.key
	into := func(pC r3.Vec) r3.Vec { return k.mount.Into(k.xGB.Into(k.course.At(pC))) }
	sheet := reach.Sheet{P: into(deep)}
	sheet.U = r3.Sub(into(r3.Add(deep, side.solid(r2.Vec{X: 1}))), sheet.P)
	sheet.V = r3.Sub(into(r3.Add(deep, side.solid(r2.Vec{Y: 1}))), sheet.P)
	// One cell more on each side, so that the box itself does not show.
	size := k.view.Size
	lo := k.view.M(r2.Vec{X: -cell, Y: float64(size.Y) + cell})
	hi := k.view.M(r2.Vec{X: float64(size.X) + cell, Y: -cell})
	cells := func(n int) int { return int(math.Ceil(float64(n)/cell)) + 2 }
	g.edge.Trace(k.limb, sheet, lo, hi, cells(size.X), cells(size.Y))
	box := image.Rectangle{Max: size}
	g.fill.Reset(box)
	g.rim.Reset(box)
	for i := range g.edge.Len() {
		g.px = g.px[:0]
		turn := 0.0
		for _, p := range g.edge.Line(i) {
			g.px = append(g.px, k.view.Px(p))
		}
		for j, p := range g.px {
			turn += r2.Cross(p, g.px[(j+1)%len(g.px)])
		}
		if turn < 0 { // counter-clockwise on the paper, whose y goes up
			g.fill.Polygon(g.px...)
		} else {
			g.fill.Hole(g.px...)
		}
		g.rim.Loop(g.px, draw.Line{Width: px})
	}
}
