// SPDX-License-Identifier: MIT

//go:build headless

package snapshot

import (
	"errors"
	"image"
	"testing"

	"gioui.org/op"
)

func TestSaysThatItDrawsNone(t *testing.T) {
	if img, err := Draw(image.Pt(10, 10), new(op.Ops)); img != nil || !errors.Is(err, ErrNoPictures) {
		t.Errorf("%v, %v", img, err)
	}
}
