// SPDX-License-Identifier: MIT

//go:build headless

package snapshot

import (
	"image"

	"gioui.org/op"
)

// Draw returns ErrNoPictures: this build has no renderer.
func Draw(image.Point, *op.Ops) (*image.RGBA, error) { return nil, ErrNoPictures }
