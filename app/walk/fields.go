// SPDX-License-Identifier: MIT

package walk

import (
	"image"
	"strings"

	"gioui.org/layout"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/motion/curve"
	"gaitwright/motion/workfile"
)

func dp(v float32) unit.Dp { return unit.Dp(v) }

// named lays a control behind its name, at the right end of the room.
func named(th *look.Theme, label string, w layout.Widget) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
			layout.Flexed(1, th.Label(look.Body, th.Dim, label).Layout),
			layout.Rigid(func(gtx layout.Context) layout.Dimensions {
				gtx.Constraints.Min.X = 0
				return w(gtx)
			}),
		)
	}
}

// shares are the fields of a swing beside those of its gait: the handles as
// shares, and the timing in words.
type shares struct {
	handles [4]control.Number
	timing  control.Text
	named   control.Menu
	scroll  control.Scroll
}

// The handles, as the workfile orders them.
var handleNames = [4]string{"lift-off, along", "lift-off, up", "touchdown, along", "touchdown, up"}

// What the handles are, in words.
var handleHints = [4]string{
	"How far forward the foot leaves, as a share of the step, counted from the lift-off; 0 is straight up",
	"How steeply the foot leaves: 1 with the other one at 1 gives the step height",
	"From how far forward the foot comes in, as a share of the step, counted from the lift-off; 1 is straight down",
	"How steeply the foot comes in: 1 with the other one at 1 gives the step height",
}

// The timings that have names and end.
var timings = [...]string{"linear", "ease", "ease-in", "ease-out", "ease-in-out"}

// plainTiming is what holds where the file gives none.
const plainTiming = "ease-in-out"

func (s *shares) typing(gtx layout.Context) bool {
	for i := range s.handles {
		if s.handles[i].Focused(gtx) {
			return true
		}
	}
	return s.timing.Focused(gtx)
}

// checkTiming refuses a timing that cannot be read, before the file does.
func checkTiming(text string) error {
	_, err := curve.ParseTiming(strings.TrimSpace(text))
	return err
}

func (s *shares) typed(gtx layout.Context, p *Panel, d *document.Document, w place, here bool) {
	for i := range s.handles {
		c := &s.handles[i]
		c.Decimals, c.Step, c.Min, c.Max = 2, 0.05, -5, 5
		if c.Update(gtx) && here {
			h := handlesOf(&d.File().Gaits[w.gait])
			h[i] = c.Value
			p.change(d, "shape the swing", func(f *workfile.File) { f.Gaits[w.gait].Swing = &h })
		}
	}
	s.timing.Check = checkTiming
	to := ""
	if s.timing.Update(gtx) {
		to = strings.TrimSpace(s.timing.Value)
	}
	if i, ok := s.named.Update(gtx); ok && i < len(timings) {
		to = timings[i]
	}
	if to != "" && here {
		p.change(d, "time the swing", func(f *workfile.File) { f.Gaits[w.gait].Timing = to })
	}
}

// swingFields are the numbers beside the swing.
func (p *Panel) swingFields(gtx layout.Context, th *look.Theme, d *document.Document, w place) layout.Dimensions {
	size := gtx.Constraints.Max
	draw.Rect(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	s := &p.shares
	g := &d.File().Gaits[w.gait]
	line := func(c layout.Widget) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions {
			return layout.Inset{Left: 8, Right: 8, Bottom: 4}.Layout(gtx, c)
		}
	}
	all := []layout.Widget{
		line(p.field(th, d, w, height, 76)), line(p.field(th, d, w, sway, 76)),
		line(p.field(th, d, w, early, 76)), line(p.field(th, d, w, late, 76)),
	}
	now := g.Timing
	if now == "" {
		now = plainTiming
	}
	all = append(all, line(func(gtx layout.Context) layout.Dimensions {
		var items []control.MenuItem
		for _, t := range timings {
			items = append(items, control.MenuItem{Text: t, On: t == now})
		}
		s.timing.Value = now
		m := control.DropSign(th, &s.named, look.Open, "timings with names", items...).AtEnd()
		m.Above = true
		return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
			layout.Rigid(th.Label(look.Body, th.Dim, "timing").Layout), look.Gap(2),
			layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
				gtx.Constraints.Min.X = gtx.Constraints.Max.X
				return control.Words(th, &s.timing, "timing of the swing").Layout(gtx)
			}),
			layout.Rigid(m.Layout))
	}))
	h := handlesOf(g)
	for i := range s.handles {
		all = append(all, line(named(th, handleNames[i], func(gtx layout.Context) layout.Dimensions {
			s.handles[i].Value = h[i]
			f := control.Amount(th, &s.handles[i], handleNames[i]).WithHint(handleHints[i])
			f.Width = 64
			return f.Layout(gtx)
		})))
	}
	s.scroll.Area(gtx, th, all...)
	return layout.Dimensions{Size: size}
}
