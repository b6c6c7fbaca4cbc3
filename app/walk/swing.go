// SPDX-License-Identifier: MIT

package walk

import (
	"image"
	"math"

	"gioui.org/f32"
	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op/clip"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/app/plate"
	"gaitwright/motion"
	"gaitwright/motion/gait"
	"gaitwright/motion/workfile"
)

// swing is the plate of a foot's swing over the ground, to scale, from the
// side: along the step, and up.
type swing struct {
	view   plate.View
	sheet  draw.Sheet
	handle int
	grip   document.Grip
	grab   r2.Vec
	to     r2.Vec     // point of the plate to take, m
	from   [4]float64 // shares when the drag began
	step   float64    // length of the step then, m
}

// least is the step that is drawn where the command is too slow to show one, m.
const least = 0.04

// handlesOf gives the four shares of a gait's swing, which the file may leave
// out.
func handlesOf(g *workfile.Gait) [4]float64 {
	if g.Swing != nil {
		return *g.Swing
	}
	s := gait.PlainSwing
	return [4]float64{s.LiftAlong, s.LiftUp, s.LandAlong, s.LandUp}
}

// shapeOf gives the swing's control points as the plate draws them, m, and the
// file's four shares, at a command.
func (s *swing) shapeOf(d *document.Document, w place, c motion.Twist) (pts [4]r2.Vec, h [4]float64) {
	g := d.Result().Built.Gaits[w.gait]
	h = handlesOf(&d.File().Gaits[w.gait])
	step := max(least, math.Hypot(c.Forward, c.Side)*g.Period)
	b := g.Path(r3.Vec{}, r3.Vec{X: step})
	for i, p := range [4]r3.Vec{b.P0, b.P1, b.P2, b.P3} {
		pts[i] = r2.Vec{X: p.X, Y: p.Z}
	}
	return pts, h
}

func (s *swing) layout(gtx layout.Context, th *look.Theme, d *document.Document, w place, c motion.Twist) layout.Dimensions {
	size := gtx.Constraints.Max
	pts, h := s.shapeOf(d, w, c)
	s.view.Size = size
	if !s.grip.Held() {
		lo, hi := r2.Vec{Y: -0.004}, r2.Vec{}
		for _, p := range pts {
			lo = r2.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
			hi = r2.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
		}
		s.view.Fit(lo, hi, float64(gtx.Dp(26)))
	}
	s.update(gtx, d, w, pts, h)
	pts, _ = s.shapeOf(d, w, c)
	defer clip.Rect{Max: size}.Push(gtx.Ops).Pop()
	event.Op(gtx.Ops, s)
	control.Reachable(gtx, s)
	semantic.LabelOp("swing").Add(gtx.Ops)
	draw.Rect(gtx.Ops, image.Rectangle{Max: size}, th.Canvas)
	s.paint(gtx, th, d, w, pts, size)
	if gtx.Focused(s) {
		draw.Frame(gtx.Ops, image.Rectangle{Max: size}, gtx.Dp(2), th.Colours.Focus)
	}
	return layout.Dimensions{Size: size}
}

func vec(p f32.Point) r2.Vec { return r2.Vec{X: float64(p.X), Y: float64(p.Y)} }

func (s *swing) update(gtx layout.Context, d *document.Document, w place, pts [4]r2.Vec, h [4]float64) {
	for {
		ev, ok := gtx.Event(
			pointer.Filter{Target: s, Kinds: pointer.Press | pointer.Drag | pointer.Release | pointer.Cancel},
			key.FocusFilter{Target: s},
			key.Filter{Focus: s, Name: key.NameLeftArrow},
			key.Filter{Focus: s, Name: key.NameRightArrow},
			key.Filter{Focus: s, Name: key.NameUpArrow},
			key.Filter{Focus: s, Name: key.NameDownArrow},
			key.Filter{Focus: s, Name: key.NameReturn},
			key.Filter{Focus: s, Name: key.NameEscape},
		)
		if !ok {
			s.follow(d, w)
			return
		}
		switch e := ev.(type) {
		case pointer.Event:
			switch e.Kind {
			case pointer.Press:
				gtx.Execute(key.FocusCmd{Tag: s})
				s.grip.Let()
				best := float64(gtx.Dp(14))
				for i := range 2 {
					at := s.view.Px(pts[i+1])
					if dist := r2.Norm(r2.Sub(vec(e.Position), at)); dist < best {
						best, s.handle = dist, i
						s.grip.Take()
						s.grab = r2.Sub(vec(e.Position), at)
					}
				}
				if s.grip.Held() {
					s.from, s.step = h, pts[3].X
					gtx.Execute(pointer.GrabCmd{Tag: s, ID: e.PointerID})
				}
			case pointer.Drag:
				s.grip.Ask()
				s.to = s.view.M(r2.Sub(vec(e.Position), s.grab))
			case pointer.Release:
				s.follow(d, w)
				s.grip.Let()
				d.Drop()
			case pointer.Cancel:
				s.grip.Cancel(d)
			}
		case key.Event:
			if e.State != key.Press || s.grip.Held() && e.Name != key.NameEscape {
				continue
			}
			to := pts[s.handle+1]
			switch e.Name {
			case key.NameEscape:
				s.grip.Let()
				d.Cancel()
				continue
			case key.NameReturn:
				s.handle = 1 - s.handle
				continue
			case key.NameLeftArrow:
				to.X -= 0.001
			case key.NameRightArrow:
				to.X += 0.001
			case key.NameUpArrow:
				to.Y += 0.001
			case key.NameDownArrow:
				to.Y -= 0.001
			}
			s.put(d, w, h, to, pts[3].X)
			d.Drop()
		}
	}
}

// follow takes what the drag asks for: once a frame, however many events came.
func (s *swing) follow(d *document.Document, w place) {
	if s.grip.Due(d) {
		s.put(d, w, s.from, s.to, s.step)
	}
}

// put moves the handle to a point of the plate (m).
func (s *swing) put(d *document.Document, w place, h [4]float64, to r2.Vec, step float64) {
	up := d.Result().Built.Gaits[w.gait].StepHeight * 4 / 3
	if up <= 0 || step <= 0 {
		return // no height to take a share of: type one first
	}
	round := func(v float64) float64 { return math.Round(v*1000) / 1000 }
	h[2*s.handle] = round(max(-1, min(2, to.X/step)))
	h[2*s.handle+1] = round(max(0, min(3, to.Y/up)))
	d.Drag("shape the swing", func(f *workfile.File) { f.Gaits[w.gait].Swing = &h })
}

func (s *swing) paint(gtx layout.Context, th *look.Theme, d *document.Document, w place, pts [4]r2.Vec, size image.Point) {
	px := float64(gtx.Dp(1))
	small := draw.Text{Shaper: th.Shaper, Size: look.Small, Color: th.Dim}
	step := s.view.Step(float64(gtx.Dp(28)))
	for _, x := range s.view.TicksX(step) {
		draw.Vertical(gtx.Ops, s.view.Px(r2.Vec{X: x}).X, 0, float64(size.Y), 1, th.Grid)
	}
	for _, y := range s.view.TicksY(step) {
		draw.Horizontal(gtx.Ops, 0, float64(size.X), s.view.Px(r2.Vec{Y: y}).Y, 1, th.Grid)
	}
	draw.Horizontal(gtx.Ops, 0, float64(size.X), s.view.Px(r2.Vec{}).Y, max(1, gtx.Dp(1)), th.Edge)
	small.At(gtx, r2.Vec{X: 6 * px, Y: 5 * px}, layout.NW, "swing over the ground")
	grid := small.At(gtx, r2.Vec{X: 6 * px, Y: float64(size.Y) - 5*px}, layout.SW, draw.Number(step*1000, plate.Decimals(step*1000))+" mm grid")
	small.At(gtx, r2.Vec{X: float64(size.X) - 6*px, Y: float64(size.Y) - 5*px}, layout.SE, small.Fitting(gtx, size.X-grid.Max.X-gtx.Dp(18), "along the step →", "step →", ""))

	s.sheet.Reset(image.Rectangle{Max: size})
	ink := s.sheet.In(th.Reach[look.ReachOK].Color)
	b := d.Result().Built.Gaits[w.gait].Path(r3.Vec{}, r3.Vec{X: pts[3].X})
	const n = 48
	prev := s.view.Px(pts[0])
	for i := 1; i <= n; i++ {
		p := b.At(float64(i) / n)
		q := s.view.Px(r2.Vec{X: p.X, Y: p.Z})
		ink.Segment(prev, q, draw.Line{Width: 2 * px})
		prev = q
	}
	for i := range 2 {
		c := s.view.Px(pts[i+1])
		s.sheet.In(th.Accent.Ink).Segment(s.view.Px(pts[3*i]), c, draw.Line{Width: px})
		s.sheet.In(th.Accent.Ink).Square(c, 4*px)
		if i == s.handle && gtx.Focused(s) {
			s.sheet.In(th.Text).Ring(c, 8*px, 1.5*px)
		}
	}
	s.sheet.Paint(gtx.Ops)
}
