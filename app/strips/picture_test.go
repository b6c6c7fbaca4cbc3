// SPDX-License-Identifier: MIT

//go:build !headless

package strips

import (
	"flag"
	"image"
	"path/filepath"
	"testing"

	"gaitwright/app/drive"
	"gaitwright/app/snapshot"
	"gaitwright/motion/workfile"
)

var update = drive.UpdateFlag(flag.CommandLine)

// The demo with servos and a supply too weak for it, the pointer on a leg.
func TestPictures(t *testing.T) {
	for _, c := range []struct {
		name  string
		dark  bool
		scale float32
	}{{"weak-light", false, 1}, {"weak-dark", true, 1}, {"weak-dark-2x", true, 2}} {
		t.Run(c.name, func(t *testing.T) {
			r := open(t, weak(t), c.scale, image.Pt(int(1000*c.scale), int(480*c.scale)))
			r.th.SetDark(c.dark)
			r.at.GoTo(r.doc, 9.56)
			r.Settle()
			s, _ := r.row("LF")
			r.MoveTo(r.point("LF", s.worst.at-0.4))
			r.Settle()
			picture(t, r, c.name)
		})
	}
}

// On ice: gaps that say why.
func TestGapPicture(t *testing.T) {
	r := open(t, slippery(t), 1, image.Pt(1000, 560))
	r.at.GoTo(r.doc, 3)
	for _, name := range []string{"LF", "RR"} {
		if !r.isOpen(name) {
			r.Click("strip " + name)
		}
	}
	r.MoveTo(r.point("LF", 6.2))
	r.Settle()
	picture(t, r, "gaps-light")
}

func picture(t *testing.T, r *rig, name string) {
	t.Helper()
	img, err := snapshot.Draw(r.Size, r.Ops())
	if err != nil {
		t.Fatal(err)
	}
	drive.Golden(t, filepath.Join("testdata", name+".png"), img, *update)
}

// The step-down reserve, and another motion's lines behind these.
func TestOverlayPicture(t *testing.T) {
	for name, dark := range map[string]bool{"overlay-light": false, "overlay-dark": true} {
		t.Run(name, func(t *testing.T) {
			r := open(t, demo, 1, image.Pt(1000, 640))
			r.th.SetDark(dark)
			r.panel.Overlay(another(t, r, func(f *workfile.File) {
				f.Robot.StandHeight -= 12
				f.Moves[0].Marks[0].At += 300
			}), "snapshot 1")
			r.at.GoTo(r.doc, 3)
			r.Click("strip " + stepDownName)
			r.Click("strip LF")
			r.MoveTo(r.point(stepDownName, 6.2))
			r.Settle()
			picture(t, r, name)
		})
	}
}

// Angles as drawn and as a robot reported them, in front of a snapshot's.
func TestAnglePictures(t *testing.T) {
	for _, c := range []struct {
		name  string
		dark  bool
		scale float32
		ghost bool
	}{{"angle-light", false, 1, true}, {"angle-dark", true, 1, false}, {"angle-dark-2x", true, 2, false}} {
		t.Run(c.name, func(t *testing.T) {
			r := open(t, demo, c.scale, sized(c.scale))
			r.th.SetDark(c.dark)
			if c.ghost {
				r.panel.Overlay(another(t, r, func(f *workfile.File) { f.Robot.StandHeight -= 12 }), "snapshot 1")
			}
			r.at.GoTo(r.doc, 3)
			played(t, r)
			r.Click("angle of each joint")
			r.Settle()
			r.panel.set("LF femur", true)
			r.Settle()
			r.MoveTo(r.point("LF femur", 6.6))
			r.Settle()
			picture(t, r, c.name)
		})
	}
}
