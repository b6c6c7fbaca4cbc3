// SPDX-License-Identifier: MIT

// Package app is the window's contents: a document with undo, the robot view,
// the plates, the timeline and the findings. Nothing here computes mechanics;
// everything shown comes from the document's rehearsal. The package is pure
// Go and needs no display: cmd/gaitwright puts it into a window, tests drive
// it frame by frame.
package app
