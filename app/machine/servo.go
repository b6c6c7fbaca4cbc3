// SPDX-License-Identifier: MIT

package machine

import (
	"fmt"
	"image"
	"slices"

	"gioui.org/layout"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/look"
	"gaitwright/kin"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// servoPage is the state of the page about servos.
type servoPage struct {
	name string // of the chosen class
}

// servoAmount is a number of a servo class.
func servoAmount(class, name, key, unit string, decimals int, step float64, at func(s *workfile.Servo) *float64) amount {
	return amount{
		name: name, section: "servo", key: key, unit: unit, decimals: decimals, step: step,
		get: func(f *workfile.File) (float64, bool) {
			s := f.Servos[class]
			return *at(&s), false
		},
		set: func(f *workfile.File, v float64) {
			if s, ok := f.Servos[class]; ok {
				*at(&s) = v
				f.Servos[class] = s
			}
		},
	}
}

// servoGuess is one that may be left out, for what estimate gives.
func servoGuess(class, name, key, unit string, decimals int, step float64, at func(s *workfile.Servo) **float64, estimate func(s workfile.Servo) float64) amount {
	put := func(f *workfile.File, v *float64) {
		if s, ok := f.Servos[class]; ok {
			*at(&s) = v
			f.Servos[class] = s
		}
	}
	return amount{
		name: name, section: "servo", key: key, unit: unit, decimals: decimals, step: step,
		get: func(f *workfile.File) (float64, bool) {
			s := f.Servos[class]
			if v := *at(&s); v != nil {
				return *v, false
			}
			// Three decimals are as many as a field shows.
			return to(estimate(s), 0.001), true
		},
		set:   func(f *workfile.File, v float64) { put(f, &v) },
		clear: func(f *workfile.File) { put(f, nil) },
	}
}

func torqueAmount(class string, newtonMetres bool) amount {
	a := amount{name: "stall torque", section: "servo", key: "stall_kgf_cm", unit: look.KgfCm, decimals: 1, step: 0.5}
	if newtonMetres {
		a.key, a.unit, a.decimals, a.step = "stall_nm", "N·m", 3, 0.05
	}
	a.get = func(f *workfile.File) (float64, bool) {
		s := f.Servos[class]
		if newtonMetres {
			return s.Nm(), false
		}
		return s.KgfCm(), false
	}
	a.set = func(f *workfile.File, v float64) {
		if s, ok := f.Servos[class]; ok {
			edit.SetTorque(&s, v, newtonMetres)
			f.Servos[class] = s
		}
	}
	return a
}

// servoPage lays out the page about servos.
func (p *Panel) servoPage(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) layout.Dimensions {
	form := &sheet{th: th}
	p.classes(gtx, form, d)
	p.datasheet(gtx, form, d)
	p.assigned(gtx, form, d)
	return layout.Inset{Right: 8}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		return p.rows(gtx, th, form)
	})
}

// classes chooses a class of the file, and adds one.
func (p *Panel) classes(gtx layout.Context, form *sheet, d *document.Document) {
	th := form.th
	names := edit.ServoNames(d.File())
	if !slices.Contains(names, p.servo.name) {
		p.servo.name = names[0]
	}
	chosen := p.menu("class")
	if i, ok := chosen.Update(gtx); ok && i < len(names) {
		p.servo.name = names[i]
	}
	var items []control.MenuItem
	for _, n := range names {
		k := edit.ServoUses(d.File(), n)
		items = append(items, control.MenuItem{Text: n, Note: joints(k[0] + k[1] + k[2]), On: n == p.servo.name})
	}
	all := workfile.Classes()
	add := p.menu("add class")
	if i, ok := add.Update(gtx); ok {
		name, s := "my-servo", d.File().Servos[p.servo.name]
		if i < len(all) {
			name, s = all[i].Name, all[i].Servo
		}
		got := ""
		err := d.Change("add a servo class", func(f *workfile.File) { got = edit.AddServo(f, name, s) })
		if p.took(err); err == nil {
			p.servo.name = got
		}
	}
	var generic []control.MenuItem
	for _, c := range all {
		note := fmt.Sprintf("%.3g "+look.KgfCm+" at %.3g V", c.Servo.KgfCm(), c.Servo.Voltage)
		generic = append(generic, control.MenuItem{Text: c.Title, Note: note})
	}
	generic = append(generic, control.MenuItem{Text: "from a datasheet", Note: "a copy of " + p.servo.name + " to type over", Apart: true})
	form.head("Servo class",
		func(gtx layout.Context) layout.Dimensions {
			s := control.Drop(th, chosen, p.servo.name, items...).AtEnd()
			s.Face.Label = "class " + p.servo.name
			return s.Layout(gtx)
		},
		func(gtx layout.Context) layout.Dimensions {
			s := control.Drop(th, add, "Add", generic...).AtEnd()
			s.Face.Label, s.Face.Glyph = "add a servo", look.Plus
			return s.Layout(gtx)
		})
}

func joints(n int) string {
	switch n {
	case 0:
		return "unused"
	case 1:
		return "1 joint"
	}
	return fmt.Sprintf("%d joints", n)
}

// datasheet has the numbers of the chosen class in two columns.
func (p *Panel) datasheet(gtx layout.Context, form *sheet, d *document.Document) {
	th, name := form.th, p.servo.name
	s := d.File().Servos[name]
	nm := s.StallNm != nil
	units := p.pick("torque unit")
	if units.Update(gtx) {
		want := units.Value == 1
		p.took(d.Change("give the torque in the other unit", func(f *workfile.File) {
			s := f.Servos[name]
			v := to(s.KgfCm(), 1e-6)
			if want {
				v = to(s.Nm(), 1e-6)
			}
			edit.SetTorque(&s, v, want)
			f.Servos[name] = s
		}))
		nm = d.File().Servos[name].StallNm != nil
	}
	units.Value = 0
	if nm {
		units.Value = 1
	}
	title := p.fields.text("servo "+name, name, named, func(to string) {
		p.try(d, "rename a servo class", func(f *workfile.File) error { return edit.RenameServo(f, name, to) })
		if p.note == "" {
			p.servo.name = to
		}
	})
	if p.push("delete class").Update(gtx) {
		p.try(d, "delete a servo class", func(f *workfile.File) error { return edit.DeleteServo(f, name) })
	}
	stall := func(s workfile.Servo) float64 { a, _ := s.Currents(); return a }
	idle := func(s workfile.Servo) float64 { _, a := s.Currents(); return a }
	gears := func(workfile.Servo) float64 { v, _ := workfile.Default("servo", "gear_efficiency", 0); return v }
	field := func(name string, a amount) func(gtx layout.Context) layout.Dimensions {
		a.name = p.servo.name + " " + a.name
		return func(gtx layout.Context) layout.Dimensions {
			return half(gtx, th, name, func(gtx layout.Context) layout.Dimensions {
				return p.amount(gtx, th, d, a.name, a, 104, false)
			})
		}
	}
	pair := func(a, b layout.Widget) {
		form.add(func(gtx layout.Context) layout.Dimensions {
			return layout.Inset{Bottom: look.Unit}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
				gtx.Constraints.Min.Y = 0
				if gtx.Constraints.Max.X < gtx.Dp(leastPair) {
					return control.Column(gtx, 1, a, b)
				}
				return layout.Flex{Gap: gtx.Dp(look.Unit * 4)}.Layout(gtx, layout.Flexed(1, a), layout.Flexed(1, b))
			})
		})
	}
	pair(
		func(gtx layout.Context) layout.Dimensions {
			return half(gtx, th, "name", func(gtx layout.Context) layout.Dimensions {
				w := control.Words(th, title, "servo name")
				w.Width = 128
				return w.Layout(gtx)
			})
		},
		func(gtx layout.Context) layout.Dimensions {
			used := edit.ServoUses(d.File(), name)
			n := used[0] + used[1] + used[2]
			return half(gtx, th, "used by "+joints(n), control.Push(th, p.push("delete class"), "Delete").
				WithHint("Take the class out of the file; no joint may have it").When(n == 0 && len(d.File().Servos) > 1).Layout)
		},
	)
	pair(
		field("stall torque", torqueAmount(name, nm)),
		func(gtx layout.Context) layout.Dimensions {
			return half(gtx, th, "given in", control.Pick(th, units, control.Option{Text: look.KgfCm, Label: "kgf·cm"}, control.Option{Text: "N·m"}).Layout)
		},
	)
	pair(
		field("time for 60°", servoAmount(name, "time for 60°", "speed_s_per_60deg", "s", 2, 0.01, func(s *workfile.Servo) *float64 { return &s.Speed })),
		field("at voltage", servoAmount(name, "voltage", "voltage_v", "V", 1, 0.1, func(s *workfile.Servo) *float64 { return &s.Voltage })),
	)
	pair(
		field("mass", servoAmount(name, "servo mass", "mass_g", "g", 1, 1, func(s *workfile.Servo) *float64 { return &s.Mass })),
		field("gear efficiency", servoGuess(name, "gear efficiency", "gear_efficiency", "", 2, 0.05, func(s *workfile.Servo) **float64 { return &s.Efficiency }, gears)),
	)
	pair(
		field("stall current", servoGuess(name, "stall current", "stall_current_a", "A", 2, 0.1, func(s *workfile.Servo) **float64 { return &s.StallA }, stall)),
		field("idle current", servoGuess(name, "idle current", "idle_current_a", "A", 2, 0.01, func(s *workfile.Servo) **float64 { return &s.IdleA }, idle)),
	)
	note := "Torque, speed and currents at that voltage, as the datasheet gives them. Slanted numbers are estimates: type over them, or clear a field to have one again."
	for _, c := range workfile.Classes() {
		if c.Name == name {
			note = workfile.ClassNote + " Slanted numbers are estimates."
		}
	}
	form.say(note)
}

// leastPair is the least width for two numbers of a datasheet side by side.
const leastPair unit.Dp = 420

// half has a name and a control at the right end of half a row.
func half(gtx layout.Context, th *look.Theme, name string, w layout.Widget) layout.Dimensions {
	s := sheet{th: th}
	s.line(name, w)
	return s.rows[0](gtx)
}

// assigned is which joint has which class: a press gives it the chosen one.
func (p *Panel) assigned(gtx layout.Context, form *sheet, d *document.Document) {
	th, f, name := form.th, d.File(), p.servo.name
	form.head("Joints: press to give " + name)
	for j := range kin.Joints {
		if p.push("all " + kin.JointName(j)).Update(gtx) {
			p.took(d.Change("give all "+kin.JointName(j)+" joints a servo", func(f *workfile.File) { edit.SetServos(f, j, name) }))
		}
	}
	row := func(head string, cell func(j int) layout.Widget) {
		form.add(func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min.Y = 0
			all := []layout.FlexChild{layout.Rigid(column(56, func(gtx layout.Context) layout.Dimensions {
				return layout.Inset{Top: 3}.Layout(gtx, th.Quiet(head).Layout)
			}))}
			for j := range kin.Joints {
				all = append(all, layout.Flexed(1, cell(j)))
			}
			return layout.Inset{Bottom: look.Unit}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
				return layout.Flex{Gap: gtx.Dp(look.Unit)}.Layout(gtx, all...)
			})
		})
	}
	wide := func(s control.ButtonStyle) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min = image.Pt(gtx.Constraints.Max.X, 0)
			s.Small = true
			return s.Layout(gtx)
		}
	}
	row("", func(j int) layout.Widget {
		return wide(control.Push(th, p.push("all "+kin.JointName(j)), "every "+kin.JointName(j)))
	})
	for i := range f.Legs {
		whole := f.Whole(i)
		row(f.Legs[i].Name, func(j int) layout.Widget {
			id := "servo of " + f.Legs[i].Name + " " + kin.JointName(j)
			b := p.push(id)
			has := edit.JointOf(&whole, j).Servo
			if b.Update(gtx) {
				p.took(d.Change("give a joint a servo", func(f *workfile.File) { edit.SetServo(f, i, j, name) }))
			}
			s := control.Push(th, b, has).Lit(has == name)
			s.Label = id
			if m := f.Legs[i].Mirrors; m != "" && edit.JointOf(&f.Legs[i], j).Servo == "" {
				s.Hint = "As " + m + ": both change"
			}
			return wide(s)
		})
	}
}

// column gives a widget a width of its own.
func column(dp unit.Dp, w layout.Widget) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		x := gtx.Dp(dp)
		gtx.Constraints.Min.X, gtx.Constraints.Max.X = 0, x
		d := w(gtx)
		d.Size.X = x
		return d
	}
}
