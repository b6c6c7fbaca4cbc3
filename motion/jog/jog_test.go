// SPDX-License-Identifier: MIT

package jog_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/assets"
	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/jog"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/table"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

func demo(t testing.TB) *workfile.File {
	t.Helper()
	f, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func play(t testing.TB, f *workfile.File, rate float64) *rehearsal.Rehearsal {
	t.Helper()
	r, err := rehearsal.Run(f, rehearsal.Options{Rate: rate})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Driven to its angles the foot is somewhere; driven there the angles are
// those again.
func TestThereAndBack(t *testing.T) {
	b := play(t, demo(t), 50).Built
	r := rand.New(rand.NewPCG(3, 3))
	n := 0
	for range 2000 {
		leg := r.IntN(len(b.Robot.Legs))
		l := &b.Robot.Legs[leg]
		var q [3]float64
		for j := range q {
			q[j] = l.Limits[j].Lo + (l.Limits[j].Hi-l.Limits[j].Lo)*r.Float64()
		}
		if q[kin.Tibia] > -0.05 { // the other side of the knee, or nearly straight
			continue
		}
		if l.Length[kin.Coxa]+l.Length[kin.Femur]*math.Cos(q[1])+l.Length[kin.Tibia]*math.Cos(q[1]+q[2]) < 0.01 {
			continue // the coxa would be turned away from the foot
		}
		n++
		a := jog.ToAngles(b, leg, q)
		c := jog.ToFoot(b, leg, a.Foot)
		for j := range q {
			if math.Abs(c.Q[j]-q[j]) > 1e-9 {
				t.Fatalf("leg %s at %v: back at %v", l.Name, q, c.Q)
			}
			if o := a.Joints[j]; o.Past != 0 || !(o.Share >= 0 && o.Share <= 1) {
				t.Fatalf("leg %s at %v: %+v", l.Name, q, o)
			}
		}
		if a.Miss != 0 || c.Miss != 0 || r3.Norm(r3.Sub(a.Foot, c.Foot)) > 1e-9 {
			t.Fatalf("%+v, %+v", a, c)
		}
	}
	if n < 500 {
		t.Fatalf("only %d places", n)
	}
}

// Out of reach the foot is as near as it comes, in words too; past a joint's
// travel it goes on and says so.
func TestTroubles(t *testing.T) {
	b := play(t, demo(t), 50).Built
	l := &b.Robot.Legs[0]
	s := jog.ToFoot(b, 0, r3.Add(jog.Stand(b, 0), r3.Vec{X: 0.5, Y: 0.5}))
	if d := r3.Norm(r3.Sub(s.Foot, s.Want)); !(s.Miss > 0.1) || math.Abs(d-s.Miss) > 1e-9 {
		t.Errorf("misses by %v m, the gap is %v m", s.Miss, d)
	}
	if w := s.Troubles(); len(w) == 0 || !strings.HasPrefix(w[0], "Out of reach: the foot stays ") {
		t.Errorf("%q", w)
	}
	q := [3]float64{0, 0, -1}
	q[kin.Femur] = l.Limits[kin.Femur].Hi + 0.1
	s = jog.ToAngles(b, 0, q)
	if got := s.Joints[kin.Femur].Past; math.Abs(got-0.1) > 1e-12 {
		t.Errorf("past by %v rad", got)
	}
	if w := strings.Join(s.Troubles(), " "); !strings.Contains(w, "The femur is past its travel by 5.7°.") {
		t.Errorf("%q", w)
	}
	q[kin.Femur] = l.Limits[kin.Femur].Lo - 0.2
	if got := jog.ToAngles(b, 0, q).Joints[kin.Femur].Past; math.Abs(got+0.2) > 1e-12 {
		t.Errorf("past by %v rad", got)
	}
	if w := jog.ToFoot(b, 0, jog.Stand(b, 0)).Troubles(); len(w) != 0 {
		t.Errorf("standing: %q", w)
	}
	for _, p := range []r3.Vec{{X: math.NaN()}, {Z: math.Inf(-1)}} {
		s := jog.ToFoot(b, 0, p)
		for j := range s.Q {
			if math.IsNaN(s.Q[j]) {
				t.Errorf("at %v: %v", p, s.Q)
			}
		}
		if w := s.Troubles(); len(w) == 0 || strings.Contains(strings.Join(w, ""), "NaN") {
			t.Errorf("at %v: %q", p, w)
		}
	}
}

// The pulses are those of the firmware's table, at every frame of the demo's
// move; the servo's angle follows from the datasheet's µs per degree.
func TestPulsesAreThoseOfTheTable(t *testing.T) {
	r := play(t, demo(t), 50)
	tb, err := table.Make(r.Built, r.Trajectory, table.Options{})
	if err != nil {
		t.Fatal(err)
	}
	m := &tb.Moves[0]
	first := r.Trajectory.Index(m.From)
	n := len(tb.Joints)
	for k := range m.Frames {
		for leg := range r.Trajectory.Legs {
			s := jog.ToAngles(r.Built, leg, r.Trajectory.JointsAt(first+k, leg))
			for j, o := range s.Joints {
				c := leg*kin.Joints + j
				if !o.Wired || o.Channel != tb.Joints[c].Channel || math.Round(o.Pulse) != float64(m.Pulse[k*n+c]) || o.PulsePast != 0 {
					t.Fatalf("frame %d, leg %d, joint %d: %+v, the table has %d µs on channel %d", k, leg, j, o, m.Pulse[k*n+c], tb.Joints[c].Channel)
				}
				ch := &r.Built.Channels[leg][j]
				if got := (o.Pulse - ch.Centre) / ch.PerRad; math.Abs(got-o.Servo) > 1e-12 {
					t.Fatalf("servo angle %v rad, want %v", o.Servo, got)
				}
			}
		}
	}
	// Without a channel nothing is known of the servo, and past the range of
	// one it is said.
	f := demo(t)
	f.Legs[0].Tibia.Channel = nil
	narrow := [2]float64{1400, 1600}
	f.Legs[0].Femur.RangeUs = &narrow
	b := play(t, f, 20).Built
	s := jog.ToAngles(b, 0, [3]float64{0, 0.9, -1})
	if o := s.Joints[kin.Tibia]; o.Wired || o.Pulse != 0 || o.Servo != 0 {
		t.Errorf("%+v", o)
	}
	if o := s.Joints[kin.Femur]; o.PulsePast == 0 || !strings.Contains(strings.Join(s.Troubles(), " "), "The pulse of the femur is past the range of channel") {
		t.Errorf("%+v, %q", o, s.Troubles())
	}
}

// A span that is given its end has the leg stand so when it ends: in spans
// that go with the body and over the ground, for both legs of a pair.
func TestSpanEnd(t *testing.T) {
	base := demo(t)
	rng := rand.New(rand.NewPCG(4, 4))
	holds := map[string]int{}
	for _, hold := range []string{"ground", "body"} {
		for span := range base.Moves[0].Feet[0].Spans {
			f := base.Clone()
			if f.Moves[0].Feet[0].Spans[span].Hold == "planted" {
				continue
			}
			f.Moves[0].Feet[0].Spans[span].Hold = hold
			r := play(t, f, 20)
			part := movePart(t, r)
			for _, leg := range []int{0, r.Built.Robot.Legs[0].Mirror} {
				want := r3.Add(jog.Stand(r.Built, leg), r3.Vec{X: 0.02 * rng.NormFloat64(), Y: 0.02 * rng.NormFloat64(), Z: 0.06 + 0.01*rng.NormFloat64()})
				end, err := jog.SpanEnd(r, part, leg, 0, span, want)
				if err != nil {
					t.Fatal(err)
				}
				g := f.Clone()
				if err := edit.EndSpan(g, edit.Spot{Span: span}, [3]float64{end.X * 1000, end.Y * 1000, end.Z * 1000}); err != nil {
					t.Fatal(err)
				}
				o := play(t, g, 0)
				p := movePart(t, o)
				at := p.From + f.Moves[0].Marks[mark(f, span)].At/1000/p.Speed
				x, _ := o.Plan.BodyAt(at - 1e-9).Pose(at)
				foot := o.Plan.FootAt(leg, at-1e-9).At(at, &x)
				if got := x.Into(foot); r3.Norm(r3.Sub(got, want)) > 2e-6 {
					t.Errorf("hold %s, span %d, leg %d: the foot is at %v, want %v", hold, span+1, leg, got, want)
				}
				holds[hold]++
			}
		}
	}
	if holds["ground"] == 0 || holds["body"] == 0 {
		t.Fatalf("%v", holds)
	}

	r := play(t, base, 20)
	part := movePart(t, r)
	for _, c := range []struct {
		part             motion.Part
		leg, track, span int
		p                r3.Vec
		want             error
	}{
		{motion.Part{Kind: "walk"}, 0, 0, 0, r3.Vec{}, jog.ErrNotPlayed}, {motion.Part{Kind: "move", Index: 99}, 0, 0, 0, r3.Vec{}, jog.ErrNotPlayed},
		{part, 1, 0, 0, r3.Vec{}, jog.ErrNotMoved}, {part, 0, 9, 0, r3.Vec{}, jog.ErrNotMoved}, {part, 0, 0, 99, r3.Vec{}, jog.ErrNotMoved},
		{part, 0, -1, 0, r3.Vec{}, jog.ErrNotMoved}, {part, 99, 0, 0, r3.Vec{}, jog.ErrNotMoved},
	} {
		if _, err := jog.SpanEnd(r, c.part, c.leg, c.track, c.span, c.p); !errors.Is(err, c.want) {
			t.Errorf("leg %d, track %d, span %d: %v, want %v", c.leg, c.track, c.span, err, c.want)
		}
	}
	if _, err := jog.SpanEnd(r, part, 0, 0, 2, r3.Vec{X: math.NaN()}); err == nil {
		t.Error("no place is taken for one")
	}
	f := base.Clone()
	f.Moves[0].Feet[0].Spans[0].Hold, f.Moves[0].Feet[0].Spans[0].End = "planted", nil
	if r := play(t, f, 20); true {
		if _, err := jog.SpanEnd(r, movePart(t, r), 0, 0, 0, r3.Vec{}); !errors.Is(err, jog.ErrPlanted) {
			t.Errorf("planted: %v", err)
		}
	}
}

func movePart(t testing.TB, r *rehearsal.Rehearsal) motion.Part {
	t.Helper()
	for _, p := range r.Trajectory.Parts {
		if p.Kind == "move" {
			return p
		}
	}
	t.Fatal("no move is played")
	return motion.Part{}
}

// mark gives the mark on which a span of the first track ends.
func mark(f *workfile.File, span int) int {
	for i, m := range f.Moves[0].Marks {
		if m.Name == f.Moves[0].Feet[0].Spans[span].To {
			return i
		}
	}
	return -1
}
