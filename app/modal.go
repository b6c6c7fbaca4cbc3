// SPDX-License-Identifier: MIT

package app

import (
	"gioui.org/layout"

	"gaitwright/app/changes"
	"gaitwright/app/control"
	"gaitwright/app/look"
	"gaitwright/app/weigh"
)

// modal is what must be answered before the window goes on: a question, the
// export card, the form for weighing, the map of changes, or our own file
// dialog.
type modal struct {
	card    control.Modal
	kind    modalKind
	title   string
	text    string
	yes     func()
	ok, no  control.Button
	table   exportCard
	files   filePick
	scales  weigh.Form
	changes changes.Map
}

type modalKind int

const (
	noModal modalKind = iota
	askModal
	exportModal
	fileModal
	tellModal
	weighModal
	changesModal
)

func (m *modal) open() bool { return m.kind != noModal }

func (m *modal) close() {
	m.kind = noModal
	m.card.Close()
	m.changes.Close()
}

// ask puts a question; yes runs when it is answered so.
func (m *modal) ask(w *Workbench, title, text string, yes func()) {
	m.kind, m.title, m.text, m.yes = askModal, title, text, yes
	m.card.Open(m.no.Tag())
	if w.cfg.Wake != nil {
		w.cfg.Wake()
	}
}

func (m *modal) layout(gtx layout.Context, w *Workbench) {
	if m.kind != changesModal { // another card took its place
		m.changes.Close()
	}
	switch m.kind {
	case askModal:
		m.layoutAsk(gtx, w)
	case exportModal:
		m.table.layout(gtx, w)
	case fileModal:
		m.files.layout(gtx, w)
	case tellModal:
		m.layoutTell(gtx, w)
	case weighModal:
		m.layoutWeigh(gtx, w)
	case changesModal:
		m.layoutChanges(gtx, w)
	default:
		return
	}
	if m.kind != noModal && m.kind != fileModal && m.card.Update(gtx) {
		m.close()
	}
}

// tell shows something to read that is too long for the bar.
func (m *modal) tell(title, text string) {
	m.kind, m.title, m.text = tellModal, title, text
	m.card.Open(m.no.Tag())
}

func (m *modal) layoutTell(gtx layout.Context, w *Workbench) {
	if m.no.Update(gtx) {
		m.close()
		return
	}
	card := control.Card(w.th, &m.card, m.title).WithGlyph(look.Warning, &w.th.Caution)
	card.Width = 620
	card.Layout(gtx, wrapped(w.th, m.text), control.Push(w.th, &m.no, "Close").As(control.Primary).Layout)
}

func (m *modal) layoutAsk(gtx layout.Context, w *Workbench) {
	if m.no.Update(gtx) {
		m.close()
		return
	}
	if m.ok.Update(gtx) {
		m.close()
		m.yes()
		return
	}
	control.Card(w.th, &m.card, m.title).WithGlyph(look.Warning, &w.th.Caution).Layout(gtx,
		wrapped(w.th, m.text),
		control.Push(w.th, &m.ok, "Discard the changes").Layout,
		control.Push(w.th, &m.no, "Go back").As(control.Primary).Layout,
	)
}

// wrapped lays a text out over as many lines as it takes.
func wrapped(th *look.Theme, s string) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		l := th.Label(look.Body, th.Text, s)
		l.MaxLines = 0
		return l.Layout(gtx)
	}
}
