// SPDX-License-Identifier: MIT

//go:build !headless

package machine

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

// Each page as it opens on the demo, in the room that the window gives it.
func TestPictures(t *testing.T) {
	for _, dark := range []bool{false, true} {
		for page, name := range [...]string{"body", "leg", "servos", "channels"} {
			for i, s := range [...]struct {
				size  image.Point
				scale int
			}{{image.Pt(484, 380), 1}, {image.Pt(390, 340), 1}, {image.Pt(484, 380), 2}} {
				if dark != (i == 2) && i > 0 { // the small window in the light, twice the scale in the dark
					continue
				}
				file := fmt.Sprintf("%s-%s-%dx%d", name, map[bool]string{false: "light", true: "dark"}[dark], s.size.X*s.scale, s.size.Y*s.scale)
				t.Run(file, func(t *testing.T) {
					r := openAs(t, assets.Demo, page, dark, s.size.Mul(s.scale), float32(s.scale))
					shoot(t, r, file)
				})
			}
		}
	}
}

func shoot(t *testing.T, r *rig, name string) {
	t.Helper()
	img, err := snapshot.Draw(r.Size, r.Ops())
	if err != nil {
		t.Fatal(err)
	}
	drive.Golden(t, "testdata/"+name+".png", img, *update)
}
