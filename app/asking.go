// SPDX-License-Identifier: MIT

package app

import (
	"fmt"
	"strings"

	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/look"
)

// question is a card with something to choose, and perhaps with a list of what
// it is about.
type question struct {
	title   string
	text    string
	list    []listed
	answers []answer // from the left; the last one gets the keys
	main    int      // which of them stands out

	buttons [4]control.Button
	scroll  control.Scroll
}

// listed is one line of a question's list.
type listed struct {
	text string
	more []string // below it, less strong
}

// answer is one of a question's buttons. The card closes before do runs; a nil
// do only closes it.
type answer struct {
	words string
	do    func()
}

// mostListed is how many lines a list has at most; what is beyond is counted.
const mostListed = 200

// put shows a question.
func (m *modal) put(w *Workbench, q question) {
	if n := len(q.list) - mostListed; n > 0 {
		q.list = append(q.list[:mostListed:mostListed], listed{text: fmt.Sprintf("and %d more", n)})
	}
	m.kind, m.question = askModal, &q
	m.card.Open(q.buttons[len(q.answers)-1].Tag())
	if w.cfg.Wake != nil {
		w.cfg.Wake()
	}
}

// ask puts the question before unsaved work is left; yes runs when that is saved
// or the person lets it go.
func (m *modal) ask(w *Workbench, title, text string, yes func()) {
	m.put(w, question{title: title, text: text, main: 2, answers: []answer{
		{"Discard the changes", yes},
		{"Save first", func() { w.saveThen(yes) }},
		{"Go back", nil},
	}})
}

func (m *modal) layoutAsk(gtx layout.Context, w *Workbench) {
	q := m.question
	for i, a := range q.answers {
		if q.buttons[i].Update(gtx) {
			m.close()
			if a.do != nil {
				a.do()
			}
			return
		}
	}
	q.turn(gtx)
	card := control.Card(w.th, &m.card, q.title).WithGlyph(look.Warning, &w.th.Caution)
	card.Width = 440
	if len(q.list) > 0 {
		card.Width = 660
	}
	var buttons []layout.Widget
	for i, a := range q.answers {
		b := control.Push(w.th, &q.buttons[i], a.words)
		if i == q.main {
			b = b.As(control.Primary)
		}
		buttons = append(buttons, b.Layout)
	}
	card.Layout(gtx, func(gtx layout.Context) layout.Dimensions { return q.body(gtx, w.th) }, buttons...)
}

// turn scrolls the list by the keys that do so everywhere.
func (q *question) turn(gtx layout.Context) {
	if len(q.list) > 0 {
		turnBy(gtx, &q.scroll)
	}
}

// turnBy scrolls by the keys that do so everywhere.
func turnBy(gtx layout.Context, s *control.Scroll) {
	by := map[key.Name]float32{key.NameUpArrow: -1, key.NameDownArrow: 1, key.NamePageUp: -8, key.NamePageDown: 8}
	for name, n := range by {
		for {
			ev, ok := gtx.Event(key.Filter{Name: name})
			if !ok {
				break
			}
			if e, ok := ev.(key.Event); ok && e.State == key.Press {
				s.By(n)
			}
		}
	}
}

// listHeight is the most that a list takes of a card.
const listHeight unit.Dp = 280

func (q *question) body(gtx layout.Context, th *look.Theme) layout.Dimensions {
	if len(q.list) == 0 {
		return control.Para(th, q.text)(gtx)
	}
	var rows []layout.Widget
	for _, l := range q.list {
		rows = append(rows, func(gtx layout.Context) layout.Dimensions {
			var lines []layout.FlexChild
			lines = append(lines, layout.Rigid(control.Para(th, onScreen(l.text))))
			for _, m := range l.more {
				lines = append(lines, layout.Rigid(func(gtx layout.Context) layout.Dimensions {
					return layout.Inset{Left: look.Unit * 4}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
						s := th.Label(look.Body, th.Dim, onScreen(m))
						s.MaxLines = 0
						return s.Layout(gtx)
					})
				}))
			}
			return layout.Inset{Bottom: look.Unit}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
				return layout.Flex{Axis: layout.Vertical}.Layout(gtx, lines...)
			})
		})
	}
	return layout.Flex{Axis: layout.Vertical}.Layout(gtx,
		layout.Rigid(control.Para(th, q.text)),
		look.Gap(3),
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min.Y = 0
			gtx.Constraints.Max.Y = min(gtx.Constraints.Max.Y, gtx.Dp(listHeight))
			return q.scroll.Area(gtx, th, rows...)
		}),
	)
}

// onScreen writes the minus signs of numbers as such, outside quotes.
func onScreen(s string) string {
	var b strings.Builder
	quoted, escaped := false, false
	var last rune
	r := []rune(s)
	for i, c := range r {
		switch {
		case escaped:
			escaped = false
		case quoted && c == '\\':
			escaped = true
		case c == '"':
			quoted = !quoted
		}
		if c == '-' && !quoted && i+1 < len(r) && r[i+1] >= '0' && r[i+1] <= '9' && (last == 0 || strings.ContainsRune(" [(", last)) {
			b.WriteRune('−')
		} else {
			b.WriteRune(c)
		}
		last = c
	}
	return b.String()
}
