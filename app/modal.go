// SPDX-License-Identifier: MIT

package app

import (
	"gioui.org/layout"

	"gaitwright/app/changes"
	"gaitwright/app/control"
	"gaitwright/app/export"
	"gaitwright/app/finder"
	"gaitwright/app/look"
	"gaitwright/app/newrobot"
	"gaitwright/app/weigh"
)

// modal is what must be answered before the window goes on: a question, the
// export card, the form for weighing, the map of changes, or our own file
// dialog.
type modal struct {
	card     control.Modal
	kind     modalKind
	title    string
	text     string
	sign     look.Glyph // of what is told
	no       control.Button
	question *question
	table    export.Card
	files    filePick
	scales   weigh.Form
	changes  changes.Map
	finder   finder.Panel
	robot    newrobot.Form
	keys     keysCard
	outside  bool // it tells that the file on the disk cannot be read
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
	findModal
	newRobotModal
	keysModal
)

func (m *modal) open() bool { return m.kind != noModal }

func (m *modal) close() {
	m.kind, m.outside = noModal, false
	m.card.Close()
	m.changes.Close()
	m.table.Close()
}

func (m *modal) layout(gtx layout.Context, w *Workbench) {
	if m.kind != changesModal { // another card took its place
		m.changes.Close()
	}
	if m.kind != exportModal {
		m.table.Close()
	}
	switch m.kind {
	case askModal:
		m.layoutAsk(gtx, w)
	case exportModal:
		m.layoutExport(gtx, w)
	case fileModal:
		m.files.layout(gtx, w)
	case tellModal:
		m.layoutTell(gtx, w)
	case weighModal:
		m.layoutWeigh(gtx, w)
	case changesModal:
		m.layoutChanges(gtx, w)
	case newRobotModal:
		m.layoutNewRobot(gtx, w)
	case findModal:
		m.layoutFind(gtx, w)
	case keysModal:
		m.layoutKeys(gtx, w)
	default:
		return
	}
	if m.kind != noModal && m.kind != fileModal && m.card.Update(gtx) {
		m.close()
	}
}

// tell shows a refusal that is too long for the bar.
func (m *modal) tell(title, text string) {
	m.kind, m.title, m.text, m.sign = tellModal, title, text, look.Warning
	m.outside = false
	m.card.Open(m.no.Tag())
}

// tellOf shows something to read that is no trouble.
func (m *modal) tellOf(title, text string) {
	m.tell(title, text)
	m.sign = look.Info
}

func (m *modal) layoutTell(gtx layout.Context, w *Workbench) {
	if m.no.Update(gtx) {
		m.close()
		return
	}
	card := control.Card(w.th, &m.card, m.title).WithGlyph(m.sign, &w.th.Caution)
	if m.sign == look.Info {
		card = card.WithGlyph(m.sign, &w.th.Accent)
	}
	card.Width = 620
	card.Layout(gtx, control.Para(w.th, m.text), control.Push(w.th, &m.no, "Close").As(control.Primary).Layout)
}
