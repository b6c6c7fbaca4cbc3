// SPDX-License-Identifier: MIT

package document

import "gaitwright/motion/workfile"

// Fresh opens a file that was made here and is on no disk yet: there is
// something to save from the start.
func Fresh(f *workfile.File) (*Document, error) {
	text, err := f.Encode()
	if err != nil {
		return nil, err
	}
	d, err := Open("", f.Robot.Name, text)
	if err != nil {
		return nil, err
	}
	d.saved = new(workfile.File)
	return d, nil
}
