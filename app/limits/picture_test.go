// SPDX-License-Identifier: MIT

//go:build !headless

package limits

import (
	"flag"
	"image"
	"path/filepath"
	"testing"

	"gioui.org/f32"

	"gaitwright/app/drive"
	"gaitwright/app/snapshot"
	"gaitwright/assets"
)

var update = drive.UpdateFlag(flag.CommandLine)

// The head and the end of the list, in all sizes.
func TestPictures(t *testing.T) {
	for _, c := range []struct {
		name  string
		size  image.Point
		scale float32
		dark  bool
		down  float32
	}{
		{"limits-dark", image.Pt(484, 346), 1, true, 0},
		{"supply-small-light", image.Pt(389, 302), 1, false, 5000},
		{"limits-light-2x", image.Pt(484, 346), 2, false, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := openAt(t, assets.Demo, c.size, c.scale)
			r.th.SetDark(c.dark)
			if c.down > 0 {
				r.Scroll(f32.Pt(100, 100), c.down, 0)
			}
			r.Settle()
			img, err := snapshot.Draw(r.Size, r.Ops())
			if err != nil {
				t.Fatal(err)
			}
			drive.Golden(t, filepath.Join("testdata", c.name+".png"), img, *update)
		})
	}
}
