// SPDX-License-Identifier: MIT

package app

import (
	"fmt"

	"gioui.org/layout"

	"gaitwright/app/draw"
	"gaitwright/app/weigh"
)

// weigh opens the form for readings of scales.
func (w *Workbench) weigh() {
	w.doc.Drop()
	first := w.modal.scales.Open(w.doc)
	w.modal.kind = weighModal
	w.modal.card.Open(first)
}

func (m *modal) layoutWeigh(gtx layout.Context, w *Workbench) {
	switch m.scales.Layout(gtx, w.th, &m.card, w.doc) {
	case weigh.Left:
		m.close()
	case weigh.Written:
		m.close()
		r := w.doc.File().Robot
		w.notice.about(fmt.Sprintf("The body now has %s g at x %s, y %s, z %s mm", draw.Number(r.BodyMass, 1),
			draw.Number(r.BodyCentre[0], 1), draw.Number(r.BodyCentre[1], 1), draw.Number(r.BodyCentre[2], 1)), func() bool {
			now := &w.doc.File().Robot
			return now.BodyMass == r.BodyMass && now.BodyCentre == r.BodyCentre
		})
	}
}
