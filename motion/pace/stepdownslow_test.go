// SPDX-License-Identifier: MIT

package pace_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/motion/pace"
)

// reaches tells whether a leg can have its foot at p (B) with all joints within
// their travel.
func reaches(l *kin.Leg, p r3.Vec) bool {
	x := l.XBH()
	s := l.Solve(x.Into(p))
	for j, q := range s.Q {
		if l.Limits[j].Outside(q) > 1e-9 {
			return false
		}
	}
	return s.Status != kin.Missed
}

// slowly marches down in small steps and halves the last one: the slow and
// obvious way, which overlooks what is shorter than a step.
func slowly(l *kin.Leg, p, down r3.Vec, step float64) (float64, bool) {
	can := func(d float64) bool { return reaches(l, r3.Add(p, r3.Scale(d, down))) }
	if !can(0) {
		return 0, false
	}
	lo := 0.0
	for can(lo + step) {
		lo += step
	}
	hi := lo + step
	for range 60 {
		if mid := (lo + hi) / 2; can(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo, true
}

// leg gives a leg with random measurements and travel. Some have no coxa, no
// offsets, equal links, or joints that turn all the way.
func leg(r *rand.Rand) *kin.Leg {
	some := func(lo, hi float64) float64 {
		if r.IntN(4) == 0 {
			return 0
		}
		return lo + (hi-lo)*r.Float64()
	}
	l := &kin.Leg{
		PBH: r3.Vec{X: r.NormFloat64() * 0.1, Y: r.NormFloat64() * 0.1}, Heading: r.Float64() * 6,
		Length:  [3]float64{some(0, 0.06), 0.03 + 0.1*r.Float64(), 0.03 + 0.15*r.Float64()},
		Lateral: some(-0.03, 0.03), Vertical: some(-0.03, 0.03), Knee: kin.Knee(r.IntN(2)),
	}
	if r.IntN(5) == 0 {
		l.Length[kin.Tibia] = l.Length[kin.Femur]
	}
	for j := range l.Limits {
		a, b := (2*r.Float64()-1)*math.Pi, (2*r.Float64()-1)*math.Pi
		l.Limits[j] = kin.Range{Lo: min(a, b), Hi: max(a, b)}
		if r.IntN(3) == 0 {
			l.Limits[j] = kin.Range{Lo: -math.Pi, Hi: math.Pi}
		}
	}
	return l
}

// Random legs, places and directions: all of the way is reached, it ends where
// it says, and where the slow way looks closely enough it says the same.
func TestStepDownAgainstTheSlowWay(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	asked, level, differ := 0, 0, 0
	for n := 0; asked < 3000; n++ {
		if n > 200000 {
			t.Fatalf("only %d places are reached", asked)
		}
		l := leg(r)
		var q [3]float64 // a place within its travel
		for j := range q {
			q[j] = l.Limits[j].Lo + (l.Limits[j].Hi-l.Limits[j].Lo)*r.Float64()
		}
		x := l.XBH()
		p := x.At(l.Forward(q))
		down := r3.Vec{Z: -1}
		switch r.IntN(3) {
		case 0:
			down = r3.Unit(r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()})
		case 1:
			e := math.Pow(10, -9*r.Float64()) // leaning by little
			down = r3.Unit(r3.Vec{X: e * r.NormFloat64(), Y: e * r.NormFloat64(), Z: -1})
		}
		got, ok := pace.StepDown(l, p, down)
		if ok != reaches(l, p) {
			t.Fatalf("ok %v", ok)
		}
		if !ok { // on the other side of the knee or of the coxa
			continue
		}
		asked++
		if down.Z == -1 {
			level++
		}
		at := func(d float64) bool { return reaches(l, r3.Add(p, r3.Scale(d, down))) }
		const looks = 400
		for k := range looks {
			if d := got * (float64(k) + 0.5) / looks; d < got-1e-7 && !at(d) {
				t.Fatalf("%+v from %v along %v: %v m of %v m is not reached", l, p, down, d, got)
			}
		}
		ends := false
		for _, e := range []float64{1e-8, 3e-8, 1e-7, 1e-6} {
			ends = ends || !at(got+e)
		}
		if !ends {
			t.Fatalf("%+v from %v along %v: goes on after %v m", l, p, down, got)
		}
		if n%10 == 0 {
			want, _ := slowly(l, p, down, 1e-4)
			if math.Abs(got-want) > 1e-7 {
				differ++ // it stepped over the end
			}
		}
	}
	if level < 500 || differ > 3 {
		t.Errorf("%d straight down; %d differ from the slow way", level, differ)
	}
}

// Not a number is not a place.
func TestStepDownOfNonsense(t *testing.T) {
	l := &starter(t).Robot.Legs[0]
	nan, inf := math.NaN(), math.Inf(1)
	for _, v := range []r3.Vec{{X: nan}, {Z: inf}, {X: 1e300, Y: -1e300}} {
		if d, ok := pace.StepDown(l, v, r3.Vec{Z: -1}); ok || d != 0 {
			t.Errorf("from %v: %v, %v", v, d, ok)
		}
		if d, ok := pace.StepDown(l, r3.Vec{X: l.Stand.X, Y: l.Stand.Y, Z: -0.08}, v); ok || d != 0 {
			t.Errorf("along %v: %v, %v", v, d, ok)
		}
	}
}
