// SPDX-License-Identifier: MIT

package app

import (
	"gioui.org/io/key"
	"gioui.org/layout"

	"gaitwright/app/look"
)

// action is one thing that a person can do, by button and by key. Buttons,
// hints and shortcuts come from the one table.
type action struct {
	id    string
	words string
	glyph look.Glyph
	keys  []key.Filter
	say   string // the keys in words
	can   func() bool
	do    func()
	plain bool // a key without modifier: not while text is typed
}

func always() bool { return true }

// actions is the table. Shortcuts are a platform's usual ones.
func (w *Workbench) actions() []action {
	short := key.ModShortcut
	return []action{
		{id: "open", words: "Open", glyph: look.Folder, say: "Ctrl+O", can: always, do: w.open,
			keys: []key.Filter{{Name: "O", Required: short}}},
		{id: "save", words: "Save", glyph: look.NoGlyph, say: "Ctrl+S", can: always, do: w.save,
			keys: []key.Filter{{Name: "S", Required: short}}},
		{id: "save as", words: "Save as", say: "Ctrl+Shift+S", can: always, do: w.saveAs,
			keys: []key.Filter{{Name: "S", Required: short | key.ModShift}}},
		{id: "undo", words: "Undo", glyph: look.Undo, say: "Ctrl+Z", do: w.undo,
			can:  func() bool { _, ok := w.doc.CanUndo(); return ok || w.doc.Dragging() },
			keys: []key.Filter{{Name: "Z", Required: short}}},
		{id: "redo", words: "Redo", glyph: look.Redo, say: "Ctrl+Shift+Z", do: func() { w.doc.Redo(); w.at.Tidy(w.doc) },
			can:  func() bool { _, ok := w.doc.CanRedo(); return ok },
			keys: []key.Filter{{Name: "Z", Required: short | key.ModShift}, {Name: "Y", Required: short}}},
		{id: "export", words: "Table", glyph: look.Paper, say: "Ctrl+E", can: always, do: w.export,
			keys: []key.Filter{{Name: "E", Required: short}}},
		{id: "play", words: "Play or pause", say: "Space", can: always, do: func() { w.time.TogglePlay(w.doc, &w.at) }, plain: true,
			keys: []key.Filter{{Name: key.NameSpace}}},
		{id: "step on", words: "Step on", say: "→", can: always, do: func() { w.time.Step(w.doc, &w.at, 1) }, plain: true,
			keys: []key.Filter{{Name: key.NameRightArrow}}},
		{id: "step back", words: "Step back", say: "←", can: always, do: func() { w.time.Step(w.doc, &w.at, -1) }, plain: true,
			keys: []key.Filter{{Name: key.NameLeftArrow}}},
		{id: "start", words: "To the start", say: "Home", can: always, do: func() { w.time.Home(w.doc, &w.at) }, plain: true,
			keys: []key.Filter{{Name: key.NameHome}}},
		{id: "end", words: "To the end", say: "End", can: always, do: func() { w.time.End(w.doc, &w.at) }, plain: true,
			keys: []key.Filter{{Name: key.NameEnd}}},
		{id: "fit", words: "Show the whole robot", glyph: look.FitView, say: "F", can: always, do: w.view.Fit, plain: true,
			keys: []key.Filter{{Name: "F"}}},
		{id: "stand", words: "Hang on a stand", say: "H", can: always, do: w.toggleStand, plain: true,
			keys: []key.Filter{{Name: "H"}}},
	}
}

// act finds an action by its id.
func (w *Workbench) act(id string) *action {
	for i := range w.acts {
		if w.acts[i].id == id {
			return &w.acts[i]
		}
	}
	return &action{id: id, words: id, can: func() bool { return false }, do: func() {}}
}

// shortcuts runs the actions whose keys nothing else has taken.
func (w *Workbench) shortcuts(gtx layout.Context) {
	for i := range w.acts {
		a := &w.acts[i]
		if a.plain && w.typing(gtx) {
			continue
		}
		for _, k := range a.keys {
			for {
				ev, ok := gtx.Event(k)
				if !ok {
					break
				}
				if e, ok := ev.(key.Event); ok && e.State == key.Press && a.can() {
					a.do()
				}
			}
		}
	}
}

func (w *Workbench) undo() {
	w.doc.Undo()
	w.at.Tidy(w.doc)
}

func (w *Workbench) toggleStand() {
	on := !w.doc.OnStand()
	w.doc.SetOnStand(on)
	if !on {
		w.at.Held = nil
	}
	w.view.Fit()
}
