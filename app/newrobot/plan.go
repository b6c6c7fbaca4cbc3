// SPDX-License-Identifier: MIT

package newrobot

import (
	"image"

	"gioui.org/layout"
	"gioui.org/op/clip"
	"gioui.org/unit"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/app/plate"
	"gaitwright/motion/newrobot"
)

// plan draws the standing robot from above and from the left, both to the same
// scale.
type plan struct {
	sheet draw.Sheet
}

// planHeight is the height of the two drawings together.
const planHeight unit.Dp = 268

func (p *plan) layout(gtx layout.Context, th *look.Theme, robot *newrobot.Robot) layout.Dimensions {
	size := image.Pt(gtx.Constraints.Max.X, min(gtx.Dp(planHeight), gtx.Constraints.Max.Y))
	box := image.Rectangle{Max: size}
	defer clip.Rect(box).Push(gtx.Ops).Pop()
	draw.Rect(gtx.Ops, box, th.Canvas)
	if robot == nil {
		return layout.Dimensions{Size: size}
	}
	low := gtx.Dp(86) // of the lower drawing
	above, left := p.views(robot, image.Pt(size.X, size.Y-low), image.Pt(size.X, low), float64(gtx.Dp(14)))
	px := float64(gtx.Dp(1))
	p.sheet.Reset(box)
	p.robot(th, robot, px, func(v r3.Vec) r2.Vec { return above.Px(r2.Vec{X: v.X, Y: v.Y}) }, false)
	down := float64(size.Y - low)
	side := func(v r3.Vec) r2.Vec {
		q := left.Px(r2.Vec{X: v.X, Y: v.Z})
		return r2.Vec{X: q.X, Y: q.Y + down}
	}
	ground := side(r3.Vec{Z: -robot.Rehearsal.Built.Height}).Y
	p.sheet.In(th.GridStrong).Segment(r2.Vec{Y: ground}, r2.Vec{X: float64(size.X), Y: ground}, draw.Line{Width: px})
	p.robot(th, robot, px, side, true)
	p.sheet.Paint(gtx.Ops)

	w := th.Writer(look.Small, th.Dim)
	pad := 6 * px
	w.At(gtx, r2.Vec{X: pad, Y: pad}, layout.NW, "from above")
	w.At(gtx, r2.Vec{X: pad, Y: down + pad}, layout.NW, "from the left")
	w.At(gtx, r2.Vec{X: float64(size.X) - pad, Y: pad}, layout.NE, "front →")
	return layout.Dimensions{Size: size}
}

// views fits both drawings to one scale.
func (p *plan) views(robot *newrobot.Robot, above, left image.Point, margin float64) (a, b plate.View) {
	t, r := robot.Rehearsal.Trajectory, &robot.Rehearsal.Built.Robot
	lo, hi := r3.Vec{Z: -robot.Rehearsal.Built.Height}, r3.Vec{Z: r.Body.Top}
	take := func(v r3.Vec) {
		lo = r3.Vec{X: min(lo.X, v.X), Y: min(lo.Y, v.Y), Z: min(lo.Z, v.Z)}
		hi = r3.Vec{X: max(hi.X, v.X), Y: max(hi.Y, v.Y), Z: max(hi.Z, v.Z)}
	}
	for i := range r.Legs {
		for _, q := range t.LinkPoints(0, i) {
			take(q)
		}
	}
	for _, c := range r.Body.Outline {
		take(r3.Vec{X: c.X, Y: c.Y})
	}
	a.Size, b.Size = above, left
	a.Fit(r2.Vec{X: lo.X, Y: lo.Y}, r2.Vec{X: hi.X, Y: hi.Y}, margin)
	b.Fit(r2.Vec{X: lo.X, Y: lo.Z}, r2.Vec{X: hi.X, Y: hi.Z}, margin)
	scale := min(a.Scale, b.Scale)
	a.Scale, b.Scale = scale, scale
	return a, b
}

// robot draws body and legs; from the side only the left legs.
func (p *plan) robot(th *look.Theme, robot *newrobot.Robot, px float64, at func(r3.Vec) r2.Vec, fromSide bool) {
	t, r := robot.Rehearsal.Trajectory, &robot.Rehearsal.Built.Robot
	var body []r2.Vec
	if fromSide {
		var lo, hi float64
		for _, c := range r.Body.Outline {
			lo, hi = min(lo, c.X), max(hi, c.X)
		}
		for _, c := range []r3.Vec{{X: lo, Z: r.Body.Bottom}, {X: hi, Z: r.Body.Bottom}, {X: hi, Z: r.Body.Top}, {X: lo, Z: r.Body.Top}} {
			body = append(body, at(c))
		}
	} else {
		for _, c := range r.Body.Outline {
			body = append(body, at(r3.Vec{X: c.X, Y: c.Y}))
		}
	}
	p.sheet.In(th.Accent.Wash).Polygon(body...)
	p.sheet.In(th.Dim).Loop(body, draw.Line{Width: 1.5 * px})
	for i := range r.Legs {
		if fromSide && r.Legs[i].PBH.Y < 0 {
			continue
		}
		pts := []r2.Vec{at(r.Legs[i].PBH)}
		for _, q := range t.LinkPoints(0, i) {
			pts = append(pts, at(q))
		}
		p.sheet.In(th.Text).Polyline(pts, draw.Line{Width: 2.5 * px})
		for _, q := range pts[:3] {
			p.sheet.In(th.Text).Disc(q, 3*px)
		}
		p.sheet.In(th.Accent.Ink).Disc(pts[3], 4*px)
	}
}
