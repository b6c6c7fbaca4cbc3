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

// A robot's log over the rows: all of it, and some steps from near.
func TestMeasuredPictures(t *testing.T) {
	for _, c := range []struct {
		name     string
		dark     bool
		high     int
		scale    float32
		from, to float64
	}{
		{"measured-light", false, 235, 1, 0, 0},
		{"measured-dark", true, 190, 1, 0, 0},
		{"measured-near", true, 235, 1, 1.2, 3.6},
		{"measured-2x", false, 400, 2, 0.8, 5},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := open(t, demo, c.scale, image.Pt(int(1200*c.scale), c.high))
			r.th.SetDark(c.dark)
			played(t, r)
			if c.to > 0 {
				r.panel.window.set(c.from, c.to, r.doc.Result().Trajectory.Duration())
			}
			r.Settle()
			if s := r.stepSpots(1); len(s) > 0 {
				r.MoveTo(r.middle(s[len(s)/2]))
			}
			r.Settle()
			picture(t, r, c.name)
		})
	}
}
