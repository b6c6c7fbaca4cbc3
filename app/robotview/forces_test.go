// SPDX-License-Identifier: MIT

package robotview

import (
	"fmt"
	"image"
	"math"
	"strings"
	"testing"

	"gioui.org/f32"
	"gioui.org/layout"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/app/camera"
	"gaitwright/app/document"
	"gaitwright/app/drive"
	"gaitwright/app/look"
	"gaitwright/assets"
	"gaitwright/motion/load"
)

// rig is a robot view without a window about it.
type rig struct {
	*drive.Tester
	view View
	doc  *document.Document
	at   document.Place
}

func open(t *testing.T, text []byte) *rig {
	t.Helper()
	d, err := document.Open("", "test", text)
	if err != nil {
		t.Fatal(err)
	}
	r := &rig{doc: d}
	th := look.New(true)
	r.Tester = drive.For(t, drive.New(image.Pt(640, 480), func(gtx layout.Context) layout.Dimensions {
		return r.view.Layout(gtx, th, r.doc, &r.at)
	}))
	r.Settle()
	return r
}

func fault(t *testing.T, word string) *rig {
	t.Helper()
	text, err := assets.Faults.ReadFile("faults/" + word + ".toml")
	if err != nil {
		t.Fatal(err)
	}
	return open(t, text)
}

// labels gives the labels that begin so.
func (r *rig) labels(with string) (out []string) {
	for _, n := range r.Nodes() {
		if strings.HasPrefix(n.Desc.Label, with) {
			out = append(out, n.Desc.Label)
		}
	}
	return out
}

// The scale is a round number, and grows with the weight.
func TestScale(t *testing.T) {
	for _, c := range []struct {
		weight, want float64 // N
		words        string
	}{
		{18, 1, "1 N"}, {24.5, 1, "1 N"}, {36, 2, "2 N"}, {90, 5, "5 N"}, {180, 10, "10 N"}, {1800, 100, "100 N"},
		{1.8, 0.1, "0.1 N"}, {3.6, 0.2, "0.2 N"}, {0.09, 0.005, "0.005 N"},
		{0, 1, "1 N"}, {math.NaN(), 1, "1 N"}, {math.Inf(1), 1, "1 N"}, {-3, 1, "1 N"},
	} {
		if got := NewtonsPerCentimetre(c.weight); math.Abs(got-c.want) > 1e-12*c.want || scaled(got) != c.words {
			t.Errorf("%v N: 10 mm = %v (%s), want %s", c.weight, got, scaled(got), c.words)
		}
	}
}

// A robot that stands still: the ground carries its weight (Newton), the
// zero-moment point lies under the centre of mass, every foot has its arrow,
// as long as its scale says.
func TestStandingStill(t *testing.T) {
	for _, v := range []camera.View{camera.Free, camera.Front, camera.Above} {
		r := open(t, assets.Demo)
		r.view.Look(v)
		r.view.Fit()
		r.Settle()
		res := r.doc.Result()
		g := &r.view.scene.ground
		weight := res.Loads.Mass * res.Built.Robot.Gravity
		if len(g.pushes) != len(res.Built.Robot.Legs) || g.state != load.Carried || !g.zmp.ok {
			t.Fatalf("%v: %+v", v, g)
		}
		f := r.view.Camera.Frame(r.view.size)
		up := 0.0
		for _, p := range g.pushes {
			force := res.Loads.ForceAt(0, p.leg)
			up += force.Z
			if math.Abs(p.size-r3.Norm(force)) > 1e-12 {
				t.Errorf("%v: leg %d: %v N, want %v", v, p.leg, p.size, r3.Norm(force))
			}
			tip, _, _ := f.Project(r3.Add(res.Trajectory.FootAt(0, p.leg), r3.Scale(0.01/g.scale, force)))
			if r2.Norm(r2.Sub(tip, p.tip)) > 0.01 {
				t.Errorf("%v: leg %d: tip at %v, want %v", v, p.leg, p.tip, tip)
			}
		}
		if math.Abs(up-weight) > 1e-9*weight {
			t.Errorf("%v: the ground pushes up by %v N, the robot weighs %v N", v, up, weight)
		}
		if d := r2.Norm(r2.Sub(g.zmp.at, g.mass.at)); d > 0.5 {
			t.Errorf("%v: the zero-moment point is drawn %v px from the centre of mass", v, d)
		}
		for i, l := range res.Built.Robot.Legs {
			words := fmt.Sprintf("force on %s %.1f N", l.Name, r3.Norm(res.Loads.ForceAt(0, i)))
			if n := r.MustFind(words); n.Desc.Bounds.Empty() {
				t.Errorf("%v: nothing drawn as %q", v, words)
			}
		}
		r.MustFind("zero-moment point")
		r.MustFind("centre of mass over the ground")
		r.MustFind("ZMP")
		r.MustFind("CoM")
		if k := r.labels("force of the ground on a foot, 10 mm = 1 N"); len(k) == 0 {
			t.Errorf("%v: the scale is not said", v)
		}
	}
}

// numbers counts the sizes written on the canvas.
func (r *rig) numbers() (out []string) {
	for _, n := range r.Nodes() {
		if s := n.Desc.Label; strings.HasSuffix(s, " N") && !strings.Contains(s, "force") {
			out = append(out, s)
		}
	}
	return out
}

// Only the chosen leg says its force, and the one under the pointer; from
// above, where arrows are seen end on, each does.
func TestWhichNumbers(t *testing.T) {
	r := open(t, assets.Demo)
	if n := r.numbers(); len(n) != 1 {
		t.Errorf("written: %q", n)
	}
	c := r.view.scene.legs[3]
	knee := r2.Scale(0.5, r2.Add(c[1], c[2]))
	r.MoveTo(f32.Pt(float32(knee.X), float32(knee.Y)))
	r.Settle()
	if n := r.numbers(); len(n) != 2 {
		t.Errorf("with the pointer on another leg: %q", n)
	}
	r.MoveTo(f32.Pt(2, 200))
	r.Settle()
	if n := r.numbers(); len(n) != 1 {
		t.Errorf("with the pointer elsewhere: %q", n)
	}
	r.view.Look(camera.Above)
	r.view.Fit()
	r.Settle()
	if n := r.numbers(); len(n) != 6 {
		t.Errorf("from above: %q", n)
	}
}

// Where no forces of the ground do, none are drawn and the reason is said; the
// zero-moment point stays if there is one.
func TestNotCarried(t *testing.T) {
	for _, c := range []struct {
		word  string
		state load.State
		zmp   bool
	}{{"tips-fast", load.Pulled, true}, {"airborne", load.Unsupported, false}, {"out-of-reach", load.Unknown, false}} {
		r := fault(t, c.word)
		l := r.doc.Result().Loads
		for k, s := range l.State {
			if s == c.state {
				r.at.Time = r.doc.Result().Trajectory.Time(k)
				break
			}
		}
		r.Settle()
		g := &r.view.scene.ground
		if g.state != c.state || len(g.pushes) != 0 || len(r.labels("force o")) != 0 || (g.zmp.ok || g.far) != c.zmp {
			t.Errorf("%s: %+v, %q", c.word, g, r.labels("force o"))
		}
		r.MustFind(Why(c.state))
	}
	said := map[string]bool{"": true}
	for s := load.Flying; s <= load.Unknown; s++ {
		if said[Why(s)] {
			t.Errorf("%v: %q", s, Why(s))
		}
		said[Why(s)] = true
	}
	if Why(load.Carried) != "" || Why(load.Hung) != "" {
		t.Error("a reason for nothing")
	}
}

// A robot that hangs has no ground.
func TestOnAStand(t *testing.T) {
	r := open(t, assets.Demo)
	r.doc.SetOnStand(true)
	r.Settle()
	g := &r.view.scene.ground
	if len(g.pushes) != 0 || g.zmp.ok || g.mass.ok || len(r.labels("force o")) != 0 || len(r.labels("ZMP")) != 0 {
		t.Errorf("%+v", g)
	}
}
