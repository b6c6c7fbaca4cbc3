// SPDX-License-Identifier: MIT

//go:build !headless

package timeline

import (
	"flag"
	"image"
	"path/filepath"
	"testing"

	"gaitwright/app/drive"
	"gaitwright/app/snapshot"
)

var update = drive.UpdateFlag(flag.CommandLine)

// The demo with servos too slow for it, so that there is something to find,
// and one finding chosen.
func TestPictures(t *testing.T) {
	for _, dark := range []bool{false, true} {
		name := map[bool]string{false: "light", true: "dark"}[dark]
		t.Run(name, func(t *testing.T) {
			r := open(t, faulty(t), 1, image.Pt(1280, 190))
			r.th.SetDark(dark)
			r.panel.goToFinding(r.doc, &r.at, r.panel.derived.order[len(r.panel.derived.order)/2])
			r.Settle()
			picture(t, r, name)
		})
	}
}

func picture(t *testing.T, r *rig, name string) {
	t.Helper()
	img, err := snapshot.Draw(r.Size, r.Ops())
	if err != nil {
		t.Fatal(err)
	}
	drive.Golden(t, filepath.Join("testdata", name+".png"), img, *update)
}
