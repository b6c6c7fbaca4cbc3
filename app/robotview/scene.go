// SPDX-License-Identifier: MIT

package robotview

import (
	"image"
	"math"

	"gioui.org/layout"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/app/camera"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/kin"
	"gaitwright/kin/support"
	"gaitwright/motion"
	"gaitwright/motion/review"
)

// Near is the reach margin below which a path is drawn as nearly out of
// reach, m.
const Near = 0.010

// Class sorts a reach margin (m) for drawing.
func Class(margin float64) look.ReachClass {
	switch {
	case margin < 0:
		return look.ReachOut
	case margin < Near:
		return look.ReachNear
	}
	return look.ReachOK
}

// scene is one frame's worth of geometry. Its slices are kept between frames.
type scene struct {
	legs [][4]r2.Vec // mount, femur axis, knee, foot on the canvas
	show []bool
	pts  []r2.Vec
	box  []r3.Vec

	ground ground
	over   overlay
	words  labels
}

// hangHeight is how far above its stand height the robot is drawn when it
// hangs, m.
const hangHeight = 0.10

// pose gives where the body is drawn: on a stand it hangs still.
func pose(d *document.Document, t *motion.Trajectory, k int) kin.Pose {
	if d.OnStand() {
		x := t.BodyPose(0)
		x.P.Z += hangHeight
		return x
	}
	return t.BodyPose(k)
}

// links gives a leg's joints and foot in B, with held joints held.
func links(d *document.Document, at *document.Place, t *motion.Trajectory, k, leg int) [3]r3.Vec {
	held := false
	q := t.JointsAt(k, leg)
	for j := range kin.Joints {
		if a, ok := at.Held[[2]int{leg, j}]; ok {
			q[j], held = a, true
		}
	}
	if !held {
		return t.LinkPoints(k, leg)
	}
	l := &d.Result().Built.Robot.Legs[leg]
	c, x := l.Chain(q), l.XBH()
	return [3]r3.Vec{x.At(c.PHK0), x.At(c.PHK), x.At(c.PHF)}
}

func (s *scene) paint(gtx layout.Context, th *look.Theme, f *camera.Frame, d *document.Document, at *document.Place, hovered int, sh *draw.Sheet, v *View) {
	r := d.Result()
	t := r.Trajectory
	k := t.Index(at.Time)
	xWB := pose(d, t, k)
	sh.Reset(image.Rectangle{Max: f.Size})
	px := float64(gtx.Dp(1))

	s.ground = ground{pushes: s.ground.pushes[:0]}
	s.grid(th, f, t, xWB.P, sh, px)
	if !d.OnStand() {
		s.standing(th, f, t, k, sh, px)
		s.paths(th, f, t, k, at, sh, px)
	}
	s.other(th, f, d, at, &v.Over, sh, px)
	s.body(th, f, &r.Built.Robot, &xWB, sh, px)
	wrong := s.wrong(r.Findings, t, at)
	s.legs = s.legs[:0]
	s.show = s.show[:0]
	for i := range t.Legs {
		p := links(d, at, t, k, i)
		s.leg(th, f, r.Built.Robot.Legs[i].PBH, p, &xWB, sh, px, i, at, wrong, t, k, d.OnStand())
	}
	if !d.OnStand() {
		s.forces(th, f, &r.Built.Robot, t, r.Loads, k, at.Leg, sh, px)
	}
	if d.OnStand() {
		s.driven(th, f, &xWB, v, sh, px)
	}
	sh.Paint(gtx.Ops)
	s.words.reset(f.Size, s.legs, s.show)
	if f.Camera.Flat && f.Camera.View() != camera.Above {
		if p, _, ok := f.Project(onGround(t, xWB.P.X, xWB.P.Y, 0)); ok && !d.OnStand() {
			s.words.level(p.Y)
		}
	}
	if !d.OnStand() { // first, since it has its place
		s.key(gtx, th, f, f.Camera.View() == camera.Above, sh, px)
		for _, m := range [...]mark{s.ground.mass, s.ground.zmp} {
			if m.ok {
				s.words.sign(m.at, 8*px)
			}
		}
	}
	s.names(gtx, th, r.Built.Robot.Legs, at, px)
	if d.OnStand() {
		s.hung(gtx, th, f, v, sh, px)
	} else {
		s.said(gtx, th, f, r.Built.Robot.Legs, at.Leg, hovered, px)
	}
}

// grid draws a grid of 100 mm about the robot, on the ground plane. Its
// lines are the dearest part of the view on a software rasteriser.
func (s *scene) grid(th *look.Theme, f *camera.Frame, t *motion.Trajectory, about r3.Vec, sh *draw.Sheet, px float64) {
	const step, n = 0.1, 5
	g := t.RWG.TMul(about)
	cx, cy := math.Round(g.X/step)*step, math.Round(g.Y/step)*step
	for i := -n; i <= n; i++ {
		o := float64(i) * step
		for _, e := range [2][2]r3.Vec{
			{{X: cx + o, Y: cy - n*step}, {X: cx + o, Y: cy + n*step}},
			{{X: cx - n*step, Y: cy + o}, {X: cx + n*step, Y: cy + o}},
		} {
			p, q, ok := f.Segment(t.RWG.Mul(e[0]), t.RWG.Mul(e[1]))
			if ok {
				sh.In(th.Ground).Segment(p, q, draw.Line{Width: px})
			}
		}
	}
}

// standing draws the support polygon and the centre of mass above it.
func (s *scene) standing(th *look.Theme, f *camera.Frame, t *motion.Trajectory, k int, sh *draw.Sheet, px float64) {
	var feet []support.Point
	lift := 0.0
	for i := range t.Legs {
		if t.Planted[k*t.Legs+i] {
			p := t.FootAt(k, i)
			feet = append(feet, support.Point{X: p.X, Y: p.Y})
		}
	}
	h := support.Hull(feet)
	s.box = s.box[:0]
	for _, p := range h.V[:h.N] {
		s.box = append(s.box, onGround(t, p.X, p.Y, lift))
	}
	s.pts = f.Polygon(s.pts[:0], s.box)
	bad := t.Margin[k] < 0
	edge := th.Accent.Ink
	line := draw.Line{Width: 1.5 * px}
	if bad {
		edge, line.Pattern, line.Unit = th.Stop.Ink, draw.Dashed, 2*px
	}
	if len(s.pts) > 2 {
		sh.In(th.Support).Polygon(s.pts...)
	}
	if len(s.pts) > 1 {
		sh.In(edge).Loop(s.pts, line)
	}
	c := motion.Vec(t.COM, k*3)
	foot := onGround(t, c.X, c.Y, 0)
	if p, q, ok := f.Segment(c, foot); ok {
		sh.In(edge).Segment(p, q, draw.Line{Width: px, Pattern: draw.DashDot, Unit: 2 * px})
	}
	if p, _, ok := f.Project(foot); ok {
		massPoint(sh.In(edge), p, px)
		s.ground.mass = mark{p, true}
	}
	if p, _, ok := f.Project(c); ok {
		sh.In(edge).Disc(p, 3.5*px)
	}
}

// onGround gives the point of the ground plane at world x, y.
func onGround(t *motion.Trajectory, x, y, above float64) r3.Vec {
	n := r3.Vec{X: t.RWG[2], Y: t.RWG[5], Z: t.RWG[8]}
	return r3.Vec{X: x, Y: y, Z: above - (n.X*x+n.Y*y)/n.Z}
}

// paths draws where the feet go during the present entry of the sequence:
// colour and pattern say how much reach is left.
func (s *scene) paths(th *look.Theme, f *camera.Frame, t *motion.Trajectory, k int, at *document.Place, sh *draw.Sheet, px float64) {
	a, b, ok := window(t, k, at.Time)
	if !ok {
		return
	}
	for leg := range t.Legs {
		n := 60
		width := px
		if leg == at.Leg {
			n, width = 160, 2.2*px
		}
		step := max(1, (b-a)/n)
		for i := a; i < b; i += step {
			j := min(i+step, b)
			if t.Planted[i*t.Legs+leg] && t.Planted[j*t.Legs+leg] {
				continue
			}
			p, q, ok := f.Segment(t.FootAt(i, leg), t.FootAt(j, leg))
			if !ok {
				continue
			}
			margin := min(t.Reach[i*t.Legs+leg], t.Reach[j*t.Legs+leg])
			st := th.Reach[Class(margin)]
			c := st.Color
			if leg != at.Leg && Class(margin) == look.ReachOK {
				c = th.Ghost
			}
			l := draw.Line{Width: width, Pattern: st.Pattern, Unit: 2 * px}
			sh.In(c).Segment(p, q, l)
		}
	}
}

// body draws the box of the body.
func (s *scene) body(th *look.Theme, f *camera.Frame, r *kin.Robot, x *kin.Pose, sh *draw.Sheet, px float64) {
	line := draw.Line{Width: 1.5 * px}
	o := r.Body.Outline
	ink := sh.In(th.Robot)
	for i, a := range o {
		b := o[(i+1)%len(o)]
		for _, z := range [2]float64{r.Body.Top, r.Body.Bottom} {
			if p, q, ok := f.Segment(x.At(r3.Vec{X: a.X, Y: a.Y, Z: z}), x.At(r3.Vec{X: b.X, Y: b.Y, Z: z})); ok {
				ink.Segment(p, q, line)
			}
		}
		if p, q, ok := f.Segment(x.At(r3.Vec{X: a.X, Y: a.Y, Z: r.Body.Top}), x.At(r3.Vec{X: a.X, Y: a.Y, Z: r.Body.Bottom})); ok {
			ink.Segment(p, q, draw.Line{Width: px})
		}
	}
	// The nose: which way is forward.
	front := 0.0
	for _, p := range o {
		front = max(front, p.X)
	}
	if p, q, ok := f.Segment(x.At(r3.Vec{X: front * 0.4, Z: r.Body.Top}), x.At(r3.Vec{X: front, Z: r.Body.Top})); ok {
		sh.In(th.Accent.Ink).Segment(p, q, line)
		sh.In(th.Accent.Ink).Arrow(p, q, 9*px)
	}
}

// wrong collects the findings that hold at the present instant.
func (s *scene) wrong(all []review.Finding, t *motion.Trajectory, at *document.Place) []review.Finding {
	var out []review.Finding
	slack := 0.6 / t.Rate
	for _, f := range all {
		if f.Leg >= 0 && f.Part >= 0 && at.Time >= f.From-slack && at.Time <= f.To+slack {
			out = append(out, f)
		}
	}
	return out
}

func (s *scene) leg(th *look.Theme, f *camera.Frame, mount r3.Vec, p [3]r3.Vec, x *kin.Pose, sh *draw.Sheet, px float64, i int, at *document.Place, wrong []review.Finding, t *motion.Trajectory, k int, hung bool) {
	w := [4]r3.Vec{x.At(mount), x.At(p[0]), x.At(p[1]), x.At(p[2])}
	var c [4]r2.Vec
	show := true
	for j := range w {
		q, _, ok := f.Project(w[j])
		c[j], show = q, show && ok
	}
	s.legs = append(s.legs, c)
	s.show = append(s.show, show)

	ink := th.Robot
	joint := [kin.Joints]bool{}
	bad := false
	for _, g := range wrong {
		if g.Leg == i || g.Other == i {
			bad = true
			if g.Joint >= 0 {
				joint[g.Joint] = true
			}
			ink = th.Caution.Ink
			if g.Level == review.Stop {
				ink = th.Stop.Ink
				break
			}
		}
	}
	for j := range 3 {
		a, b, ok := f.Segment(w[j], w[j+1])
		if !ok {
			continue
		}
		width := [3]float64{5, 4.5, 3.5}[j]
		if i != at.Leg {
			width *= 0.65
		}
		sh.In(ink).Segment(a, b, draw.Line{Width: width * px})
	}
	for j := range 3 {
		if !show {
			break
		}
		sh.In(ink).Disc(c[j], 3.2*px)
		if joint[j] {
			sh.In(ink).Ring(c[j], 9*px, 2*px)
		}
		if _, ok := at.Held[[2]int{i, j}]; ok {
			sh.In(th.Accent.Ink).Square(c[j], 5*px)
		}
	}
	o := k*t.Legs + i
	if show {
		if t.Planted[o] && !hung {
			sh.In(ink).Disc(c[3], 4*px)
		} else {
			sh.In(ink).Ring(c[3], 4*px, 1.5*px)
		}
	}
	if bad && show {
		sh.In(ink).Ring(c[3], 9*px, 2*px)
	}
	// The gap of an unreachable foot stays visible.
	if t.Reach[o] < 0 && !hung {
		out := sh.In(th.Reach[look.ReachOut].Color)
		if a, b, ok := f.Segment(w[3], t.FootAt(k, i)); ok {
			out.Segment(a, b, draw.Line{Width: 1.5 * px, Pattern: draw.Dotted, Unit: 2 * px})
			out.Cross(b, 6*px, 2*px)
		}
	}
}

// names writes the legs' names beside their feet, that of the chosen leg
// first, so that it has its place.
func (s *scene) names(gtx layout.Context, th *look.Theme, legs []kin.Leg, at *document.Place, px float64) {
	write := func(i int) {
		if !s.show[i] {
			return
		}
		t := th.Writer(look.Small, th.Dim)
		if i == at.Leg {
			t.Color = th.Text
		}
		s.words.put(gtx, t, s.legs[i][3], 9*px, legs[i].Name, lowerRight, lowerLeft, deeper, right, left, upperRight, upperLeft, higher)
	}
	if at.Leg < len(legs) {
		write(at.Leg)
	}
	for i := range legs {
		if i != at.Leg {
			write(i)
		}
	}
}

// legAt finds the leg drawn nearest to a pixel, within a distance.
func (s *scene) legAt(p r2.Vec, within float64) (leg int, ok bool) {
	best := within
	for i, c := range s.legs {
		if !s.show[i] {
			continue
		}
		for j := range 3 {
			if d := distance(p, c[j], c[j+1]); d < best {
				best, leg, ok = d, i, true
			}
		}
	}
	return leg, ok
}

// distance from p to the segment a-b, px.
func distance(p, a, b r2.Vec) float64 {
	u, w := r2.Sub(b, a), r2.Sub(p, a)
	t := 0.0
	if n := r2.Norm2(u); n > 0 {
		t = max(0, min(1, r2.Dot(u, w)/n))
	}
	return r2.Norm(r2.Sub(w, r2.Scale(t, u)))
}
