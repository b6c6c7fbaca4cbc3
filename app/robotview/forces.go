// SPDX-License-Identifier: MIT

package robotview

import (
	"image"
	"math"
	"strings"

	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op/clip"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/app/camera"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/load"
)

// push is the force of the ground on a foot, as it is drawn.
type push struct {
	leg       int
	size      float64 // N
	foot, tip r2.Vec  // px
}

// mark is a point on the ground that carries a label.
type mark struct {
	at r2.Vec // px
	ok bool   // it is on the canvas
}

// ground is what the ground does to the robot in this frame.
type ground struct {
	pushes []push
	scale  float64 // of the arrows, N for 10 mm
	state  load.State
	zmp    mark
	far    bool // there is a zero-moment point, but not on the canvas
	mass   mark
}

// leastPush is the force below which there is nothing to draw, N.
const leastPush = 0.05

// NewtonsPerCentimetre gives the scale of the arrows for a robot of a weight
// (N): of 1, 2, 5, 10... the one next to what makes a third of the weight
// 60 mm long. It depends on the robot alone, so that lengths compare over time.
func NewtonsPerCentimetre(weight float64) float64 {
	want := weight / 3 / 6
	if !(want > 1e-9) || math.IsInf(want, 0) {
		return 1
	}
	ten := math.Pow(10, math.Floor(math.Log10(want)))
	best := ten
	for _, f := range [...]float64{2, 5, 10} {
		if math.Abs(math.Log(f*ten/want)) < math.Abs(math.Log(best/want)) {
			best = f * ten
		}
	}
	return best
}

// forces draws an arrow on each foot that the ground pushes, and the
// zero-moment point: dashed where no forces of the ground carry the motion.
func (s *scene) forces(th *look.Theme, f *camera.Frame, r *kin.Robot, t *motion.Trajectory, l *load.Loads, k, chosen int, sh *draw.Sheet, px float64) {
	g := &s.ground
	g.state = l.State[k]
	g.scale = NewtonsPerCentimetre(l.Mass * r.Gravity)
	ink := sh.In(th.Accent.Ink)
	for i := range t.Legs {
		force := l.ForceAt(k, i)
		n := r3.Norm(force)
		if !t.Planted[k*t.Legs+i] || !(n >= leastPush) { // false for NaN
			continue
		}
		foot := t.FootAt(k, i)
		a, b, ok := f.Segment(foot, r3.Add(foot, r3.Scale(0.01/g.scale, force)))
		if !ok {
			continue
		}
		width := 1.6 * px
		if i == chosen {
			width = 2.4 * px
		}
		if d := r2.Norm(r2.Sub(b, a)); d > 2*px {
			head := min(8*px, d)
			ink.Segment(a, r2.Sub(b, r2.Scale(0.7*head/d, r2.Sub(b, a))), draw.Line{Width: width})
			ink.Arrow(a, b, head)
		}
		g.pushes = append(g.pushes, push{i, n, a, b})
	}
	zmp, ok := l.ZMPAt(k)
	if !ok {
		return
	}
	at, _, ok := f.Project(zmp)
	in := ok && at.X >= 0 && at.Y >= 0 && at.X <= float64(f.Size.X) && at.Y <= float64(f.Size.Y)
	g.zmp, g.far = mark{at, in}, !in
	if !in {
		return
	}
	edge := th.Accent.Ink
	if l.Dynamic[k] < 0 {
		edge = th.Stop.Ink
	}
	zeroMoment(sh.In(edge), at, g.state == load.Carried, px)
}

// zeroMoment draws the sign of the zero-moment point: a square on its corner.
func zeroMoment(b *draw.Batch, c r2.Vec, carried bool, px float64) {
	const r = 9.5
	line := draw.Line{Width: 1.5 * px}
	if !carried {
		line.Pattern, line.Unit = draw.Dashed, 0.9*px
	}
	b.Loop([]r2.Vec{{X: c.X, Y: c.Y - r*px}, {X: c.X + r*px, Y: c.Y}, {X: c.X, Y: c.Y + r*px}, {X: c.X - r*px, Y: c.Y}}, line)
}

// massPoint draws the sign of the centre of mass on the ground: a ring with a
// cross in it.
func massPoint(b *draw.Batch, c r2.Vec, px float64) {
	b.Ring(c, 5*px, 1.5*px)
	b.Plus(c, 8*px, 1.5*px)
}

// Why tells in words why no forces are shown, "" where they are.
func Why(s load.State) string {
	switch s {
	case load.Flying:
		return "no forces: no foot is on the ground, the robot falls freely"
	case load.Unsupported:
		return "nothing carries this: no foot is on the ground"
	case load.Pulled:
		return "the ground cannot carry this: a foot would have to be pulled down"
	case load.Slipping:
		return "the ground cannot carry this: the feet would slide"
	case load.Unknown:
		return "forces not known: a joint has no speed here"
	}
	return ""
}

// said writes the sizes of forces and the labels of the two points on the ground.
func (s *scene) said(gtx layout.Context, th *look.Theme, f *camera.Frame, legs []kin.Leg, chosen, hovered int, px float64) {
	g := &s.ground
	small := th.Writer(look.Small, th.Dim)
	above := f.Camera.View() == camera.Above // where arrows are seen end on
	for _, p := range g.pushes {
		words := legs[p.leg].Name + " " + draw.Number(p.size, 1) + " N"
		name(gtx, f.Size, p.tip, 7*px, "force on "+words)
		if p.leg != chosen && p.leg != hovered && !above {
			continue
		}
		l := small
		if p.leg == chosen || p.leg == hovered {
			l.Color = th.Text
		}
		words = draw.Number(p.size, 1) + " N"
		switch {
		case above: // beside the leg's name
			s.words.put(gtx, l, p.foot, 9*px, words, upperRight, lowerRight, upperLeft, lowerLeft, higher, deeper)
		case p.tip.X < p.foot.X: // away from the leg
			s.words.put(gtx, l, p.tip, 7*px, words, left, upperLeft, right, upperRight, higher)
		default:
			s.words.put(gtx, l, p.tip, 7*px, words, right, upperRight, left, upperLeft, higher)
		}
	}
	// Below the line of the ground where that is seen from the side.
	first := [2][]side{{left, lowerLeft, upperLeft, deeper, higher}, {right, lowerRight, upperRight, deeper, higher}}
	if f.Camera.Flat && !above {
		first = [2][]side{{lowerLeft, deeper, left, upperLeft}, {lowerRight, deeper, right, upperRight}}
	}
	if g.mass.ok {
		name(gtx, f.Size, g.mass.at, 8*px, "centre of mass over the ground")
		s.words.put(gtx, small, g.mass.at, 13*px, "CoM", first[0]...)
	}
	if g.zmp.ok {
		name(gtx, f.Size, g.zmp.at, 8*px, "zero-moment point")
		s.words.put(gtx, small, g.zmp.at, 13*px, "ZMP", first[1]...)
	}
}

// key explains the signs at the lower edge.
func (s *scene) key(gtx layout.Context, th *look.Theme, f *camera.Frame, above bool, sh *draw.Sheet, px float64) {
	g := &s.ground
	small := th.Writer(look.Small, th.Dim)
	small.Back, small.Pad = th.Canvas, gtx.Dp(1)
	row, y := 16*px, float64(f.Size.Y)-12*px
	sh.Reset(image.Rectangle{Max: f.Size})
	ink := sh.In(th.Dim)
	line := func(sign func(c r2.Vec), words string) {
		b := small.At(gtx, r2.Vec{X: 30 * px, Y: y}, layout.W, words)
		b.Min.X = 0 // with the sign
		s.words.taken = append(s.words.taken, b)
		sign(r2.Vec{X: 17 * px, Y: y})
		y -= row
	}
	tall := float64(f.Size.Y) > 210*px // in a low view the labels must do
	s.keyOfOther(th, line, sh, px)
	if words := "ZMP zero-moment point"; tall && g.zmp.ok || g.far {
		if g.far {
			words += ", outside this view"
		}
		line(func(c r2.Vec) { zeroMoment(ink, c, g.state == load.Carried, 0.62*px) }, words)
	}
	if tall {
		line(func(c r2.Vec) { massPoint(ink, c, 0.8*px) }, "CoM centre of mass, straight down")
	}
	if why := Why(g.state); why != "" {
		small.Color = th.Caution.Ink
		caution := sh.In(th.Caution.Ink)
		line(func(c r2.Vec) { caution.Triangle(c, 6*px, -math.Pi/2) }, why)
	} else {
		words := "force of the ground on a foot, 10 mm = " + scaled(g.scale)
		if above {
			words += ", seen end on"
		}
		line(func(c r2.Vec) {
			a, b := r2.Vec{X: c.X, Y: c.Y + 6*px}, r2.Vec{X: c.X, Y: c.Y - 6*px}
			ink.Segment(a, b, draw.Line{Width: 1.6 * px})
			ink.Arrow(a, b, 7*px)
		}, words)
	}
	sh.Paint(gtx.Ops)
}

// scaled writes a scale of 1, 2 or 5 times a power of ten.
func scaled(newtons float64) string {
	d := max(0, int(-math.Floor(math.Log10(newtons)+1e-9)))
	return draw.Number(newtons, d) + " N"
}

// name says to the semantic tree what is drawn at c.
func name(gtx layout.Context, size image.Point, c r2.Vec, reach float64, words string) {
	box := image.Rect(int(c.X-reach), int(c.Y-reach), int(c.X+reach)+1, int(c.Y+reach)+1)
	if !box.Overlaps(image.Rectangle{Max: size}) || strings.TrimSpace(words) == "" {
		return
	}
	defer clip.Rect(box).Push(gtx.Ops).Pop()
	semantic.LabelOp(words).Add(gtx.Ops)
}
