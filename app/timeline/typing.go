// SPDX-License-Identifier: MIT

package timeline

import "gioui.org/layout"

// Typing tells whether one of the panel's number fields has the keys.
func (p *Panel) Typing(gtx layout.Context) bool {
	return p.transport.now.Focused(gtx) || p.transport.typed.Focused(gtx)
}
