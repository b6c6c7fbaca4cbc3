// SPDX-License-Identifier: MIT

//go:build !headless

package app

import (
	"flag"
	"path/filepath"
	"testing"

	"gioui.org/io/key"

	"gaitwright/app/drive"
	"gaitwright/app/snapshot"
	"gaitwright/assets"
)

var update = drive.UpdateFlag(flag.CommandLine)

// shoot compares the window as it looks now with a picture in testdata.
func shoot(t *testing.T, r *rig, name string) {
	t.Helper()
	img, err := snapshot.Draw(r.Size, r.Ops())
	if err != nil {
		t.Fatal(err)
	}
	drive.Golden(t, filepath.Join("testdata", name+".png"), img, *update)
}

// The demo just before the strike ends.
func TestDemoPictures(t *testing.T) {
	for name, light := range map[string]bool{"demo-dark": false, "demo-light": true} {
		t.Run(name, func(t *testing.T) {
			r := openWith(t, Config{Name: "demo", Text: assets.Demo, Light: light}, normal, 1)
			r.at.GoTo(r.doc, 9.6)
			r.Settle()
			shoot(t, r, name)
		})
	}
}

// A faulty file at its finding: the verdict, the reason, the leg marked in the
// pose where it is wrong.
func TestFaultPicture(t *testing.T) {
	r := fault(t, "low-strike")
	r.goTo(0)
	r.Settle()
	shoot(t, r, "fault-dark")
}

// The card that makes a robot of four answers.
func TestNewRobotPicture(t *testing.T) {
	r := open(t, assets.Demo)
	r.Press("N", key.ModShortcut)
	r.made()
	r.Click("4")
	r.made()
	shoot(t, r, "new-robot-dark")
}
