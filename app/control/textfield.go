// SPDX-License-Identifier: MIT

package control

import (
	"image"

	"gioui.org/layout"
	"gioui.org/unit"

	"gaitwright/app/look"
)

// Text is the state of a field for one line of text. The window may set Value
// at any time.
type Text struct {
	Value string
	Check func(string) error // says what is wrong with a text; may be nil

	entry   entry
	set     string
	init    bool
	err     error
	changed bool
	entered bool
	tip     Tip
}

// Update reports whether the person changed Value, by Enter or by leaving the
// field.
func (t *Text) Update(gtx layout.Context) bool {
	t.pull(gtx)
	changed := t.changed
	t.changed = false
	return changed
}

// Entered reports, once, that Enter was pressed on an accepted text, also when
// the text is the same as before.
func (t *Text) Entered() bool {
	e := t.entered
	t.entered = false
	return e
}

// Typed returns the text as it stands in the field now.
func (t *Text) Typed() string {
	if !t.init || t.set != t.Value {
		return t.Value
	}
	return t.entry.editor.Text()
}

// Err says why the typed text is not the value, or nil.
func (t *Text) Err() error { return t.err }

// Focused reports whether the field has the keys.
func (t *Text) Focused(gtx layout.Context) bool { return gtx.Focused(&t.entry.editor) }

// Tag is what to give the keyboard focus to.
func (t *Text) Tag() any { return &t.entry.editor }

func (t *Text) pull(gtx layout.Context) {
	if !t.init || t.set != t.Value {
		t.take()
	}
	for {
		ev, _, ok := t.entry.update(gtx, false)
		if !ok {
			return
		}
		switch ev {
		case entryRestore:
			t.take()
		case entryCommit:
			s := t.entry.editor.Text()
			if t.Check != nil {
				if t.err = t.Check(s); t.err != nil {
					continue
				}
			}
			if s != t.Value {
				t.Value, t.changed = s, true
			}
			t.entered = gtx.Focused(&t.entry.editor) // not on leaving the field
			t.take()
		}
	}
}

func (t *Text) take() {
	t.init, t.set, t.err = true, t.Value, nil
	t.entry.show(t.Value)
}

// TextStyle is the look of a text field in this frame.
type TextStyle struct {
	Theme    *look.Theme
	Text     *Text
	Label    string  // spoken name
	Hint     string  // shown in the empty field
	About    string  // shown when the pointer rests on it; what the glossary says of the label when empty
	Width    unit.Dp // when the constraints leave it open
	Disabled bool
	Brief    bool // the window says elsewhere why a text was not taken
}

// Words returns the style of a text field. The label is its spoken name.
func Words(th *look.Theme, t *Text, label string) TextStyle {
	return TextStyle{Theme: th, Text: t, Label: label, Width: 180}
}

// When disables the field unless ok.
func (s TextStyle) When(ok bool) TextStyle { s.Disabled = !ok; return s }

// Layout draws the field.
func (s TextStyle) Layout(gtx layout.Context) layout.Dimensions {
	t := s.Text
	if s.Disabled || reading(gtx) {
		gtx = gtx.Disabled()
	}
	t.pull(gtx)
	gtx.Constraints.Min = image.Pt(max(gtx.Constraints.Min.X, min(gtx.Dp(s.Width), gtx.Constraints.Max.X)), 0)
	b := box{th: s.Theme, label: s.Label, brief: s.Brief, hint: s.Hint}
	if t.err != nil {
		b.err = t.err.Error()
	}
	b.about, t.tip.Quiet = saying(s.About, s.Label), t.Focused(gtx)
	return t.tip.Layout(gtx, s.Theme, explaining(s.About, s.Label), func(gtx layout.Context) layout.Dimensions { return b.layout(gtx, &t.entry) })
}
