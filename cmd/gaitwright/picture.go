// SPDX-License-Identifier: MIT

//go:build !headless

package main

import (
	"errors"
	"image"
)

// drawPicture draws the window as it looks at a time (s), off screen.
func drawPicture(file string, src []byte, at float64, size image.Point) (image.Image, error) {
	return nil, errors.New("pictures of the window are not part of this build yet; the other commands work")
}
