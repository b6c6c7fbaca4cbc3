// SPDX-License-Identifier: MIT

package app

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"

	"gioui.org/layout"

	"gaitwright/app/watch"
	"gaitwright/motion/diskfile"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/merge"
)

// hearOutside takes news of the file on the disk, once the person's hands and
// the card are free.
func (w *Workbench) hearOutside(gtx layout.Context) {
	if w.modal.kind == tellModal && w.modal.outside {
		w.hearRepair()
	}
	if w.modal.open() || w.doc.Dragging() || w.doc.Showing() || w.typing(gtx) {
		return
	}
	n, ok := w.watch.News()
	switch {
	case !ok:
	case n.Gone || n.Err != nil:
		w.tellGone(n)
	case bytes.Equal(n.Text, w.doc.Base()):
	default:
		w.meet(n.Text, nil)
	}
}

// hearRepair takes the card away that says that the file on the disk cannot be
// read, once it was written again; what is in it then is heard as ever.
func (w *Workbench) hearRepair() {
	n, ok := w.watch.News()
	if !ok {
		return
	}
	w.modal.close()
	if n.Gone || n.Err != nil {
		w.tellGone(n)
		return
	}
	if !bytes.Equal(n.Text, w.doc.Base()) {
		w.meet(n.Text, nil) // says so again where it still cannot be read
		return
	}
	w.notice.say(w.Name() + " on the disk is as it was")
}

// tellGone says that the file is not there, or cannot be got at.
func (w *Workbench) tellGone(n watch.News) {
	if n.Gone {
		w.notice.fail(fmt.Errorf("%s is not on the disk any more; what is open here stays, and Save makes the file anew", w.Name()))
		return
	}
	w.notice.fail(fmt.Errorf("%s on the disk was changed and cannot be read: %w", w.Name(), n.Err))
}

// meet brings the open file and what somebody else wrote together: taken over
// where that is free of doubt, else the person is asked. then runs once it is
// done; nil for nothing.
func (w *Workbench) meet(text []byte, then func()) {
	if then == nil {
		then = func() {}
	}
	name := w.Name()
	theirs, err := workfile.Read(filepath.Base(w.doc.Path), text)
	if err != nil {
		w.modal.tell(name+" was changed outside and cannot be read", lines(err.Error())+"\n\nWhat is open here stays as it is. This goes away once the file can be read again.")
		w.modal.outside = true
		return
	}
	base, ours := w.doc.Saved(), w.doc.Own()
	if !w.doc.Dirty() {
		all := merge.Diff(ours, theirs)
		if err := w.doc.Rebase("take over the changed file", theirs, theirs, text); err != nil {
			w.modal.tell(name+" was changed outside and cannot be played", lines(err.Error())+"\n\nWhat is open here stays as it is.")
			return
		}
		w.at.Tidy(w.doc)
		switch len(all) {
		case 0:
			w.notice.say(name + " was changed outside in its comments or layout alone; they are taken over")
		case 1:
			w.notice.say(name + " was changed outside, and taken over: " + onScreen(all[0].String()))
		default:
			w.notice.say(fmt.Sprintf("%s was changed outside, and taken over with %d differences; Undo takes them back", name, len(all)))
		}
		then()
		return
	}
	r := merge.Join(base, ours, theirs, merge.Ours)
	if r.Free() {
		all := merge.Diff(ours, r.File)
		if err := w.doc.Rebase("join with the changed file", r.File, theirs, text); err == nil {
			w.at.Tidy(w.doc)
			w.notice.say(fmt.Sprintf("%s was changed outside; joined with yours", name))
			if len(all) > 0 {
				w.modal.put(w, question{
					title:   name + " was changed outside",
					text:    "Nothing of it touches what you changed. As one step that Undo takes back, this was taken over:",
					list:    differences(all),
					answers: []answer{{"Go on", then}},
				})
				return
			}
			then()
			return
		} else {
			r.Clash = err
		}
	}
	w.askConflict(text, theirs, &r, then)
}

// askConflict asks what is to hold where both sides changed the same.
func (w *Workbench) askConflict(text []byte, theirs *workfile.File, r *merge.Result, then func()) {
	take := func(side merge.Side) func() {
		return func() {
			ours := w.doc.Own()
			whole := ours
			if side == merge.Theirs {
				whole = theirs
			}
			j := merge.Join(w.doc.Saved(), ours, theirs, side)
			err := w.doc.Rebase("join with the changed file", j.File, theirs, text)
			if err != nil { // what is joined cannot be played
				err = w.doc.Rebase("join with the changed file", whole, theirs, text)
			}
			if err != nil {
				w.modal.tell("That cannot be played", lines(err.Error())+"\n\nNothing was changed; saving asks again.")
				return
			}
			w.at.Tidy(w.doc)
			w.notice.say("Joined with the changed file; Undo takes it back")
			then()
		}
	}
	q := question{
		title: w.Name() + " was changed outside, and here as well",
		main:  2,
		answers: []answer{
			{"Take the file's", take(merge.Theirs)},
			{"Keep mine", take(merge.Ours)},
			{"Decide later", nil},
		},
	}
	if len(r.Conflicts) == 0 {
		q.text = "The two cannot be joined: " + lines(r.Clash.Error()) + "\nOne of them holds as a whole, the other is gone. Until you decide, saving asks again."
	} else {
		rest := len(merge.Diff(w.doc.Saved(), theirs)) - len(r.Conflicts)
		q.text = "Both changed this. What only one of them changed holds in any case."
		if rest <= 0 {
			q.text = "Both changed this."
		}
		if r.Clash != nil {
			q.text = "Both changed this. The rest cannot be joined either: one of the two holds as a whole."
		}
		q.text += " Until you decide, saving asks again."
		or := func(s string) string {
			if s == "" {
				return "not there"
			}
			return s
		}
		for _, c := range r.Conflicts {
			q.list = append(q.list, listed{c.Path, []string{"was " + or(c.Base), "here " + or(c.Ours), "in the file " + or(c.Theirs)}})
		}
	}
	w.modal.put(w, q)
}

// mayOverwrite tells whether the open file may be written over what is on the disk:
// that is what it was read from. If not, it asks, and goes on with then after
// the answer.
func (w *Workbench) mayOverwrite(then func()) bool {
	text, err := diskfile.Load(w.doc.Path, workfile.MaxSize)
	name := w.Name()
	switch {
	case errors.Is(err, fs.ErrNotExist):
		w.modal.put(w, question{
			title: name + " is not on the disk any more", text: "Somebody moved or deleted it. Saving makes it anew at " + w.doc.Path + ".", main: 1,
			answers: []answer{{"Go back", nil}, {"Save it anew", then}},
		})
		return false
	case err != nil:
		return true // the write says what is wrong, with the way out
	case bytes.Equal(text, w.doc.Base()):
		return true
	}
	if _, err := workfile.Read(filepath.Base(w.doc.Path), text); err != nil {
		w.modal.put(w, question{
			title: name + " was changed outside and cannot be read", main: 1,
			text: lines(err.Error()) + "\n\nSaving puts what is open here in its place; Save as keeps both.",
			answers: []answer{
				{"Overwrite it", then},
				{"Save as", w.saveAs},
				{"Go back", nil},
			},
		})
		return false
	}
	w.meet(text, then)
	return false
}
