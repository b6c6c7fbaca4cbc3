// SPDX-License-Identifier: MIT

package app

import (
	"fmt"
	"path/filepath"
	"time"

	"gaitwright/app/document"
	"gaitwright/app/recovery"
	"gaitwright/app/watch"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/merge"
)

// attach lets unsaved work of the open file be kept, and the file on the disk
// be watched. What was open before is left: it was saved, or the person let it
// go.
func (w *Workbench) attach() {
	w.keep.Keeper.Close()
	w.watch.Stop()
	w.keep, w.watch = recovery.Follower{}, nil
	if w.cfg.Keep.Token != "" {
		w.keep.Keeper = recovery.New(w.keepPlace(), recovery.Options{Now: w.cfg.Now, Wake: w.cfg.Wake})
	}
	if w.cfg.Watch > 0 && w.doc.Path != "" {
		w.watch = watch.New(w.doc.Path, w.doc.Base(), workfile.MaxSize, w.cfg.Watch, w.cfg.Wake)
	}
}

// keepPlace says where unsaved work of the open file is kept.
func (w *Workbench) keepPlace() recovery.Place {
	p := w.cfg.Keep
	p.Path, p.Name = w.doc.Path, w.Name()
	return p
}

// now is the time by the clock that was passed in.
func (w *Workbench) now() time.Time {
	if w.cfg.Now != nil {
		return w.cfg.Now()
	}
	return time.Now()
}

// keepWork is called at the end of each frame.
func (w *Workbench) keepWork() {
	w.keep.Look(w.doc)
	if err := w.keep.Keeper.Err(); err != nil {
		w.notice.fail(err)
	}
}

// offer looks for work that earlier windows left unsaved.
func (w *Workbench) offer() {
	if w.cfg.Keep.Token == "" {
		return
	}
	p := w.keepPlace()
	recovery.Tidy(p, w.now())
	w.found = recovery.Find(p)
	w.offerNext()
}

// offerNext asks about the next one of what was found.
func (w *Workbench) offerNext() {
	for len(w.found) > 0 {
		f := w.found[0]
		w.found = w.found[1:]
		var kept *workfile.File
		err := f.Err
		if err == nil {
			kept, err = workfile.Read(filepath.Base(f.Path), f.Copy.Text)
		}
		switch {
		case err != nil:
			w.offerDamaged(&f, err)
			return
		case kept.Equal(w.doc.Own()): // saved after all
			if err := f.Discard(); err != nil {
				w.notice.fail(err)
			}
			continue
		}
		w.offerKept(&f, kept)
		return
	}
	w.offerEarlier()
}

// offerDamaged tells of a copy that is of no use; the file is open all the same.
func (w *Workbench) offerDamaged(f *recovery.Found, err error) {
	w.modal.put(w, question{
		title: "Kept changes of " + w.Name() + " cannot be read",
		text:  lines(f.Path + ": " + err.Error()),
		main:  1,
		answers: []answer{
			{"Delete them", func() { w.drop(f); w.offerNext() }},
			{"Leave them", w.offerNext},
		},
	})
}

func (w *Workbench) drop(f *recovery.Found) {
	if err := f.Discard(); err != nil {
		w.notice.fail(err)
	}
}

// offerKept shows in what a copy differs from what is open.
func (w *Workbench) offerKept(f *recovery.Found, kept *workfile.File) {
	c := f.Copy
	q := question{title: "Unsaved changes of " + w.Name() + " were kept", main: 2}
	when := c.At.Local().Format("15:04 on 2 January 2006")
	use, it := func() { w.useKept(f, kept) }, "them"
	if other := w.doc.Path == "" && c.Name != w.Name(); other {
		q.title = "A robot of yours was never saved"
		q.text = fmt.Sprintf("An earlier window ended without saving %s. It was kept as it was at %s.", c.Name, when)
		it = "it"
		use = func() { w.useFresh(f, kept) }
	} else {
		all := merge.Diff(w.doc.Own(), kept)
		q.text = fmt.Sprintf("An earlier window ended without saving them. They are from %s, and change this:", when)
		if c.Base != recovery.Hash(w.doc.Base()) {
			q.text = fmt.Sprintf("An earlier window ended without saving them. They are from %s, and the file was written after they were begun: using them takes that back where it differs. They change this:", when)
		}
		q.list = differences(all)
	}
	q.answers = []answer{
		{"Decide later", w.offerNext},
		{"Discard " + it, func() { w.drop(f); w.offerNext() }},
		{"Use " + it, use},
	}
	w.modal.put(w, q)
}

// useKept takes a copy as one change of what is open.
func (w *Workbench) useKept(f *recovery.Found, kept *workfile.File) {
	if err := w.doc.Change("use the kept changes", func(g *workfile.File) { *g = *kept.Clone() }); err != nil {
		w.modal.tell("The kept changes cannot be played", lines(err.Error())+"\nThey stay at "+f.Path+".")
		return
	}
	w.at.Tidy(w.doc)
	w.keep.Now(w.doc)
	w.drop(f)
	w.notice.say("The kept changes are back; Undo takes them away again")
	w.offerNext()
}

// useFresh opens a copy of a robot that was never saved.
func (w *Workbench) useFresh(f *recovery.Found, kept *workfile.File) {
	d, err := document.Fresh(kept)
	if err != nil {
		w.modal.tell("The kept robot cannot be played", lines(err.Error())+"\nIt stays at "+f.Path+".")
		return
	}
	rest := w.found
	w.cfg.Name = f.Copy.Name
	w.take(d)
	w.keep.Now(w.doc)
	w.drop(f)
	w.notice.say(f.Copy.Name + " is back; save it to have it in a file")
	w.found = rest
	w.offerNext()
}

// differences lists them for a question.
func differences(all []merge.Difference) []listed {
	out := make([]listed, len(all))
	for i, d := range all {
		out[i] = listed{text: d.String()}
	}
	return out
}

// Close ends the window's work in the background. What is unsaved stays kept for
// the next start, unless the person let it go.
func (w *Workbench) Close() {
	w.wire.Close() // a robot on the line is stopped
	w.watch.Stop()
	w.watch = nil
	w.doc.Drop()
	if w.closing || !w.doc.Dirty() {
		w.keep.Keeper.Close()
	} else {
		w.keep.Look(w.doc)
		w.keep.Keeper.Leave()
	}
	w.keep = recovery.Follower{}
}
