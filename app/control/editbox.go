// SPDX-License-Identifier: MIT

package control

import (
	"image"
	"image/color"

	"gioui.org/font"
	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/text"
	"gioui.org/widget"
	"gioui.org/widget/material"

	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// entry is what number and text fields share: an editor whose text becomes a
// value on Enter or when the keys go elsewhere, and comes back on Escape.
type entry struct {
	editor widget.Editor
	shown  string // text that stands for the present value
	dirty  bool   // the text was changed since
	had    bool   // had the keys at the last look
	fresh  bool   // the keys have just come, and the text is taken out
	was    string // that text

	tap     tag  // sees presses before the editor does
	entered bool // the text was entered, and nothing done to it since
	whole   bool // a press in this frame is to leave all selected
}

// entryEvent is what happened in an entry.
type entryEvent uint8

const (
	entryCommit  entryEvent = iota // take the text as the value
	entryRestore                   // Escape
	entryUp
	entryDown
)

// update returns the next event. Step keys are taken only with steps; the
// factor is 10 with Shift.
func (e *entry) update(gtx layout.Context, steps bool) (ev entryEvent, factor float64, ok bool) {
	e.editor.SingleLine, e.editor.Submit = true, true
	e.pressed(gtx)
	e.arrive(gtx)
	for {
		filters := []event.Filter{nil, nil, nil, nil}[:0]
		if e.dirty {
			filters = append(filters, key.Filter{Focus: &e.editor, Name: key.NameEscape})
		}
		if steps {
			filters = append(filters,
				key.Filter{Focus: &e.editor, Name: key.NameUpArrow, Optional: key.ModShift},
				key.Filter{Focus: &e.editor, Name: key.NameDownArrow, Optional: key.ModShift})
		}
		order := orderOf(gtx)
		order.note(&e.editor, e.dirty && gtx.Focused(&e.editor))
		filters = append(filters, order.tabs(&e.editor)...)
		if len(filters) == 0 {
			break
		}
		got, any := gtx.Event(filters...)
		if !any {
			break
		}
		k, isKey := got.(key.Event)
		if !isKey || k.State != key.Press {
			continue
		}
		factor = 1
		if k.Modifiers.Contain(key.ModShift) {
			factor = 10
		}
		switch k.Name {
		case key.NameTab:
			order.leave(gtx, &e.editor, k.Modifiers.Contain(key.ModShift))
		case key.NameEscape:
			return entryRestore, 0, true
		case key.NameUpArrow:
			return entryUp, factor, true
		case key.NameDownArrow:
			return entryDown, factor, true
		}
	}
	for {
		got, any := e.editor.Update(gtx)
		if !any {
			// Only now is all read that was typed before the keys went, and a
			// press in this frame gives the keys at once.
			e.settle()
			lost := e.lost(gtx)
			if e.whole {
				e.whole = false
				e.editor.SetCaret(e.editor.Len(), 0)
				if !gtx.Focused(&e.editor) { // a press on the unit
					gtx.Execute(key.FocusCmd{Tag: &e.editor})
				}
			}
			return entryCommit, 0, lost && e.dirty
		}
		switch got.(type) {
		case widget.ChangeEvent:
			e.dirty, e.entered = e.editor.Text() != e.shown, false
		case widget.SubmitEvent:
			e.settle()
			e.entered = true
			return entryCommit, 0, true
		}
	}
}

// pressed looks for a press that begins anew with this field: one that brings
// it the keys, or comes after a text was entered. Such a press selects all, so
// that typing replaces the old value, and takes the pointer from the editor,
// for which moving or letting go would select a part.
func (e *entry) pressed(gtx layout.Context) {
	for {
		ev, ok := gtx.Event(pointer.Filter{Target: &e.tap, Kinds: pointer.Press})
		if !ok {
			return
		}
		p, ok := ev.(pointer.Event)
		if !ok || p.Kind != pointer.Press || p.Source != pointer.Mouse || gtx.Focused(&e.editor) && !e.entered {
			continue
		}
		e.whole, e.entered = true, false
		gtx.Execute(pointer.GrabCmd{Tag: &e.tap, ID: p.PointerID})
	}
}

// arrive follows the keys to this field before anything is read that was typed
// into it in the same frame. A window gives such letters the places that they
// would have had in the field before; in an empty field they come to stand one
// behind the other all the same, in place of the old value.
func (e *entry) arrive(gtx layout.Context) {
	if e.had {
		return
	}
	for !gtx.Focused(&e.editor) {
		ev, ok := gtx.Event(key.FocusFilter{Target: &e.editor})
		if !ok {
			return
		}
		if f, ok := ev.(key.FocusEvent); ok && f.Focus {
			gtx.Execute(key.SoftKeyboardCmd{Show: true}) // what the editor does on this event
			break                                        // they may be gone again in this very frame
		}
	}
	e.had, e.fresh, e.was = true, true, e.editor.Text()
	e.editor.SetText("")
}

// settle puts the text back that arrive took out, unless something was typed,
// and selects it, so that typing replaces it.
func (e *entry) settle() {
	if !e.fresh {
		return
	}
	e.fresh = false
	if e.editor.Text() == "" {
		e.editor.SetText(e.was)
		e.editor.SetCaret(e.editor.Len(), 0)
	}
	e.dirty = e.editor.Text() != e.shown
}

// lost follows the keyboard focus and reports whether it has just gone. When it
// has just come, all is selected, so that typing replaces the old value.
func (e *entry) lost(gtx layout.Context) bool {
	has := gtx.Focused(&e.editor)
	if has == e.had {
		return false
	}
	e.had = has
	if has {
		e.editor.SetCaret(e.editor.Len(), 0)
	}
	return !has
}

// show replaces the text by the one for the present value.
func (e *entry) show(s string) {
	e.shown, e.dirty, e.fresh = s, false, false
	if e.editor.Text() != s {
		e.editor.SetText(s)
	}
	if e.had {
		e.editor.SetCaret(e.editor.Len(), 0)
	}
}

// box is the look of an entry.
type box struct {
	th     *look.Theme
	label  string // spoken name
	hint   string // in the empty box
	about  string // what it is for
	unit   string // behind the text
	err    string // why the text was not taken
	right  bool   // align to the right, as numbers are
	absent bool   // what stands there is a default
	brief  bool   // without the error in words below
}

// layout draws the entry as wide as the least constraint asks, with the error
// below it in words.
func (b box) layout(gtx layout.Context, e *entry) layout.Dimensions {
	th := b.th
	w, h := max(gtx.Constraints.Min.X, gtx.Dp(40)), gtx.Dp(look.Control)
	size := image.Pt(w, h)
	frame := image.Rectangle{Max: size}
	pad := gtx.Dp(look.Unit * 2)

	func() {
		defer clip.Rect(frame).Push(gtx.Ops).Pop()
		semantic.Editor.Add(gtx.Ops)
		event.Op(gtx.Ops, &e.tap)
		Reachable(gtx, &e.editor)
		if b.label != "" {
			semantic.LabelOp(b.label).Add(gtx.Ops)
		}
		if b.err != "" {
			semantic.DescriptionOp(b.err).Add(gtx.Ops)
		} else if b.absent {
			semantic.DescriptionOp("default").Add(gtx.Ops)
		} else if b.about != "" {
			semantic.DescriptionOp(b.about).Add(gtx.Ops)
		}
		semantic.EnabledOp(gtx.Enabled()).Add(gtx.Ops)
		edge, ground, ink, width := th.Edge, th.Field, th.Text, hair(gtx)
		switch {
		case !gtx.Enabled():
			edge, ground, ink = th.Line, th.Panel, th.Faint
		case b.err != "":
			edge, width = th.Stop.Ink, 2*width
		case b.absent:
			ink = th.Dim
		}
		draw.RoundFrame(gtx.Ops, frame, corner(gtx), width, edge, ground)

		right := pad
		if b.unit != "" {
			d, call := sizeOf(gtx, th.Label(look.Body, b.unitInk(gtx), b.unit).Layout)
			put(gtx, image.Pt(w-pad-d.Size.X, (h-d.Size.Y)/2), call)
			right += d.Size.X
			if b.unit != "°" {
				right += gtx.Dp(look.Unit)
			} else {
				right += gtx.Dp(look.Unit / 4)
			}
		}
		style := material.Editor(th.Theme, &e.editor, b.hint)
		style.Color, style.HintColor, style.SelectionColor = ink, th.Dim, th.Selected
		style.TextSize = look.Body
		if b.absent {
			style.Font.Style = font.Italic
		}
		e.editor.Alignment = text.Start
		if b.right {
			e.editor.Alignment = text.End
		}
		// The editor fills the box, so that a click anywhere in it sets the
		// cursor; its text is centred in height by its own line height.
		room := image.Pt(max(w-pad-right, 1), h)
		inner := gtx
		inner.Constraints = layout.Constraints{Min: image.Pt(room.X, 0), Max: room}
		m := op.Record(gtx.Ops)
		d := style.Layout(inner)
		call := m.Stop()
		if gtx.Enabled() {
			pointer.CursorText.Add(gtx.Ops)
		}
		put(gtx, image.Pt(pad, (h-d.Size.Y)/2), call)
		if gtx.Focused(&e.editor) {
			ring(gtx, th, frame, corner(gtx))
			if b.err != "" { // the reason is not to vanish behind the ring
				in := gtx.Dp(2)
				border(gtx, frame.Inset(in), max(corner(gtx)-in, 1), hair(gtx), th.Stop.Ink)
			}
		}
	}()
	if b.err == "" || b.brief {
		return layout.Dimensions{Size: size}
	}
	gtx.Constraints = layout.Constraints{Min: image.Pt(0, 0), Max: image.Pt(max(w, gtx.Dp(150)), gtx.Constraints.Max.Y)}
	d, call := sizeOf(gtx, func(gtx layout.Context) layout.Dimensions {
		l := th.Label(look.Small, th.Stop.Ink, b.err)
		l.MaxLines = 3
		if b.right {
			l.Alignment = text.End
		}
		return l.Layout(gtx)
	})
	y := h + gtx.Dp(look.Unit/2)
	if b.right { // a number stands at the right end of its row: room is to its left
		put(gtx, image.Pt(w-d.Size.X, y), call)
		return layout.Dimensions{Size: image.Pt(w, y+d.Size.Y)}
	}
	put(gtx, image.Pt(0, y), call)
	return layout.Dimensions{Size: image.Pt(max(w, d.Size.X), y+d.Size.Y)}
}

func (b box) unitInk(gtx layout.Context) color.NRGBA {
	if !gtx.Enabled() {
		return b.th.Faint
	}
	return b.th.Dim
}
