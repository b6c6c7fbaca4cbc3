// SPDX-License-Identifier: MIT

package document

import (
	"bytes"

	"gaitwright/motion/workfile"
)

// Base is the text as it was last read or saved: what the file on the disk
// says, unless somebody else wrote it since. Read only.
func (d *Document) Base() []byte { return d.text }

// Saved is the file that Base says. Read only.
func (d *Document) Saved() *workfile.File { return d.saved }

// Rebase takes a text that somebody else wrote to the file's place: it is the
// new Base, with its comments, and theirs is the file that it says. The document
// becomes next, as one undo step where that differs from what it was. What
// cannot be played is refused, and nothing changes then.
func (d *Document) Rebase(label string, next, theirs *workfile.File, text []byte) error {
	if d.refuses() {
		return d.err
	}
	d.Drop()
	if !next.Equal(d.file) {
		if d.err = d.rehearse(next, 0); d.err != nil {
			return d.err
		}
		d.push(label, d.file, next)
		d.file = next
	}
	d.text, d.saved = bytes.Clone(text), theirs
	return nil
}
