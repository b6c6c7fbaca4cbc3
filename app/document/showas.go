// SPDX-License-Identifier: MIT

package document

import (
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/workfile"
)

// ShowAs is Show for the rehearsal of another file, which File then gives, so
// that all views agree. What is saved, undone and asked about at the end stays
// the document's own. Show(nil) ends it.
func (d *Document) ShowAs(f *workfile.File, r *rehearsal.Rehearsal) {
	d.Show(r)
	if r != nil {
		d.as = f
	}
}

// Own is the document's own file, whatever shows. Read only.
func (d *Document) Own() *workfile.File { return d.file }
