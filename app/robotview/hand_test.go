// SPDX-License-Identifier: MIT

package robotview

import (
	"math"
	"testing"

	"gioui.org/f32"
	"gioui.org/io/key"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/app/camera"
	"gaitwright/assets"
	"gaitwright/motion/jog"
)

// standing opens the demo hung on a stand, with legs that can be driven.
func standing(t *testing.T) (*rig, map[int]*jog.State) {
	t.Helper()
	r := open(t, assets.Demo)
	r.doc.SetOnStand(true)
	legs := map[int]*jog.State{}
	r.view.Hand.Driven = func(leg int) *jog.State { return legs[leg] }
	r.view.Hand.Take = func(leg int, p r3.Vec) {
		s := jog.ToFoot(r.doc.Result().Built, leg, p)
		legs[leg] = &s
		if r.at.Held == nil {
			r.at.Held = map[[2]int]float64{}
		}
		for j, q := range s.Q {
			r.at.Held[[2]int{leg, j}] = q
		}
	}
	r.Settle()
	return r, legs
}

func (r *rig) pixel(p r2.Vec) f32.Point { return f32.Pt(float32(p.X), float32(p.Y)) }

// A foot that is dragged goes with the pointer, in the plane that faces the
// viewer, in every view; the camera stays.
func TestDragAFoot(t *testing.T) {
	for _, v := range []camera.View{camera.Free, camera.Front, camera.Left, camera.Above} {
		r, legs := standing(t)
		r.view.Look(v)
		r.view.Fit()
		r.Settle()
		look := r.view.Camera
		x := pose(r.doc, r.doc.Result().Trajectory, 0)
		const leg = 2
		r.at.Leg = leg // where feet lie behind one another it is the chosen one
		before := r.view.foot(r.doc, &r.at, leg)
		c := r.view.scene.legs[leg][3]
		from := r.pixel(r2.Add(c, r2.Vec{X: 3, Y: -2})) // not quite in the middle
		r.Drag(from, from.Add(f32.Pt(12, -9)), 4)
		r.Settle()
		s := legs[leg]
		if s == nil || len(legs) != 1 || r.at.Leg != leg {
			t.Fatalf("%v: driven %v, leg %d chosen", v, legs, r.at.Leg)
		}
		if r.view.Camera != look {
			t.Errorf("%v: the camera moved", v)
		}
		_, _, out := look.Axes()
		want := x.At(s.Want)
		if d := r3.Dot(r3.Sub(want, before), out); math.Abs(d) > 1e-9 {
			t.Errorf("%v: the foot left the plane by %v m", v, d)
		}
		f := look.Frame(r.view.size)
		if p, _, _ := f.Project(want); r2.Norm(r2.Sub(p, r2.Add(c, r2.Vec{X: 12, Y: -9}))) > 0.01 {
			t.Errorf("%v: the foot is wanted at %v, want %v", v, p, r2.Add(c, r2.Vec{X: 12, Y: -9}))
		}
		if s.Miss == 0 {
			if got := r.view.foot(r.doc, &r.at, leg); r3.Norm(r3.Sub(got, want)) > 1e-9 {
				t.Errorf("%v: drawn at %v, want %v", v, got, want)
			}
		}
	}
}

// Off a foot a drag turns the camera, as it does when nothing can be driven.
func TestDragElsewhere(t *testing.T) {
	r, legs := standing(t)
	look := r.view.Camera
	r.Drag(f32.Pt(20, 300), f32.Pt(60, 320), 3)
	if len(legs) != 0 || r.view.Camera == look {
		t.Errorf("driven %v", legs)
	}
	r.Settle()
	r.view.Hand.Take = nil
	r.Settle()
	look = r.view.Camera
	c := r.pixel(r.view.scene.legs[0][3])
	r.Drag(c, c.Add(f32.Pt(20, 5)), 3)
	if len(legs) != 0 || r.view.Camera == look {
		t.Errorf("driven %v though it cannot be", legs)
	}
}

// Enter takes the chosen foot, the arrows move it by a millimetre, with Shift
// by a tenth, and without a driven leg they turn the camera.
func TestDriveByKeys(t *testing.T) {
	r, legs := standing(t)
	r.view.Look(camera.Left)
	r.view.Fit()
	r.at.Leg = 1
	r.Settle()
	r.ClickAt(f32.Pt(5, 300)) // the keys go to the view
	look := r.view.Camera
	before := r.view.foot(r.doc, &r.at, 1)
	r.Press(key.NameReturn, 0)
	if s := legs[1]; s == nil || s.Miss != 0 || r3.Norm(r3.Sub(r.view.foot(r.doc, &r.at, 1), before)) > 1e-9 {
		t.Fatalf("taken as %+v", legs[1])
	}
	x := pose(r.doc, r.doc.Result().Trajectory, 0)
	for _, c := range []struct {
		key  key.Name
		mod  key.Modifiers
		want r3.Vec // from the left: x points left
	}{
		{key.NameUpArrow, 0, r3.Vec{Z: 0.001}}, {key.NameLeftArrow, 0, r3.Vec{X: 0.001}}, {key.NameRightArrow, key.ModShift, r3.Vec{X: -0.0001}},
		{key.NameDownArrow, key.ModShift, r3.Vec{Z: -0.0001}},
	} {
		at := x.At(legs[1].Want)
		r.Press(c.key, c.mod)
		if got := r3.Sub(x.At(legs[1].Want), at); r3.Norm(r3.Sub(got, c.want)) > 1e-9 {
			t.Errorf("%s %v: moved by %v, want %v", c.key, c.mod, got, c.want)
		}
	}
	at := *legs[1]
	r.Press(key.NameReturn, 0)
	if legs[1].Want != at.Want {
		t.Error("Enter on a driven leg moved it")
	}
	if r.view.Camera != look {
		t.Error("the camera moved")
	}
	delete(legs, 1)
	r.Press(key.NameUpArrow, 0)
	if r.view.Camera == look || len(legs) != 0 {
		t.Error("without a driven leg the arrows do not turn the camera")
	}
}

// Out of reach the gap is drawn and said, and joints past their travel too.
func TestGapOfADrivenLeg(t *testing.T) {
	r, legs := standing(t)
	b := r.doc.Result().Built
	r.view.Hand.Take(0, r3.Add(jog.Stand(b, 0), r3.Vec{X: 0.3, Y: 0.2, Z: 0.05}))
	r.Settle()
	if legs[0].Miss == 0 || len(r.labels("")) == 0 {
		t.Fatal("it is reached")
	}
	found := false
	for _, l := range r.labels("") {
		found = found || len(l) > 9 && l[len(l)-9:] == " mm short"
	}
	if !found {
		t.Errorf("the gap is not said: %q", r.labels(""))
	}
	s := jog.ToAngles(b, 0, [3]float64{b.Robot.Legs[0].Limits[0].Hi + 0.1, 0.3, -1})
	legs[0] = &s
	r.Settle()
	if l := r.labels("coxa 5.7° too far"); len(l) != 1 {
		t.Errorf("the coxa's end is not said: %q", r.labels("coxa"))
	}
	r.MustFind("drag a foot to drive its leg; Enter takes the chosen one, the arrows move it")
}
