// SPDX-License-Identifier: MIT

package app

import (
	"fmt"
	"image"
	"math"

	"gioui.org/layout"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/app/walk"
)

// livePanel is the right column while walking live.
type livePanel struct {
	gait    int // walked in last
	gaits   []control.Button
	buttons map[string]*control.Button // of the other actions, by id
}

// gaitsInRow is how many buttons of gaits stand beside each other.
const gaitsInRow = 4

// padCell is the height of a button of the pad.
const padCell unit.Dp = 34

func (p *livePanel) layout(gtx layout.Context, w *Workbench) layout.Dimensions {
	th := w.th
	size := gtx.Constraints.Max
	draw.Rect(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	gaits := w.doc.Result().Built.Gaits
	if len(p.gaits) != len(gaits) {
		p.gaits = make([]control.Button, len(gaits))
	}
	row := func(c layout.Widget) layout.FlexChild {
		return layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			return layout.Inset{Left: 10, Right: 10, Top: 6}.Layout(gtx, c)
		})
	}
	rows := []layout.FlexChild{row(func(gtx layout.Context) layout.Dimensions {
		return layout.Flex{Alignment: layout.Baseline}.Layout(gtx,
			layout.Flexed(1, th.Strong("Walking live").Layout),
			layout.Rigid(th.Label(look.Body, th.Text, w.liveState()).Layout))
	})}
	for from := 0; from < len(gaits); from += gaitsInRow {
		rows = append(rows, row(func(gtx layout.Context) layout.Dimensions { return p.gaitRow(gtx, w, from) }))
	}
	rows = append(rows, row(func(gtx layout.Context) layout.Dimensions {
		return layout.Flex{Gap: gtx.Dp(10)}.Layout(gtx,
			layout.Flexed(1.25, func(gtx layout.Context) layout.Dimensions { return p.pad(gtx, w) }),
			layout.Flexed(1, func(gtx layout.Context) layout.Dimensions { return p.numbers(gtx, w) }),
		)
	}), row(func(gtx layout.Context) layout.Dimensions {
		l := th.Label(look.Small, th.Dim, "Arrows: forward, back and sideways. Q and E turn. Page Up and Page Down: height. "+
			"1 to 9: a gait, 0: stop, M: step on the spot. Space holds the time, Esc ends. The file stays as it is.")
		l.MaxLines = 0
		return l.Layout(gtx)
	}))
	layout.Flex{Axis: layout.Vertical}.Layout(gtx, rows...)
	return layout.Dimensions{Size: size}
}

// liveState says in words what the robot is doing.
func (w *Workbench) liveState() string {
	m := &w.live
	s := m.walk.State()
	var is string
	switch {
	case s.Standing:
		is = "standing"
	case s.Changing && s.Gait != nil:
		is = fmt.Sprintf("changing to %s, %s s more", s.Gait.Name, draw.Number(max(0, s.Until-s.At), 1))
	case s.Stopping:
		is = "stopping"
	case s.Gait != nil:
		is = "walking in " + s.Gait.Name
	default:
		is = "stepping back"
	}
	if s.Waiting {
		is += ", the next waits"
	}
	if m.held {
		is = "time is held: " + is
	}
	return is
}

// gaitRow is a row of the gaits' buttons, the last one with the stop.
func (p *livePanel) gaitRow(gtx layout.Context, w *Workbench, from int) layout.Dimensions {
	gaits := w.doc.Result().Built.Gaits
	var all []layout.FlexChild
	for i := from; i < min(from+gaitsInRow, len(gaits)); i++ {
		all = append(all, layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			if p.gaits[i].Update(gtx) {
				w.inGait(i)()
			}
			text, hint := gaits[i].Name, "Walk in "+gaits[i].Name
			if i < 9 {
				text = fmt.Sprintf("%d %s", i+1, text)
				hint += fmt.Sprintf(" (%d)", i+1)
			}
			gtx.Constraints.Min.X = gtx.Constraints.Max.X
			b := control.Push(w.th, &p.gaits[i], text).WithHint(hint).Lit(w.live.want.Gait == i)
			b.Label = "walk in " + gaits[i].Name
			return b.Layout(gtx)
		}))
	}
	if from+gaitsInRow >= len(gaits) {
		all = append(all, layout.Flexed(1, p.button(w, "halt", "0 stop", look.NoGlyph, w.live.want.Gait < 0, look.Control)))
	}
	return layout.Flex{Gap: gtx.Dp(6)}.Layout(gtx, all...)
}

// button makes the button of a live action.
func (p *livePanel) button(w *Workbench, id, text string, g look.Glyph, lit bool, tall unit.Dp) layout.Widget {
	if p.buttons == nil {
		p.buttons = map[string]*control.Button{}
	}
	if p.buttons[id] == nil {
		p.buttons[id] = new(control.Button)
	}
	b := p.buttons[id]
	return func(gtx layout.Context) layout.Dimensions {
		a := w.act(id)
		if b.Update(gtx) {
			a.do()
		}
		gtx.Constraints.Min.X = gtx.Constraints.Max.X
		gtx.Constraints.Min.Y = min(gtx.Dp(tall), gtx.Constraints.Max.Y)
		s := control.Push(w.th, b, text).WithGlyph(g).WithHint(sentence(a.words + " (" + a.say + ")")).Lit(lit)
		s.Label = a.words
		return s.Layout(gtx)
	}
}

// pad is the block of buttons for the command and the height.
func (p *livePanel) pad(gtx layout.Context, w *Workbench) layout.Dimensions {
	if !w.liveOn() {
		return layout.Dimensions{}
	}
	type cell struct {
		id, text string
		glyph    look.Glyph
	}
	q := &w.live.want
	lit := map[string]bool{
		"forward": q.Forward > 0, "back": q.Forward < 0, "left": q.Side > 0, "right": q.Side < 0,
		"turn left": q.Turn > 0, "turn right": q.Turn < 0, "raise": q.Rise > 0, "lower": q.Rise < 0,
		"on the spot": q.Forward == 0 && q.Side == 0 && q.Turn == 0, "hold time": w.live.held,
	}
	line := func(cells ...cell) layout.FlexChild {
		return layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			var all []layout.FlexChild
			for _, c := range cells {
				all = append(all, layout.Flexed(1, p.button(w, c.id, c.text, c.glyph, lit[c.id], padCell)))
			}
			return layout.Flex{Gap: gtx.Dp(4)}.Layout(gtx, all...)
		})
	}
	return layout.Flex{Axis: layout.Vertical, Gap: gtx.Dp(4)}.Layout(gtx,
		line(cell{"turn left", "turn", look.Undo}, cell{"forward", "", look.ArrowUp}, cell{"turn right", "turn", look.Redo}),
		line(cell{"left", "", look.ArrowLeft}, cell{"on the spot", "spot", look.NoGlyph}, cell{"right", "", look.ArrowRight}),
		line(cell{"lower", "lower", look.NoGlyph}, cell{"back", "", look.ArrowDown}, cell{"raise", "raise", look.NoGlyph}),
		line(cell{"hold time", "hold", look.Pause}, cell{"end live", "end", look.Close}),
	)
}

// numbers says what is asked for.
func (p *livePanel) numbers(gtx layout.Context, w *Workbench) layout.Dimensions {
	if !w.liveOn() {
		return layout.Dimensions{}
	}
	th, m := w.th, &w.live
	c, v := m.walk.Command(), m.walk.Verdict()
	said, glyph, ink := "no gait: standing", look.Info, th.Accent.Ink
	if m.want.Gait >= 0 {
		said, glyph, ink = walk.About(&v, &w.doc.Result().Built.Robot), look.Tick, th.Fine.Ink
		if !v.Can {
			glyph, ink = look.Warning, th.Caution.Ink
		}
	}
	var all []layout.FlexChild
	for _, f := range [...]struct {
		name, value, unit string
		share             float64
	}{
		{"forward", draw.Number(c.Forward*1000, 1), "mm/s", m.want.Forward},
		{"to the left", draw.Number(c.Side*1000, 1), "mm/s", m.want.Side},
		{"turn left", draw.Number(c.Turn*180/math.Pi, 1), "°/s", m.want.Turn},
		{"body higher by", draw.Number(m.want.Rise*1000, 0), "mm", 0},
	} {
		all = append(all, layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			return layout.Flex{Alignment: layout.Baseline}.Layout(gtx,
				layout.Flexed(1, th.Label(look.Small, th.Dim, f.name).Layout),
				layout.Rigid(th.Label(look.Body, th.Text, f.value).Layout),
				layout.Rigid(func(gtx layout.Context) layout.Dimensions {
					gtx.Constraints.Min.X, gtx.Constraints.Max.X = gtx.Dp(34), gtx.Dp(34)
					return layout.Inset{Left: 4}.Layout(gtx, th.Label(look.Small, th.Dim, f.unit).Layout)
				}))
		}))
	}
	l := th.Label(look.Small, th.Text, said)
	l.MaxLines = 4
	all = append(all, layout.Rigid(layout.Spacer{Height: 6}.Layout), layout.Rigid(func(gtx layout.Context) layout.Dimensions {
		return layout.Flex{}.Layout(gtx,
			layout.Rigid(func(gtx layout.Context) layout.Dimensions { return th.Glyph(gtx, glyph, 13, ink) }),
			look.Gap(1), layout.Flexed(1, l.Layout))
	}))
	return layout.Flex{Axis: layout.Vertical}.Layout(gtx, all...)
}
