// SPDX-License-Identifier: MIT

// Package machine is where the robot itself is described by hand: its body,
// its legs with lengths and joint ranges on a drawing, masses, servos and
// channels. What is drawn can be dragged, and every number can be typed; the
// motion is rehearsed at each change.
package machine

import (
	"image"

	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// Panel is the right column for the robot. The zero value is ready.
type Panel struct {
	CheckSheet func() // asks for a check sheet of the channels, nil where that cannot be

	doc    *document.Document
	pages  control.Choice
	fields fields
	typed  typed
	note   string // why the last change was refused
	noteOf string // the amount that was typed then

	buttons map[string]*control.Button
	menus   map[string]*control.Menu
	choices map[string]*control.Choice
	scrolls [4]control.Scroll

	body   bodyPage
	leg    legPage
	servo  servoPage
	joint  jointPage
	unlike unlike
	alone  *canvas // shown without its neighbour, nil for both
}

// The pages.
const (
	bodyOf = iota
	legOf
	servoOf
	channelOf
)

func pages() []control.Option {
	o := control.Options("body", "leg", "servos", "channels")
	o[bodyOf].Hint = "Outline, height, masses, where the legs sit and stand"
	o[legOf].Hint = "Link lengths, offsets, joint ranges and link masses of a leg"
	o[servoOf].Hint = "Classes of servo, and which joint has which"
	o[channelOf].Hint = "Calibration: output channel, direction, trim and pulse widths of each joint"
	return o
}

// Update takes what was typed while the panel is not laid out: a field that
// has been left counts, also when the panel went away in the same moment.
func (p *Panel) Update(gtx layout.Context, d *document.Document) {
	if p.doc == d {
		p.fields.update(gtx, p, d)
	}
}

// Layout fills the constraints.
func (p *Panel) Layout(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) layout.Dimensions {
	size := gtx.Constraints.Max
	draw.Rect(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	if p.doc != d { // what was chosen and typed was of another robot
		page := p.pages.Value
		*p = Panel{doc: d, CheckSheet: p.CheckSheet}
		p.pages.Value = page
	}
	p.fields.update(gtx, p, d)
	if p.pages.Update(gtx) {
		p.note, p.alone, p.typed = "", nil, typed{}
	}
	layout.Flex{Axis: layout.Vertical}.Layout(gtx,
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			return layout.Inset{Left: 8, Right: 8, Top: 4, Bottom: 8}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
				return p.bar(gtx, th, d, at)
			})
		}),
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints = layout.Exact(gtx.Constraints.Max)
			switch p.pages.Value {
			case legOf:
				return p.legPage(gtx, th, d, at)
			case servoOf:
				return p.servoPage(gtx, th, d, at)
			case channelOf:
				return p.jointPage(gtx, th, d, at)
			}
			return p.bodyPage(gtx, th, d, at)
		}),
	)
	p.refusal(gtx, th)
	return layout.Dimensions{Size: size}
}

// bar chooses the page, and on the leg's the leg.
func (p *Panel) bar(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) layout.Dimensions {
	gtx.Constraints.Min = image.Point{}
	all := []layout.FlexChild{
		layout.Rigid(control.Pick(th, &p.pages, pages()...).Layout),
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, 0)}
		}),
	}
	if p.pages.Value == legOf {
		n := len(d.File().Legs)
		if p.push("leg before").Update(gtx) {
			at.Choose(d, (at.Leg+n-1)%n)
		}
		if p.push("next leg").Update(gtx) {
			at.Choose(d, (at.Leg+1)%n)
		}
		name := "leg"
		if at.Leg < n {
			name = "leg " + d.File().Legs[at.Leg].Name
		}
		all = append(all,
			layout.Rigid(control.Sign(th, p.push("leg before"), look.ArrowLeft, "leg before").Layout),
			look.Gap(1), layout.Rigid(th.Strong(name).Layout), look.Gap(1),
			layout.Rigid(control.Sign(th, p.push("next leg"), look.ArrowRight, "next leg").Layout),
		)
	}
	return layout.Flex{Alignment: layout.Middle}.Layout(gtx, all...)
}

// refusal says why the last change was not made, over the lower edge, so that
// nothing moves under the hand.
func (p *Panel) refusal(gtx layout.Context, th *look.Theme) {
	if p.note == "" || p.pages.Value == channelOf && p.noteOf != "" { // told at its row there
		return
	}
	size := gtx.Constraints.Max
	gtx.Constraints.Min = image.Pt(size.X, 0)
	rec := op.Record(gtx.Ops)
	dim := layout.Inset{Left: 8, Right: 8, Top: 4, Bottom: 4}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		return sentence(gtx, th, "Not taken: "+p.note)
	})
	call := rec.Stop()
	defer op.Offset(image.Pt(0, size.Y-dim.Size.Y)).Push(gtx.Ops).Pop()
	defer clip.Rect{Max: dim.Size}.Push(gtx.Ops).Pop()
	semantic.LabelOp("Not taken").Add(gtx.Ops)
	semantic.DescriptionOp(p.note).Add(gtx.Ops)
	draw.Rect(gtx.Ops, image.Rectangle{Max: dim.Size}, th.Caution.Wash)
	draw.Rect(gtx.Ops, image.Rect(0, 0, dim.Size.X, max(1, gtx.Dp(1))), th.Line)
	call.Add(gtx.Ops)
}

// Widths of the form beside the drawings.
const (
	leastForm unit.Dp = 180
	mostForm  unit.Dp = 240
)

// beside lays drawings out at the left and a form at the right.
func (p *Panel) beside(gtx layout.Context, th *look.Theme, form *sheet, one, two *canvas, share float32, paint func(gtx layout.Context, c *canvas) layout.Dimensions) layout.Dimensions {
	size := gtx.Constraints.Max
	wide := max(gtx.Dp(leastForm), min(gtx.Dp(mostForm), size.X*45/100))
	for _, c := range [...]*canvas{one, two} {
		if c.larger {
			if c.larger = false; p.alone == nil {
				p.alone = c
			} else {
				p.alone = nil
			}
		}
	}
	plate := func(c *canvas, share float32) layout.FlexChild {
		return layout.Flexed(share, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints = layout.Exact(gtx.Constraints.Max)
			return paint(gtx, c)
		})
	}
	return layout.Flex{}.Layout(gtx,
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints = layout.Exact(gtx.Constraints.Max)
			if p.alone == one || p.alone == two {
				return layout.Flex{Axis: layout.Vertical}.Layout(gtx, plate(p.alone, 1))
			}
			return layout.Flex{Axis: layout.Vertical, Gap: max(1, gtx.Dp(1))}.Layout(gtx, plate(one, share), plate(two, 1-share))
		}),
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints = layout.Exact(image.Pt(wide, size.Y))
			return p.rows(gtx, th, form)
		}),
	)
}

// rows lays a form out, with a scroll bar where it is longer than the room.
func (p *Panel) rows(gtx layout.Context, th *look.Theme, form *sheet) layout.Dimensions {
	return layout.Inset{Left: 8, Right: 4}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		for i := range form.rows {
			w := form.rows[i]
			form.rows[i] = func(gtx layout.Context) layout.Dimensions {
				return layout.Inset{Right: 4}.Layout(gtx, w)
			}
		}
		return p.scrolls[p.pages.Value].Area(gtx, th, form.rows...)
	})
}

func state[T any](m *map[string]*T, id string) *T {
	if *m == nil {
		*m = map[string]*T{}
	}
	if (*m)[id] == nil {
		(*m)[id] = new(T)
	}
	return (*m)[id]
}

func (p *Panel) push(id string) *control.Button { return state(&p.buttons, id) }
func (p *Panel) menu(id string) *control.Menu   { return state(&p.menus, id) }
func (p *Panel) pick(id string) *control.Choice { return state(&p.choices, id) }

// Typing tells whether a field of the panel has the keys.
func (p *Panel) Typing(gtx layout.Context) bool { return p.fields.typing(gtx) }
