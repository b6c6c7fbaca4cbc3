// SPDX-License-Identifier: MIT

package timeline

import (
	"image"
	"slices"
	"strconv"

	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// transport is the line of buttons.
type transport struct {
	start, back, play, on, loop, all control.Button

	speed control.Choice
	typed control.Number // playing speed
	now   control.Number // present time, s
}

// takeButtons answers the line of buttons.
func (p *Panel) takeButtons(gtx layout.Context, d *document.Document, at *document.Place) {
	b := &p.transport
	b.show(at, p.derived.length)
	if b.start.Update(gtx) {
		p.Home(d, at)
	}
	if b.back.Update(gtx) {
		p.Step(d, at, -1)
	}
	if b.play.Update(gtx) {
		p.TogglePlay(d, at)
	}
	if b.on.Update(gtx) {
		p.Step(d, at, 1)
	}
	if b.loop.Update(gtx) {
		at.Loop = !at.Loop
	}
	if b.all.Update(gtx) {
		p.ShowAll()
	}
	if b.speed.Update(gtx) && b.speed.Value >= 0 && b.speed.Value < len(speeds) {
		at.Speed = speeds[b.speed.Value]
	}
	if b.typed.Update(gtx) {
		at.Speed = b.typed.Value
	}
	if b.now.Update(gtx) {
		at.Playing = false
		at.GoTo(d, b.now.Value)
	}
}

// show puts the values into the fields.
func (b *transport) show(at *document.Place, length float64) {
	speed := speedOf(at)
	b.speed.Value = slices.Index(speeds[:], speed)
	b.typed.Value, b.typed.Min, b.typed.Max = speed, slowest, fastest
	b.typed.Step, b.typed.Decimals, b.typed.Unit = 0.05, 2, "×"
	b.now.Value, b.now.Min, b.now.Max = at.Time, 0, max(length, 1e-9)
	b.now.Step, b.now.Decimals, b.now.Unit = tick, 3, "s"
}

// layout draws the line, leaving out what does not fit.
func (b *transport) layout(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place, all bool, legend layout.Widget) {
	t := d.Result().Trajectory
	size := gtx.Constraints.Max
	wide := size.X >= gtx.Dp(860) // room for the choice of speeds
	roomy := size.X >= gtx.Dp(560)

	b.show(at, t.Duration())
	toggle := control.Sign(th, &b.play, look.Play, "play").As(control.Primary)
	if at.Playing {
		toggle = control.Sign(th, &b.play, look.Pause, "pause").As(control.Primary)
	}
	parts := []layout.Widget{
		control.Sign(th, &b.start, look.ToStart, "to start").Layout,
		control.Sign(th, &b.back, look.StepBack, "step back").Layout,
		toggle.Layout,
		control.Sign(th, &b.on, look.StepOn, "step on").Layout,
		control.Sign(th, &b.loop, look.Repeat, "loop").Lit(at.Loop).Layout,
		space(2),
		control.Amount(th, &b.now, "present time").WithHint("The instant that all views show: type one to go there").Layout,
		th.Quiet("of " + draw.Number(t.Duration(), 3) + " s").Layout,
		space(2),
	}
	if roomy {
		parts = append(parts, th.Quiet("playback").Layout)
		if wide {
			parts = append(parts, control.Pick(th, &b.speed, speedOptions()...).Layout)
		}
		field := control.Amount(th, &b.typed, "playback speed").WithHint("How fast you watch, from 0.05 to 2 times; the motion stays as it is")
		field.Width = 66
		parts = append(parts, field.Layout)
	}
	children := []layout.FlexChild{}
	for _, w := range parts {
		children = append(children, layout.Rigid(oneLine(w)))
	}
	children = append(children,
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			d := b.remark(gtx, th, d, at)
			return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, d.Size.Y)}
		}),
		layout.Rigid(legend),
		layout.Rigid(oneLine(control.Sign(th, &b.all, look.FitView, "show all").When(!all).Layout)),
	)
	layout.Inset{Left: 8, Right: 8}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		return layout.Flex{Alignment: layout.Middle, Gap: gtx.Dp(look.Unit)}.Layout(gtx, children...)
	})
}

// remark says why a typed number was not taken, else what plays.
func (b *transport) remark(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) layout.Dimensions {
	gtx.Constraints.Min = image.Point{}
	return layout.Inset{Left: 12, Right: 8}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		for _, n := range [...]*control.Number{&b.now, &b.typed} {
			if err := n.Err(); err != nil {
				return th.Label(look.Body, th.Stop.Ink, err.Error()).Layout(gtx)
			}
		}
		t := d.Result().Trajectory
		i := t.PartAt(at.Time)
		if i < 0 {
			return layout.Dimensions{}
		}
		l := th.Plain(t.Parts[i].Name)
		l.Font.Weight = font.Medium
		return l.Layout(gtx)
	})
}

func speedOptions() []control.Option {
	out := make([]control.Option, len(speeds))
	for i, s := range speeds {
		text := strconv.FormatFloat(s, 'f', -1, 64)
		out[i] = control.Option{Text: text, Label: "playback at " + text}
	}
	return out
}

func space(units float32) layout.Widget {
	return layout.Spacer{Width: look.Unit * unit.Dp(units)}.Layout
}

// oneLine keeps a part to the height of a control: the reason that a number
// field writes below itself has no room here and is shown beside it.
func oneLine(w layout.Widget) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		gtx.Constraints.Min = image.Point{}
		m := op.Record(gtx.Ops)
		d := w(gtx)
		call := m.Stop()
		if most := gtx.Dp(look.Control); d.Size.Y > most {
			d.Size.Y = most
			defer clip.Rect{Max: d.Size}.Push(gtx.Ops).Pop()
		}
		call.Add(gtx.Ops)
		return d
	}
}
