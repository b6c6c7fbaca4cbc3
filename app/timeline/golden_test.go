// SPDX-License-Identifier: MIT

package timeline

import (
	"flag"
	"image"
	"os"
	"path/filepath"
	"testing"

	"gaitwright/app/drive"
	"gaitwright/app/snapshot"
)

var update = drive.UpdateFlag(flag.CommandLine)

func TestMain(m *testing.M) {
	flag.Parse()
	os.Exit(m.Run())
}

// A walk that is pushed too fast, so that there is something to find.
func TestPictures(t *testing.T) {
	for _, dark := range []bool{false, true} {
		name := map[bool]string{false: "light", true: "dark"}[dark]
		t.Run(name, func(t *testing.T) {
			r := open(t, faulty(t), 1, image.Pt(1280, 190))
			r.th.SetDark(dark)
			r.at.Choose(r.doc, 3)
			r.at.GoTo(r.doc, 6.25)
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
