// SPDX-License-Identifier: MIT

package robotview

import (
	"image"
	"math"

	"gioui.org/f32"
	"gioui.org/io/key"
	"gioui.org/layout"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/app/camera"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/kin"
	"gaitwright/motion/jog"
)

// Hand is how the legs of a robot that hangs are driven. The zero value lets
// none be.
type Hand struct {
	// Take drives the foot of a leg to a point, B, m; nil while no foot can be
	// taken.
	Take func(leg int, pBF r3.Vec)
	// Driven tells how a leg was driven, nil for one that follows the motion;
	// it may be nil itself.
	Driven func(leg int) *jog.State
}

// of gives the state of a leg that was driven, nil for none.
func (h *Hand) of(leg int) *jog.State {
	if h.Driven == nil {
		return nil
	}
	return h.Driven(leg)
}

// grip is a foot that the pointer has taken.
type grip struct {
	on    bool
	leg   int
	start r3.Vec // where the foot was, W, m
	off   r2.Vec // of the pointer from it, px
}

// How near to a foot a press takes it, dp, and what an arrow key moves it by, m.
const (
	gripReach = 12
	nudge     = 0.001
	fineNudge = 0.0001
)

// takeFoot takes the foot under the pointer, if there is one to be driven.
func (v *View) takeFoot(gtx layout.Context, pos f32.Point, d *document.Document, at *document.Place) {
	leg, ok := v.footAt(gtx, pos, at)
	if !ok {
		return
	}
	at.Choose(d, leg)
	c := v.scene.legs[leg][3]
	v.grip = grip{true, leg, v.foot(d, at, leg), r2.Vec{X: float64(pos.X) - c.X, Y: float64(pos.Y) - c.Y}}
}

// footAt gives the foot at a pixel that can be taken; the chosen leg's before
// others.
func (v *View) footAt(gtx layout.Context, pos f32.Point, at *document.Place) (leg int, ok bool) {
	if v.Hand.Take == nil {
		return 0, false
	}
	best := float64(gtx.Dp(gripReach))
	for i, c := range v.scene.legs {
		if !v.scene.show[i] {
			continue
		}
		r := math.Hypot(float64(pos.X)-c[3].X, float64(pos.Y)-c[3].Y)
		if i == at.Leg {
			r -= float64(gtx.Dp(4))
		}
		if r < best {
			best, leg, ok = r, i, true
		}
	}
	return leg, ok
}

// foot gives where the foot of a leg is drawn, W.
func (v *View) foot(d *document.Document, at *document.Place, leg int) r3.Vec {
	t := d.Result().Trajectory
	k := t.Index(at.Time)
	x := pose(d, t, k)
	return x.At(links(d, at, t, k, leg)[2])
}

// moveFoot lets the foot that is taken follow the pointer, in the plane through
// where it was that faces the viewer.
func (v *View) moveFoot(pos f32.Point, d *document.Document, at *document.Place) {
	t := d.Result().Trajectory
	if v.Hand.Take == nil || v.grip.leg >= t.Legs {
		v.grip = grip{}
		return
	}
	f := v.Camera.Frame(v.size)
	_, _, out := v.Camera.Axes()
	p, ok := f.DragOnPlane(v.grip.start, out, r2.Vec{X: float64(pos.X) - v.grip.off.X, Y: float64(pos.Y) - v.grip.off.Y})
	if !ok {
		return
	}
	x := pose(d, t, t.Index(at.Time))
	v.Hand.Take(v.grip.leg, x.Into(p))
}

// drive answers the keys that concern the driven leg: Enter takes the chosen
// one, the arrows move it in the plane that faces the viewer. It tells whether
// the key was one of them.
func (v *View) drive(e key.Event, d *document.Document, at *document.Place) bool {
	if v.Hand.Take == nil {
		return false
	}
	t := d.Result().Trajectory
	x := pose(d, t, t.Index(at.Time))
	s := v.Hand.of(at.Leg)
	if e.Name == key.NameReturn || e.Name == key.NameEnter {
		if s == nil {
			v.Hand.Take(at.Leg, x.Into(v.foot(d, at, at.Leg)))
		}
		return true
	}
	if s == nil {
		return false
	}
	step := nudge
	if e.Modifiers.Contain(key.ModShift) {
		step = fineNudge
	}
	right, up, _ := v.Camera.Axes()
	var by r3.Vec
	switch e.Name {
	case key.NameLeftArrow:
		by = r3.Scale(-step, right)
	case key.NameRightArrow:
		by = r3.Scale(step, right)
	case key.NameUpArrow:
		by = r3.Scale(step, up)
	case key.NameDownArrow:
		by = r3.Scale(-step, up)
	default:
		return false
	}
	v.Hand.Take(at.Leg, r3.Add(s.Want, x.R.TMul(by)))
	return true
}

// driven draws what can be taken, and of the legs that were driven what is in
// the way: the gap to where the foot is wanted, the joints past their travel.
func (s *scene) driven(th *look.Theme, f *camera.Frame, xWB *kin.Pose, v *View, sh *draw.Sheet, px float64) {
	hold := sh.In(th.Accent.Ink)
	stop := sh.In(th.Stop.Ink)
	for i, c := range s.legs {
		if !s.show[i] {
			continue
		}
		if v.Hand.Take != nil {
			hold.Ring(c[3], 8*px, 1.5*px)
		}
		j := v.Hand.of(i)
		if j == nil {
			continue
		}
		for o := range j.Joints {
			if j.Joints[o].Past != 0 {
				stop.Ring(c[o], 9*px, 2*px)
			}
		}
		if a, b, ok := f.Segment(xWB.At(j.Foot), xWB.At(j.Want)); ok && j.Miss > 0 {
			stop.Segment(a, b, draw.Line{Width: 1.5 * px, Pattern: draw.Dotted, Unit: 2 * px})
			stop.Cross(b, 6*px, 2*px)
		}
	}
}

// hung writes what is in the way of the driven leg, and how to drive one.
func (s *scene) hung(gtx layout.Context, th *look.Theme, f *camera.Frame, v *View, sh *draw.Sheet, px float64) {
	small := th.Writer(look.Small, th.Dim)
	small.Back, small.Pad = th.Canvas, gtx.Dp(1)
	sh.Reset(image.Rectangle{Max: f.Size})
	y := float64(f.Size.Y) - 12*px
	line := func(sign func(c r2.Vec), words string) {
		small.At(gtx, r2.Vec{X: 30 * px, Y: y}, layout.W, words)
		sign(r2.Vec{X: 17 * px, Y: y})
		y -= 16 * px
	}
	if v.Hand.Take != nil {
		words := "drag a foot to drive its leg; Enter takes the chosen one, the arrows move it"
		if d, _ := small.Measure(gtx, words); d.Size.X > f.Size.X-int(36*px) {
			words = "drag a foot to drive its leg"
		}
		line(func(c r2.Vec) { sh.In(th.Accent.Ink).Ring(c, 6*px, 1.5*px) }, words)
	}
	s.keyOfOther(th, line, sh, px)
	sh.Paint(gtx.Ops)
	for i, c := range s.legs {
		j := v.Hand.of(i)
		if j == nil || !s.show[i] {
			continue
		}
		bad := th.Writer(look.Small, th.Stop.Ink)
		bad.Back, bad.Pad = th.Canvas, gtx.Dp(1)
		if j.Miss > 0 && !math.IsInf(j.Miss, 1) {
			s.words.put(gtx, bad, c[3], 14*px, draw.Number(j.Miss*1000, 1)+" mm short", right, left, higher, deeper)
		}
		for o := range j.Joints {
			if p := j.Joints[o].Past; p != 0 {
				s.words.put(gtx, bad, c[o], 13*px, kin.JointName(o)+" "+draw.Number(math.Abs(p)*180/math.Pi, 1)+"° too far", upperRight, upperLeft, lowerRight, lowerLeft)
			}
		}
	}
}
