// SPDX-License-Identifier: MIT

//go:build !headless

package sequence

import (
	"flag"
	"image"
	"path/filepath"
	"testing"
	"time"

	"gioui.org/io/key"
	"gioui.org/io/pointer"

	"gaitwright/app/drive"
	"gaitwright/app/snapshot"
	"gaitwright/assets"
	"gaitwright/motion/workfile"
)

var update = drive.UpdateFlag(flag.CommandLine)

// A walk, a move and an empty sequence, in all sizes.
func TestPictures(t *testing.T) {
	for _, c := range []struct {
		name  string
		size  image.Point
		scale float32
		dark  bool
		entry int
		empty bool
		do    func(r *rig)
	}{
		{"walk-dark", usual, 1, true, 1, false, nil},
		{"move-small-light", small, 1, false, 3, false, nil},
		{"walk-light-2x", usual, 2, false, 1, false, nil},
		{"carried-light", usual, 1, false, 4, false, func(r *rig) { // on its way, with the button down
			ev := pointer.Event{Kind: pointer.Press, Source: pointer.Mouse, Buttons: pointer.ButtonPrimary, Position: r.Centre("entry 5, recover"), Time: time.Hour}
			r.Queue(ev)
			r.Frame()
			for range 6 {
				ev.Kind, ev.Position.Y = pointer.Move, ev.Position.Y-14
				r.Queue(ev)
				r.Frame()
			}
		}},
		{"refused-small-dark", small, 1, true, 2, false, func(r *rig) {
			r.Click("entry 3, change")
			r.Settle()
			r.Press(key.NameUpArrow, key.ModAlt)
		}},
		{"empty-dark", usual, 1, true, 0, true, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := openAt(t, assets.Demo, c.size, c.scale)
			r.th.SetDark(c.dark)
			if c.empty {
				if err := r.doc.Change("nothing", func(f *workfile.File) { f.Sequence = nil }); err != nil {
					t.Fatal(err)
				}
			} else {
				r.at.GoTo(r.doc, r.doc.Result().Trajectory.Parts[c.entry].From)
			}
			r.Settle()
			if c.do != nil {
				c.do(r)
				r.Settle()
			}
			img, err := snapshot.Draw(r.Size, r.Ops())
			if err != nil {
				t.Fatal(err)
			}
			drive.Golden(t, filepath.Join("testdata", c.name+".png"), img, *update)
		})
	}
}
