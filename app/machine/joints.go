// SPDX-License-Identifier: MIT

package machine

import (
	"fmt"
	"image"
	"math"

	"gioui.org/layout"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/kin"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// jointPage is the state of the page about channels.
type jointPage struct {
	asked      clash
	open       bool // more about the chosen joint
	leg, joint int  // the chosen one
}

// clash is a channel that was typed for a joint while another joint has it.
type clash struct {
	leg, joint, channel int
	is                  bool
}

// jointAmounts are the numbers of a joint's calibration in the order of the
// columns.
func jointAmounts(leg, joint int, of string) [6]amount {
	n := func(key string, part int) edit.LegNumber {
		return edit.LegNumber{Joint: joint, Key: key, Part: part}
	}
	all := [6]amount{
		legAmount(leg, "channel of "+of, n("channel", 0), "", 0, 1),
		legAmount(leg, "trim of "+of, n("trim_deg", 0), "", 1, 0.5),
		legAmount(leg, "centre of "+of, n("centre_us", 0), "", 0, 10),
		legAmount(leg, "µs per degree of "+of, n("us_per_deg", 0), "", 1, 0.1),
		legAmount(leg, "least pulse of "+of, n("range_us", 0), "", 0, 10),
		legAmount(leg, "greatest pulse of "+of, n("range_us", 1), "", 0, 10),
	}
	all[0].get = func(f *workfile.File) (float64, bool) {
		if c := edit.JointOf(&f.Legs[leg], joint).Channel; c != nil {
			return float64(*c), false
		}
		return math.NaN(), true
	}
	return all
}

// Widths of the columns.
const (
	whichWidth  unit.Dp = 58
	signWidth   unit.Dp = 28
	channelWide unit.Dp = 38
	trimWide    unit.Dp = 50
	pulseWide   unit.Dp = 48
	nowWide     unit.Dp = 42
	wholeTable  unit.Dp = whichWidth + signWidth + channelWide + trimWide + 4*pulseWide + 2*nowWide
)

// jointPage lays out the table of all joints.
func (p *Panel) jointPage(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) layout.Dimensions {
	if p.push("number channels").Update(gtx) {
		p.took(d.Change("number the channels", edit.NumberChannels))
		p.joint.asked.is = false
	}
	if p.push("exchange channels").Update(gtx) && p.joint.asked.is {
		c := p.joint.asked
		p.joint.asked.is = false
		p.took(d.Change("exchange two channels", func(f *workfile.File) { edit.GiveChannel(f, c.leg, c.joint, c.channel) }))
	}
	if p.push("leave channels").Update(gtx) {
		p.joint.asked.is = false
	}
	form := &sheet{th: th}
	two := gtx.Constraints.Max.X < gtx.Dp(wholeTable+28+2)
	for i := range d.File().Legs {
		p.legChannels(gtx, form, d, at, i, two)
	}
	if p.push("check sheet").Update(gtx) && p.CheckSheet != nil {
		p.CheckSheet()
	}
	form.act(control.Push(th, p.push("number channels"), "Number in order").WithHint("Channels from 0, leg by leg: coxa, femur, tibia").Layout,
		control.Push(th, p.push("check sheet"), "Check sheet").WithHint("A page to print: the pulse of each servo at 0, ±30 and ±45 degrees").When(p.CheckSheet != nil).Layout)
	form.say("Servo angle = ±(joint angle + tibia offset) + trim, minus when turned round. Pulse = centre + µs per degree · servo angle. The last two columns are of the present pose.")
	return layout.Flex{Axis: layout.Vertical}.Layout(gtx,
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			return layout.Inset{Left: 8, Right: 12}.Layout(gtx, func(gtx layout.Context) layout.Dimensions { return p.columns(gtx, th, two) })
		}),
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints = layout.Exact(gtx.Constraints.Max)
			return p.rows(gtx, th, form)
		}),
	)
}

// columns heads the table.
func (p *Panel) columns(gtx layout.Context, th *look.Theme, two bool) layout.Dimensions {
	head := func(w unit.Dp, s string) layout.Widget {
		return column(w, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min.X = gtx.Constraints.Max.X
			l := th.Note(s)
			return layout.E.Layout(gtx, l.Layout)
		})
	}
	first := []layout.Widget{
		column(whichWidth-6, th.Note(" joint").Layout), head(channelWide+6, "channel"), column(signWidth, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min.X = gtx.Constraints.Max.X
			return layout.Center.Layout(gtx, th.Note("turn").Layout)
		}), head(trimWide, "trim °"), head(pulseWide, "centre"), head(pulseWide, "µs/°"),
	}
	rest := []layout.Widget{
		head(pulseWide, "least"), head(pulseWide, "most µs"), head(nowWide, "now µs"), head(nowWide, "servo °"),
	}
	return layout.Inset{Bottom: 4}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		if two {
			return control.Column(gtx, 0.5, line(first...), line(append([]layout.Widget{gap(whichWidth)}, rest...)...))
		}
		return line(append(first, rest...)...)(gtx)
	})
}

func line(w ...layout.Widget) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		gtx.Constraints.Min = image.Point{}
		var all []layout.FlexChild
		for _, w := range w {
			all = append(all, layout.Rigid(w))
		}
		return layout.Flex{Alignment: layout.Middle}.Layout(gtx, all...)
	}
}

func gap(w unit.Dp) layout.Widget { return layout.Spacer{Width: w}.Layout }

// legChannels adds the rows of a leg's joints.
func (p *Panel) legChannels(gtx layout.Context, form *sheet, d *document.Document, at *document.Place, leg int, two bool) {
	th, f := form.th, d.File()
	r := d.Result()
	q := r.Trajectory.JointsAt(r.Trajectory.Index(at.Time), leg)
	name := "Leg " + f.Legs[leg].Name
	if leg > 0 {
		form.add(layout.Spacer{Height: look.Unit}.Layout)
	}
	form.add(func(gtx layout.Context) layout.Dimensions {
		return layout.Inset{Bottom: 4}.Layout(gtx, th.Strong(name).Layout)
	})
	for j := range kin.Joints {
		of := f.Legs[leg].Name + " " + kin.JointName(j)
		am := jointAmounts(leg, j, of)
		p.watch(d, &am[0], leg, j)
		ch := &r.Built.Channels[leg][j]
		b := p.push("turn " + of)
		if b.Update(gtx) {
			on := ch.Sign > 0
			p.took(d.Change("turn a servo round", func(f *workfile.File) { edit.SetReversed(f, leg, j, on) }))
			ch = &d.Result().Built.Channels[leg][j]
		}
		measured := edit.Measured(edit.JointOf(&d.File().Legs[leg], j))
		if measured {
			follow(&am, ch)
		}
		field := func(i int, w unit.Dp) layout.Widget {
			return func(gtx layout.Context) layout.Dimensions {
				return layout.Inset{Right: 2}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
					if measured && i >= trimAt && i <= slopeAt {
						gtx = gtx.Disabled()
					}
					return p.amount(gtx, th, d, am[i].name, am[i], w-2, true)
				})
			}
		}
		more := p.push("more about " + of)
		if more.Update(gtx) {
			v := &p.joint
			v.open = !v.open || v.leg != leg || v.joint != j
			v.leg, v.joint = leg, j
		}
		opened := p.joint.open && p.joint.leg == leg && p.joint.joint == j
		now := func(s string, out bool) layout.Widget {
			return column(nowWide, func(gtx layout.Context) layout.Dimensions {
				gtx.Constraints.Min.X = gtx.Constraints.Max.X
				ink := th.Text
				if out {
					ink = th.Stop.Ink
				}
				return layout.E.Layout(gtx, th.Label(look.Body, ink, s).Layout)
			})
		}
		us := ch.Pulse(q[j])
		out := us < ch.Min || us > ch.Max
		pulse := draw.Number(us, 0)
		if out {
			pulse = "! " + pulse
		}
		first := []layout.Widget{
			column(whichWidth, func(gtx layout.Context) layout.Dimensions {
				s := control.Push(th, more, kin.JointName(j)).As(control.Quiet).Lit(opened).WithHint("Measured points and dead band of " + of)
				s.Label, s.Small = "more about "+of, true
				gtx.Constraints.Min.X = gtx.Constraints.Max.X - gtx.Dp(4)
				return s.Layout(gtx)
			}),
			field(0, channelWide),
			func(gtx layout.Context) layout.Dimensions {
				g, words := look.Plus, "Turns as the joint: press to turn it round"
				if ch.Sign < 0 {
					g, words = look.Minus, "Turned round: press to have it turn as the joint"
				}
				s := control.Sign(th, b, g, words)
				s.Label, s.Small, s.On = "turn "+of, true, ch.Sign < 0
				s.Disabled = measured
				return layout.Inset{Left: 2, Right: 4}.Layout(gtx, s.Layout)
			},
			field(1, trimWide), field(2, pulseWide), field(3, pulseWide),
		}
		rest := []layout.Widget{
			field(4, pulseWide), field(5, pulseWide),
			now(pulse, out), now(draw.Number(edit.ServoAngle(ch, q[j])*180/math.Pi, 1), false),
		}
		form.add(func(gtx layout.Context) layout.Dimensions {
			in := layout.Inset{Bottom: 4}
			return in.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
				if two {
					return control.Column(gtx, 0.5, line(first...), line(append([]layout.Widget{gap(whichWidth)}, rest...)...))
				}
				return line(append(first, rest...)...)(gtx)
			})
		})
		if opened {
			p.moreAbout(gtx, form, d, leg, j, of)
		}
		p.jointTrouble(form, d, leg, j, of, am)
	}
}

// The columns that two measured points give.
const trimAt, slopeAt = 1, 3

// follow shows what two measured points make of the columns that they give.
func follow(am *[6]amount, ch *workfile.Channel) {
	for i, v := range [...]float64{trimAt: 0, 2: ch.Centre, slopeAt: ch.PerRad * math.Pi / 180} {
		if i > 0 {
			am[i].get = func(*workfile.File) (float64, bool) { return to(v, 0.001), true }
			am[i].clear = nil
		}
	}
}

// moreAbout has what a joint seldom needs: its dead band, and two measured
// points in place of centre, slope, direction and trim.
func (p *Panel) moreAbout(gtx layout.Context, form *sheet, d *document.Document, leg, joint int, of string) {
	th := form.th
	b := d.Result().Built
	ch, l := &b.Channels[leg][joint], &b.Robot.Legs[leg]
	n := func(key string, part int) edit.LegNumber {
		return edit.LegNumber{Joint: joint, Key: key, Part: part}
	}
	dead := legAmount(leg, "dead band of "+of, n("dead_band_us", 0), "µs", 0, 1)
	form.line("dead band: change of the pulse that the servo does not answer", func(gtx layout.Context) layout.Dimensions {
		return p.amount(gtx, th, d, dead.name, dead, fieldWidth, false)
	})
	on := edit.Measured(edit.JointOf(&d.File().Legs[leg], joint))
	id := "measure " + of
	if p.push(id).Update(gtx) {
		if on {
			offset := 0.0
			if joint == kin.Tibia {
				offset = l.TibiaOffset
			}
			c := *ch
			p.took(d.Change("calibrate by centre and slope", func(f *workfile.File) { edit.Unmeasure(f, leg, joint, &c, offset) }))
		} else {
			c, r := *ch, l.Limits[joint]
			p.try(d, "calibrate by two measured points", func(f *workfile.File) error { return edit.Measure(f, leg, joint, &c, r) })
		}
		on = edit.Measured(edit.JointOf(&d.File().Legs[leg], joint))
	}
	if !on {
		form.act(control.Push(th, p.push(id), "Calibrate by two measured points").
			WithHint("Give the pulses at two joint angles instead of centre, µs per degree, direction and trim").Layout)
		return
	}
	for k := range 2 {
		form.line([...]string{"measured at the joint angle", "and at"}[k],
			func(gtx layout.Context) layout.Dimensions {
				a := legAmount(leg, [...]string{"first", "second"}[k]+" measured angle of "+of, n("measured_deg", k), "°", 1, 1)
				return p.amount(gtx, th, d, a.name, a, fieldWidth, true)
			},
			func(gtx layout.Context) layout.Dimensions {
				a := legAmount(leg, [...]string{"first", "second"}[k]+" measured pulse of "+of, n("measured_us", k), "µs", 0, 10)
				return p.amount(gtx, th, d, a.name, a, fieldWidth, true)
			})
	}
	form.act(control.Push(th, p.push(id), "Calibrate by centre and µs per degree").Layout)
}

// watch lets a typed channel that another joint has be asked about instead of
// refused.
func (p *Panel) watch(d *document.Document, a *amount, leg, joint int) {
	set := a.set
	a.set = func(f *workfile.File, v float64) {
		i, j, taken := edit.ChannelOwner(f, int(v))
		if taken && (i != leg || j != joint) {
			p.joint.asked = clash{leg, joint, int(v), true}
			return
		}
		p.joint.asked.is = false
		set(f, v)
	}
	a.fault = func(v float64) string {
		if v != math.Round(v) {
			return fmt.Sprintf("%s is no channel; give a whole number", draw.Number(v, decimals(v, 0)))
		}
		return ""
	}
}

// jointTrouble tells at the row what is wrong with it.
func (p *Panel) jointTrouble(form *sheet, d *document.Document, leg, joint int, of string, am [6]amount) {
	th := form.th
	for _, a := range am {
		if p.note != "" && p.noteOf == a.name {
			form.warn("Not taken: " + p.note)
		}
		if n, ok := p.fields.numbers[a.name]; ok && n.n.Err() != nil {
			form.warn(a.name + ": " + n.n.Err().Error())
		}
	}
	if c := p.joint.asked; c.is && c.leg == leg && c.joint == joint {
		legs := d.File().Legs
		i, j, taken := edit.ChannelOwner(d.File(), c.channel)
		if !taken || i == leg && j == joint { // undone meanwhile
			p.joint.asked.is = false
			return
		}
		form.warn(fmt.Sprintf("Channel %d is used by %s %s already; each servo has a channel of its own.", c.channel, legs[i].Name, kin.JointName(j)))
		form.act(
			control.Push(th, p.push("exchange channels"), "Exchange the two").Layout,
			control.Push(th, p.push("leave channels"), "Leave it").Layout,
		)
	}
	b := d.Result().Built
	for _, s := range edit.ChannelFaults(&b.Channels[leg][joint], b.Robot.Legs[leg].Limits[joint]) {
		form.warn(s)
	}
}
