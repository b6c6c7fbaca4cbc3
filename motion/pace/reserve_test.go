// SPDX-License-Identifier: MIT

package pace_test

import (
	"math"
	"os"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/motion/pace"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/workfile"
)

func played(t testing.TB, name string, rate float64) *rehearsal.Rehearsal {
	t.Helper()
	text, err := os.ReadFile("../../assets/" + name)
	if err != nil {
		t.Fatal(err)
	}
	f, err := workfile.Read(name, text)
	if err != nil {
		t.Fatal(err)
	}
	r, err := rehearsal.Run(f, rehearsal.Options{Rate: rate})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Along the demo's motion, and over faulty ones, each foot's reserve is what
// the slow way finds, and the least is that of the planted feet.
func TestAlong(t *testing.T) {
	for _, name := range []string{"drummer.toml", "walker.toml", "faults/out-of-reach.toml", "faults/airborne.toml", "faults/tips-slow.toml"} {
		r := played(t, name, 20)
		tr, robot := r.Trajectory, &r.Built.Robot
		s := pace.Along(robot, tr, nil)
		up := tr.RWG.Mul(r3.Vec{Z: 1})
		for k := range tr.N {
			x := tr.BodyPose(k)
			least, which := math.Inf(1), -1
			for i := range tr.Legs {
				l := &robot.Legs[i]
				p := tr.FootAt(k, i)
				p = r3.Sub(p, r3.Scale(r3.Dot(up, p)-l.FootRadius, up))
				want, ok := slowly(l, x.Into(p), x.R.TMul(r3.Scale(-1, up)), 1e-3)
				if !ok {
					want = math.NaN()
				}
				got := s.Each[k*tr.Legs+i]
				if !(math.Abs(got-want) < 1e-7) && (ok || got == got) {
					t.Fatalf("%s, %v s, leg %s: %v m, the slow way says %v", name, tr.Time(k), l.Name, got, want)
				}
				if d, on := pace.Below(robot, tr, k, i); on != (got == got) || on && d != got {
					t.Fatalf("%s: Below gives %v, %v, Along %v", name, d, on, got)
				}
				if tr.Planted[k*tr.Legs+i] && (want < least || !ok && least == least) {
					least, which = want, i
				}
			}
			if which < 0 {
				least = math.NaN()
			}
			if s.Which[k] != which && !(math.Abs(s.Each[k*tr.Legs+which]-least) < 1e-6) {
				t.Fatalf("%s, %v s: leg %d has the least, want %d", name, tr.Time(k), s.Which[k], which)
			}
			if got := s.Least[k]; !(math.Abs(got-least) < 1e-7) && (least == least || got == got) {
				t.Fatalf("%s, %v s: least %v m, want %v", name, tr.Time(k), got, least)
			}
		}
	}
}

// Memory is taken over, and the old numbers with it.
func TestAlongReuses(t *testing.T) {
	a := played(t, "drummer.toml", 20)
	b := played(t, "walker.toml", 20)
	s := pace.Along(&a.Built.Robot, a.Trajectory, nil)
	want := pace.Along(&b.Built.Robot, b.Trajectory, nil)
	got := pace.Along(&b.Built.Robot, b.Trajectory, s)
	if got != s || len(got.Each) != len(want.Each) || got.N != b.Trajectory.N || got.Legs != b.Trajectory.Legs {
		t.Fatalf("%d samples of %d legs", got.N, got.Legs)
	}
	for i := range want.Each {
		if got.Each[i] != want.Each[i] && (got.Each[i] == got.Each[i] || want.Each[i] == want.Each[i]) {
			t.Fatalf("%v, want %v", got.Each[i], want.Each[i])
		}
	}
}

// The whole of the demo at its review rate, each foot at each sample.
func BenchmarkAlong(b *testing.B) {
	r := played(b, "drummer.toml", 0)
	var s *pace.Reserves
	b.ReportAllocs()
	for b.Loop() {
		s = pace.Along(&r.Built.Robot, r.Trajectory, s)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(s.Each)), "ns/foot")
}

// One foot below a level body, and below a leaning one.
func BenchmarkStepDown(b *testing.B) {
	w := drummer(b)
	l := &w.Robot.Legs[0]
	p := r3.Vec{X: l.Stand.X, Y: l.Stand.Y, Z: l.FootRadius - w.Height}
	for name, down := range map[string]r3.Vec{"level": {Z: -1}, "leaning": r3.Unit(r3.Vec{X: 0.1, Y: 0.05, Z: -1})} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				pace.StepDown(l, p, down)
			}
		})
	}
}
