// SPDX-License-Identifier: MIT

package drive

import (
	"unicode"

	"gioui.org/io/input"
	"gioui.org/io/key"
)

// Burst puts text in that is typed faster than the window draws: no frame lies
// between the letters, nor before what is put in next. As a window does, it
// works the place of each letter out from the last frame, also where MoveFocus
// has given the keys to another field since. A Tab ('\t') goes the way that it
// has in a window: to the field that asks for it, or else, where nothing lies
// before it in the same frame, to the next part.
func (d *Driver) Burst(text string) {
	sel := d.router.EditorState().Selection.Range
	if sel.Start > sel.End {
		sel.Start, sel.End = sel.End, sel.Start
	}
	for _, r := range text {
		if r == '\t' {
			d.router.WakeupTime() // as the window has asked after its last frame
			d.Queue(input.SystemEvent{Event: key.Event{Name: key.NameTab, State: key.Press}})
			if _, handled := d.router.WakeupTime(); !handled {
				d.router.MoveFocus(key.FocusForward)
			}
			continue
		}
		name := key.Name(string(unicode.ToUpper(r)))
		d.Queue(
			key.Event{Name: name, State: key.Press},
			key.EditEvent{Range: sel, Text: string(r)},
			key.SnippetEvent{Start: 0, End: sel.Start + 1},
			key.SelectionEvent{Start: sel.Start + 1, End: sel.Start + 1},
			key.Event{Name: name, State: key.Release},
		)
		sel = key.Range{Start: sel.Start + 1, End: sel.Start + 1}
	}
}
