// SPDX-License-Identifier: MIT

package robotview

import (
	"image"
	"testing"

	"gioui.org/layout"

	"gaitwright/app/camera"
	"gaitwright/app/drive"
	"gaitwright/app/look"
	"gaitwright/assets"
	"gaitwright/motion/rehearsal"
)

// Another motion is drawn over this one as long as it lasts, and the key says
// so, on the ground and on a stand.
func TestOver(t *testing.T) {
	r := open(t, assets.Demo)
	f := r.doc.File().Clone()
	f.Sequence = f.Sequence[:2]
	o, err := rehearsal.Run(f, rehearsal.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.labels("snapshot")) != 0 {
		t.Error("something lies over from the start")
	}
	r.view.Over = Over{Of: o, Name: "snapshot 1"}
	for _, hung := range []bool{false, true} {
		r.doc.SetOnStand(hung)
		for _, c := range []struct {
			at   float64
			want string
		}{{0, "snapshot 1, at the same time"}, {o.Trajectory.Duration(), "snapshot 1, at the same time"}, {o.Trajectory.Duration() + 0.1, "snapshot 1 has ended by now"}} {
			r.at.Time = c.at
			r.Settle()
			if len(r.labels(c.want)) == 0 {
				t.Errorf("hung %v at %v s: %q", hung, c.at, r.labels("snapshot"))
			}
		}
	}
	r.view.Over = Over{}
	r.Settle()
	if len(r.labels("snapshot")) != 0 {
		t.Error("it stays")
	}
}

// No label of the ground lies over a leg's name, in any view, through the whole
// of the demo.
func TestLabelsKeepApart(t *testing.T) {
	for _, size := range []image.Point{{640, 480}, {360, 300}} {
		for _, v := range []camera.View{camera.Free, camera.Front, camera.Left, camera.Right, camera.Above} {
			r := open(t, assets.Demo)
			th := look.New(false)
			r.Tester = drive.For(t, drive.New(size, func(gtx layout.Context) layout.Dimensions {
				return r.view.Layout(gtx, th, r.doc, &r.at)
			}))
			r.view.Look(v)
			r.view.Fit()
			over, frames := 0, 0
			for s := 0.0; s < r.doc.Result().Trajectory.Duration(); s += 0.4 {
				r.at.Time = s
				r.Settle()
				frames++
				all := r.view.scene.words.taken
				for i := range all {
					for _, o := range all[:i] {
						if c := all[i].Intersect(o); c.Dx() > 1 && c.Dy() > 3 {
							over++
						}
					}
				}
			}
			if over > frames/10 { // feet behind one another leave no room at times
				t.Errorf("%v at %v: %d labels lie over others in %d frames", v, size, over, frames)
			}
		}
	}
}
