// SPDX-License-Identifier: MIT

package app

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"gaitwright/app/finder"
	"gaitwright/app/recovery"
	"gaitwright/app/settings"
	"gaitwright/motion/diskfile"
	"gaitwright/motion/workfile"
)

// baseName is a file's name without its folder.
func baseName(path string) string { return filepath.Base(path) }

// recentFiles are the files that were open last, without the one that is open.
func (w *Workbench) recentFiles() []string {
	var all []string
	for _, p := range w.prefs.Recent.List() {
		if !sameFile(p, w.doc.Path) {
			all = append(all, p)
		}
	}
	return all
}

// recentItems are those files, to be found and opened.
func (w *Workbench) recentItems() []finder.Item {
	var items []finder.Item
	for _, p := range w.recentFiles() {
		items = append(items, finder.Item{Kind: "file", Name: baseName(p), More: "open recent workfile", Hint: "Open " + p + ".",
			Do: func() { w.openRecent(p) }})
	}
	return items
}

// findRecent opens the search on the recent files alone.
func (w *Workbench) findRecent() {
	w.modal.kind = findModal
	w.modal.card.Open(w.modal.finder.Open(w.recentItems()))
}

// openRecent opens one of them; unsaved work is asked about before.
func (w *Workbench) openRecent(path string) {
	w.doc.Drop()
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		w.prefer(func(s *settings.Settings) { s.Recent = s.Recent.Without(path) })
	}
	if w.doc.Dirty() {
		w.modal.ask(w, "Open another file without saving?", "There are changes in "+w.Name()+" that are not saved.", func() { w.openPath(path) })
		return
	}
	w.openPath(path)
}

// lookEarlier lets the files of earlier windows be looked at for unsaved work,
// when the window opens on none of them.
func (w *Workbench) lookEarlier() {
	if w.doc.Path != "" || w.cfg.Keep.Token == "" {
		return
	}
	w.earlier = w.recentFiles()
	if !w.modal.open() {
		w.offerEarlier()
	}
}

// offerEarlier asks about the next of those files that has unsaved work.
func (w *Workbench) offerEarlier() {
	for len(w.earlier) > 0 {
		path := w.earlier[0]
		w.earlier = w.earlier[1:]
		p := w.cfg.Keep
		p.Path, p.Name = path, baseName(path)
		for _, f := range recovery.Find(p) {
			if f.Copy == nil {
				continue // opening the file tells of it
			}
			kept, err := workfile.Read(baseName(path), f.Copy.Text)
			if err != nil {
				continue
			}
			now, err := diskfile.Load(path, workfile.MaxSize)
			gone := errors.Is(err, fs.ErrNotExist)
			if file, err := workfile.Read(baseName(path), now); !gone && err == nil && file.Equal(kept) {
				continue // saved after all
			}
			w.askEarlier(path, &f, kept, gone)
			return
		}
	}
}

// askEarlier asks whether to open a file with unsaved work.
func (w *Workbench) askEarlier(path string, f *recovery.Found, kept *workfile.File, gone bool) {
	name := baseName(path)
	text := "They are from " + clock(f.Copy.At, w.now()) + ". Opening the file shows what they change; nothing is taken over before you say so."
	do := func() {
		w.earlier = nil
		w.openPath(path)
	}
	if gone {
		text = "They are from " + clock(f.Copy.At, w.now()) + ". The file itself is not on the disk any more: opening them makes a robot that is to be saved anew."
		do = func() {
			w.earlier = nil
			c := *f.Copy
			c.Name = name
			f.Copy = &c
			w.useFresh(f, kept)
		}
	}
	w.modal.put(w, question{
		title: name + " has changes that were not saved", text: text, main: 1,
		answers: []answer{
			{"Not now", w.offerEarlier},
			{"Open " + name, do},
		},
	})
}

// clock writes when something was: the hour alone when it was today.
func clock(at, now time.Time) string {
	at, now = at.Local(), now.Local()
	if at.YearDay() == now.YearDay() && at.Year() == now.Year() {
		return at.Format("15:04")
	}
	return at.Format("15:04 on 2 January 2006")
}

// quit ends the program, after a question where something is unsaved.
func (w *Workbench) quit() {
	if w.MayClose() {
		w.closing = true
	}
}
