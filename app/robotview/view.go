// SPDX-License-Identifier: MIT

// Package robotview draws the robot in space at one instant of its
// trajectory: ground, support polygon, centre of mass, the ground's forces and
// the zero-moment point, legs, foot paths by their reach, and what is wrong in
// the pose where it is wrong.
package robotview

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

	"gaitwright/app/camera"
	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// View is the robot view. The zero value looks from ahead on the left and
// fits the robot at its first layout.
type View struct {
	Camera camera.Camera
	NoKeys bool // the arrow keys are for something else now

	Hand Hand // to drive legs of a robot that hangs
	Over Over // another motion to draw over this one

	fitted  bool
	about   r3.Vec // where the body was in the last frame, W, m
	sheet   draw.Sheet
	scene   scene
	hover   f32.Point
	over    bool // the pointer is in the view
	last    f32.Point
	moved   float32
	button  pointer.Buttons
	pan     bool
	size    image.Point
	pending []action
	grip    grip
}

// action is a click that waits for the scene to tell what it hit.
type action struct{ at r2.Vec }

// Look turns the camera to one of the fixed views, or back to the free one.
func (v *View) Look(to camera.View) {
	if to == camera.Free {
		v.Camera.Flat, v.Camera.Yaw, v.Camera.Pitch = false, 0.7, 0.45
		return
	}
	v.Camera.Look(to)
}

// Fit shows the whole robot again at the next layout.
func (v *View) Fit() { v.fitted = false }

// Size is that of the last layout, px.
func (v *View) Size() image.Point { return v.size }

// Layout handles the pointer and draws, filling the constraints.
func (v *View) Layout(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) layout.Dimensions {
	v.size = gtx.Constraints.Max
	if !v.fitted && v.size.X > 0 && v.size.Y > 0 {
		if v.Camera == (camera.Camera{}) {
			v.Look(camera.Free)
		}
		lo, hi := v.extent(d, at)
		// More room above and below, where the choice of views and the key
		// to the signs are.
		side := gtx.Dp(32)
		end := max(side, min(gtx.Dp(80), v.size.Y/5))
		v.Camera.Fit(lo, hi, v.size.Add(image.Pt(2*(end-side), 0)), float64(end))
		v.fitted = true
	} else {
		v.follow(d, at)
	}
	v.about = bodyAt(d, at)
	v.update(gtx, d, at)
	defer clip.Rect{Max: v.size}.Push(gtx.Ops).Pop()
	event.Op(gtx.Ops, v)
	control.Reachable(gtx, v)
	semantic.LabelOp("robot view").Add(gtx.Ops)

	draw.Rect(gtx.Ops, image.Rectangle{Max: v.size}, th.Canvas)
	f := v.Camera.Frame(v.size)
	hovered := -1 // as the legs were drawn last
	if v.over {
		if leg, ok := v.scene.legAt(r2.Vec{X: float64(v.hover.X), Y: float64(v.hover.Y)}, float64(gtx.Dp(14))); ok {
			hovered = leg
		}
	}
	v.scene.paint(gtx, th, &f, d, at, hovered, &v.sheet, v)
	for _, a := range v.pending {
		if leg, ok := v.scene.legAt(a.at, float64(gtx.Dp(14))); ok {
			at.Choose(d, leg)
		}
	}
	v.pending = v.pending[:0]
	if gtx.Focused(v) {
		draw.Frame(gtx.Ops, image.Rectangle{Max: v.size}, gtx.Dp(2), th.Colours.Focus)
	}
	return layout.Dimensions{Size: v.size}
}

// follow keeps a walking robot in view: the camera goes along with the body
// over the ground.
func (v *View) follow(d *document.Document, at *document.Place) {
	by := r3.Sub(bodyAt(d, at), v.about)
	by.Z = 0
	v.Camera.Target = r3.Add(v.Camera.Target, by)
}

// bodyAt is where the body is drawn, W.
func bodyAt(d *document.Document, at *document.Place) r3.Vec {
	t := d.Result().Trajectory
	return pose(d, t, t.Index(at.Time)).P
}

// update turns drags into camera moves: the main button orbits, the second
// one or Shift pans, the wheel zooms about the pointer, arrow keys orbit. Of a
// robot that hangs the main button takes a foot, and arrow keys move the one
// that is driven.
func (v *View) update(gtx layout.Context, d *document.Document, at *document.Place) {
	all := []event.Filter{
		pointer.Filter{
			Target: v, Kinds: pointer.Press | pointer.Drag | pointer.Release | pointer.Scroll | pointer.Cancel | pointer.Move | pointer.Enter | pointer.Leave,
			ScrollY: pointer.ScrollRange{Min: -1e6, Max: 1e6},
		},
		key.FocusFilter{Target: v},
		key.Filter{Focus: v, Name: "+", Optional: key.ModShift},
		key.Filter{Focus: v, Name: "-"},
	}
	if v.Hand.Take != nil {
		all = append(all, key.Filter{Focus: v, Name: key.NameReturn}, key.Filter{Focus: v, Name: key.NameEnter})
	}
	if !v.NoKeys {
		for _, n := range [...]key.Name{key.NameLeftArrow, key.NameRightArrow, key.NameUpArrow, key.NameDownArrow} {
			all = append(all, key.Filter{Focus: v, Name: n, Optional: key.ModShift})
		}
	}
	for {
		ev, ok := gtx.Event(all...)
		if !ok {
			return
		}
		switch e := ev.(type) {
		case pointer.Event:
			v.point(gtx, e, d, at)
		case key.Event:
			if e.State == key.Press && !v.drive(e, d, at) {
				v.press(gtx, e)
			}
		}
	}
}

func (v *View) point(gtx layout.Context, e pointer.Event, d *document.Document, at *document.Place) {
	switch e.Kind {
	case pointer.Enter, pointer.Move:
		v.hover, v.over = e.Position, true
	case pointer.Leave, pointer.Cancel:
		v.over = false
		if e.Kind == pointer.Cancel {
			v.grip = grip{}
		}
	case pointer.Press:
		v.last, v.moved, v.button = e.Position, 0, e.Buttons
		v.pan = e.Buttons != pointer.ButtonPrimary || e.Modifiers.Contain(key.ModShift)
		gtx.Execute(key.FocusCmd{Tag: v})
		v.grip = grip{}
		if !v.pan {
			v.takeFoot(gtx, e.Position, d, at)
		}
	case pointer.Drag:
		if v.grip.on {
			v.hover = e.Position
			v.moveFoot(e.Position, d, at)
			return
		}
		dlt := e.Position.Sub(v.last)
		v.last = e.Position
		v.moved += float32(math.Abs(float64(dlt.X)) + math.Abs(float64(dlt.Y)))
		if v.pan {
			v.Camera.Pan(float64(dlt.X), float64(dlt.Y), v.size)
		} else {
			v.Camera.Flat = false
			v.Camera.Orbit(float64(dlt.X), float64(dlt.Y))
		}
	case pointer.Release:
		if v.grip.on {
			v.grip = grip{}
			return
		}
		if v.moved < float32(gtx.Dp(3)) && v.button == pointer.ButtonPrimary {
			v.pending = append(v.pending, action{r2.Vec{X: float64(e.Position.X), Y: float64(e.Position.Y)}})
		}
	case pointer.Scroll:
		v.Camera.Zoom(math.Exp(-float64(e.Scroll.Y)/100), float64(e.Position.X), float64(e.Position.Y), v.size)
	}
}

func (v *View) press(gtx layout.Context, e key.Event) {
	step := float64(gtx.Dp(16))
	dx, dy := 0.0, 0.0
	switch e.Name {
	case key.NameLeftArrow:
		dx = -step
	case key.NameRightArrow:
		dx = step
	case key.NameUpArrow:
		dy = -step
	case key.NameDownArrow:
		dy = step
	case "+":
		v.Camera.Zoom(1.1, float64(v.size.X)/2, float64(v.size.Y)/2, v.size)
		return
	case "-":
		v.Camera.Zoom(1/1.1, float64(v.size.X)/2, float64(v.size.Y)/2, v.size)
		return
	}
	if e.Modifiers.Contain(key.ModShift) {
		v.Camera.Pan(dx, dy, v.size)
	} else {
		v.Camera.Flat = false
		v.Camera.Orbit(dx, dy)
	}
}

// extent is the box that the robot takes at the present instant, with some
// room, W.
func (v *View) extent(d *document.Document, at *document.Place) (lo, hi r3.Vec) {
	t := d.Result().Trajectory
	k := t.Index(at.Time)
	x := pose(d, t, k)
	lo, hi = x.P, x.P
	for i := range t.Legs {
		for _, p := range links(d, at, t, k, i) {
			q := x.At(p)
			lo = r3.Vec{X: min(lo.X, q.X), Y: min(lo.Y, q.Y), Z: min(lo.Z, q.Z)}
			hi = r3.Vec{X: max(hi.X, q.X), Y: max(hi.Y, q.Y), Z: max(hi.Z, q.Z)}
		}
	}
	hi.Z += 0.05
	return lo, hi
}
