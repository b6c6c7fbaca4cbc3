// SPDX-License-Identifier: MIT

package motion_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/curve"
)

func anySpeed(t *rapid.T, most float64) motion.Twist {
	v := rapid.Float64Range(-most, most)
	return motion.Twist{Forward: v.Draw(t, "forward"), Side: v.Draw(t, "side"), Turn: v.Draw(t, "turn")}
}

func anyDrive(t *rapid.T) *motion.Drive {
	v := rapid.Float64Range(-2, 2)
	d := &motion.Drive{
		Start: motion.Course{X: v.Draw(t, "x"), Y: v.Draw(t, "y"), Yaw: v.Draw(t, "yaw")},
		From:  v.Draw(t, "from"), Duration: rapid.Float64Range(0.05, 3).Draw(t, "duration"),
		W0: anySpeed(t, 1.5), W1: anySpeed(t, 1.5),
	}
	if rapid.Bool().Draw(t, "under way") {
		d.A0 = anySpeed(t, 2)
	}
	if rapid.Bool().Draw(t, "straight") {
		d.W0.Turn, d.A0.Turn, d.W1.Turn = 0, 0, 0
	}
	return d
}

// A drive from rest, or to rest, goes along one arc: by the way of a speed that
// follows 3x²-2x³, which is x³-x⁴/2 of the duration, and then evenly.
func TestDriveFromAndToRest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := anySpeed(t, 2)
		l := rapid.Float64Range(0.1, 3).Draw(t, "duration")
		start := motion.Course{X: 0.3, Y: -0.1, Yaw: 0.7}
		up := motion.Drive{Start: start, From: 2, Duration: l, W1: w}
		down := motion.Drive{Start: start, From: 2, Duration: l, W0: w}
		for n := range 31 {
			u := l * float64(n) / 20
			x := min(u/l, 1)
			way := l * x * x * x * (1 - x/2)
			a := start.Along(w, way+max(0, u-l))
			b := up.CourseAt(2 + u)
			if distance(a, b) > 1e-13 || math.Abs(a.Yaw-b.Yaw) > 1e-13 {
				t.Fatalf("speeding up: got=%v, want=%v", b, a)
			}
			a = start.Along(w, l*x-way)
			b = down.CourseAt(2 + u)
			if distance(a, b) > 1e-13 || math.Abs(a.Yaw-b.Yaw) > 1e-13 {
				t.Fatalf("slowing down: got=%v, want=%v", b, a)
			}
		}
	})
}

// slowDrive follows a drive by steady arcs of short steps with the speed of
// their middle, twice as short again, and extrapolates (Richardson): slow and
// obvious.
func slowDrive(d *motion.Drive, t float64) motion.Course {
	follow := func(n int) motion.Course {
		c := d.Start
		h := (t - d.From) / float64(n)
		for k := range n {
			w, _ := d.Speed(d.From + h*(float64(k)+0.5))
			c = c.Along(w, h)
		}
		return c
	}
	a, b := follow(2000), follow(4000)
	return motion.Course{X: b.X + (b.X-a.X)/3, Y: b.Y + (b.Y-a.Y)/3, Yaw: b.Yaw + (b.Yaw-a.Yaw)/3}
}

func TestDriveAgainstSteps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := anyDrive(t)
		at := d.From + d.Duration*rapid.Float64Range(0, 1.5).Draw(t, "at")
		got, want := d.CourseAt(at), slowDrive(d, at)
		// The steps across the end of the blend are of second order only.
		if distance(got, want) > 2e-7 || math.Abs(got.Yaw-want.Yaw) > 2e-7 {
			t.Fatalf("got=%v, want=%v", got, want)
		}
		if at <= d.End() && (distance(got, want) > 2e-12 || math.Abs(got.Yaw-want.Yaw) > 2e-12) {
			t.Fatalf("within the blend: got=%v, want=%v", got, want)
		}
	})
}

// Cut anywhere and gone on with from there, a drive is the same; fast turns
// included.
func TestDriveGoesOn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := anyDrive(t)
		most := 1e-12
		if rapid.Bool().Draw(t, "fast") {
			d.W0.Turn *= 20
			d.W1.Turn *= 20
			most = 1e-11
		}
		cut := d.From + d.Duration*rapid.Float64Range(0, 1.2).Draw(t, "cut")
		at := cut + rapid.Float64Range(0, 1).Draw(t, "on")
		w, a := d.Speed(cut)
		// The rest of a cubic is the cubic through the same ends.
		e := &motion.Drive{Start: d.CourseAt(cut), From: cut, Duration: max(0, d.End()-cut), W0: w, A0: a, W1: d.W1}
		got, want := e.CourseAt(at), d.CourseAt(at)
		if distance(got, want) > most || math.Abs(got.Yaw-want.Yaw) > most {
			t.Fatalf("got=%v, want=%v", got, want)
		}
	})
}

// Twist and rate at both ends are as said.
func TestDriveEnds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := anyDrive(t)
		if w, a := d.Speed(d.From); w != d.W0 || a != d.A0 {
			t.Fatalf("begins with %v, %v, want %v, %v", w, a, d.W0, d.A0)
		}
		if w, a := d.Speed(d.End() + 1e-9); w != d.W1 || a != (motion.Twist{}) {
			t.Fatalf("ends with %v, %v, want %v", w, a, d.W1)
		}
		w, a := d.Speed(d.End() - 1e-9)
		if math.Abs(w.Forward-d.W1.Forward) > 1e-12 || math.Abs(a.Turn) > 1e-3 {
			t.Fatalf("comes to its end with %v, %v", w, a)
		}
	})
}

func anyVector(t *rapid.T, most float64) r3.Vec {
	v := rapid.Float64Range(-most, most)
	return r3.Vec{X: v.Draw(t, "x"), Y: v.Draw(t, "y"), Z: v.Draw(t, "z")}
}

// An ease begins as it is told and ends at rest, without a step of
// acceleration; what it tells of speed and acceleration are differences.
func TestEase(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := motion.Ease{From: 1, Duration: rapid.Float64Range(0.1, 2).Draw(t, "duration"),
			P: anyVector(t, 0.1), V: anyVector(t, 0.5), A: anyVector(t, 2), To: anyVector(t, 0.1)}
		p, v, a := e.At(1)
		if r3.Norm(r3.Sub(p, e.P)) > 1e-15 || r3.Norm(r3.Sub(v, e.V)) > 1e-14 || r3.Norm(r3.Sub(a, e.A)) > 1e-13 {
			t.Fatalf("begins at %v, %v, %v", p, v, a)
		}
		p, v, a = e.At(1 + e.Duration*(1-1e-9))
		if r3.Norm(r3.Sub(p, e.To)) > 1e-12 || r3.Norm(v) > 1e-8 || r3.Norm(a) > 1e-4 {
			t.Fatalf("comes to its end at %v, %v, %v", p, v, a)
		}
		if p, v, a = e.At(1 + e.Duration + 1e-12); p != e.To || v != (r3.Vec{}) || a != (r3.Vec{}) {
			t.Fatalf("ends at %v, %v, %v", p, v, a)
		}
		still := motion.Ease{From: 1, To: e.To}
		if p, v, a = still.At(1 - 1e-12); p != e.To || v != (r3.Vec{}) || a != (r3.Vec{}) {
			t.Fatalf("without a duration, a hair before: %v, %v, %v", p, v, a)
		}
		const h = 1e-5
		at := 1 + e.Duration*rapid.Float64Range(0.01, 0.98).Draw(t, "at")
		p0, v0, _ := e.At(at - h)
		_, v1, a1 := e.At(at)
		p2, v2, _ := e.At(at + h)
		if d := r3.Norm(r3.Sub(v1, r3.Scale(0.5/h, r3.Sub(p2, p0)))); d > 1e-5 {
			t.Fatalf("speed off by %v", d)
		}
		if d := r3.Norm(r3.Sub(a1, r3.Scale(0.5/h, r3.Sub(v2, v0)))); d > 1e-3 {
			t.Fatalf("acceleration off by %v", d)
		}
	})
}

// Body and feet on the pieces of a walk: what the trajectory says of speeds
// and accelerations are the differences of its places.
func TestRatesOfDrivenPieces(t *testing.T) {
	r := fourLegged()
	d := &motion.Drive{Start: motion.Course{X: 0.1, Yaw: 0.4}, Duration: 1.5,
		W0: motion.Twist{Forward: 0.05, Turn: 0.4}, A0: motion.Twist{Side: 0.05, Turn: -0.3}, W1: motion.Twist{Forward: -0.03, Side: 0.02, Turn: 0.2}}
	k := &motion.Carriage{
		Shift: motion.Ease{Duration: 1.2, P: r3.Vec{X: 0.01, Z: 0.09}, V: r3.Vec{Y: 0.05}, A: r3.Vec{Z: 0.1}, To: r3.Vec{Z: 0.1}},
		Lean:  motion.Ease{Duration: 1, P: r3.Vec{X: 0.1, Y: -0.05, Z: 0.2}, V: r3.Vec{X: -0.2}},
		Bumps: []motion.Bump{{Mid: 0.6, Half: 0.5, By: r3.Vec{X: 0.01, Y: -0.02}}, {Mid: 0.9, Half: 0.7, By: r3.Vec{Y: 0.02}}},
	}
	p := &motion.Plan{Duration: 1.75, RWG: kin.RPY(0.05, -0.08, 0), Body: []motion.BodyPiece{{To: 2, Start: d.Start, Drive: d, Carriage: k}}}
	for i := range r.Legs {
		l := &r.Legs[i]
		a := d.Start.At(r3.Vec{X: l.Stand.X, Y: l.Stand.Y, Z: l.FootRadius})
		b := r3.Add(a, r3.Vec{X: 0.02})
		up := r3.Vec{Z: 0.03}
		swing := curve.Span{Path: curve.Bezier{P0: a, P1: r3.Add(a, up), P2: r3.Add(b, up), P3: b}, Timing: ease}
		v := r3.Vec{X: 0.01, Y: -0.02}
		p.Feet = append(p.Feet, []motion.FootPiece{
			{To: 0.7, Hold: motion.OverGround, Span: swing, Clock: [2]float64{0, 2}},
			{From: 0.7, To: 2, Hold: motion.OverGround, Span: swing, Clock: [2]float64{0, 2},
				Aim: &motion.Aim{From: 0.7, To: 2, Path: curve.Bezier{P2: v, P3: v}}},
		})
	}
	const rate = 1000.
	tr, err := motion.NewSampler(r).Sample(p, rate, nil)
	if err != nil {
		t.Fatal(err)
	}
	seams := []float64{0.1, 0.2, 0.7, 1, 1.1, 1.2, 1.5, 1.6}
	tell := func(what string, n int, got float64, a []float64, o, w int, scale float64) {
		before, here, after := a[o-w], a[o], a[o+w]
		want := (after - before) * rate / 2
		bend := math.Abs(after-2*here+before) * rate
		if !(math.Abs(got-want) <= 2e-4*scale+0.02*bend+1e-3*math.Abs(want)) {
			t.Fatalf("%s at %.3f s: got=%v, differences say %v", what, tr.Time(n), got, want)
		}
	}
next:
	for n := 1; n+1 < tr.N; n++ {
		for _, s := range seams {
			if math.Abs(tr.Time(n)-s) < 2.5/rate {
				continue next
			}
		}
		for i := range 3 {
			tell("velocity", n, tr.BodyV[n*6+i], tr.Body, n*6+i, 6, 0.3)
		}
		for i := range 6 {
			tell("acceleration", n, tr.BodyA[n*6+i], tr.BodyV, n*6+i, 6, 1)
		}
		w := tr.Legs * kin.Joints
		for o := n * w; o < (n+1)*w; o++ {
			tell("joint speed", n, tr.V[o], tr.Q, o, w, 1)
			tell("joint acceleration", n, tr.A[o], tr.V, o, w, 10)
		}
	}
	for _, s := range tr.Seams {
		for j := range kin.Joints {
			if math.Abs(s.Step[j]) > 1e-12 || math.Abs(s.Kick[j]) > 1e-9 {
				t.Errorf("leg %d steps by %v, %v at %v s", s.Leg, s.Step, s.Kick, s.At)
			}
		}
	}
	if len(p.Seams()) == 0 || len(tr.Jolts) > 0 {
		t.Errorf("seams at %v, jolts %v", p.Seams(), tr.Jolts)
	}
}

func BenchmarkDrive(b *testing.B) {
	d := &motion.Drive{Duration: 1.5, W0: motion.Twist{Forward: 0.05, Turn: 0.4}, W1: motion.Twist{Side: 0.02, Turn: -0.2}}
	for b.Loop() {
		d.CourseAt(1.2)
	}
}
