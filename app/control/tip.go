// SPDX-License-Identifier: MIT

package control

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"gioui.org/gesture"
	"gioui.org/io/pointer"
	"gioui.org/layout"
	"gioui.org/op/clip"

	"gaitwright/app/glossary"
	"gaitwright/app/look"
)

// Tip is the state of a hint over a part that has none of its own.
type Tip struct {
	Quiet bool // shows nothing, as while a person types

	hover gesture.Hover
	hint  hint
}

// Layout lays w out, and shows text below it when the pointer rests there. An
// empty text shows nothing.
func (t *Tip) Layout(gtx layout.Context, th *look.Theme, text string, w layout.Widget) layout.Dimensions {
	if text == "" {
		return w(gtx)
	}
	d := w(gtx)
	if gtx.Enabled() {
		// Above the part, and passed through: so it keeps its own input.
		pass := pointer.PassOp{}.Push(gtx.Ops)
		area := clip.Rect{Max: d.Size}.Push(gtx.Ops)
		t.hover.Add(gtx.Ops)
		area.Pop()
		pass.Pop()
	}
	over := t.hover.Update(gtx.Source)
	t.hint.layout(gtx, th, text, d.Size, hintState{over: over && !t.Quiet})
	return d
}

// saying is the hint of a field: its own, or its spoken name with what the
// glossary says of the term that it begins with.
func saying(hint, label string) string {
	if hint != "" || label == "" {
		return hint
	}
	term, of, found := strings.Cut(label, " of ")
	told := glossary.Hint(term)
	if !found && told != "" {
		return told
	}
	name := capital(term)
	if found {
		name += " of " + of
	}
	if told != "" {
		name += ". " + told
	}
	return name
}

func capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if r == 'µ' { // its capital letter means another thing
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}
