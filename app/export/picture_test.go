// SPDX-License-Identifier: MIT

//go:build !headless

package export

import (
	"flag"
	"fmt"
	"image"
	"testing"

	"gaitwright/app/drive"
	"gaitwright/app/snapshot"
	"gaitwright/assets"
)

var update = drive.UpdateFlag(flag.CommandLine)

// shoot compares the card with a picture. The folder, which is another one in
// each run, is written as one.
func shoot(t *testing.T, r *rig, name string) {
	t.Helper()
	r.card.folder.Value = "/home/ada/drummer/tables"
	r.wait()
	img, err := snapshot.Draw(r.Size, r.Ops())
	if err != nil {
		t.Fatal(err)
	}
	drive.Golden(t, "testdata/"+name+".png", img, *update)
}

// The card as it opens, and with everything open, in both looks and the sizes
// of a window.
func TestPictures(t *testing.T) {
	for _, s := range []struct {
		dark  bool
		size  image.Point
		scale int
	}{{true, image.Pt(1280, 800), 1}, {false, image.Pt(1024, 700), 1}, {false, image.Pt(1280, 800), 2}} {
		look := map[bool]string{true: "dark", false: "light"}[s.dark]
		size := s.size.Mul(s.scale)
		at := fmt.Sprintf("%s-%dx%d", look, size.X, size.Y)
		t.Run(at, func(t *testing.T) {
			r := openAs(t, assets.Demo, s.dark, size, float32(s.scale))
			shoot(t, r, "opens-"+at)
			if s.scale > 1 {
				return
			}
			r.choose("moves and walks", "More choices", "PWM counts", "Microcontroller")
			r.choose("ATmega328P")
			shoot(t, r, "does-not-fit-"+at)
		})
	}
}

// A motion that is forbidden.
func TestForbiddenPicture(t *testing.T) {
	text, err := assets.Faults.ReadFile("faults/pulse-range.toml")
	if err != nil {
		t.Fatal(err)
	}
	r := openAs(t, text, true, image.Pt(1280, 800), 1)
	shoot(t, r, "forbidden-dark")
}
