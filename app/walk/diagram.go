// SPDX-License-Identifier: MIT

package walk

import (
	"image"
	"math"

	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op/clip"
	"gonum.org/v1/gonum/spatial/r2"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/motion/gait"
	"gaitwright/motion/workfile/edit"
)

// diagram is the gait diagram of one period: a bar where a leg stands.
// Dragging a bar changes the leg's phase, dragging its end the duty factor of
// all.
type diagram struct {
	box   image.Rectangle // of the legs' rows
	steps image.Rectangle // of the feet that are down
	row   int             // leg being dragged
	end   bool
	grip  document.Grip
	from  float64 // share of the period where the drag began
	start float64 // phase or duty factor then
	to    float64 // phase or duty factor to take
	sheet draw.Sheet
}

func (g *diagram) layout(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place, w place) layout.Dimensions {
	size := gtx.Constraints.Max
	g.arrange(gtx, size)
	g.update(gtx, d, at, w)
	defer clip.Rect{Max: size}.Push(gtx.Ops).Pop()
	event.Op(gtx.Ops, g)
	control.Reachable(gtx, g)
	semantic.LabelOp("gait diagram").Add(gtx.Ops)
	draw.Rect(gtx.Ops, image.Rectangle{Max: size}, th.Canvas)
	g.paint(gtx, th, d, at, w, size)
	if gtx.Focused(g) {
		draw.Frame(gtx.Ops, image.Rectangle{Max: size}, gtx.Dp(2), th.Colours.Focus)
	}
	return layout.Dimensions{Size: size}
}

func (g *diagram) share(x float32) float64 {
	return (float64(x) - float64(g.box.Min.X)) / float64(max(1, g.box.Dx()))
}

func (g *diagram) update(gtx layout.Context, d *document.Document, at *document.Place, w place) {
	legs := d.Result().Built.Robot.Legs
	for {
		ev, ok := gtx.Event(
			pointer.Filter{Target: g, Kinds: pointer.Press | pointer.Drag | pointer.Release | pointer.Cancel},
			key.FocusFilter{Target: g},
			key.Filter{Focus: g, Name: key.NameLeftArrow, Optional: key.ModShift},
			key.Filter{Focus: g, Name: key.NameRightArrow, Optional: key.ModShift},
			key.Filter{Focus: g, Name: key.NameUpArrow},
			key.Filter{Focus: g, Name: key.NameDownArrow},
			key.Filter{Focus: g, Name: key.NameEscape},
		)
		if !ok {
			g.follow(d, w)
			return
		}
		gt := &d.File().Gaits[w.gait]
		switch e := ev.(type) {
		case pointer.Event:
			switch e.Kind {
			case pointer.Press:
				gtx.Execute(key.FocusCmd{Tag: g})
				g.grip.Let()
				if g.box.Dy() <= 0 {
					continue
				}
				g.row = int(float64(e.Position.Y-float32(g.box.Min.Y)) / float64(g.box.Dy()) * float64(len(legs)))
				if g.row < 0 || g.row >= len(legs) {
					continue
				}
				at.Choose(d, g.row)
				phase, _ := edit.PhaseOf(gt, legs[g.row].Name)
				g.from = g.share(e.Position.X)
				near := float64(gtx.Dp(7)) / float64(max(1, g.box.Dx()))
				duty := edit.DutyOf(gt, legs[g.row].Name)
				off := gait.Frac(g.from-phase) - duty
				g.end = math.Abs(off) < near
				g.start = phase
				if g.end {
					g.start = duty
				}
				g.grip.Take()
				gtx.Execute(pointer.GrabCmd{Tag: g, ID: e.PointerID})
			case pointer.Drag:
				g.grip.Ask()
				g.to = g.start + g.share(e.Position.X) - g.from
			case pointer.Release:
				g.follow(d, w)
				g.grip.Let()
				d.Drop()
			case pointer.Cancel:
				g.grip.Cancel(d)
			}
		case key.Event:
			if e.State != key.Press {
				continue
			}
			step := 0.01
			if e.Modifiers.Contain(key.ModShift) {
				step = 0.001
			}
			if g.grip.Held() && e.Name != key.NameEscape {
				continue
			}
			name := legs[at.Leg].Name
			switch e.Name {
			case key.NameEscape:
				g.grip.Let()
				d.Cancel()
			case key.NameUpArrow:
				at.Choose(d, max(0, at.Leg-1))
			case key.NameDownArrow:
				at.Choose(d, min(len(legs)-1, at.Leg+1))
			case key.NameLeftArrow, key.NameRightArrow:
				if e.Name == key.NameLeftArrow {
					step = -step
				}
				g.end = false
				phase, _ := edit.PhaseOf(gt, name)
				g.put(d, w, name, phase+step)
				d.Drop()
			}
		}
	}
}

// follow takes what the drag asks for: once a frame, however many events came.
func (g *diagram) follow(d *document.Document, w place) {
	legs := d.Result().Built.Robot.Legs
	if g.grip.Due(d) && g.row >= 0 && g.row < len(legs) {
		g.put(d, w, legs[g.row].Name, g.to)
	}
}

// put sets a leg's phase, or the duty factor.
func (g *diagram) put(d *document.Document, w place, leg string, v float64) {
	if g.end {
		DragDuty(d, w.gait, leg, v)
		return
	}
	DragPhase(d, w.gait, leg, v)
}

func (g *diagram) paint(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place, w place, size image.Point) {
	px := float64(gtx.Dp(1))
	small := draw.Text{Shaper: th.Shaper, Size: look.Small, Color: th.Dim}
	legs := d.Result().Built.Robot.Legs
	gt := &d.File().Gaits[w.gait]
	small.At(gtx, r2.Vec{X: 6 * px, Y: 5 * px}, layout.NW, small.Fitting(gtx, size.X-gtx.Dp(12),
		"gait diagram: drag a bar for its phase, its end for the duty factor", "gait diagram: drag a bar or its end", "gait diagram"))
	for i := range 5 {
		x := float64(g.box.Min.X) + float64(g.box.Dx()*i)/4
		draw.Vertical(gtx.Ops, x, float64(g.box.Min.Y), float64(g.steps.Max.Y), 1, th.Grid)
		small.At(gtx, r2.Vec{X: x, Y: float64(size.Y) - 5*px}, layout.S, draw.Number(float64(i)/4, 2))
	}
	g.down(gtx, th, d, w)
	row := float64(g.box.Dy()) / float64(len(legs))
	every := max(1, int(math.Ceil(12*px/max(row, 1))))
	for i := range legs {
		phase, ok := edit.PhaseOf(gt, legs[i].Name)
		if !ok {
			continue
		}
		y := float64(g.box.Min.Y) + (float64(i)+0.5)*row
		half := min(row*0.3, 8*px)
		c := th.Ghost
		name := small
		if i == at.Leg {
			c, name.Color = th.Accent.Ink, th.Text
		}
		if i%every == at.Leg%every { // the others' names would lie over each other
			name.At(gtx, r2.Vec{X: float64(g.box.Min.X) - 8*px, Y: y}, layout.E, legs[i].Name)
		}
		bar := func(a, b float64) {
			draw.Rect(gtx.Ops, image.Rect(
				g.box.Min.X+int(a*float64(g.box.Dx())), int(y-half),
				g.box.Min.X+int(b*float64(g.box.Dx())), int(y+half)), c)
		}
		draw.Horizontal(gtx.Ops, float64(g.box.Min.X), float64(g.box.Max.X), y, max(1, gtx.Dp(1)), c)
		end := phase + edit.DutyOf(gt, legs[i].Name)
		bar(phase, min(end, 1))
		if end > 1 {
			bar(0, end-1)
		}
	}
}
