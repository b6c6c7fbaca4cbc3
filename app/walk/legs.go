// SPDX-License-Identifier: MIT

package walk

import (
	"image"

	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// legs is the table of phases and duty factors.
type legs struct {
	rows   []legRow
	scroll control.Scroll
}

type legRow struct {
	phase, duty control.Number
	own         control.Toggle
}

// update makes as many rows as there are legs.
func (l *legs) update(d *document.Document) {
	for len(l.rows) < len(d.File().Legs) {
		l.rows = append(l.rows, legRow{
			phase: control.Number{Decimals: 3, Step: 0.01, Max: 1},
			duty:  control.Number{Decimals: 3, Step: 0.01, Max: 1},
		})
	}
	l.rows = l.rows[:len(d.File().Legs)]
}

func (l *legs) typing(gtx layout.Context) bool {
	for i := range l.rows {
		if l.rows[i].phase.Focused(gtx) || l.rows[i].duty.Focused(gtx) {
			return true
		}
	}
	return false
}

func (l *legs) typed(gtx layout.Context, p *Panel, d *document.Document, w place, here bool) {
	for i := range l.rows {
		r := &l.rows[i]
		phase, duty, own := r.phase.Update(gtx), r.duty.Update(gtx), r.own.Update(gtx)
		if !here || i >= len(d.File().Legs) {
			continue
		}
		leg := d.File().Legs[i].Name
		switch {
		case phase:
			v := r.phase.Value
			p.change(d, "change a leg's phase", func(f *workfile.File) { edit.SetPhase(&f.Gaits[w.gait], leg, v) })
		case duty:
			v := r.duty.Value
			p.change(d, "change the duty factor", func(f *workfile.File) { edit.SetDuty(&f.Gaits[w.gait], leg, v) })
		case own:
			on := r.own.Value
			label := "give a leg its own duty factor"
			if !on {
				label = "give a leg the duty factor of all"
			}
			p.change(d, label, func(f *workfile.File) { edit.SetOwn(&f.Gaits[w.gait], leg, on) })
		}
	}
}

func (l *legs) layout(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place, w place) layout.Dimensions {
	size := gtx.Constraints.Max
	l.update(d)
	f := d.File()
	g := &f.Gaits[w.gait]
	draw.Rect(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	line := func(cells ...layout.Widget) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions {
			return layout.Inset{Left: 8, Right: 8, Bottom: 4}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
				var all []layout.FlexChild
				for i, c := range cells {
					wide := gtx.Dp([...]unit.Dp{64, 104, 104, 120}[i])
					all = append(all, layout.Rigid(func(gtx layout.Context) layout.Dimensions {
						gtx.Constraints.Max.X = min(wide, gtx.Constraints.Max.X)
						gtx.Constraints.Min.X = gtx.Constraints.Max.X
						return layout.W.Layout(gtx, c)
					}))
				}
				return layout.Flex{Alignment: layout.Middle}.Layout(gtx, all...)
			})
		}
	}
	all := []layout.Widget{line(
		th.Note("leg").Layout, th.Note("phase").Layout, th.Note("duty factor").Layout, th.Note("").Layout,
	)}
	for i := range l.rows {
		r, name := &l.rows[i], f.Legs[i].Name
		own := edit.OwnDuty(g, name)
		r.phase.Value, _ = edit.PhaseOf(g, name)
		r.duty.Value, r.own.Value = edit.DutyOf(g, name), own
		words := th.Plain(name)
		if i == at.Leg {
			words.Color, words.Font.Weight = th.Accent.Ink, font.Bold
		}
		all = append(all, line(
			words.Layout,
			control.Amount(th, &r.phase, "phase of "+name).Layout,
			control.Amount(th, &r.duty, "duty factor of "+name).When(own).Layout,
			control.Check(th, &r.own, "own").WithHint("Leg "+name+" has a duty factor of its own").Layout,
		))
	}
	l.scroll.Area(gtx, th, all...)
	return layout.Dimensions{Size: size}
}
