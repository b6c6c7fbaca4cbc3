// SPDX-License-Identifier: MIT

package motion_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"gaitwright/motion"
)

func distance(a, b motion.Course) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }

// Where elementary geometry gives the answer.
func TestAlongKnownCourses(t *testing.T) {
	start := motion.Course{X: 0.3, Y: -0.2, Yaw: math.Pi / 6}
	for _, c := range []struct {
		name string
		w    motion.Twist
		s    float64
		want motion.Course
	}{
		{"stands", motion.Twist{}, 5, start},
		{"straight", motion.Twist{Forward: 0.1}, 3, motion.Course{X: 0.3 + 0.3*math.Sqrt(3)/2, Y: -0.2 + 0.15, Yaw: math.Pi / 6}},
		{"sideways", motion.Twist{Side: 0.1}, 3, motion.Course{X: 0.3 - 0.15, Y: -0.2 + 0.3*math.Sqrt(3)/2, Yaw: math.Pi / 6}},
		{"turns in place", motion.Twist{Turn: 0.5}, 2, motion.Course{X: 0.3, Y: -0.2, Yaw: math.Pi/6 + 1}},
		{"whole circle", motion.Twist{Forward: 0.1, Side: 0.02, Turn: 0.25}, 8 * math.Pi, motion.Course{X: 0.3, Y: -0.2, Yaw: math.Pi/6 + 2*math.Pi}},
		// Half a circle of radius v/ω = 0.4 to the left ends 0.8 to the left.
		{"half circle", motion.Twist{Forward: 0.1, Turn: 0.25}, 4 * math.Pi, motion.Course{X: 0.3 - 0.4, Y: -0.2 + 0.8*math.Sqrt(3)/2, Yaw: math.Pi/6 + math.Pi}},
		{"back again", motion.Twist{Forward: 0.1}, -3, motion.Course{X: 0.3 - 0.3*math.Sqrt(3)/2, Y: -0.2 - 0.15, Yaw: math.Pi / 6}},
	} {
		got := start.Along(c.w, c.s)
		if distance(got, c.want) > 1e-15 || math.Abs(got.Yaw-c.want.Yaw) > 1e-14 {
			t.Errorf("%s: got=%v, want=%v", c.name, got, c.want)
		}
	}
}

func anyTwist(t *rapid.T) motion.Twist {
	v := rapid.Float64Range(-0.5, 0.5)
	turn := v.Draw(t, "turn")
	if rapid.Bool().Draw(t, "slight") {
		turn *= math.Pow(10, -rapid.Float64Range(1, 18).Draw(t, "power"))
	}
	return motion.Twist{Forward: v.Draw(t, "forward"), Side: v.Draw(t, "side"), Turn: turn}
}

func anyCourse(t *rapid.T) motion.Course {
	v := rapid.Float64Range(-3, 3)
	return motion.Course{X: v.Draw(t, "x"), Y: v.Draw(t, "y"), Yaw: v.Draw(t, "yaw")}
}

// The way on an arc keeps its distance from the centre of turning, and two
// ways after each other are one.
func TestAlongIsAnArc(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, w := anyCourse(t), anyTwist(t)
		s, u := rapid.Float64Range(0, 10).Draw(t, "s"), rapid.Float64Range(0, 10).Draw(t, "u")
		a := c.Along(w, s)
		if both := a.Along(w, u); distance(both, c.Along(w, s+u)) > 1e-13 {
			t.Fatalf("%v and %v: %v, at once %v", s, u, both, c.Along(w, s+u))
		}
		// The chord of an arc: 2·(v/ω)·sin(ωs/2), in a direction half-way.
		v, h := math.Hypot(w.Forward, w.Side), w.Turn*s/2
		chord := v * s
		if h != 0 {
			chord *= math.Sin(h) / h
		}
		if math.Abs(distance(a, c)-math.Abs(chord)) > 1e-14 {
			t.Fatalf("chord: got=%v, want=%v", distance(a, c), chord)
		}
		if math.Abs(w.Turn) > 0.01 {
			icc := c.At(r3.Vec{X: -w.Side / w.Turn, Y: w.Forward / w.Turn})
			r := v / math.Abs(w.Turn)
			if d := math.Hypot(a.X-icc.X, a.Y-icc.Y); math.Abs(d-r) > 1e-12 {
				t.Fatalf("radius: got=%v, want=%v", d, r)
			}
		}
	})
}

// Small turns against five terms of the series of (sin a)/a and (1-cos a)/a.
func TestAlongOfSmallTurns(t *testing.T) {
	w := motion.Twist{Forward: 0.3, Side: -0.2}
	for p := 1.5; p < 20; p += 0.25 {
		a := math.Pow(10, -p)
		w.Turn = a
		sa := 1 - a*a/6*(1-a*a/20*(1-a*a/42))
		ca := a / 2 * (1 - a*a/12*(1-a*a/30*(1-a*a/56)))
		want := motion.Course{X: w.Forward*sa - w.Side*ca, Y: w.Forward*ca + w.Side*sa, Yaw: a}
		if got := (motion.Course{}).Along(w, 1); distance(got, want) > 2e-16 || got.Yaw != a {
			t.Errorf("turn %v: got=%v, want=%v", a, got, want)
		}
	}
}

func TestCourseAtAndInto(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyCourse(t)
		v := rapid.Float64Range(-3, 3)
		p := r3.Vec{X: v.Draw(t, "px"), Y: v.Draw(t, "py"), Z: v.Draw(t, "pz")}
		if q := c.Into(c.At(p)); r3.Norm(r3.Sub(q, p)) > 1e-14 {
			t.Fatalf("there and back: %v, was %v", q, p)
		}
		want := r3.Add(r3.Vec{X: c.X, Y: c.Y}, r3.NewRotation(c.Yaw, r3.Vec{Z: 1}).Rotate(p))
		if q := c.At(p); r3.Norm(r3.Sub(q, want)) > 1e-14 {
			t.Fatalf("at: got=%v, want=%v", q, want)
		}
	})
}
