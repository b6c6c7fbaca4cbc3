// SPDX-License-Identifier: MIT

//go:build headless

package main

import (
	"errors"
	"image"
)

var errHeadless = errors.New("this build has no window; build without -tags headless")

// openWindow says that there is none.
func openWindow(string, []byte, *env) error { return errHeadless }

// drawPicture says that there is nothing to draw.
func drawPicture(string, []byte, float64, image.Point) (image.Image, error) { return nil, errHeadless }
