// SPDX-License-Identifier: MIT

package control

import (
	"strings"

	"gioui.org/io/event"
	"gioui.org/io/pointer"
	"gioui.org/layout"
	"gioui.org/op/clip"

	"gaitwright/app/glossary"
	"gaitwright/app/look"
)

// Tip is the state of a hint over a part that has none of its own.
type Tip struct {
	Quiet bool // shows nothing, as while a person types
	Keys  bool // shows also without the pointer, as at a part that has the keys

	tag  tag
	over bool
	hint hint
}

// Layout lays w out, and shows text beside it when the pointer rests there,
// until a press. An empty text shows nothing.
func (t *Tip) Layout(gtx layout.Context, th *look.Theme, text string, w layout.Widget) layout.Dimensions {
	if text == "" {
		return w(gtx)
	}
	d := w(gtx)
	if gtx.Enabled() {
		// Above the part, and passed through: so it keeps its own input.
		pass := pointer.PassOp{}.Push(gtx.Ops)
		area := clip.Rect{Max: d.Size}.Push(gtx.Ops)
		event.Op(gtx.Ops, &t.tag)
		area.Pop()
		pass.Pop()
	}
	down := false
	for {
		ev, ok := gtx.Event(pointer.Filter{Target: &t.tag, Kinds: pointer.Enter | pointer.Leave | pointer.Press | pointer.Cancel})
		if !ok {
			break
		}
		if e, ok := ev.(pointer.Event); ok {
			switch e.Kind {
			case pointer.Enter:
				t.over = true
			case pointer.Leave, pointer.Cancel:
				t.over = false
			case pointer.Press:
				down = true
			}
		}
	}
	t.hint.layout(gtx, th, text, d.Size, hintState{over: t.over && !t.Quiet, down: down, keys: t.Keys})
	return d
}

// explaining is the hint that shows at a field: its own, or what the glossary
// says of the term that its spoken name begins with. The name stands beside it.
func explaining(hint, label string) string {
	if hint != "" || label == "" {
		return hint
	}
	term, _, _ := strings.Cut(label, " of ")
	return glossary.Hint(term)
}

// saying is what a field says of itself where it cannot be seen: its own, or its spoken name with what the
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
	name := Capital(term)
	if found {
		name += " of " + of
	}
	if told != "" {
		name += ". " + told
	}
	return name
}
