// SPDX-License-Identifier: MIT

package app

import (
	"gaitwright/app/document"
	"gaitwright/app/recovery"
	"gaitwright/assets"
)

// setAside is the file that was open before the tour, as it was, with its
// history.
type setAside struct {
	doc    *document.Document
	name   string // where it is no file yet
	at     document.Place
	versus comparing
	page   int
}

// demoAside opens the demo and sets the open file aside. What is unsaved of it
// stays kept on the disk.
func (w *Workbench) demoAside() bool {
	d, err := document.Open("", assets.DemoName, assets.Demo)
	if err != nil {
		w.notice.fail(err)
		return false
	}
	w.doc.Drop()
	w.endLive()
	w.endTrial()
	if w.waiting == nil { // else a robot was begun meanwhile: the file is the older one
		w.waiting = &setAside{doc: w.doc, name: w.cfg.Name, at: w.at, versus: w.versus, page: w.shapes.Value}
		w.keep.Look(w.doc)
		w.keep.Keeper.Leave()
		w.keep = recovery.Follower{}
	}
	w.cfg.Name = assets.DemoName
	w.take(d)
	return true
}

// comeBack opens the file from before the tour again.
func (w *Workbench) comeBack() {
	if w.waiting == nil {
		return
	}
	// What was tried on the demo is of no further use; a file of one's own is.
	if w.doc.Dirty() && !w.onDemo() {
		w.modal.ask(w, "Go back without saving?", "There are changes in "+w.Name()+" that are not saved.", w.comeBackNow)
		return
	}
	w.comeBackNow()
}

// comeBackNow opens it, whatever is open.
func (w *Workbench) comeBackNow() {
	a := w.waiting
	if a == nil {
		return
	}
	w.waiting = nil
	w.tour.Leave()
	w.cfg.Name = a.name
	w.take(a.doc)
	w.keep.Now(w.doc)
	w.at, w.versus, w.shapes.Value = a.at, a.versus, a.page
	w.at.Tidy(w.doc)
	w.notice.say(w.Name() + " is open again, with its history")
}

// offerBack asks, once the tour is over, whether to go back to the file from
// before it.
func (w *Workbench) offerBack() {
	if w.waiting == nil {
		return
	}
	name := w.waiting.called()
	w.modal.put(w, question{
		title: "Go back to " + name + "?", main: 1,
		text: "It is as it was before the tour, with its history. Later, “Go back to the file from before the tour” in the search does it too.",
		answers: []answer{
			{"Stay on the demo", nil},
			{"Go back to " + name, w.comeBack},
		},
	})
}

// called is how a file set aside is called on screen.
func (a *setAside) called() string {
	if a.doc.Path != "" {
		return baseName(a.doc.Path)
	}
	return a.name
}
