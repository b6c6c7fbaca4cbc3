// SPDX-License-Identifier: MIT

package shape

import (
	"fmt"
	"image"

	"gioui.org/layout"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// values is the page with everything that a move and the chosen span say
// beside what is dragged on the plates.
type values struct {
	scroll control.Scroll

	name     control.Text
	length   control.Number // of the move
	cool     control.Number
	mirrored control.Toggle

	mark     control.Text
	lasts    control.Number // of the span
	even     control.Toggle
	rest     control.Toggle // timing hold
	floor    control.Toggle
	floorAt  control.Number
	target   control.Toggle
	targetAt control.Number
	lean     [2][3]control.Number // handles at the start and at the end
}

const (
	valueNames unit.Dp = 96
	valueField unit.Dp = 92
)

// typing tells whether one of the fields has the keys.
func (v *values) typing(gtx layout.Context) bool {
	for i := range v.lean {
		for j := range v.lean[i] {
			if v.lean[i][j].Focused(gtx) {
				return true
			}
		}
	}
	return v.name.Focused(gtx) || v.length.Focused(gtx) || v.cool.Focused(gtx) || v.mark.Focused(gtx) ||
		v.lasts.Focused(gtx) || v.floorAt.Focused(gtx) || v.targetAt.Focused(gtx)
}

// valuesPage lays the page out in two columns, the move and the span.
func (p *Panel) valuesPage(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) layout.Dimensions {
	v := &p.acts.values
	draw.Rect(gtx.Ops, image.Rectangle{Max: gtx.Constraints.Max}, th.Panel)
	p.takeValues(gtx, d, at)
	left, right := p.moveValues(th, d, at), p.spanValues(th, d, at)
	return layout.Inset{Left: 8, Right: 8}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		if gtx.Constraints.Max.X < gtx.Dp(narrow) {
			return v.scroll.Area(gtx, th, append(right, left...)...) // the span is what one is at
		}
		half := (gtx.Constraints.Max.X - gtx.Dp(look.Unit*8)) / 2
		return v.scroll.Area(gtx, th, func(gtx layout.Context) layout.Dimensions {
			column := func(rows []layout.Widget) layout.FlexChild {
				return layout.Rigid(func(gtx layout.Context) layout.Dimensions {
					gtx.Constraints.Min.X, gtx.Constraints.Max.X = half, half
					return control.Column(gtx, 0, rows...)
				})
			}
			return layout.Flex{Gap: gtx.Dp(look.Unit * 3)}.Layout(gtx, column(left), column(right))
		})
	})
}

func valueLine(th *look.Theme, name string, w layout.Widget) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		return layout.Inset{Top: look.Unit}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
			return control.Line(gtx, th, name, valueNames, w)
		})
	}
}

func valueTick(w layout.Widget) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		return layout.Inset{Top: look.Unit}.Layout(gtx, control.Natural(w))
	}
}

func (p *Panel) moveValues(th *look.Theme, d *document.Document, at *document.Place) []layout.Widget {
	v := &p.acts.values
	amount := func(n *control.Number, label, hint string) layout.Widget {
		s := control.Amount(th, n, label).WithHint(hint)
		s.Width = valueField
		return s.Layout
	}
	name := control.Words(th, &v.name, "name of this move")
	name.Width = 128
	return []layout.Widget{
		func(gtx layout.Context) layout.Dimensions { return control.Header(gtx, th, "Move") },
		valueLine(th, "name", name.Layout),
		valueLine(th, "lasts", amount(&v.length, "length of the move", "All spans become longer or shorter with it")),
		valueLine(th, "cool-down", amount(&v.cool, "cool-down of the move", "Pause after the move, in its last pose")),
		valueTick(control.Check(th, &v.mirrored, "all pairs mirror").WithHint("Every pair of legs is meant to do the same, mirrored: the review says where it does not").Layout),
	}
}

func (p *Panel) spanValues(th *look.Theme, d *document.Document, at *document.Place) []layout.Widget {
	v := &p.acts.values
	n, _ := spans(d, at)
	if n == 0 {
		return []layout.Widget{
			func(gtx layout.Context) layout.Dimensions { return control.Header(gtx, th, "Span") },
			valueLine(th, "no span", control.Natural(th.Quiet("").Layout)),
		}
	}
	amount := func(n *control.Number, label, hint string, ok bool) layout.Widget {
		s := control.Amount(th, n, label).WithHint(hint).When(ok)
		s.Width = valueField
		return s.Layout
	}
	mark := control.Words(th, &v.mark, "name of the mark")
	mark.Width = 128
	hint := "When the span ends, later marks move along: no other span gets faster"
	if p.acts.stay {
		hint = "Later marks stay: the next span has the rest of the time"
	}
	foot, planted := at.Track >= 0, false
	if foot {
		planted = d.File().Moves[at.Move].Feet[at.Track].Spans[at.Span].Hold == "planted"
	}
	rows := []layout.Widget{
		func(gtx layout.Context) layout.Dimensions {
			return control.Header(gtx, th, fmt.Sprintf("Span %d of %d", at.Span+1, n))
		},
		valueLine(th, "ends on mark", mark.Layout),
		valueLine(th, "lasts", amount(&v.lasts, "length of the span", hint, true)),
		valueTick(control.Check(th, &v.even, "even along the path").WithHint("Progress goes by the length of the path, not by its handles").When(!planted).Layout),
		valueTick(control.Check(th, &v.rest, "stay at the start").WithHint("The timing hold: nothing moves until the span ends").When(!planted).Layout),
	}
	if foot {
		pair := func(t *control.Toggle, n *control.Number, word, hint string) layout.Widget {
			return func(gtx layout.Context) layout.Dimensions {
				return layout.Inset{Top: look.Unit}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
					return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
						layout.Rigid(func(gtx layout.Context) layout.Dimensions {
							dim := control.Check(th, t, word).WithHint(hint).When(!planted).Layout(gtx)
							dim.Size.X = max(dim.Size.X, gtx.Dp(valueNames))
							return dim
						}),
						layout.Rigid(func(gtx layout.Context) layout.Dimensions {
							gtx.Constraints.Min.X = 0
							return amount(n, "height of the "+word, hint, !planted && t.Value)(gtx)
						}))
				})
			}
		}
		return append(rows,
			pair(&v.target, &v.targetAt, "target", "Height over the ground of what the foot strikes"),
			pair(&v.floor, &v.floorAt, "floor", "The foot's underside is to stay this high over the ground"))
	}
	for i, word := range [...]string{"lean leaves by", "lean comes by"} {
		rows = append(rows, func(gtx layout.Context) layout.Dimensions {
			return layout.Inset{Top: look.Unit}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
				parts := []layout.Widget{}
				for j, axis := range [...]string{"roll", "pitch", "yaw"} {
					s := control.Amount(th, &v.lean[i][j], axis+", "+word).WithHint("Handle of the lean: " + axis + ", from the end that it belongs to")
					s.Width = 62
					parts = append(parts, s.Layout)
				}
				return control.Column(gtx, 0, control.Natural(th.Note(word+" roll, pitch, yaw").Layout), control.Natural(func(gtx layout.Context) layout.Dimensions { return control.Bar(gtx, 1, parts...) }))
			})
		})
	}
	return rows
}

// takeValues answers the fields and shows what the file says.
func (p *Panel) takeValues(gtx layout.Context, d *document.Document, at *document.Place) {
	v, a := &p.acts.values, &p.acts
	move, s := at.Move, spot(at)
	f := d.File()
	m := &f.Moves[move]
	do := func(label string, change func(*workfile.File) error) {
		a.do(d, at, label, change)
		f = d.File()
		m = &f.Moves[move]
	}
	if v.name.Update(gtx) {
		name := v.name.Value
		do("rename a move", func(f *workfile.File) error { return edit.RenameMove(f, move, name) })
	}
	v.name.Value = m.Name
	n := &v.length
	n.Unit, n.Min, n.Max, n.Step = "ms", 1, 600000, 50
	if length := edit.MoveLength(m); n.Update(gtx) && length > 0 {
		k := n.Value / length
		do("make a move longer or shorter", func(f *workfile.File) error { return edit.ScaleMove(f, move, k) })
	}
	n.Value = edit.MoveLength(m)
	n = &v.cool
	n.Unit, n.Min, n.Max, n.Step = "ms", 0, 600000, 50
	if n.Update(gtx) {
		ms := n.Value
		do("change the cool-down", func(f *workfile.File) error { return edit.SetCoolDown(f, move, ms) })
	}
	n.Value = m.CoolDown
	if v.mirrored.Update(gtx) {
		on := v.mirrored.Value
		do("say whether pairs mirror", func(f *workfile.File) error { return edit.SetMirrored(f, move, on) })
	}
	v.mirrored.Value = m.Mirrored

	count, to := spans(d, at)
	if count == 0 {
		return
	}
	if v.mark.Update(gtx) {
		name, i := v.mark.Value, edit.MarkIndex(f, move, to)
		do("rename a mark", func(f *workfile.File) error { return edit.RenameMark(f, move, i, name) })
		_, to = spans(d, at)
	}
	v.mark.Value = to
	n = &v.lasts
	n.Unit, n.Min, n.Max, n.Step = "ms", 1, 600000, 10
	if n.Update(gtx) {
		from, _, _ := edit.SpanTimes(f, s)
		p.retime(d, at, from+n.Value)
		f = d.File()
		m = &f.Moves[move]
	}
	from, end, _ := edit.SpanTimes(f, s)
	n.Value = end - from

	if v.even.Update(gtx) {
		on := v.even.Value
		do("go evenly along the path", func(f *workfile.File) error { return edit.SetEven(f, s, on) })
	}
	place := *at
	if v.rest.Update(gtx) {
		text := ""
		if v.rest.Value {
			text = "hold"
		}
		do("choose a timing", func(f *workfile.File) error {
			if t := timingOf(f, &place); t != nil {
				*t = text
			}
			return nil
		})
	}
	if t := timingOf(f, &place); t != nil {
		v.rest.Value = *t == "hold"
	}
	if at.Track < 0 {
		v.even.Value = m.Body[at.Span].Even
		p.takeLeanHandles(gtx, d, at)
		return
	}
	p.takeHeights(gtx, d, at)
	v.even.Value = d.File().Moves[move].Feet[at.Track].Spans[at.Span].Even
}

// takeHeights answers floor and target of a foot's span.
func (p *Panel) takeHeights(gtx layout.Context, d *document.Document, at *document.Place) {
	v, s := &p.acts.values, spot(at)
	span := func() *workfile.FootSpan { return &d.File().Moves[at.Move].Feet[at.Track].Spans[at.Span] }
	for _, h := range []struct {
		on    *control.Toggle
		at    *control.Number
		label string
		get   func() *float64
		set   func(*workfile.File, edit.Spot, *float64) error
		first func() float64
	}{
		{&v.target, &v.targetAt, "change what the foot strikes", func() *float64 { return span().Target }, edit.SetTarget, func() float64 {
			if f := span().Floor; f != nil {
				return *f
			}
			return 0
		}},
		{&v.floor, &v.floorAt, "change the floor of a span", func() *float64 { return span().Floor }, edit.SetFloor, func() float64 {
			if t := span().Target; t != nil && *t < 0 {
				return *t
			}
			return 0
		}},
	} {
		h.at.Unit, h.at.Decimals, h.at.Min, h.at.Max, h.at.Step = "mm", 1, -2000, 2000, 1
		if h.on.Update(gtx) {
			var mm *float64
			if h.on.Value {
				first := h.first()
				mm = &first
			}
			p.acts.do(d, at, h.label, func(f *workfile.File) error { return h.set(f, s, mm) })
		}
		if now := h.get(); now != nil && h.at.Update(gtx) {
			mm := h.at.Value
			p.acts.do(d, at, h.label, func(f *workfile.File) error { return h.set(f, s, &mm) })
		}
		now := h.get()
		h.on.Value, h.at.Value = now != nil, 0
		if now != nil {
			h.at.Value = *now
		}
	}
}

// takeLeanHandles answers the handles of the body's lean.
func (p *Panel) takeLeanHandles(gtx layout.Context, d *document.Document, at *document.Place) {
	a := *at
	for i := range p.acts.values.lean {
		for j := range 3 {
			n := &p.acts.values.lean[i][j]
			n.Unit, n.Decimals, n.Min, n.Max, n.Step = "°", 1, -180, 180, 1
			get := func(f *workfile.File) **[3]float64 {
				b := &f.Moves[a.Move].Body[a.Span]
				return [...]**[3]float64{&b.LeanOut, &b.LeanIn}[i]
			}
			if n.Update(gtx) {
				value := n.Value
				p.acts.do(d, at, "type a handle of the lean", func(f *workfile.File) error {
					h := get(f)
					var v [3]float64
					if *h != nil {
						v = **h
					}
					if v[j] = value; v == ([3]float64{}) {
						*h = nil
					} else {
						*h = &v
					}
					return nil
				})
			}
			n.Value = 0
			if h := *get(d.File()); h != nil {
				n.Value = h[j]
			}
		}
	}
}
