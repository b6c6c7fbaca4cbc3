// SPDX-License-Identifier: MIT

package app

import (
	"fmt"
	"image"
	"math"
	"strings"
	"testing"

	"gioui.org/f32"
	"gioui.org/io/key"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/app/draw"
	"gaitwright/assets"
	"gaitwright/motion/jog"
	"gaitwright/motion/workfile"
)

// foot gives where the foot of the chosen leg is drawn: the middle of its view
// from a side would be guesswork, so the view is asked.
func (r *rig) foot() f32.Point {
	r.T.Helper()
	f := r.view.Camera.Frame(r.view.Size())
	t := r.doc.Result().Trajectory
	x := t.BodyPose(0)
	x.P.Z += 0.10 // as a robot that hangs is drawn
	p, _, ok := f.Project(x.At(r.legNow().Foot))
	if !ok || t.N == 0 {
		r.T.Fatalf("the foot is not on the canvas")
	}
	b := r.MustFind("robot view").Desc.Bounds
	return f32.Pt(float32(p.X)+float32(b.Min.X), float32(p.Y)+float32(b.Min.Y))
}

// On a stand a foot is dragged; angles and pulses follow in the left column;
// the file does not change, and Escape lets go.
func TestDriveALeg(t *testing.T) {
	for _, size := range []image.Point{normal, small} {
		r := openWith(t, Config{Name: "demo", Text: assets.Demo}, size, 1)
		r.at.GoTo(r.doc, r.strike()+1.7)
		r.Settle()
		text := r.text()
		r.MustFind(pulsesOf(r))
		r.Press("H", 0)
		r.Settle()
		before := r.legNow()
		p := r.foot()
		r.Drag(p, p.Add(f32.Pt(10, -14)), 4)
		r.Settle()
		s := r.legNow()
		if !r.driving() || s.Q == before.Q || r3.Norm(r3.Sub(s.Foot, before.Foot)) < 0.003 {
			t.Fatalf("%v: driven %v, from %v to %v", size, r.driving(), before.Foot, s.Foot)
		}
		for j := range s.Joints {
			o := &s.Joints[j]
			c := &r.doc.Result().Built.Channels[0][j]
			if got := c.Pulse(s.Q[j]); math.Abs(got-o.Pulse) > 1e-9 {
				t.Errorf("pulse %v µs, want %v", o.Pulse, got)
			}
			for _, words := range []string{draw.Number(o.Pulse, 0), degrees(o.Servo) + "°", draw.Number(100*o.Share, 0) + " %"} {
				r.MustFind(words)
			}
		}
		if got := r.stand.panel.angle[1].Value; math.Abs(got-s.Q[1]*180/math.Pi) > 0.051 {
			t.Errorf("the field says %v°, the femur is at %v°", got, s.Q[1]*180/math.Pi)
		}
		if r.text() != text || r.doc.Dirty() {
			t.Error("the file changed")
		}
		// The rest can go on without it.
		r.at.GoTo(r.doc, r.at.Time+0.5)
		r.Settle()
		if r.legNow().Q != s.Q {
			t.Error("another time moves the driven leg")
		}
		// The keys are the view's now, and move the foot.
		r.Press(key.NameUpArrow, 0)
		r.Settle()
		if d := r3.Norm(r3.Sub(r.stand.legs[0].Want, s.Want)); math.Abs(d-0.001) > 1e-9 {
			t.Errorf("an arrow key moves the foot by %v m", d)
		}
		r.Press(key.NameEscape, 0)
		r.Settle()
		if r.driving() || len(r.at.Held) != 0 {
			t.Errorf("let go: %v, held %v", r.driving(), r.at.Held)
		}
		if got, want := r.legNow().Q, r.doc.Result().Trajectory.JointsAt(r.doc.Result().Trajectory.Index(r.at.Time), 0); got != want {
			t.Errorf("it stands at %v, the motion has %v", got, want)
		}
	}
}

func pulsesOf(r *rig) string {
	s := r.legNow()
	return pulses(&s)
}

// Typed angles drive by forward kinematics; arrows in the view nudge; what is
// past a joint's travel is said.
func TestDriveByTyping(t *testing.T) {
	r := atHit(t)
	r.Press("H", 0)
	r.Settle()
	type field = struct {
		name  string
		joint int
		text  string
		deg   float64
	}
	for _, c := range []field{{"angle of the femur", 1, "12.5", 12.5}, {"angle of the coxa", 0, "−8", -8}, {"angle of the tibia", 2, "-55.25", -55.25}} {
		r.Click(c.name)
		r.Press("A", key.ModShortcut)
		r.Type(c.text)
		r.Press(key.NameReturn, 0)
		r.Settle()
		if got := r.legNow().Q[c.joint] * 180 / math.Pi; math.Abs(got-c.deg) > 1e-9 {
			t.Fatalf("%s: %v°, want %v", c.name, got, c.deg)
		}
	}
	s := r.legNow()
	want := jog.ToAngles(r.doc.Result().Built, 0, [3]float64{-8 * math.Pi / 180, 12.5 * math.Pi / 180, -55.25 * math.Pi / 180})
	if r3.Norm(r3.Sub(s.Foot, want.Foot)) > 1e-12 {
		t.Errorf("the foot is at %v, want %v", s.Foot, want.Foot)
	}
	r.Click("angle of the femur")
	r.Press("A", key.ModShortcut)
	r.Type("120")
	r.Press(key.NameReturn, 0)
	r.Settle()
	over := 120 - r.doc.Result().Built.Robot.Legs[0].Limits[1].Hi*180/math.Pi
	r.MustFind(fmt.Sprintf("The femur is past its travel by %.1f°.", over))
	r.Click("Let go")
	r.Settle()
	if r.driving() {
		t.Error("the button does not let go")
	}
}

// Out of reach is said, and letting the robot down lets the leg go.
func TestDriveOutOfReach(t *testing.T) {
	r := atHit(t)
	r.Press("H", 0)
	r.Settle()
	r.driveFoot(0, r3.Vec{X: 0.6, Y: 0.3, Z: -0.1})
	r.Settle()
	found := false
	for _, n := range r.Nodes() {
		found = found || strings.HasPrefix(n.Desc.Label, "Out of reach: the foot stays ")
	}
	if !found {
		t.Error("it is not said")
	}
	r.driveFoot(99, r3.Vec{})
	r.driveFoot(0, r3.Vec{X: math.NaN()})
	r.Settle()
	// Another robot under the hand.
	if err := r.doc.Change("longer", func(f *workfile.File) { *f.Legs[0].TibiaLength += 5 }); err != nil {
		t.Fatal(err)
	}
	r.Settle()
	r.Press("H", 0)
	r.Settle()
	if r.driving() || len(r.at.Held) != 0 {
		t.Error("it is still driven on the ground")
	}
}

// The foot's place becomes the end of the chosen span in one step; the motion
// then stands so at that mark.
func TestUseAsEndOfSpan(t *testing.T) {
	r := atHit(t)
	r.Press("H", 0)
	r.Settle()
	if _, err := r.spanEnd(); err == nil || r.able(r.act("use span end")) {
		t.Error("there is an end without a driven leg")
	}
	r.driveFoot(0, r3.Add(r.legNow().Foot, r3.Vec{X: -0.01, Y: 0.004, Z: 0.02}))
	r.Settle()
	want := r.legNow()
	text := r.text()
	r.Click("Use as end of the chosen span")
	r.Settle()
	if r.text() == text || r.doc.Err() != nil || r.at.Span != hit {
		t.Fatalf("nothing changed: %v, span %d", r.doc.Err(), r.at.Span+1)
	}
	f := r.doc.File()
	at := r.strike()
	for _, m := range f.Moves[0].Marks {
		if m.Name == f.Moves[0].Feet[0].Spans[hit].To {
			at += m.At / 1000
		}
	}
	tr := r.doc.Result().Trajectory
	q := tr.JointsAt(tr.Index(at), 0)
	for j := range q {
		if math.Abs(q[j]-want.Q[j]) > 0.01 {
			t.Errorf("at the mark the joints are at %v, driven to %v", q, want.Q)
			break
		}
	}
	r.Press("Z", key.ModShortcut)
	r.Settle()
	if r.text() != text {
		t.Error("one undo does not take it back")
	}
	// Of a leg that the track does not move there is no end, and it is said why.
	r.at.Leg = 1
	r.driveFoot(1, r.legNow().Foot)
	r.at.Track = 0
	r.Settle()
	if _, err := r.spanEnd(); err == nil || r.able(r.act("use span end")) {
		t.Error("there is an end for a leg that the track does not move")
	}
	r.MustFind(sentence(jog.ErrNotMoved.Error()))
	r.at.Track = -1
	if _, err := r.spanEnd(); err == nil {
		t.Error("there is an end of the body's track")
	}
}

// The pulses of the chosen leg are always shown, on the ground folded to a
// line; the table opens by hand.
func TestServosOnTheGround(t *testing.T) {
	r := atHit(t)
	r.MustFind(pulsesOf(r))
	r.Click("servos")
	r.Settle()
	r.MustFind("travel")
	r.Click("hold femur")
	r.Settle()
	if !r.doc.OnStand() || len(r.at.Held) != 1 {
		t.Errorf("held %v, on a stand %v", r.at.Held, r.doc.OnStand())
	}
	r.Click("servos")
	r.Settle()
	r.MustFind("range")
	bare := r.doc.File().Clone()
	for i := range bare.Legs {
		l := &bare.Legs[i]
		l.Coxa.Channel, l.Femur.Channel, l.Tibia.Channel = nil, nil, nil
	}
	if err := r.doc.Change("no channels", func(f *workfile.File) { *f = *bare }); err != nil {
		t.Fatal(err)
	}
	r.Settle()
	r.MustFind("no channels")
}
