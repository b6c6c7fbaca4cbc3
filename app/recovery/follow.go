// SPDX-License-Identifier: MIT

package recovery

import (
	"gaitwright/app/document"
	"gaitwright/motion/workfile"
)

// Follower lets a keeper keep what a document has unsaved. The zero value
// follows with no keeper and keeps nothing.
type Follower struct {
	Keeper *Keeper
	file   *workfile.File
	saved  *workfile.File
}

// Look is called after whatever may have changed the document, such as at the
// end of each frame. It costs next to nothing when nothing has. A drag is kept
// once it is dropped.
func (f *Follower) Look(d *document.Document) {
	if f.Keeper == nil || d.Dragging() || d.Own() == f.file && d.Saved() == f.saved {
		return
	}
	f.file, f.saved = d.Own(), d.Saved()
	if d.Dirty() {
		f.Keeper.Note(d.Own(), d.Base())
	} else {
		f.Keeper.Clear()
	}
}

// Save saves the document to path so that an end at any instant loses nothing:
// the copy has the new text before the file gets it, and goes after that.
func (f *Follower) Save(d *document.Document, path string) error {
	d.Drop()
	if f.Keeper != nil {
		text, err := d.Text()
		if err != nil {
			return err
		}
		f.Keeper.Flush(text, d.Base())
	}
	err := d.Save(path)
	f.file = nil // the copy was written
	f.Look(d)
	return err
}

// Now keeps what is unsaved before it returns.
func (f *Follower) Now(d *document.Document) {
	if f.Keeper == nil || !d.Dirty() {
		return
	}
	if text, err := d.Text(); err == nil {
		f.Keeper.Flush(text, d.Base())
	}
	f.file, f.saved = d.Own(), d.Saved()
}
