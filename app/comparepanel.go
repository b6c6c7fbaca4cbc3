// SPDX-License-Identifier: MIT

package app

import (
	"fmt"
	"image"

	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"
	"gioui.org/widget"

	"gaitwright/app/compare"
	"gaitwright/app/control"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/review"
)

// comparePanel lists what is different between the chosen snapshot and the
// file, in place of the findings.
type comparePanel struct {
	scroll control.Scroll
	pick   control.Choice
	clicks []*widget.Clickable

	keep, open, back          control.Button
	flip, over, again, forget control.Button

	a, b    *rehearsal.Rehearsal // that changes and facts are of
	changes []compare.Change
	same    int
	facts   []compare.Fact // of b
}

// work finds the differences, once for two rehearsals.
func (p *comparePanel) work(a, b *rehearsal.Rehearsal) {
	if p.a == a && p.b == b {
		return
	}
	if p.b != b || p.facts == nil {
		p.facts = compare.Facts(b)
	}
	p.a, p.b = a, b
	p.changes, p.same = compare.Findings(a, b)
}

// findingsOrCompare is the upper part of the left column.
func (w *Workbench) findingsOrCompare(gtx layout.Context) layout.Dimensions {
	if w.versus.open && w.versus.list.Chosen() != nil && !w.liveOn() && !w.trying() {
		return control.Area(gtx, areaFindings, func(gtx layout.Context) layout.Dimensions { return w.versus.panel.layout(gtx, w) })
	}
	return layout.Flex{Axis: layout.Vertical}.Layout(gtx,
		layout.Flexed(1, w.area(areaFindings, func(gtx layout.Context) layout.Dimensions { return w.findings.layout(gtx, w) })),
		layout.Rigid(func(gtx layout.Context) layout.Dimensions { return w.versus.panel.invite(gtx, w) }),
	)
}

// invite is the line below the findings from which comparing begins.
func (p *comparePanel) invite(gtx layout.Context, w *Workbench) layout.Dimensions {
	return layout.Inset{Left: 8, Right: 8, Top: 2, Bottom: 2}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		parts := []layout.Widget{p.push(w, &p.keep, "keep", "Keep a snapshot")}
		if s := w.versus.list.Chosen(); s != nil {
			parts = append(parts, p.push(w, &p.open, "compare", "Compare"))
		}
		return control.Bar(gtx, 1, parts...)
	})
}

// push makes a small quiet button of an action.
func (p *comparePanel) push(w *Workbench, b *control.Button, id, text string) layout.Widget {
	a := w.act(id)
	return func(gtx layout.Context) layout.Dimensions {
		if b.Update(gtx) && w.able(a) {
			a.do()
			gtx.Execute(op.InvalidateCmd{})
		}
		hint := a.words
		if a.say != "" {
			hint += " (" + a.say + ")"
		}
		s := control.Push(w.th, b, text).WithHint(hint).When(w.able(a)).As(control.Quiet)
		s.Small = true
		return s.Layout(gtx)
	}
}

// toggle makes a small button of an action that switches something.
func (p *comparePanel) toggle(w *Workbench, b *control.Button, id, text string, on bool) layout.Widget {
	a := w.act(id)
	return func(gtx layout.Context) layout.Dimensions {
		if b.Update(gtx) && w.able(a) {
			a.do()
			gtx.Execute(op.InvalidateCmd{})
		}
		hint := a.about
		if a.say != "" {
			hint += " (" + a.say + ")"
		}
		s := control.Push(w.th, b, text).WithHint(hint).When(w.able(a)).Lit(on)
		s.Small = true
		return s.Layout(gtx)
	}
}

func (p *comparePanel) layout(gtx layout.Context, w *Workbench) layout.Dimensions {
	th := w.th
	c := &w.versus
	s := c.list.Chosen()
	own := c.own
	if c.shows == nil {
		own = w.doc.Result()
	}
	inset := func(top, bottom unit.Dp, l layout.Widget) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions {
			return layout.Inset{Left: 12, Right: 10, Top: look.Unit * top, Bottom: look.Unit * bottom}.Layout(gtx, l)
		}
	}
	head := inset(2, 1, func(gtx layout.Context) layout.Dimensions {
		return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
			layout.Flexed(1, th.Strong("Compare").Layout),
			layout.Rigid(p.push(w, &p.keep, "keep", "Keep another")),
			layout.Rigid(p.toggle(w, &p.back, "compare", "Findings", false)),
		)
	})
	a, err := s.Result(w.doc.OnStand())
	if err != nil {
		return control.Column(gtx, 0, head, inset(1, 1, control.Para(th, sentence(err.Error()))))
	}
	p.work(a, own)
	parts := []layout.Widget{
		inset(1, 1, func(gtx layout.Context) layout.Dimensions { return p.choose(gtx, w, s) }),
		inset(1, 1, func(gtx layout.Context) layout.Dimensions {
			return control.Bar(gtx, 1,
				p.toggle(w, &p.flip, "flip", "Flip", c.shows != nil),
				p.toggle(w, &p.over, "overlay", "Lay over", c.over),
				p.toggle(w, &p.again, "snapshot again", "Restore", false),
				p.toggle(w, &p.forget, "forget", "Forget", false),
			)
		}),
	}
	parts = append(parts, inset(2, 1, func(gtx layout.Context) layout.Dimensions {
		return layout.Flex{Axis: layout.Vertical}.Layout(gtx,
			layout.Rigid(th.Strong("Findings, then and now").Layout),
			layout.Rigid(control.NotePara(th, p.tally())))
	}))
	if len(p.changes) == 0 {
		parts = append(parts, inset(0, 1, control.QuietPara(th, "The same in both.")))
	}
	for len(p.clicks) < len(p.changes) {
		p.clicks = append(p.clicks, new(widget.Clickable))
	}
	for i := range p.changes {
		parts = append(parts, func(gtx layout.Context) layout.Dimensions { return p.row(gtx, w, i) })
	}
	parts = append(parts,
		inset(3, 1, func(gtx layout.Context) layout.Dimensions {
			return p.numbers(gtx, w, th.Strong("Numbers").Layout, th.Note(fmt.Sprintf("snap. %d", s.Number)).Layout, th.Note("now").Layout, 0)
		}))
	before := s.Facts(w.doc.OnStand())
	for i := range min(len(before), len(p.facts)) {
		parts = append(parts, inset(0.5, 0.5, func(gtx layout.Context) layout.Dimensions {
			x, y := &before[i], &p.facts[i]
			name := x.Name
			if x.Unit != "" {
				name += ", " + x.Unit
			}
			return p.numbers(gtx, w, control.QuietPara(th, name), th.Plain(draw.Number(x.Value, x.Decimals)).Layout,
				th.Plain(draw.Number(y.Value, y.Decimals)).Layout, compare.Better(x, y))
		}))
	}
	parts = append(parts, inset(1, 2, control.NotePara(th, "Torque is of what is counted on at rest, speed of that without load. A tick: better now; a triangle: worse.")))
	return layout.Flex{Axis: layout.Vertical}.Layout(gtx,
		layout.Rigid(head),
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min = gtx.Constraints.Max
			return p.scroll.Area(gtx, th, parts...)
		}),
	)
}

// choose picks the snapshot, and says what it is and what shows.
func (p *comparePanel) choose(gtx layout.Context, w *Workbench, s *compare.Snapshot) layout.Dimensions {
	th, l := w.th, &w.versus.list
	if p.pick.Update(gtx) {
		shown := w.snapshotShows()
		w.endFlip()
		l.Choose(p.pick.Value)
		if s = l.Chosen(); shown {
			w.flip()
		}
		gtx.Execute(op.InvalidateCmd{})
	}
	p.pick.Value = l.Index()
	var options []control.Option
	for _, o := range l.All() {
		options = append(options, control.Option{Text: fmt.Sprint(o.Number), Label: snapshotName(o), Hint: snapshotName(o) + ", " + o.Label})
	}
	words := "Snapshot " + fmt.Sprint(s.Number) + ", " + s.Label + "."
	said := control.NotePara(th, words)
	if w.snapshotShows() {
		said = func(gtx layout.Context) layout.Dimensions {
			l := th.Label(look.Small, th.Caution.Ink, words+" It shows now, not the file.")
			l.MaxLines = 0
			return l.Layout(gtx)
		}
	}
	if len(options) == 1 {
		return said(gtx)
	}
	return control.Column(gtx, 1, control.Natural(control.Pick(th, &p.pick, options...).Layout), said)
}

// tally counts the changes in words.
func (p *comparePanel) tally() string {
	var n [compare.Went + 1]int
	for i := range p.changes {
		n[p.changes[i].Kind]++
	}
	s := ""
	for k, v := range n {
		if v > 0 {
			s += fmt.Sprintf("%d %s, ", v, compare.Kind(k))
		}
	}
	return s + fmt.Sprintf("%d same", p.same)
}

// row is a finding that is different; a click goes to it.
func (p *comparePanel) row(gtx layout.Context, w *Workbench, i int) layout.Dimensions {
	th := w.th
	c := &p.changes[i]
	f := c.Finding()
	if p.clicks[i].Clicked(gtx) {
		w.goToChange(c)
		gtx.Execute(op.InvalidateCmd{})
	}
	sign, ink := look.Plus, th.Stop.Ink
	if f.Level == review.Caution {
		ink = th.Caution.Ink
	}
	switch c.Kind {
	case compare.Grew:
		sign = look.ArrowUp
	case compare.Shrank:
		sign, ink = look.ArrowDown, th.Fine.Ink
	case compare.Went:
		sign, ink = look.Tick, th.Fine.Ink
	}
	control.Reachable(gtx, p.clicks[i])
	return p.clicks[i].Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		semantic.DescriptionOp(c.Kind.String() + ": " + f.Word + " " + w.where(f)).Add(gtx.Ops)
		m := op.Record(gtx.Ops)
		dim := layout.Inset{Left: 12, Right: 10, Top: 4, Bottom: 4}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min.X = gtx.Constraints.Max.X
			return layout.Flex{Axis: layout.Vertical}.Layout(gtx,
				layout.Rigid(func(gtx layout.Context) layout.Dimensions {
					return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
						layout.Rigid(func(gtx layout.Context) layout.Dimensions { return th.Glyph(gtx, sign, 14, ink) }),
						look.Gap(1.5),
						layout.Rigid(th.Plain(f.Word).Layout),
						look.Gap(1.5),
						layout.Flexed(1, th.Note(c.Kind.String()).Layout),
						layout.Rigid(th.Label(look.Small, th.Text, fromTo(c)).Layout),
					)
				}),
				layout.Rigid(func(gtx layout.Context) layout.Dimensions {
					return layout.Inset{Left: 20}.Layout(gtx, th.Note(w.where(f)).Layout)
				}),
			)
		})
		call := m.Stop()
		box := image.Rectangle{Max: dim.Size}
		defer clip.Rect(box).Push(gtx.Ops).Pop()
		if p.clicks[i].Hovered() {
			draw.Rect(gtx.Ops, box, th.Hover)
		}
		call.Add(gtx.Ops)
		if gtx.Focused(p.clicks[i]) {
			draw.Frame(gtx.Ops, box, gtx.Dp(2), th.Colours.Focus)
		}
		return dim
	})
}

// fromTo writes the value then and now.
func fromTo(c *compare.Change) string {
	value := func(f *review.Finding) string {
		v, _ := f.Amount()
		return v
	}
	unit := unitOf(c.Finding())
	switch {
	case c.Before == nil:
		return told(value(c.After) + unit)
	case c.After == nil:
		return told(value(c.Before) + unit)
	}
	return told(value(c.Before) + " → " + value(c.After) + unit)
}

// goToChange goes to where a finding that is different is worst: of one that
// went, to where it was.
func (w *Workbench) goToChange(c *compare.Change) {
	f := c.Finding()
	all := w.doc.Result().Findings
	for i := range all {
		if &all[i] == f {
			w.goTo(i)
			return
		}
	}
	w.at.Playing, w.at.Finding = false, -1
	legs := w.doc.Result().Built.Robot.Legs
	if f.Leg >= 0 && f.Leg < len(legs) {
		w.at.Choose(w.doc, f.Leg)
	}
	if f.Part >= 0 {
		w.at.GoTo(w.doc, f.Worst)
	}
}

// numbers aligns a row of the table: a name, two numbers, and whether the
// second is better (positive) or worse (negative).
func (p *comparePanel) numbers(gtx layout.Context, w *Workbench, name, a, b layout.Widget, better int) layout.Dimensions {
	cell := func(l layout.Widget) layout.FlexChild {
		return layout.Flexed(0.8, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min.X = gtx.Constraints.Max.X
			return layout.E.Layout(gtx, l)
		})
	}
	return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
		layout.Flexed(2, name), cell(a), cell(b), look.Gap(1),
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			switch {
			case better > 0:
				return w.th.Glyph(gtx, look.Tick, 14, w.th.Fine.Ink)
			case better < 0:
				return w.th.Glyph(gtx, look.Warning, 14, w.th.Caution.Ink)
			}
			return layout.Dimensions{Size: image.Pt(gtx.Dp(14), gtx.Dp(14))}
		}),
	)
}

// snapshotBanner says over the robot view that a snapshot shows.
func (w *Workbench) snapshotBanner(gtx layout.Context) layout.Dimensions {
	s := w.versus.shows
	if s == nil {
		return layout.Dimensions{}
	}
	th := w.th
	m := op.Record(gtx.Ops)
	dim := layout.Inset{Left: 8, Right: 10, Top: 4, Bottom: 4}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		gtx.Constraints.Min = image.Point{}
		l := th.Label(look.Body, th.Caution.Ink, fmt.Sprintf("Snapshot %d, not the file. C shows the file again.", s.Number))
		return control.Bar(gtx, 1.5,
			func(gtx layout.Context) layout.Dimensions { return th.Glyph(gtx, look.Eye, 16, th.Caution.Ink) }, l.Layout)
	})
	call := m.Stop()
	draw.RoundFrame(gtx.Ops, image.Rectangle{Max: dim.Size}, gtx.Dp(look.Corner), max(gtx.Dp(1), 1), th.Caution.Ink, th.Caution.Wash)
	call.Add(gtx.Ops)
	return dim
}
