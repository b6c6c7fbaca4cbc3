// SPDX-License-Identifier: MIT

//go:build !headless

package control

import (
	"flag"
	"fmt"
	"image"
	"testing"

	"gioui.org/io/key"
	"gioui.org/layout"

	"gaitwright/app/draw"
	"gaitwright/app/drive"
	"gaitwright/app/look"
	"gaitwright/app/snapshot"
)

var update = drive.UpdateFlag(flag.CommandLine)

func TestPictures(t *testing.T) {
	for _, dark := range []bool{false, true} {
		for _, scale := range []int{1, 2} {
			name := fmt.Sprintf("gallery-%s-%dx", map[bool]string{false: "light", true: "dark"}[dark], scale)
			t.Run(name, func(t *testing.T) {
				g := newGallery(dark)
				d := drive.For(t, drive.NewScaled(image.Pt(860*scale, 660*scale), float32(scale), g.layout))
				d.Click("Coxa swing")
				d.Type("60")
				d.Press(key.NameReturn, 0)
				d.Settle()
				shoot(t, d, name)
			})
		}
	}
}

func TestCardPicture(t *testing.T) {
	for _, dark := range []bool{false, true} {
		name := map[bool]string{false: "card-light-1x", true: "card-dark-1x"}[dark]
		t.Run(name, func(t *testing.T) {
			g := newGallery(dark)
			d := drive.For(t, drive.New(image.Pt(640, 360), g.layout))
			g.modal.Open(g.save.Tag())
			d.Settle()
			shoot(t, d, name)
		})
	}
}

// An open menu, with one item that holds, one that cannot be taken, and a line.
func TestMenuPicture(t *testing.T) {
	for _, dark := range []bool{false, true} {
		for _, scale := range []int{1, 2} {
			name := fmt.Sprintf("menu-%s-%dx", map[bool]string{false: "light", true: "dark"}[dark], scale)
			t.Run(name, func(t *testing.T) {
				th := look.New(dark)
				var m Menu
				d := drive.For(t, drive.NewScaled(image.Pt(300*scale, 220*scale), float32(scale), func(gtx layout.Context) layout.Dimensions {
					draw.Rect(gtx.Ops, image.Rectangle{Max: gtx.Constraints.Max}, th.Panel)
					return look.Inset(3).Layout(gtx, Natural(Drop(th, &m, "Track",
						MenuItem{Text: "Mirror the track", Glyph: look.Mirror},
						MenuItem{Text: "Move the mirrored leg too", On: true},
						MenuItem{Text: "Copy to leg RF", Note: "has a track", Off: true, Apart: true},
						MenuItem{Text: "Copy to leg LM"},
					).Layout))
				}))
				d.Click("Track")
				d.Press(key.NameUpArrow, 0)
				d.Settle()
				shoot(t, d, name)
			})
		}
	}
}

func shoot(t *testing.T, d *drive.Tester, name string) {
	t.Helper()
	img, err := snapshot.Draw(d.Size, d.Ops())
	if err != nil {
		t.Fatal(err)
	}
	drive.Golden(t, "testdata/"+name+".png", img, *update)
}
