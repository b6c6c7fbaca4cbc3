// SPDX-License-Identifier: MIT

//go:build !headless

package walk

import (
	"flag"
	"image"
	"path/filepath"
	"testing"

	"gioui.org/layout"

	"gaitwright/app/control"
	"gaitwright/app/drive"
	"gaitwright/app/snapshot"
	"gaitwright/assets"
	"gaitwright/motion/workfile"
)

var update = drive.UpdateFlag(flag.CommandLine)

// The panel's room in the usual window and in a small one, dp.
var (
	usual = image.Pt(484, 346)
	small = image.Pt(389, 302)
)

// Every page, in all sizes.
func TestPictures(t *testing.T) {
	for _, c := range []struct {
		name  string
		text  []byte
		size  image.Point
		scale float32
		dark  bool
		page  int
		do    func(r *rig)
	}{
		{"gait-dark", assets.Demo, usual, 1, true, gaitPage, nil},
		{"gait-small-light", assets.Demo, small, 1, false, gaitPage, nil},
		{"trot-light-2x", assets.Walker, usual, 2, false, gaitPage, func(r *rig) {
			r.add("trot")
		}},
		{"uneven-dark", assets.Demo, usual, 1, true, gaitPage, func(r *rig) {
			r.doc.Change("uneven", func(f *workfile.File) {
				g := &f.Gaits[0]
				g.Phase["LF"], g.Phase["RM"], g.Duty = 0.1, 0.95, 0.6
			})
		}},
		{"library-dark", assets.Demo, usual, 1, true, gaitPage, func(r *rig) { r.Click("add a gait") }},
		{"rename-small-dark", assets.Demo, small, 1, true, gaitPage, func(r *rig) { r.Click("more for this gait"); r.Settle(); r.Click("Rename") }},
		{"refused-small-light", assets.Demo, small, 1, false, gaitPage, func(r *rig) { r.Click("more for this gait"); r.Settle(); r.Click("Delete") }},
		{"legs-dark", assets.Demo, usual, 1, true, legsPage, func(r *rig) { r.Click("own") }},
		{"legs-small-light", assets.Demo, small, 1, false, legsPage, nil},
		{"swing-dark", assets.Demo, usual, 1, true, swingPage, nil},
		{"swing-small-light", assets.Demo, small, 1, false, swingPage, nil},
		{"command-small-dark", assets.Demo, small, 1, true, commandPage, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := openAt(t, c.text, c.page, c.size, c.scale)
			var b control.Button
			r.panel.Beside = func(gtx layout.Context) layout.Dimensions {
				return control.Push(r.th, &b, "Try every change").Layout(gtx)
			}
			r.th.SetDark(c.dark)
			r.Settle()
			if c.do != nil {
				c.do(r)
			}
			r.Settle()
			img, err := snapshot.Draw(r.Size, r.Ops())
			if err != nil {
				t.Fatal(err)
			}
			drive.Golden(t, filepath.Join("testdata", c.name+".png"), img, *update)
		})
	}
}
