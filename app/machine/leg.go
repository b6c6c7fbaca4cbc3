// SPDX-License-Identifier: MIT

package machine

import (
	"errors"
	"fmt"
	"strings"
	"unicode"

	"gioui.org/layout"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/look"
	"gaitwright/kin"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// legPage is the state of the page about a leg.
type legPage struct {
	side, above canvas
	pose        [kin.Joints]float64 // in which the leg is drawn, rad
	uses        uses
}

// legAmount is a number of a leg: set where it comes from, and left out again
// where that is allowed.
func legAmount(leg int, name string, n edit.LegNumber, unit string, decimals int, step float64) amount {
	a := amount{
		name: name, section: "leg", key: n.Key, unit: unit, decimals: decimals, step: step,
		get: func(f *workfile.File) (float64, bool) {
			v, from := edit.LegValue(f, leg, n)
			return v, from == edit.Default
		},
		set: func(f *workfile.File, v float64) { edit.SetLegValue(f, leg, n, v) },
	}
	if n.Joint >= 0 {
		a.section = "joint"
	}
	switch n.Key {
	case "lateral_mm", "vertical_mm", "tibia_offset_deg", "link_radius_mm", "centre_mm", "channel",
		"centre_us", "us_per_deg", "range_us", "trim_deg", "dead_band_us":
		a.clear = func(f *workfile.File) { edit.ClearLegValue(f, leg, n) }
	}
	return a
}

func ofLeg(key string, part int) edit.LegNumber {
	return edit.LegNumber{Joint: edit.Whole, Key: key, Part: part}
}

// lengthAmount is the length of a link.
func lengthAmount(leg, joint int) amount {
	name := kin.JointName(joint)
	return legAmount(leg, name+" length", ofLeg(name+"_mm", 0), "mm", 1, 1)
}

func lateralAmount(leg int) amount {
	return legAmount(leg, "lateral offset", ofLeg("lateral_mm", 0), "mm", 1, 1)
}

func verticalAmount(leg int) amount {
	return legAmount(leg, "vertical offset", ofLeg("vertical_mm", 0), "mm", 1, 1)
}

func offsetAmount(leg int) amount {
	return legAmount(leg, "tibia offset", ofLeg("tibia_offset_deg", 0), "°", 1, 1)
}

func footAmount(leg int) amount {
	return legAmount(leg, "foot radius", ofLeg("foot_radius_mm", 0), "mm", 1, 1)
}

func thickAmount(leg int) amount {
	return legAmount(leg, "link radius", ofLeg("link_radius_mm", 0), "mm", 1, 1)
}

// limitAmount is an end of a joint's range: 0 the least angle, 1 the greatest.
func limitAmount(leg, joint, end int) amount {
	return legAmount(leg, [...]string{"least", "greatest"}[end]+" "+kin.JointName(joint)+" angle",
		edit.LegNumber{Joint: joint, Key: "range_deg", Part: end}, "°", 1, 1)
}

// mine adds the line of a leg's number, with a switch on a leg that mirrors
// another one: its own value, or that of the other leg.
func (p *Panel) mine(gtx layout.Context, form *sheet, d *document.Document, leg int, name string, n edit.LegNumber, a amount) {
	l := &d.File().Legs[leg]
	mine := a
	mine.name = l.Name + " " + a.name
	field := func(gtx layout.Context) layout.Dimensions {
		return p.amount(gtx, form.th, d, mine.name, mine, fieldWidth, false)
	}
	signs := []layout.Widget{}
	if all := p.forAll(gtx, form, d, leg, n, a); all != nil {
		signs = append(signs, all)
	}
	if l = &d.File().Legs[leg]; l.Mirrors == "" { // another file, when it has been given to all
		form.line(name, append(signs, field)...)
		return
	}
	b := p.push("own " + l.Name + " " + a.name)
	_, from := edit.LegValue(d.File(), leg, n)
	own := from == edit.Own
	if b.Update(gtx) {
		if own {
			p.took(d.Change("mirror the "+a.name, func(f *workfile.File) { edit.ShareLegValue(f, leg, n) }))
		} else {
			p.took(d.Change("give the leg its own "+a.name, func(f *workfile.File) { edit.OwnLegValue(f, leg, n) }))
		}
	}
	words := "Mirrors " + l.Mirrors + ": give it its own " + a.name
	if own {
		words = "Its own: mirror the " + a.name + " of " + l.Mirrors + " again"
	}
	form.line(name, append(signs, func(gtx layout.Context) layout.Dimensions {
		s := control.Sign(form.th, b, look.Mirror, words).Lit(!own).When(from != edit.Default)
		s.Small = true
		return layout.Inset{Top: 3}.Layout(gtx, s.Layout)
	}, field)...)
}

// legPlace has where a leg sits on the body and where it stands.
func (p *Panel) legPlace(form *sheet, d *document.Document, leg int) {
	l := &d.File().Legs[leg]
	if l.Mirrors != "" {
		form.say(fmt.Sprintf("%s mirrors %s: both change.", l.Name, l.Mirrors))
	} else if m := edit.MirrorOf(d.File(), leg); m >= 0 {
		form.say(fmt.Sprintf("%s mirrors it: both change.", d.File().Legs[m].Name))
	}
	for i := range 3 {
		p.number(form, d, [...]string{"mount x", "y", "z"}[i], mountAmount(leg, i))
	}
	p.number(form, d, "heading", headingAmount(leg))
	for i := range 2 {
		p.number(form, d, [...]string{"stands at x", "y"}[i], standsAmount(leg, i))
	}
}

func mountAmount(leg, i int) amount {
	return legAmount(leg, axisName(i)+" of the mount", ofLeg("mount_mm", i), "mm", 1, 1)
}

func headingAmount(leg int) amount {
	return legAmount(leg, "heading", ofLeg("heading_deg", 0), "°", 1, 1)
}

func standsAmount(leg, i int) amount {
	return legAmount(leg, axisName(i)+" of the standing point", ofLeg("stand_mm", i), "mm", 1, 1)
}

// legName checks the name of a leg as the reader does.
func legName(s string) error {
	if s == "" || strings.ContainsFunc(s, func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '_' && r != '-'
	}) {
		return errors.New("use letters, digits, _ and - only")
	}
	return nil
}

// legPage lays out the page about a leg.
func (p *Panel) legPage(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) layout.Dimensions {
	leg := max(0, min(at.Leg, len(d.File().Legs)-1))
	form := &sheet{th: th}
	p.legForm(gtx, form, d, at, leg)
	if n := len(d.File().Legs); leg >= n { // taken out
		leg = n - 1
	}
	v := &p.leg
	v.uses.update(d)
	v.settle(d, leg)
	return p.beside(gtx, th, form, &v.side, &v.above, 0.66, func(gtx layout.Context, c *canvas) layout.Dimensions {
		name, build := "leg from the side", p.legSide
		if c == &v.above {
			name, build = "leg from above", p.legOver
		}
		return c.layout(gtx, th, p, d, name, func(gtx layout.Context) { build(gtx, th, d, at, leg) })
	})
}

// legForm has every number of a leg.
func (p *Panel) legForm(gtx layout.Context, form *sheet, d *document.Document, at *document.Place, leg int) {
	th, f := form.th, d.File()
	l := &f.Legs[leg]
	p.kinship(gtx, form, d, leg)

	if p.push("for all legs").Update(gtx) {
		p.took(d.Change("use the leg for all legs", func(f *workfile.File) { edit.CopyLeg(f, leg) }))
		f = d.File()
		l = &f.Legs[leg]
	}
	all := control.Push(th, p.push("for all legs"), "All legs").WithGlyph(look.ToAll).
		WithHint("Use lengths, ranges, servos and masses of " + l.Name + " for all legs; place and calibration of each leg stay. The sign beside a number does it for that one alone.")
	all.Small, all.Label = true, "Use for all legs"
	form.head("Lengths", all.Layout)
	number := func(name string, n edit.LegNumber, a amount) { p.mine(gtx, form, d, leg, name, n, a) }
	for j := range kin.Joints {
		number(kin.JointName(j), ofLeg(kin.JointName(j)+"_mm", 0), lengthAmount(leg, j))
	}
	number("vertical", ofLeg("vertical_mm", 0), verticalAmount(leg))
	number("lateral", ofLeg("lateral_mm", 0), lateralAmount(leg))
	number("tibia offset", ofLeg("tibia_offset_deg", 0), offsetAmount(leg))
	number("foot radius", ofLeg("foot_radius_mm", 0), footAmount(leg))
	number("link radius", ofLeg("link_radius_mm", 0), thickAmount(leg))
	knee := p.pick("knee")
	down, _ := edit.Knee(f, leg)
	if knee.Update(gtx) {
		to := knee.Value == 1
		p.took(d.Change("bend the knee the other way", func(f *workfile.File) { edit.SetKnee(f, leg, to) }))
		down, _ = edit.Knee(d.File(), leg)
	}
	knee.Value = 0
	if down {
		knee.Value = 1
	}
	o := control.Options("up", "down")
	o[0].Label, o[1].Label = "knee up", "knee down"
	form.line("knee", control.Pick(th, knee, o...).Layout)

	form.head("Joint ranges")
	for j := range kin.Joints {
		for e := range 2 {
			number([...]string{kin.JointName(j) + " from", "to"}[e], edit.LegNumber{Joint: j, Key: "range_deg", Part: e}, limitAmount(leg, j, e))
		}
	}

	form.head("Place on the body")
	for i := range 3 {
		number([...]string{"mount x", "y", "z"}[i], ofLeg("mount_mm", i), mountAmount(leg, i))
	}
	number("heading", ofLeg("heading_deg", 0), headingAmount(leg))
	for i := range 2 {
		number([...]string{"stands at x", "y"}[i], ofLeg("stand_mm", i), standsAmount(leg, i))
	}

	for j := range kin.Joints {
		p.link(gtx, form, d, leg, j)
	}

	form.head("Number of legs")
	if p.push("add leg").Update(gtx) {
		n := len(f.Legs)
		p.try(d, "add a leg", func(f *workfile.File) error { _, err := edit.AddLeg(f, leg); return err })
		if p.note == "" && len(d.File().Legs) > n {
			at.Choose(d, n)
		}
	}
	if p.push("remove leg").Update(gtx) {
		p.try(d, "take a leg out", func(f *workfile.File) error { return edit.RemoveLeg(f, leg) })
		at.Tidy(d)
		return // the leg is another one now
	}
	form.act(
		control.Push(th, p.push("add leg"), "Add").WithHint("Add a leg built like "+l.Name+", on the other end of the body or behind it, without channels").Layout,
		control.Push(th, p.push("remove leg"), "Take out").WithHint("Take "+l.Name+" out, with its tracks and phases").Layout,
	)

}

// kinship says what the leg has from another one, and lets it be changed.
func (p *Panel) kinship(gtx layout.Context, form *sheet, d *document.Document, leg int) {
	th, f := form.th, d.File()
	l := &f.Legs[leg]
	form.head("Leg")
	name := p.fields.text("name of "+l.Name, l.Name, legName, func(s string) {
		p.took(d.Change("rename a leg", func(f *workfile.File) { edit.RenameLeg(f, leg, s) }))
	})
	form.line("name", func(gtx layout.Context) layout.Dimensions {
		s := control.Words(th, name, "leg name")
		s.Width = fieldWidth
		return s.Layout(gtx)
	})
	items := []control.MenuItem{{Text: "none", On: l.Mirrors == ""}}
	names := []string{""}
	for i := range f.Legs {
		if i != leg && f.Legs[i].Mirrors == "" {
			items = append(items, control.MenuItem{Text: f.Legs[i].Name, On: l.Mirrors == f.Legs[i].Name})
			names = append(names, f.Legs[i].Name)
		}
	}
	m := p.menu("mirrors")
	if i, ok := m.Update(gtx); ok && i < len(names) {
		p.try(d, "change what a leg mirrors", func(f *workfile.File) error { return edit.SetMirrors(f, leg, names[i]) })
	}
	shown := l.Mirrors
	if shown == "" {
		shown = "none"
	}
	form.line("mirrors", func(gtx layout.Context) layout.Dimensions {
		s := control.Drop(th, m, shown, items...).AtEnd()
		s.Face.Label = "mirrors " + shown
		return s.Layout(gtx)
	})
	switch of := edit.MirrorOf(f, leg); {
	case l.Mirrors != "":
		form.say(fmt.Sprintf("%s mirrors %s: what you change here changes %s too. A lit sign marks a number that it has from there; press it to give %s its own.", l.Name, l.Mirrors, l.Mirrors, l.Name))
	case of >= 0:
		form.say(fmt.Sprintf("%s mirrors this leg and changes with it.", f.Legs[of].Name))
	}
}

// link has the mass of a link, its centre and its inertia.
func (p *Panel) link(gtx layout.Context, form *sheet, d *document.Document, leg, joint int) {
	name := kin.JointName(joint)
	l := &d.Result().Built.Robot.Legs[leg]
	form.head(strings.ToUpper(name[:1]) + name[1:] + " link")
	at := func(key string, part int) edit.LegNumber { return edit.LegNumber{Joint: joint, Key: key, Part: part} }
	p.mine(gtx, form, d, leg, "mass", at("mass_g", 0), legAmount(leg, "mass of the "+name+" link", at("mass_g", 0), "g", 1, 1))
	com := [3]float64{l.Links[joint].COM.X, l.Links[joint].COM.Y, l.Links[joint].COM.Z}
	for i := range 3 {
		n := at("centre_mm", i)
		a := legAmount(leg, axisName(i)+" of the centre of the "+name+" link", n, "mm", 1, 1)
		a.get = func(f *workfile.File) (float64, bool) {
			if v, from := edit.LegValue(f, leg, n); from != edit.Default {
				return v, false
			}
			return com[i] * 1000, true // halfway along
		}
		a.set = func(f *workfile.File, v float64) {
			if _, from := edit.LegValue(f, leg, n); from == edit.Default { // the others stay where they are
				for k := range 3 {
					edit.SetLegValue(f, leg, at("centre_mm", k), com[k]*1000)
				}
			}
			edit.SetLegValue(f, leg, n, v)
		}
		p.mine(gtx, form, d, leg, [...]string{"centre x", "y", "z"}[i], n, a)
	}
	p.linkInertia(gtx, form, d, leg, joint)
}

// linkInertia has the inertia of a link.
func (p *Panel) linkInertia(gtx layout.Context, form *sheet, d *document.Document, leg, joint int) {
	name := kin.JointName(joint)
	n := edit.LegNumber{Joint: joint, Key: "inertia_kg_mm2"}
	of := name + " link of " + d.File().Legs[leg].Name
	if _, from := edit.LegValue(d.File(), leg, n); from == edit.Default {
		if p.push("own inertia of " + of).Update(gtx) {
			now := inPeople(d.Result().Built.Robot.Legs[leg].Links[joint].Inertia)
			p.took(d.Change("give the inertia of the "+of, func(f *workfile.File) {
				for i, v := range now {
					edit.SetLegValue(f, leg, edit.LegNumber{Joint: joint, Key: n.Key, Part: i}, v)
				}
			}))
		}
		form.line("inertia: a rod", func(gtx layout.Context) layout.Dimensions {
			s := control.Push(form.th, p.push("own inertia of "+of), "Give numbers").WithHint("Type the inertia of the " + of + " instead of that of a solid rod")
			s.Small = true
			return layout.Inset{Top: 3}.Layout(gtx, s.Layout)
		})
		return
	}
	if p.push("estimate inertia of " + of).Update(gtx) {
		p.took(d.Change("estimate the inertia of the "+of, func(f *workfile.File) { edit.ClearLegValue(f, leg, n) }))
		return
	}
	for i, k := range inertiaNames() {
		q := edit.LegNumber{Joint: joint, Key: n.Key, Part: i}
		a := legAmount(leg, k+" of the inertia of the "+of, q, "", 1, 1)
		form.line("inertia "+k+", kg·mm²", func(gtx layout.Context) layout.Dimensions {
			return p.amount(gtx, form.th, d, a.name, a, 68, false)
		})
	}
	form.act(control.Push(form.th, p.push("estimate inertia of "+of), "Estimate").WithHint("Leave the numbers out: a solid rod").Layout)
}
