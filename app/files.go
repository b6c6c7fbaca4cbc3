// SPDX-License-Identifier: MIT

package app

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"gaitwright/app/document"
	"gaitwright/app/filedialog"
	"gaitwright/motion/diskfile"
	"gaitwright/motion/workfile"
)

// tomlFiles is what workfiles are called.
var tomlFiles = filedialog.Filter{Name: "Workfiles", Ext: []string{".toml"}}

// reply is what the system's file dialog gave.
type reply struct {
	path string
	err  error
	then func(path string)
	own  func() // asks by our own dialog instead
}

// pick asks for a path, by the system's dialog where there is one that works,
// else by our own, and goes on with it.
func (w *Workbench) pick(save bool, suggested string, then func(path string)) {
	w.pickOf(save, suggested, tomlFiles, then)
}

// pickOf is pick for files of a kind.
func (w *Workbench) pickOf(save bool, suggested string, kind filedialog.Filter, then func(path string)) {
	own := func() { w.modal.files.begin(w, save, suggested, kind, then) }
	if w.cfg.Native == nil {
		own()
		return
	}
	native := w.cfg.Native
	go func() {
		var r reply
		if save {
			r.path, r.err = native.Save(context.Background(), suggested, kind)
		} else {
			r.path, r.err = native.Open(context.Background(), kind)
		}
		r.then, r.own = then, own
		w.answer <- r
		if w.cfg.Wake != nil {
			w.cfg.Wake()
		}
	}()
}

// collect takes what came from other goroutines since the last frame.
func (w *Workbench) collect() {
	select {
	case r := <-w.answer:
		switch {
		case errors.Is(r.err, filedialog.ErrDeclined):
		case r.err != nil:
			r.own()
		default:
			r.then(r.path)
		}
	default:
	}
}

func (w *Workbench) open() {
	w.doc.Drop()
	ask := func(then func()) {
		w.modal.ask(w, "Open another file without saving?", "There are changes in "+w.Name()+" that are not saved.", then)
	}
	choose := func() {
		was := w.doc.Own()
		w.pick(false, "", func(path string) {
			// The system's dialog leaves this window usable meanwhile.
			if w.doc.Drop(); w.doc.Own() != was && w.doc.Dirty() {
				ask(func() { w.openPath(path) })
				return
			}
			w.openPath(path)
		})
	}
	if w.doc.Dirty() {
		ask(choose)
		return
	}
	choose()
}

// openPath reads a workfile; the open one stays when that one is refused.
func (w *Workbench) openPath(path string) {
	text, err := diskfile.Load(path, workfile.MaxSize)
	if err != nil {
		w.notice.fail(fmt.Errorf("not opened: %w", err))
		return
	}
	d, err := document.Open(path, filepath.Base(path), text)
	if err != nil {
		w.modal.tell(filepath.Base(path)+" was not opened", lines(err.Error()))
		return
	}
	live := w.wire.Live()
	w.take(d)
	w.remember(path)
	w.notice.say("Opened " + path)
	if live {
		w.notice.say("The robot was stopped, its port closed, and " + path + " opened")
	}
	w.offer()
}

// mostLines is how many lines of a refusal are shown: the first ones are
// enough to begin with.
const mostLines = 14

// lines cuts a long text.
func lines(s string) string {
	all := strings.Split(s, "\n")
	if n := len(all) - mostLines; n > 0 {
		all = append(all[:mostLines], fmt.Sprintf("and %d more", n))
	}
	return strings.Join(all, "\n")
}

func (w *Workbench) save() { w.saveThen(nil) }

// saveThen saves, asks for a place before where there is none yet, and goes on
// with then once it is done.
func (w *Workbench) saveThen(then func()) {
	if w.doc.Path == "" {
		w.pickPlace(then)
		return
	}
	w.saveTo(w.doc.Path, then)
}

func (w *Workbench) saveAs() { w.pickPlace(nil) }

func (w *Workbench) pickPlace(then func()) {
	name := w.Name()
	if w.doc.Path == "" {
		name = "robot.toml"
	}
	w.pick(true, name, func(path string) { w.saveTo(path, then) })
}

// saveTo saves to a path. What somebody else wrote there since it was read is
// never overwritten unasked: that is looked at right before.
func (w *Workbench) saveTo(path string, then func()) {
	w.doc.Drop()
	if sameFile(path, w.doc.Path) && !w.mayOverwrite(func() { w.write(path, then) }) {
		return
	}
	w.write(path, then)
}

// write saves to a path, whatever is there.
func (w *Workbench) write(path string, then func()) {
	moved := path != w.doc.Path
	if err := w.keep.Save(w.doc, path); err != nil {
		w.notice.fail(err)
		return
	}
	if moved {
		w.attach()
	}
	w.watch.Known(w.doc.Base())
	w.remember(path)
	w.notice.say("Saved " + path)
	if then != nil {
		then()
	}
}

// sameFile tells whether two paths lead to one file.
func sameFile(a, b string) bool {
	if a == "" || b == "" || a == b {
		return a == b && a != ""
	}
	x, errX := os.Stat(a)
	y, errY := os.Stat(b)
	return errX == nil && errY == nil && os.SameFile(x, y)
}
