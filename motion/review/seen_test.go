// SPDX-License-Identifier: MIT

package review

import (
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/load"
)

// scrambled gives copies of a trajectory and its loads with the samples from
// one to before another changed in every number, and the others kept.
func scrambled(rnd *rand.Rand, t *motion.Trajectory, d *load.Loads, from, to int) (*motion.Trajectory, *load.Loads) {
	u, e := *t, *d
	w := t.Legs * kin.Joints
	some := func(a []float64, width int, size float64) []float64 {
		a = slices.Clone(a)
		for i := from * width; i < to*width; i++ {
			if rnd.IntN(3) == 0 {
				a[i] += size * rnd.NormFloat64()
			}
		}
		return a
	}
	u.Body, u.Margin, u.COM = some(t.Body, 6, 0.01), some(t.Margin, 1, 0.01), some(t.COM, 3, 0.01)
	u.Q, u.V, u.Foot = some(t.Q, w, 0.3), some(t.V, w, 3), some(t.Foot, w, 0.01)
	u.Points, u.Reach = some(t.Points, 3*w, 0.06), some(t.Reach, t.Legs, 0.03)
	u.Planted = slices.Clone(t.Planted)
	for i := from * t.Legs; i < to*t.Legs; i++ {
		u.Planted[i] = u.Planted[i] != (rnd.IntN(20) == 0)
	}
	e.Torque, e.Current, e.Voltage = some(d.Torque, w, 1), some(d.Current, 1, 5), some(d.Voltage, 1, 2)
	e.Acc, e.Spin, e.Dynamic = some(d.Acc, 3, 3), some(d.Spin, 3, 0.3), some(d.Dynamic, 1, 0.02)
	u.Kept, e.Kept = make([]bool, t.N), make([]bool, t.N)
	for k := range u.Kept {
		out := k < from || k >= to
		u.Kept[k], e.Kept[k] = out, out
	}
	// What needs more than a sample may change anywhere, and so may what is
	// between two.
	e.Lift, e.Tilt, e.Slip = slices.Clone(d.Lift), slices.Clone(d.Tilt), slices.Clone(d.Slip)
	for range 3 {
		k := rnd.IntN(t.N)
		e.Lift[k], e.Tilt[k], e.Slip[k] = 0.01*rnd.Float64(), 0.1*rnd.Float64(), 0.01*rnd.Float64()
	}
	u.Seams = slices.Clone(t.Seams)
	if n := len(u.Seams); n > 0 && rnd.IntN(2) == 0 {
		u.Seams = slices.Delete(u.Seams, n-1, n)
	} else {
		s := motion.Seam{At: t.Duration() * rnd.Float64(), Leg: rnd.IntN(t.Legs)}
		s.Step[rnd.IntN(kin.Joints)] = 0.1 * rnd.Float64()
		u.Seams = append(u.Seams, s)
		slices.SortStableFunc(u.Seams, func(a, b motion.Seam) int {
			if a.At < b.At {
				return -1
			}
			return 1
		})
	}
	return &u, &e
}

// Again says what Run says, after whatever change of some samples, and of what
// is between them.
func TestAgainIsRun(t *testing.T) {
	r := sixLegged()
	p, _ := tripod(t, 3)
	tr := mustSample(t, r, p, 50)
	l := Defaults()
	l.Outputs = make([][kin.Joints]Output, len(r.Legs))
	for i := range l.Outputs {
		for j := range kin.Joints {
			l.Outputs[i][j] = Output{Set: true, Centre: 1500, PerRad: 500, Least: 500, Greatest: 2000}
		}
	}
	d := loads(r, tr, l)
	rnd := rand.New(rand.NewPCG(6, 4))
	words := map[string]bool{}
	for range 60 {
		var seen *Seen
		u, e := tr, d
		for range 12 {
			if from := rnd.IntN(tr.N); rnd.IntN(8) == 0 {
				u, e = tr, d // all new, nothing kept
			} else {
				u, e = scrambled(rnd, u, e, from, min(tr.N, from+rnd.IntN(8)))
			}
			var got []Finding
			got, seen = Again(r, u, e, l, seen)
			if want := Run(r, u, e, l); !reflect.DeepEqual(got, want) {
				t.Fatalf("%d findings, want %d:\n%+v\nwant\n%+v", len(got), len(want), got, want)
			}
			for i := range got {
				words[got[i].Word] = true
			}
		}
	}
	for _, w := range []string{"out-of-reach", "joint-limit", "pulse-range", "joint-speed", "joint-torque", "foot-slides", "ground-hit", "legs-touch", "jump"} {
		if !words[w] {
			t.Errorf("%s was never found", w)
		}
	}
}
