// SPDX-License-Identifier: MIT

package app

import (
	"fmt"

	"gioui.org/layout"

	"gaitwright/app/export"
	"gaitwright/motion/review"
)

// export opens the card that writes tables for the firmware.
func (w *Workbench) export() {
	w.doc.Drop()
	first := w.modal.table.Open(w.doc, w.Name(), w.onDemo(), w.cfg.Wake)
	w.modal.kind = exportModal
	w.modal.card.Open(first)
}

func (m *modal) layoutExport(gtx layout.Context, w *Workbench) {
	switch m.table.Layout(gtx, w.th, &m.card) {
	case export.Left:
		m.close()
	case export.Written:
		paths, tables, folder := m.table.Wrote()
		m.close()
		w.notice.say(fmt.Sprintf("Wrote %s in %s to %s", count(tables, "table"), count(len(paths), "file"), folder))
	case export.ToStop:
		m.close()
		for i := range w.doc.Result().Findings {
			if w.doc.Result().Findings[i].Level == review.Stop {
				w.goTo(i)
				break
			}
		}
	}
}
