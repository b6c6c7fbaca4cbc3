// SPDX-License-Identifier: MIT

package app

import "gioui.org/layout"

// typing tells whether a field for text has the keys: then letters, Space and
// arrows belong to it.
func (w *Workbench) typing(gtx layout.Context) bool {
	return w.deskTyping(gtx) || w.time.Typing(gtx) || w.stand.panel.typing(gtx)
}
