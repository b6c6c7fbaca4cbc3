// SPDX-License-Identifier: MIT

// Package snapshot turns a drawing into a picture without a window, through
// the same renderer that a window uses.
//
//	d := drive.New(size, ui.Layout)
//	img, err := snapshot.Draw(d.Size, d.Ops())
//
// On Linux it needs cgo and the EGL and GLES libraries; a software rasteriser
// is enough. A build with the tag headless draws no pictures and says so.
package snapshot

import "errors"

// ErrNoPictures is what Draw returns in a build with the tag headless.
var ErrNoPictures = errors.New("snapshot: this build draws no pictures; build without the tag headless")

// largest is the longest side that the renderer takes, px: it panics beyond
// the size of a texture.
const largest = 8192
