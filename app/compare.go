// SPDX-License-Identifier: MIT

package app

import (
	"errors"
	"fmt"

	"gioui.org/io/key"

	"gaitwright/app/compare"
	"gaitwright/app/document"
	"gaitwright/app/look"
	"gaitwright/app/robotview"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/workfile"
)

// comparing is what the window has to compare the file with: snapshots, one of
// which may show in the file's place or lie over what shows.
type comparing struct {
	list  compare.List
	open  bool // the comparison stands in place of the findings
	over  bool // the snapshot lies over what shows
	shows *compare.Snapshot
	own   *rehearsal.Rehearsal // the file's, while a snapshot shows
	rest  document.Place       // where the person looked before

	panel comparePanel
}

// name is how a snapshot is called.
func snapshotName(s *compare.Snapshot) string { return fmt.Sprintf("snapshot %d", s.Number) }

// snapshotShows tells whether a snapshot shows in place of the file.
func (w *Workbench) snapshotShows() bool { return w.versus.shows != nil }

// keepSnapshot keeps the file as it is now.
func (w *Workbench) keepSnapshot() {
	w.doc.Drop()
	if w.doc.Coarse() { // the last change could not be played in full
		w.notice.fail(errors.New("the motion is not sampled in full: undo what was not taken first"))
		return
	}
	label := "as it was opened"
	if what, ok := w.doc.CanUndo(); ok {
		label = "after “" + what + "”"
	}
	s, err := w.versus.list.Keep(w.doc.Own().Clone(), w.doc.Result(), w.doc.OnStand(), label)
	if err != nil {
		w.notice.fail(err)
		return
	}
	w.versus.open = true
	w.notice.say(fmt.Sprintf("Kept %s. Edit on; C flips between the two.", snapshotName(s)))
}

// flip shows the chosen snapshot in place of the file, at the same time, or
// the file again.
func (w *Workbench) flip() {
	if w.snapshotShows() {
		w.endFlip()
		return
	}
	s := w.versus.list.Chosen()
	if s == nil || w.doc.Showing() {
		return
	}
	w.doc.Drop()
	r, err := s.Result(w.doc.OnStand())
	if err != nil {
		w.notice.fail(err)
		return
	}
	c := &w.versus
	c.shows, c.own, c.rest = s, w.doc.Result(), w.at
	w.at.Finding = -1
	w.doc.ShowAs(s.File, r)
	w.at.Tidy(w.doc)
}

// endFlip shows the file again, at the time at which the person looks now.
func (w *Workbench) endFlip() {
	c := &w.versus
	if c.shows == nil {
		return
	}
	now := w.at
	w.doc.Show(nil)
	w.at = c.rest
	w.at.Time, w.at.Playing, w.at.Loop, w.at.Speed, w.at.Leg = now.Time, now.Playing, now.Loop, now.Speed, now.Leg
	c.shows, c.own = nil, nil
	w.at.Tidy(w.doc)
}

// takeSnapshot makes the chosen snapshot the file again, as one change.
func (w *Workbench) takeSnapshot() {
	s := w.versus.list.Chosen()
	if s == nil {
		return
	}
	w.endFlip()
	if w.doc.Own().Equal(s.File) {
		w.notice.say("The file is " + snapshotName(s) + " already.")
		return
	}
	if w.doc.Change(snapshotName(s)+" again", func(f *workfile.File) { *f = *s.File.Clone() }) == nil {
		w.at.Tidy(w.doc)
		w.notice.say("The file is " + snapshotName(s) + " again. Undo takes that back.")
	}
}

// forgetSnapshot drops the chosen snapshot.
func (w *Workbench) forgetSnapshot() {
	w.endFlip()
	w.versus.list.Forget()
	if w.versus.list.Chosen() == nil {
		w.versus.open, w.versus.over = false, false
	}
}

// openCompare shows the comparison in place of the findings, or the findings
// again: then nothing of a snapshot stays over what shows.
func (w *Workbench) openCompare() {
	c := &w.versus
	if c.open = !c.open; !c.open {
		w.endFlip()
		c.over = false
	}
}

// layOver draws the other motion over the one that shows: the snapshot over
// the file, or the file over the snapshot.
func (w *Workbench) layOver() {
	c := &w.versus
	var r *rehearsal.Rehearsal
	name := ""
	if s := c.list.Chosen(); c.over && s != nil {
		switch {
		case c.shows != nil:
			r, name = c.own, "the file"
		case !w.doc.Showing():
			var err error
			if r, err = s.Result(w.doc.OnStand()); err != nil {
				w.notice.fail(err)
				c.over = false
			}
			name = snapshotName(s)
		}
	}
	w.view.Over = robotview.Over{Of: r, Name: name}
	w.strips.Overlay(r, name)
}

// compareActions are what a person can do to compare.
func (w *Workbench) compareActions() []action {
	has := func() bool { return w.versus.list.Chosen() != nil }
	return []action{
		{id: "keep", words: "Keep a snapshot", glyph: look.Plus, say: "K", do: w.keepSnapshot, plain: true, mode: onFile,
			can:   func() bool { return !w.versus.list.Full() },
			keys:  []key.Filter{{Name: "K"}},
			about: "Keep the file as it is now, to compare with it later", more: "version before after remember"},
		{id: "flip", words: "Flip between file and snapshot", say: "C", do: w.flip, plain: true, mode: offTrial,
			can: has, keys: []key.Filter{{Name: "C"}},
			about: "Show the chosen snapshot in place of the file at the same time, and the file again", more: "compare before after"},
		{id: "overlay", words: "Lay the snapshot over the file", say: "Shift+C", plain: true, mode: offTrial,
			can: has, do: func() { w.versus.over = !w.versus.over; w.versus.open = w.versus.open || w.versus.over },
			keys:  []key.Filter{{Name: "C", Required: key.ModShift}},
			about: "Draw the snapshot's robot, paths and curves thin and dashed over the file's", more: "compare ghost overlay"},
		{id: "compare", words: "Compare, or list the findings", mode: offTrial,
			can: has, do: w.openCompare,
			about: "What is different between the snapshot and the file, in place of the list of findings"},
		{id: "snapshot again", words: "Make the snapshot the file again", mode: offTrial,
			can: has, do: w.takeSnapshot,
			about: "Put the chosen snapshot back into the file; undo takes it back", more: "restore revert"},
		{id: "forget", words: "Forget the snapshot", mode: offTrial, can: has, do: w.forgetSnapshot,
			about: "Drop the chosen snapshot; the file stays as it is", more: "delete"},
		{id: "end flip", words: "Back to the file", glyph: look.Close, say: "Esc", can: always, do: w.endFlip, plain: true, mode: whileFlipped,
			keys:  []key.Filter{{Name: key.NameEscape}},
			about: "Show the file again in place of the snapshot"},
	}
}
