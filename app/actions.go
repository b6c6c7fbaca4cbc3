// SPDX-License-Identifier: MIT

package app

import (
	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"

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
	plain bool   // a key without modifier: not while text is typed
	about string // what it does, where the words alone do not say it
	more  string // other words by which it is found
	mode  mode
}

// mode says when an action can be done.
type mode uint8

const (
	ever         mode = iota
	onFile            // while the file's own motion shows
	offLive           // while a motion shows that is not walked live
	whileLive         // while the robot walks live
	whileTrying       // while a change of the map shows
	offTrial          // while neither that nor a motion walked live shows
	whileFlipped      // while a snapshot shows in place of the file
	whileDriving      // while a leg is driven by hand
	whileAside        // while the file from before the tour waits
)

// special tells whether an action belongs to a state of the window that is
// entered and left.
func (a *action) special() bool {
	switch a.mode {
	case ever, onFile, offLive, offTrial:
		return false
	}
	return true
}

// able tells whether an action can be done now.
func (w *Workbench) able(a *action) bool { return w.heeds(a) && a.can() }

// heeds tells whether an action's keys are its own now.
func (w *Workbench) heeds(a *action) bool {
	switch a.mode {
	case onFile:
		return !w.doc.Showing()
	case offLive:
		return !w.liveOn()
	case whileLive:
		return w.liveOn()
	case whileTrying:
		return w.trying()
	case offTrial:
		return !w.liveOn() && !w.trying()
	case whileFlipped:
		return w.snapshotShows()
	case whileAside:
		return w.waiting != nil
	case whileDriving:
		return w.driving() && !w.doc.Showing()
	}
	return true
}

func always() bool { return true }

// actions is the table. Shortcuts are a platform's usual ones.
func (w *Workbench) actions() []action {
	short := key.ModShortcut
	all := []action{
		{id: "new", words: "New robot", glyph: look.Plus, say: "Ctrl+N", can: always, do: w.newRobot,
			keys: []key.Filter{{Name: "N", Required: short}}},
		{id: "open", words: "Open", glyph: look.Folder, say: "Ctrl+O", can: always, do: w.open,
			keys: []key.Filter{{Name: "O", Required: short}}},
		{id: "save", words: "Save", glyph: look.Keep, say: "Ctrl+S", can: always, do: w.save,
			keys: []key.Filter{{Name: "S", Required: short}}},
		{id: "save as", words: "Save as", glyph: look.KeepAs, say: "Ctrl+Shift+S", can: always, do: w.saveAs,
			keys: []key.Filter{{Name: "S", Required: short | key.ModShift}}},
		{id: "undo", words: "Undo", glyph: look.Undo, say: "Ctrl+Z", do: w.undo,
			can:  func() bool { _, ok := w.doc.CanUndo(); return ok || w.doc.Dragging() },
			keys: []key.Filter{{Name: "Z", Required: short}}},
		{id: "redo", words: "Redo", glyph: look.Redo, say: "Ctrl+Shift+Z", do: w.redo,
			can:  func() bool { _, ok := w.doc.CanRedo(); return ok },
			keys: []key.Filter{{Name: "Z", Required: short | key.ModShift}, {Name: "Y", Required: short}}},
		{id: "export", words: "Table for the firmware", glyph: look.Paper, say: "Ctrl+E", can: always, do: w.export,
			keys: []key.Filter{{Name: "E", Required: short}}, more: "export walk gait moves controller pulses code csv avr"},
		{id: "weigh", words: "Weigh", glyph: look.Scales, say: "W", can: always, do: w.weigh, plain: true,
			keys: []key.Filter{{Name: "W"}}},
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
		{id: "live", words: "Walk live", say: "L", can: always, do: w.toggleLive, plain: true,
			keys: []key.Filter{{Name: "L"}}},
		{id: "changes", words: "Try every change", say: "T", can: always, do: w.every, plain: true,
			keys: []key.Filter{{Name: "T"}}},
	}
	for i := range all {
		switch all[i].id {
		case "save", "save as", "fit", "live":
		case "play", "step on", "step back", "start", "end", "changes":
			all[i].mode = offLive
		default:
			all[i].mode = onFile
		}
	}
	all = append(all, w.moreActions()...)
	all = append(append(all, w.compareActions()...), w.standActions()...)
	all = append(all, w.sheetActions()...)
	return append(append(all, w.liveActions()...), w.trialActions()...)
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
	do := func(a *action) {
		if w.able(a) {
			a.do()
			gtx.Execute(op.InvalidateCmd{}) // this frame is drawn already
		}
	}
	after := w.after
	w.after = nil
	for _, a := range after {
		do(a)
	}
	for i := range w.acts {
		a := &w.acts[i]
		if !w.heeds(a) {
			continue
		}
		for range a.pressed(gtx, w.typing(gtx)) {
			do(a)
		}
	}
}

// typed tells whether one of the action's keys belongs to a field for text that
// has the keys.
func (a *action) typed(k key.Name) bool {
	return a.plain && (len(k) < 2 || k[0] != 'F') // F1 is no letter
}

// pressed takes the presses of the action's keys and counts them, without those
// that are a field's while somebody is typing.
func (a *action) pressed(gtx layout.Context, typing bool) (n int) {
	for _, k := range a.keys {
		if typing && a.typed(k.Name) {
			continue
		}
		for {
			ev, ok := gtx.Event(k)
			if !ok {
				break
			}
			if e, ok := ev.(key.Event); ok && e.State == key.Press {
				n++
			}
		}
	}
	return n
}

// leaveField takes the shortcuts while a field for text has the keys: the
// field is left first, so that what was typed counts, and the action follows
// in the next frame. Undo would otherwise only undo letters, and Save save the
// old number.
func (w *Workbench) leaveField(gtx layout.Context) {
	if !w.typing(gtx) {
		return
	}
	for i := range w.acts {
		a := &w.acts[i]
		for range a.pressed(gtx, true) {
			w.after = append(w.after, a)
			gtx.Execute(key.FocusCmd{})
			gtx.Execute(op.InvalidateCmd{})
		}
	}
}

func (w *Workbench) undo() {
	what, ok := w.doc.CanUndo()
	if w.doc.Dragging() {
		what, ok = "the drag under way", true
	}
	w.travel(w.doc.Undo, "Undone: ", what, ok)
}

func (w *Workbench) redo() {
	what, ok := w.doc.CanRedo()
	w.travel(w.doc.Redo, "Done again: ", what, ok)
}

// travel goes back or forth by a step and says which.
func (w *Workbench) travel(do func(), how, what string, ok bool) {
	if w.doc.Showing() || !ok {
		return
	}
	do()
	w.at.Tidy(w.doc)
	if n := &w.notice; n.holds == nil || !n.holds() { // what still holds stays to be read
		n.say(how + what)
	}
}

func (w *Workbench) toggleStand() {
	on := !w.doc.OnStand()
	w.doc.SetOnStand(on)
	if !on {
		w.at.Held = nil
	}
	w.view.Fit()
}
