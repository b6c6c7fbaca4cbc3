// SPDX-License-Identifier: MIT

// Package recovery keeps unsaved work on the disk while somebody edits, so that
// an end without saving costs at most the last second: a [Keeper] writes a copy
// beside the workfile in the background, and [Find] gives what earlier windows
// left.
//
// A copy is called .NAME.TOKEN.unsaved, with a token that each window has of its
// own: two windows on one file never write the same copy. The token of a window
// that runs is locked in the cache folder; its copy is nobody's to find. The
// system lets go of the lock when the window's process ends, however it ends.
//
// Text that is no file yet, and that of a folder which cannot be written, is
// kept in the cache folder.
package recovery
