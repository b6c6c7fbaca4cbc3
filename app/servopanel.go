// SPDX-License-Identifier: MIT

package app

import (
	"image"
	"image/color"
	"math"

	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/kin"
	"gaitwright/motion/jog"
)

// servoPanel says what the servos of the chosen leg get: folded a line of pulse
// widths, open a table, in which the joints of a robot that hangs are driven by
// typed angles.
type servoPanel struct {
	fold  control.Button
	said  bool // the person opened or folded it
	open  bool
	angle [kin.Joints]control.Number
	hold  [kin.Joints]control.Button
	use   control.Button
	let   control.Button
}

// typing tells whether one of the fields has the keys.
func (p *servoPanel) typing(gtx layout.Context) bool {
	for i := range p.angle {
		if p.angle[i].Focused(gtx) {
			return true
		}
	}
	return false
}

// isOpen tells whether the table shows: on a stand by itself.
func (p *servoPanel) isOpen(w *Workbench) bool {
	if p.said {
		return p.open
	}
	return w.doc.OnStand()
}

// jointsOrServos is the lower part of the left column: the joints of the chosen
// leg with a line of pulse widths, or what its servos get.
func (w *Workbench) jointsOrServos(gtx layout.Context) layout.Dimensions {
	p := &w.stand.panel
	open := p.isOpen(w)
	if p.fold.Update(gtx) {
		p.said, p.open = true, !open
		open = p.open
		gtx.Execute(op.InvalidateCmd{})
	}
	s := w.legNow()
	head := layout.Rigid(func(gtx layout.Context) layout.Dimensions {
		return layout.Inset{Left: 4, Right: 10, Top: 2, Bottom: 2}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
			return p.head(gtx, w, &s, open)
		})
	})
	if open {
		return layout.Flex{Axis: layout.Vertical}.Layout(gtx, head,
			layout.Rigid(func(gtx layout.Context) layout.Dimensions { return p.table(gtx, w, &s) }))
	}
	return layout.Flex{Axis: layout.Vertical}.Layout(gtx,
		layout.Rigid(func(gtx layout.Context) layout.Dimensions { return w.joints.layout(gtx, w) }),
		layout.Rigid(w.rule(false)), head)
}

// table says what the servos get, and drives the joints.
func (p *servoPanel) table(gtx layout.Context, w *Workbench, s *jog.State) layout.Dimensions {
	th := w.th
	rows := []layout.FlexChild{layout.Rigid(p.row(w, th.Dim, look.Small, th.Note("").Layout, nothing, "angle", "servo", "µs", "travel"))}
	for j := range kin.Joints {
		rows = append(rows, layout.Rigid(func(gtx layout.Context) layout.Dimensions { return p.joint(gtx, w, s, j) }))
	}
	rows = append(rows, layout.Rigid(func(gtx layout.Context) layout.Dimensions { return p.driven(gtx, w, s) }))
	return layout.Inset{Left: 12, Right: 10, Bottom: 8}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		return layout.Flex{Axis: layout.Vertical}.Layout(gtx, rows...)
	})
}

// head is the line that is always there.
func (p *servoPanel) head(gtx layout.Context, w *Workbench, s *jog.State, open bool) layout.Dimensions {
	th := w.th
	sign, words, name := look.Shut, pulses(s), "Servos"
	if open {
		sign, words = look.Open, "foot "+place(s)
		name += " of " + w.legName(w.at.Leg)
	}
	b := control.Push(th, &p.fold, name).WithGlyph(sign).As(control.Quiet).
		WithHint("Servo angles and pulse widths of the chosen leg; on a stand, drive it by typed angles. The foot is measured from its standing point: forward, left, up.")
	b.Small, b.Label = true, "servos"
	return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
		layout.Rigid(b.Layout),
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min.X = gtx.Constraints.Max.X
			return layout.E.Layout(gtx, th.Note(words).Layout)
		}),
	)
}

// place writes where the foot is, from the leg's standing point.
func place(s *jog.State) string {
	return draw.Number(s.Off.X*1000, 1) + ", " + draw.Number(s.Off.Y*1000, 1) + ", " + draw.Number(s.Off.Z*1000, 1) + " mm"
}

// pulses writes the pulse widths of a leg's servos on one line.
func pulses(s *jog.State) string {
	words, wired := "pulses", false
	for j := range s.Joints {
		words += " " + pulse(&s.Joints[j])
		wired = wired || s.Joints[j].Wired
		if j+1 < len(s.Joints) {
			words += ","
		}
	}
	if !wired {
		return "no channels"
	}
	return words + " µs"
}

func pulse(o *jog.Joint) string {
	if !o.Wired {
		return "–"
	}
	return draw.Number(o.Pulse, 0)
}

// joint is a row of the table: its angle can be typed while the leg can be
// driven.
func (p *servoPanel) joint(gtx layout.Context, w *Workbench, s *jog.State, j int) layout.Dimensions {
	th := w.th
	o := &s.Joints[j]
	n := &p.angle[j]
	n.Min, n.Max, n.Step, n.Decimals, n.Unit = -180, 180, 1, 1, "°"
	ink := th.Text
	if o.Past != 0 || o.PulsePast != 0 {
		ink = th.Stop.Ink
	}
	servo, share := "–", draw.Number(100*o.Share, 0)+" %"
	if o.Wired {
		servo = degrees(o.Servo) + "°"
	}
	key := [2]int{w.at.Leg, j}
	_, held := w.at.Held[key]
	if p.hold[j].Update(gtx) {
		if !w.doc.OnStand() {
			w.toggleStand()
		}
		w.at.Hold(w.at.Leg, j, o.Angle)
		gtx.Execute(op.InvalidateCmd{})
	}
	hold := func(gtx layout.Context) layout.Dimensions {
		b := control.Push(th, &p.hold[j], "").WithGlyph(look.Hold).Lit(held).
			WithHint("Hold this joint still, on a stand, while the rest moves").When(!w.doc.Showing())
		b.Small, b.Label = true, "hold "+kin.JointName(j)
		return b.Layout(gtx)
	}
	name := th.Plain(kin.JointName(j)).Layout
	if !w.drivable() {
		return layout.Inset{Bottom: 4}.Layout(gtx, p.row(w, ink, look.Body, name, hold, degrees(o.Angle)+"°", servo, pulse(o), share))
	}
	if n.Update(gtx) {
		w.driveJoint(j, n.Value*math.Pi/180)
		*s = w.legNow()
		gtx.Execute(op.InvalidateCmd{})
	}
	if v := math.Round(s.Q[j]*1800/math.Pi) / 10; math.Abs(n.Value-v) > 1e-9 && (!n.Focused(gtx) || math.Abs(n.Value-s.Q[j]*180/math.Pi) > 1e-6) {
		n.Value = v
	}
	field := control.Amount(th, n, "angle of the "+kin.JointName(j))
	field.Width, field.Brief = angleWidth, true
	return layout.Inset{Bottom: 2}.Layout(gtx, p.rowOf(w, ink, look.Body, name, hold, field.Layout, servo, pulse(o), share))
}

// angleWidth is the width of an angle's field.
const angleWidth = 70

// row aligns a row of the table; its first number is a text.
func (p *servoPanel) row(w *Workbench, ink color.NRGBA, size unit.Sp, name, hold layout.Widget, angle, servo, pulse, share string) layout.Widget {
	return p.rowOf(w, ink, size, name, hold, func(gtx layout.Context) layout.Dimensions {
		gtx.Constraints.Min.X = gtx.Constraints.Max.X
		return layout.E.Layout(gtx, w.th.Label(size, ink, angle).Layout)
	}, servo, pulse, share)
}

func (p *servoPanel) rowOf(w *Workbench, ink color.NRGBA, size unit.Sp, name, hold, angle layout.Widget, servo, pulse, share string) layout.Widget {
	cell := func(width float32, s string) layout.FlexChild {
		return layout.Flexed(width, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min.X = gtx.Constraints.Max.X
			return layout.E.Layout(gtx, w.th.Label(size, ink, s).Layout)
		})
	}
	return func(gtx layout.Context) layout.Dimensions {
		return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
			layout.Flexed(0.85, name),
			layout.Rigid(func(gtx layout.Context) layout.Dimensions {
				gtx.Constraints.Min.X = gtx.Dp(angleWidth)
				gtx.Constraints.Max.X = gtx.Constraints.Min.X
				return angle(gtx)
			}),
			cell(1, servo), cell(0.8, pulse), cell(0.9, share), look.Gap(2),
			layout.Rigid(func(gtx layout.Context) layout.Dimensions {
				gtx.Constraints.Min.X = gtx.Dp(22)
				gtx.Constraints.Max.X = gtx.Constraints.Min.X
				return hold(gtx)
			}),
		)
	}
}

// nothing takes the room that it has to.
func nothing(gtx layout.Context) layout.Dimensions {
	return layout.Dimensions{Size: image.Pt(gtx.Constraints.Min.X, 0)}
}

// driven says where the driven foot is and what is in the way, with what can
// be done with it; or how to drive a leg.
func (p *servoPanel) driven(gtx layout.Context, w *Workbench, s *jog.State) layout.Dimensions {
	th := w.th
	inset := func(l layout.Widget) layout.FlexChild {
		return layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			return layout.Inset{Top: 4}.Layout(gtx, l)
		})
	}
	if !w.doc.OnStand() || w.doc.Showing() {
		return layout.Dimensions{}
	}
	if w.stand.legs[w.at.Leg] == nil {
		words := "Drag a foot in the robot view, or type an angle: the leg goes there, and nothing of the file changes."
		if w.at.Playing {
			words = "Pause to drive a leg by hand."
		}
		return layout.Flex{Axis: layout.Vertical}.Layout(gtx, inset(control.NotePara(th, words)))
	}
	var rows []layout.FlexChild
	for _, words := range s.Troubles() {
		rows = append(rows, inset(func(gtx layout.Context) layout.Dimensions {
			l := th.Label(look.Small, th.Stop.Ink, words)
			l.MaxLines = 0
			return layout.Flex{}.Layout(gtx,
				layout.Rigid(func(gtx layout.Context) layout.Dimensions { return th.Glyph(gtx, look.Warning, 13, th.Stop.Ink) }),
				look.Gap(1), layout.Flexed(1, l.Layout))
		}))
	}
	_, why := w.spanEnd()
	use, let := w.act("use span end"), w.act("let go")
	hint := use.about
	if why != nil {
		hint = sentence(why.Error())
	}
	rows = append(rows, inset(func(gtx layout.Context) layout.Dimensions {
		a := control.Push(th, &p.use, "Use as end of span").WithHint(hint).When(why == nil)
		a.Small, a.Label = true, use.words
		b := control.Push(th, &p.let, "Let go").WithHint(let.words + " (" + let.say + ")")
		b.Small = true
		return control.Bar(gtx, 1, a.Layout, b.Layout)
	}))
	if why != nil { // said as well as hinted at: a hint is not read of what is off
		rows = append(rows, inset(control.NotePara(th, sentence(why.Error()))))
	}
	d := layout.Flex{Axis: layout.Vertical}.Layout(gtx, rows...)
	switch { // last: both change what is drawn here
	case p.use.Update(gtx):
		use.do()
		gtx.Execute(op.InvalidateCmd{})
	case p.let.Update(gtx):
		let.do()
		gtx.Execute(op.InvalidateCmd{})
	}
	return layout.Dimensions{Size: image.Pt(d.Size.X, d.Size.Y)}
}
