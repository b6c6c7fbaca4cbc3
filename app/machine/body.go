// SPDX-License-Identifier: MIT

package machine

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"gioui.org/layout"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/kin"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// bodyPage is the state of the page about the body.
type bodyPage struct {
	above, side canvas
	pick        any
}

// What can be chosen on the body's drawings.
type (
	cornerOf  int // of the outline
	mountOf   int // of a leg
	headingOf int // of a leg
	standOf   int // of a leg
	massOf    struct{}
	loadOf    struct{}
	heightOf  int // of the side drawing
)

// robotAmount is a number of the robot's table that must be there.
func robotAmount(name, key, unit string, decimals int, at func(r *workfile.Robot) *float64) amount {
	return amount{
		name: name, section: "robot", key: key, unit: unit, decimals: decimals, step: 1,
		get: func(f *workfile.File) (float64, bool) { return *at(&f.Robot), false },
		set: func(f *workfile.File, v float64) { *at(&f.Robot) = v },
	}
}

func topAmount() amount {
	return robotAmount("upper face", "body_top_mm", "mm", 1, func(r *workfile.Robot) *float64 { return &r.Top })
}

func bottomAmount() amount {
	return robotAmount("lower face", "body_bottom_mm", "mm", 1, func(r *workfile.Robot) *float64 { return &r.Bottom })
}

func standAmount() amount {
	return robotAmount("stand height", "stand_height_mm", "mm", 1, func(r *workfile.Robot) *float64 { return &r.StandHeight })
}

func massAmount() amount {
	return robotAmount("body mass", "body_mass_g", "g", 0, func(r *workfile.Robot) *float64 { return &r.BodyMass })
}

func centreAmount(i int) amount {
	return robotAmount(axisName(i)+" of the body’s centre of mass", "body_centre_mm", "mm", 1, func(r *workfile.Robot) *float64 { return &r.BodyCentre[i] })
}

func cornerAmount(i, axis int) amount {
	return amount{
		name: fmt.Sprintf("%s of corner %d", axisName(axis), i+1), section: "robot", key: "body_outline_mm", unit: "mm", decimals: 1, step: 1,
		get: func(f *workfile.File) (float64, bool) {
			if o := f.Robot.Outline; i < len(o) {
				return o[i][axis], false
			}
			return math.NaN(), true
		},
		set: func(f *workfile.File, v float64) {
			if i < len(f.Robot.Outline) { // it may have been undone meanwhile
				f.Robot.Outline[i][axis] = v
			}
		},
	}
}

func axisName(i int) string { return [...]string{"x", "y", "z"}[i] }

func gravityAmount() amount {
	a := amount{name: "gravity", section: "robot", key: "gravity_m_s2", unit: "m/s²", decimals: 2, step: 0.1}
	a.get = func(f *workfile.File) (float64, bool) {
		if v := f.Robot.Gravity; v != nil {
			return *v, false
		}
		v, _ := workfile.Default("robot", "gravity_m_s2", 0)
		return v, true
	}
	a.set = func(f *workfile.File, v float64) { f.Robot.Gravity = &v }
	a.clear = func(f *workfile.File) { f.Robot.Gravity = nil }
	return a
}

// payloadAmount is what the robot carries; without a mass nothing.
func payloadAmount() amount {
	return amount{
		name: "payload mass", section: "robot", key: "payload_mass_g", unit: "g", step: 10,
		get: func(f *workfile.File) (float64, bool) {
			if v := f.Robot.Payload; v != nil {
				return *v, false
			}
			return 0, true
		},
		set: edit.SetPayload, clear: edit.DropPayload,
	}
}

// payloadPart is a number of the payload's centre or size.
func payloadPart(name, key string, i int, at func(r *workfile.Robot) **[3]float64) amount {
	return amount{
		name: name, section: "robot", key: key, unit: "mm", decimals: 1, step: 1,
		get: func(f *workfile.File) (float64, bool) {
			if v := *at(&f.Robot); v != nil {
				return v[i], false
			}
			return 0, true
		},
		set: func(f *workfile.File, v float64) {
			s := at(&f.Robot)
			if *s == nil {
				*s = new([3]float64)
			}
			(*s)[i] = v
		},
		clear: func(f *workfile.File) { *at(&f.Robot) = nil },
	}
}

func payloadAt(i int) amount {
	return payloadPart(axisName(i)+" of the payload’s centre", "payload_centre_mm", i, func(r *workfile.Robot) **[3]float64 { return &r.PayloadAt })
}

func payloadSize(i int) amount {
	return payloadPart([...]string{"length", "width", "height"}[i]+" of the payload", "payload_size_mm", i, func(r *workfile.Robot) **[3]float64 { return &r.PayloadSize })
}

// inertiaNames are the six numbers of an inertia, in the file's order.
func inertiaNames() [6]string { return [6]string{"xx", "yy", "zz", "xy", "xz", "yz"} }

// inPeople gives an inertia in the workfile's unit, kg·mm².
func inPeople(i kin.Inertia) *[6]float64 {
	k := func(v float64) float64 { return math.Round(v*1e9) / 1e3 }
	return &[6]float64{k(i.XX), k(i.YY), k(i.ZZ), k(i.XY), k(i.XZ), k(i.YZ)}
}

// robotName is the text of the robot's name.
func (p *Panel) robotName(d *document.Document) *control.Text {
	return p.fields.text("robot name", d.File().Robot.Name, named, func(s string) {
		p.took(d.Change("rename the robot", func(f *workfile.File) { f.Robot.Name = s }))
	})
}

func named(s string) error {
	if s == "" || s != strings.TrimSpace(s) {
		return errors.New("type a name without spaces at its ends")
	}
	return nil
}

// bodyPage lays out the page about the body.
func (p *Panel) bodyPage(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) layout.Dimensions {
	b := &p.body
	form := &sheet{th: th}
	p.bodyChosen(gtx, form, d, at)
	p.bodyForm(gtx, form, d)
	return p.beside(gtx, th, form, &b.above, &b.side, 0.62, func(gtx layout.Context, c *canvas) layout.Dimensions {
		name, build := "body from above", p.bodyAbove
		if c == &b.side {
			name, build = "body from the side", p.bodySide
		}
		dim := c.layout(gtx, th, p, d, name, func(gtx layout.Context) { build(gtx, th, d, at) })
		if h, ok := c.which(); ok && c.fresh {
			b.pick = h.pick
			b.other(c).chosen = ""
			if leg, ok := legPicked(h.pick); ok {
				at.Choose(d, leg)
			}
		}
		return dim
	})
}

func (b *bodyPage) other(c *canvas) *canvas {
	if c == &b.above {
		return &b.side
	}
	return &b.above
}

func legPicked(pick any) (leg int, ok bool) {
	switch v := pick.(type) {
	case mountOf:
		return int(v), true
	case headingOf:
		return int(v), true
	case standOf:
		return int(v), true
	}
	return 0, false
}

// number adds the line of an amount.
func (p *Panel) number(form *sheet, d *document.Document, name string, a amount) {
	form.line(name, func(gtx layout.Context) layout.Dimensions {
		return p.amount(gtx, form.th, d, a.name, a, fieldWidth, false)
	})
}

// bodyChosen has the numbers of what is chosen on the drawings.
func (p *Panel) bodyChosen(gtx layout.Context, form *sheet, d *document.Document, at *document.Place) {
	b, f := &p.body, d.File()
	if p.push("thing before").Update(gtx) {
		b.above.step(-1)
	}
	if p.push("next thing").Update(gtx) {
		b.above.step(1)
	}
	if h, ok := b.above.which(); ok && b.above.fresh {
		b.pick, b.side.chosen = h.pick, ""
	}
	title := "Chosen"
	switch v := b.pick.(type) {
	case cornerOf:
		if int(v) < len(f.Robot.Outline) {
			title = fmt.Sprintf("Corner %d of %d", v+1, len(f.Robot.Outline))
		}
	case massOf:
		title = "Centre of mass"
	case loadOf:
		title = "Payload"
	case heightOf:
		title = "Heights"
	default:
		if leg, ok := legPicked(v); ok && leg < len(f.Legs) {
			title = "Leg " + f.Legs[leg].Name
		}
	}
	form.head(title,
		control.Sign(form.th, p.push("thing before"), look.ArrowLeft, "corner, leg or mass before").Layout,
		control.Sign(form.th, p.push("next thing"), look.ArrowRight, "next corner, leg or mass").Layout)
	switch v := b.pick.(type) {
	case cornerOf:
		i := int(v)
		if i >= len(f.Robot.Outline) {
			b.pick = nil
			return
		}
		p.number(form, d, "x", cornerAmount(i, 0))
		p.number(form, d, "y", cornerAmount(i, 1))
		if p.push("split").Update(gtx) {
			p.try(d, "add a corner", func(f *workfile.File) error { return edit.SplitEdge(f, i) })
			if p.note == "" {
				b.pick, b.above.chosen = cornerOf(i+1), cornerName(i+1)
			}
		}
		if p.push("take out").Update(gtx) {
			p.try(d, "take a corner out", func(f *workfile.File) error { return edit.RemoveCorner(f, i) })
			if p.note == "" {
				b.pick, b.above.chosen = cornerOf(max(0, i-1)), cornerName(max(0, i-1))
			}
		}
		form.act(
			control.Push(form.th, p.push("split"), "Add").WithHint("Add a corner half way to the next one").Layout,
			control.Push(form.th, p.push("take out"), "Take out").WithHint("Take this corner out of the outline").Layout,
		)
	case massOf:
		form.say("Numbers below, under Body.")
	case loadOf:
		form.say("Numbers below, under Payload.")
	case heightOf:
		form.say("Numbers below, under Body.")
	case nil:
		form.say("Take a corner, a leg’s mount, heading or standing point, or a mass on the drawing.")
	default:
		leg, ok := legPicked(v)
		if !ok || leg >= len(f.Legs) {
			b.pick = nil
			return
		}
		p.legPlace(form, d, leg)
	}
}

// bodyForm has every number of the body.
func (p *Panel) bodyForm(gtx layout.Context, form *sheet, d *document.Document) {
	th, f := form.th, d.File()
	form.head("Outline")
	if p.push("symmetric").Update(gtx) {
		p.try(d, "make the outline symmetric", edit.Symmetric)
	}
	form.act(control.Push(th, p.push("symmetric"), "Mirror the left half").WithGlyph(look.Mirror).
		WithHint("Make the outline the same on both sides of x: the left half stays").Layout)

	form.head("Body")
	name := p.robotName(d)
	form.line("name", func(gtx layout.Context) layout.Dimensions {
		s := control.Words(th, name, "robot name")
		s.Width = fieldWidth + 20
		return s.Layout(gtx)
	})
	p.number(form, d, "mass", massAmount())
	for i := range 3 {
		p.number(form, d, [...]string{"centre x", "y", "z"}[i], centreAmount(i))
	}
	p.number(form, d, "upper face", topAmount())
	p.number(form, d, "lower face", bottomAmount())
	p.number(form, d, "stand height", standAmount())
	p.number(form, d, "gravity", gravityAmount())

	form.head("Payload")
	p.number(form, d, "mass", payloadAmount())
	if f.Robot.Payload != nil {
		for i := range 3 {
			p.number(form, d, [...]string{"centre x", "y", "z"}[i], payloadAt(i))
		}
		for i := range 3 {
			p.number(form, d, [...]string{"length", "width", "height"}[i], payloadSize(i))
		}
	} else {
		form.say("Nothing is carried. Type a mass to add something.")
	}

	form.head("Inertia, kg·mm²")
	p.inertia(gtx, form, d, "body", "robot", "body_inertia_kg_mm2", "A solid box of the outline.",
		func(f *workfile.File) **[6]float64 { return &f.Robot.BodyInertia },
		d.Result().Built.Robot.Body.Inertia)
}

// inertia has the six numbers of an inertia, or says what stands for them.
func (p *Panel) inertia(gtx layout.Context, form *sheet, d *document.Document, of, section, key, estimate string, at func(f *workfile.File) **[6]float64, now kin.Inertia) {
	th := form.th
	if *at(d.File()) == nil {
		if p.push("own inertia of " + of).Update(gtx) {
			p.took(d.Change("give the inertia of the "+of, func(f *workfile.File) { *at(f) = inPeople(now) }))
		}
		form.say(estimate)
		form.act(control.Push(th, p.push("own inertia of "+of), "Give numbers").WithHint("Type the inertia of the " + of + " instead of the estimate").Layout)
		return
	}
	if p.push("estimate inertia of " + of).Update(gtx) {
		p.took(d.Change("estimate the inertia of the "+of, func(f *workfile.File) { *at(f) = nil }))
		return
	}
	for i, n := range inertiaNames() {
		p.number(form, d, n, amount{
			name: n + " of the inertia of the " + of, section: section, key: key, decimals: 1, step: 10,
			get: func(f *workfile.File) (float64, bool) {
				if v := *at(f); v != nil {
					return v[i], false
				}
				return math.NaN(), true
			},
			set: func(f *workfile.File, v float64) {
				if s := at(f); *s != nil {
					(*s)[i] = v
				}
			},
		})
	}
	form.act(control.Push(th, p.push("estimate inertia of "+of), "Estimate").WithHint("Leave the numbers out: " + strings.ToLower(estimate)).Layout)
}

func cornerName(i int) string { return fmt.Sprintf("corner %d", i+1) }

// coordinates writes a position in millimetres.
func coordinates(names string, v ...float64) string {
	var s []string
	for i, n := range strings.Fields(names) {
		s = append(s, n+" "+draw.Number(v[i]*1000, 1))
	}
	return strings.Join(s, "  ")
}
