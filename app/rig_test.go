// SPDX-License-Identifier: MIT

package app

import (
	"image"
	"testing"

	"gaitwright/app/drive"
)

// rig is a window under test.
type rig struct {
	*drive.Tester
	*Workbench
}

// normal is the size that the window opens with, dp.
var normal = image.Pt(1280, 800)

func open(t testing.TB, text []byte) *rig { t.Helper(); return openWith(t, Config{Name: "demo", Text: text}, normal, 1) }

func openWith(t testing.TB, c Config, size image.Point, scale float32) *rig {
	t.Helper()
	w, err := New(c)
	if err != nil {
		t.Fatal(err)
	}
	return &rig{drive.For(t, drive.NewScaled(size, scale, w.Layout)), w}
}
