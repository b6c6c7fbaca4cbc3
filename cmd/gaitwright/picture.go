// SPDX-License-Identifier: MIT

//go:build !headless

package main

import (
	"image"

	"gaitwright/app"
	"gaitwright/app/drive"
	"gaitwright/app/snapshot"
)

// drawPicture draws the window as it looks at a time (s), off screen. Twice
// the usual width or more is drawn at twice the scale.
func drawPicture(file string, src []byte, at float64, size image.Point) (image.Image, error) {
	bench, err := app.New(benchConfig(file, src, nil, nil))
	if err != nil {
		return nil, err
	}
	bench.Place().GoTo(bench.Document(), at)
	d := drive.NewScaled(size, pictureScale(size), bench.Layout)
	if err := d.Settle(); err != nil {
		return nil, err
	}
	return snapshot.Draw(size, d.Ops())
}

// pictureScale gives the pixels per unit for a picture of the given size: a
// window of about 1280 units of width, never below 1.
func pictureScale(size image.Point) float32 {
	return max(1, float32(size.X/1280))
}
