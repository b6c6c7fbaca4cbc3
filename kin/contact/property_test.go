// SPDX-License-Identifier: MIT

package contact

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

// hardship makes a walker's problem worse in one of many ways, k tells which.
func hardship(rnd *rand.Rand, k int) (*Problem, []Foot) {
	n := 3 + rnd.IntN(kin.MaxLegs-2)
	p, feet := walker(rnd, n)
	switch k % 8 {
	case 1:
		p.Force.X *= 10
	case 2:
		p.Moment.X *= 4
	case 3:
		p.Moment.Z *= 10
	case 4: // a millimetre up and down
		for i := range feet {
			feet[i].P.Z = 0.002 * (rnd.Float64() - 0.5)
		}
	case 5: // the zero-moment point is brought near the edge
		t := math.Pow(10, -12*rnd.Float64())
		a, b := feet[0].P, feet[1].P
		zmp := r3.Add(r3.Scale(t, feet[2].P), r3.Scale(1-t, r3.Scale(0.5, r3.Add(a, b))))
		p.Force.X, p.Force.Y = 0, 0
		p.Moment = r3.Cross(r3.Sub(zmp, p.Point), p.Force)
	case 6:
		p.Friction = math.Pow(10, -6*rnd.Float64())
		p.Force.X, p.Force.Y, p.Moment.Z = 0, 0, 0
		p.Moment = r3.Vec{}
	case 7:
		for i := range feet {
			for j := range kin.Joints {
				feet[i].Limit[j] = math.Pow(10, 4*rnd.Float64()-2)
			}
		}
	}
	return p, feet
}

// solve solves with a new solver and checks what always holds.
func solve(t *testing.T, p *Problem, feet []Foot) ([]r3.Vec, float64, Status) {
	t.Helper()
	var s Solver
	force := make([]r3.Vec, len(feet))
	load, st := s.Solve(p, feet, force)
	verify(t, p, feet, force, load, st)
	return force, load, st
}

func apart(a, b []r3.Vec) float64 {
	d := 0.0
	for i := range a {
		d = max(d, r3.Norm(r3.Sub(a[i], b[i])))
	}
	return d
}

func TestProperties(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 8))
	kinds := map[Status]int{}
	most, steps := map[string]float64{}, 0
	var used Solver
	for k := range 4000 {
		p, feet := hardship(rnd, k)
		force, load, st := solve(t, p, feet)
		kinds[st]++
		size := r3.Norm(p.Force)
		// Scratch does not matter.
		again := make([]r3.Vec, len(feet))
		if l, s := used.Solve(p, feet, again); s != st || l != load || apart(again, force) != 0 {
			t.Fatalf("problem %d: another solver gives %v %v", k, l, s)
		}
		steps = max(steps, used.steps)
		if st == Balanced || st == Overloaded {
			// By duality the optimum is no lower than the gap below.
			open := used.mean * used.terms(&used.system) / max(used.v, 1e-3)
			most["gap"] = max(most["gap"], open)
			if open > 1e-6 {
				t.Errorf("problem %d (%d feet): gap %g", k, len(feet), open)
			}
		}
		same := func(what string, f []r3.Vec, l float64, s Status) {
			if s != st {
				t.Errorf("problem %d, %s: %v, was %v (load %v)", k, what, s, st, load)
				return
			}
			if st != Balanced && st != Overloaded {
				return
			}
			if !(math.Abs(l-load) <= 1e-6*load) {
				t.Errorf("problem %d, %s: load %v, was %v", k, what, l, load)
			}
			d := apart(f, force) / size
			if k%8 == 7 {
				what += ", limits apart"
			}
			most[what] = max(most[what], d)
			// Limits that differ ten-thousandfold leave some directions of the
			// forces hardly determined.
			if !(d <= 2e-4 || k%8 == 7 && d <= 1e-2) {
				t.Errorf("problem %d (%d feet), %s: forces moved by %g", k, len(feet), what, d)
			}
		}
		// Mirrored: y to -y.
		flip := func(v r3.Vec) r3.Vec { return r3.Vec{X: v.X, Y: -v.Y, Z: v.Z} }
		q := &Problem{Force: flip(p.Force), Moment: r3.Scale(-1, flip(p.Moment)), Point: flip(p.Point), Normal: flip(p.Normal), Friction: p.Friction}
		other := make([]Foot, len(feet))
		for i, f := range feet {
			f.P = flip(f.P)
			for j := range kin.Joints {
				f.JT[3*j+1] = -f.JT[3*j+1]
			}
			other[i] = f
		}
		f, l, s := solve(t, q, other)
		for i := range f {
			f[i] = flip(f[i])
		}
		same("mirrored", f, l, s)
		// In another order.
		order := rnd.Perm(len(feet))
		for i, o := range order {
			other[i] = feet[o]
		}
		g, l, s := solve(t, p, other)
		for i, o := range order {
			f[o] = g[i]
		}
		same("in another order", f, l, s)
		// Demand, torques and limits three times as large.
		q = &Problem{Force: r3.Scale(3, p.Force), Moment: r3.Scale(3, p.Moment), Point: p.Point, Normal: p.Normal, Friction: p.Friction}
		for i, f := range feet {
			for j := range kin.Joints {
				f.Free[j] *= 3
				f.Limit[j] *= 3
			}
			other[i] = f
		}
		f, l, s = solve(t, q, other)
		for i := range f {
			f[i] = r3.Scale(1./3, f[i])
		}
		same("scaled", f, l, s)
		// The whole world turned and moved.
		xWV := kin.Pose{R: kin.RPY(0.3, -0.4, 2), P: r3.Vec{X: 0.4, Y: -0.2, Z: 0.1}}
		q = &Problem{Force: xWV.R.Mul(p.Force), Moment: xWV.R.Mul(p.Moment), Point: xWV.At(p.Point), Normal: xWV.R.Mul(p.Normal), Friction: p.Friction}
		for i, f := range feet {
			f.P = xWV.At(f.P)
			for j := range kin.Joints {
				row := xWV.R.Mul(r3.Vec{X: f.JT[3*j], Y: f.JT[3*j+1], Z: f.JT[3*j+2]})
				f.JT[3*j], f.JT[3*j+1], f.JT[3*j+2] = row.X, row.Y, row.Z
			}
			other[i] = f
		}
		f, l, s = solve(t, q, other)
		for i := range f {
			f[i] = xWV.R.TMul(f[i])
		}
		same("turned", f, l, s)
		// A little further in time: no leap.
		q = &Problem{Force: r3.Add(p.Force, r3.Vec{X: 1e-7 * size}), Moment: p.Moment, Point: p.Point, Normal: p.Normal, Friction: p.Friction}
		if f, _, s = solve(t, q, feet); s == st && s <= Overloaded && k%8 == 0 {
			d := apart(f, force) / size
			most["a little later"] = max(most["a little later"], d)
			if !(d <= 1e-3) {
				t.Errorf("problem %d: forces leap by %g", k, d)
			}
		}
		// More friction never hurts.
		q = &Problem{Force: p.Force, Moment: p.Moment, Point: p.Point, Normal: p.Normal, Friction: p.Friction}
		q.Friction *= 1.3
		_, l, s = solve(t, q, feet)
		if (st == Balanced || st == Overloaded) && (s != Balanced && s != Overloaded || l > load*(1+1e-6)) {
			t.Errorf("problem %d: more friction makes it %v %v, was %v %v", k, s, l, st, load)
		}
		if mu, ok := used.LeastFriction(p, feet); k%8 != 5 {
			// Within a hair of the least coefficient either may be said.
			near := math.Abs(mu-p.Friction) <= 1e-5*p.Friction
			if stands := st == Balanced || st == Overloaded; stands != (ok && mu <= p.Friction) && !near || st == NeedsFriction && !ok {
				t.Errorf("problem %d: %v with friction %v, least %v %v", k, st, p.Friction, mu, ok)
			}
		}
	}
	for st := Balanced; st < Undefined; st++ {
		if kinds[st] < 50 {
			t.Errorf("only %d problems are %v", kinds[st], st)
		}
	}
	t.Logf("%v, at most %d steps, moved by %v", kinds, steps, most)
}

func TestNoAllocation(t *testing.T) {
	var s Solver
	rnd := rand.New(rand.NewPCG(1, 2))
	for k := range 16 {
		p, feet := hardship(rnd, k)
		force := make([]r3.Vec, len(feet))
		if n := testing.AllocsPerRun(20, func() {
			s.Solve(p, feet, force)
			s.LeastFriction(p, feet)
		}); n != 0 {
			t.Errorf("%d feet: %v allocations", len(feet), n)
		}
	}
}

// FuzzSolve: any bits at all neither panic nor give numbers that look valid
// and are not.
func FuzzSolve(f *testing.F) {
	rnd := rand.New(rand.NewPCG(5, 6))
	for k := range 8 {
		p, feet := hardship(rnd, k)
		f.Add(encode(p, feet[:3]))
	}
	f.Add([]byte{})
	f.Fuzz(func(t *testing.T, data []byte) {
		p, feet := decode(data)
		force := make([]r3.Vec, len(feet))
		var s Solver
		load, st := s.Solve(p, feet, force)
		for i, g := range force {
			if !finite(g) || st > Overloaded && g != (r3.Vec{}) {
				t.Errorf("%v: foot %d gets %v", st, i, g)
			}
		}
		switch st {
		case Balanced, Overloaded:
			if !(load >= 0) {
				t.Errorf("%v with load %v", st, load)
			}
		case NeedsPull, NeedsFriction:
			if !math.IsInf(load, 1) {
				t.Errorf("%v with load %v", st, load)
			}
		default:
			if !math.IsNaN(load) {
				t.Errorf("%v with load %v", st, load)
			}
		}
		if mu, ok := s.LeastFriction(p, feet); ok && !(mu >= 0 && mu <= 2000) {
			t.Errorf("least friction %v", mu)
		}
	})
}

func encode(p *Problem, feet []Foot) []byte {
	out := []byte{byte(len(feet))}
	put := func(vs ...float64) {
		for _, v := range vs {
			out = binary.LittleEndian.AppendUint64(out, math.Float64bits(v))
		}
	}
	for _, v := range []r3.Vec{p.Force, p.Moment, p.Point, p.Normal} {
		put(v.X, v.Y, v.Z)
	}
	put(p.Friction)
	for i := range feet {
		f := &feet[i]
		put(f.P.X, f.P.Y, f.P.Z)
		put(f.Free[:]...)
		put(f.JT[:]...)
		put(f.Limit[:]...)
	}
	return out
}

func decode(data []byte) (*Problem, []Foot) {
	n := 0
	if len(data) > 0 {
		n = int(data[0]) % (kin.MaxLegs + 1)
		data = data[1:]
	}
	next := func() float64 {
		if len(data) < 8 {
			return 0
		}
		v := math.Float64frombits(binary.LittleEndian.Uint64(data))
		data = data[8:]
		return v
	}
	vector := func() r3.Vec { return r3.Vec{X: next(), Y: next(), Z: next()} }
	p := &Problem{Force: vector(), Moment: vector(), Point: vector(), Normal: vector(), Friction: next()}
	feet := make([]Foot, n)
	for i := range feet {
		f := &feet[i]
		f.P = vector()
		for _, part := range [][]float64{f.Free[:], f.JT[:], f.Limit[:]} {
			for j := range part {
				part[j] = next()
			}
		}
	}
	return p, feet
}
