// SPDX-License-Identifier: MIT

package control

import "gioui.org/layout"

// readingKey is where a context says that its fields are there to be read.
const readingKey = "gaitwright/app/control.Reading"

// Reading gives a context in which fields show their values and take no others,
// as while something shows that cannot be changed.
func Reading(gtx layout.Context) layout.Context { return with(gtx, readingKey, true) }

func reading(gtx layout.Context) bool {
	on, _ := gtx.Values[readingKey].(bool)
	return on
}
