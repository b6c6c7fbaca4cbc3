// SPDX-License-Identifier: MIT

package pace_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/pace"
	"gaitwright/motion/workfile"
)

func starter(t *testing.T) *workfile.Built {
	t.Helper()
	f, err := workfile.Read("new.toml", workfile.Starter())
	if err != nil {
		t.Fatal(err)
	}
	b, err := f.Build()
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// Straight down, with joints that turn all the way, the foot ends where femur
// and tibia are in line: Pythagoras.
func TestStepDownOfFreeJoints(t *testing.T) {
	l := starter(t).Robot.Legs[0]
	for j := range l.Limits {
		l.Limits[j] = kin.Range{Lo: -math.Pi, Hi: math.Pi}
	}
	l.Lateral = 0
	r := rand.New(rand.NewPCG(1, 1))
	long := l.Length[kin.Femur] + l.Length[kin.Tibia]
	x := l.XBH()
	for range 500 {
		out := l.Length[kin.Coxa] + (0.2+0.7*r.Float64())*long
		psi := r.Float64() - 0.5
		z := -r.Float64() * 0.05
		p := r3.Vec{X: out * math.Cos(psi), Y: out * math.Sin(psi), Z: z}
		w := out - l.Length[kin.Coxa]
		inside := math.Hypot(w, z-l.Vertical)
		got, ok := pace.StepDown(&l, x.At(p), r3.Vec{Z: -1})
		if reach := inside <= long && inside >= math.Abs(l.Length[kin.Femur]-l.Length[kin.Tibia]); ok != reach {
			t.Fatalf("%v: ok %v, reached %v", p, ok, reach)
		}
		if !ok {
			continue
		}
		if want := z - l.Vertical + math.Sqrt(long*long-w*w); math.Abs(got-want) > 2e-5 {
			t.Errorf("%v: %v m, want %v", p, got, want)
		}
	}
}

// With the joints' travel, in any direction: all is reached up to the end, and
// nothing just past it.
func TestStepDownEndsAtTheEdge(t *testing.T) {
	b := starter(t)
	r := rand.New(rand.NewPCG(2, 2))
	can := func(l *kin.Leg, p r3.Vec) bool {
		x := l.XBH()
		s := l.Solve(x.Into(p))
		for j, q := range s.Q {
			if q < l.Limits[j].Lo-1e-9 || q > l.Limits[j].Hi+1e-9 {
				return false
			}
		}
		return s.Status != kin.Missed
	}
	n := 0
	for range 300 {
		l := &b.Robot.Legs[r.IntN(len(b.Robot.Legs))]
		p := r3.Vec{X: l.Stand.X + 0.04*(r.Float64()-0.5), Y: l.Stand.Y + 0.04*(r.Float64()-0.5), Z: l.FootRadius - b.Height}
		down := r3.Unit(r3.Vec{X: 0.4 * (r.Float64() - 0.5), Y: 0.4 * (r.Float64() - 0.5), Z: -1})
		d, ok := pace.StepDown(l, p, down)
		if ok != can(l, p) {
			t.Fatalf("%v: %v", p, ok)
		}
		if !ok {
			continue
		}
		n++
		for k := range 200 {
			if at := d * float64(k) / 200; !can(l, r3.Add(p, r3.Scale(at, down))) {
				t.Errorf("leg %s: %v m of %v m is not reached", l.Name, at, d)
				break
			}
		}
		if can(l, r3.Add(p, r3.Scale(d+2e-5, down))) {
			t.Errorf("leg %s: %v m is not the end", l.Name, d)
		}
	}
	if n < 200 {
		t.Errorf("only %d of 300 places are reached", n)
	}
}

// In a walk it is the least over the stances: standing still it is that of the
// stand pose, and a longer stroke leaves less.
func TestDown(t *testing.T) {
	b := starter(t)
	p, err := pace.New(&b.Robot, b.Height, &b.Gaits[0], pace.Limits{SpeedShare: b.Limits.SpeedShare, Clearance: b.Limits.Clearance})
	if err != nil {
		t.Fatal(err)
	}
	still, _, ok := p.Down(motion.Twist{})
	want := math.Inf(1)
	for i := range b.Robot.Legs {
		l := &b.Robot.Legs[i]
		d, _ := pace.StepDown(l, r3.Vec{X: l.Stand.X, Y: l.Stand.Y, Z: l.FootRadius - b.Height}, r3.Vec{Z: -1})
		want = min(want, d)
	}
	if !ok || math.Abs(still-want) > 1e-9 {
		t.Errorf("standing %v m, want %v", still, want)
	}
	best := p.Fastest(pace.Ahead(0))
	if d, _, ok := p.Down(best.Command); !ok || !(d < still) {
		t.Errorf("walking %v m, standing %v", d, still)
	}
	if _, _, ok := p.Down(motion.Twist{Forward: 100}); ok {
		t.Error("a stroke of a hundred metres has a reserve")
	}
}
