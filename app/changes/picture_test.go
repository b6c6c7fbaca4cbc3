// SPDX-License-Identifier: MIT

//go:build !headless

package changes

import (
	"flag"
	"path/filepath"
	"testing"

	"gioui.org/io/key"

	"gaitwright/app/drive"
	"gaitwright/app/snapshot"
)

var update = drive.UpdateFlag(flag.CommandLine)

// Every kind of cell, in a list longer than its room.
func TestPictures(t *testing.T) {
	for name, dark := range map[string]bool{"map-dark": true, "map-light": false} {
		t.Run(name, func(t *testing.T) {
			g := open(t, made(), dark)
			for range 7 {
				g.Press(key.NameDownArrow, 0)
			}
			for range 3 {
				g.Press(key.NameRightArrow, 0)
			}
			g.Settle()
			img, err := snapshot.Draw(g.Size, g.Ops())
			if err != nil {
				t.Fatal(err)
			}
			drive.Golden(t, filepath.Join("testdata", name+".png"), img, *update)
		})
	}
}
