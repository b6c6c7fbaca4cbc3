// SPDX-License-Identifier: MIT

//go:build headless

package snapshot

import (
	"image"

	"gioui.org/op"
)

// Draw returns ErrNoPictures: this build has no renderer.
func Draw(image.Point, *op.Ops) (*image.RGBA, error) { return nil, ErrNoPictures }

// Canvas draws nothing in this build.
type Canvas struct{}

// Open returns ErrNoPictures.
func Open(image.Point) (*Canvas, error) { return nil, ErrNoPictures }

// Draw returns ErrNoPictures.
func (*Canvas) Draw(*op.Ops) (*image.RGBA, error) { return nil, ErrNoPictures }

// Close does nothing.
func (*Canvas) Close() {}
