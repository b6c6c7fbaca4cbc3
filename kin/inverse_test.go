// SPDX-License-Identifier: MIT

package kin

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// drawLeg draws a leg of a hobby robot's size, every degenerate kind too.
func drawLeg(t *rapid.T) *Leg {
	size := rapid.Float64Range(0.02, 0.2)
	offset := rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(-0.03, 0.03))
	l := &Leg{
		Length: [Joints]float64{
			rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(0.001, 0.08)).Draw(t, "coxa"),
			size.Draw(t, "femur"), size.Draw(t, "tibia")},
		Lateral:  offset.Draw(t, "lateral"),
		Vertical: offset.Draw(t, "vertical"),
		Knee:     rapid.SampledFrom([]Knee{KneeUp, KneeDown}).Draw(t, "knee"),
	}
	if rapid.IntRange(0, 5).Draw(t, "even") == 0 {
		l.Length[Tibia] = l.Length[Femur]
	}
	return l
}

func drawAngles(t *rapid.T) [Joints]float64 {
	a := rapid.OneOf(rapid.Float64Range(-math.Pi, math.Pi),
		rapid.SampledFrom([]float64{0, math.Pi, -math.Pi, math.Pi / 2, -math.Pi / 2, 1e-9, -1e-9, math.Pi - 1e-9}))
	return [Joints]float64{a.Draw(t, "coxa angle"), a.Draw(t, "femur angle"), a.Draw(t, "tibia angle")}
}

// outward gives s, the foot's distance from the coxa axis in the leg's plane.
func (l *Leg) outward(q [Joints]float64) float64 {
	return l.Length[Coxa] + l.Length[Femur]*math.Cos(q[Femur]) + l.Length[Tibia]*math.Cos(q[Femur]+q[Tibia])
}

type fataler interface {
	Helper()
	Fatalf(format string, a ...any)
}

// verify checks what holds for every answer of Solve.
func verify(t fataler, l *Leg, p r3.Vec, s *Solution) {
	t.Helper()
	for _, v := range []float64{s.Q[0], s.Q[1], s.Q[2], s.Miss, s.Margin,
		s.Chain.PHK0.X, s.Chain.PHK0.Y, s.Chain.PHK0.Z, s.Chain.PHK.X, s.Chain.PHK.Y, s.Chain.PHK.Z,
		s.Chain.PHF.X, s.Chain.PHF.Y, s.Chain.PHF.Z,
		s.Chain.SinC, s.Chain.CosC, s.Chain.SinF, s.Chain.CosF, s.Chain.SinT, s.Chain.CosT} {
		if math.IsNaN(v) {
			t.Fatalf("NaN for %v of %+v: %+v", p, *l, *s)
		}
	}
	for j, q := range s.Q {
		if !(math.Abs(q) <= math.Pi) {
			t.Fatalf("%s angle %v for %v of %+v", JointName(j), q, p, *l)
		}
	}
	if l.Knee == KneeUp && s.Q[Tibia] > 0 || l.Knee == KneeDown && s.Q[Tibia] < 0 {
		t.Fatalf("knee on the wrong side for %v of %+v: %v", p, *l, s.Q)
	}
	want := l.Chain(s.Q)
	if !near(s.Chain.PHK0, want.PHK0, 1e-12) || !near(s.Chain.PHK, want.PHK, 1e-12) || !near(s.Chain.PHF, want.PHF, 1e-12) ||
		math.Abs(s.Chain.SinC-want.SinC)+math.Abs(s.Chain.CosC-want.CosC) > 1e-12 ||
		math.Abs(s.Chain.SinF-want.SinF)+math.Abs(s.Chain.CosF-want.CosF) > 1e-12 ||
		math.Abs(s.Chain.SinT-want.SinT)+math.Abs(s.Chain.CosT-want.CosT) > 1e-12 {
		t.Fatalf("for %v of %+v\nthe solution's chain is %+v,\nits angles' %+v", p, *l, s.Chain, want)
	}
	switch s.Status {
	case Reached, Singular:
		if s.Miss != 0 || s.Margin < 0 {
			t.Fatalf("reached with miss %g, margin %g", s.Miss, s.Margin)
		}
		if foot := l.Forward(s.Q); !near(foot, p, 3e-12) {
			t.Fatalf("the foot of %v is at %v, %g m from %v (%+v)", s.Q, foot, r3.Norm(r3.Sub(foot, p)), p, *l)
		}
		if l.outward(s.Q) < -1e-12 {
			t.Fatalf("the coxa is turned away from %v: %v of %+v", p, s.Q, *l)
		}
	case Missed:
		if !(s.Miss > 0) || s.Margin != -s.Miss {
			t.Fatalf("missed by %g with margin %g", s.Miss, s.Margin)
		}
		if math.IsInf(s.Miss, 0) {
			return
		}
		if got := r3.Norm(r3.Sub(l.Forward(s.Q), p)); math.Abs(got-s.Miss) > 1e-12*(1+s.Miss) {
			t.Fatalf("the foot is %g from the target, miss %g", got, s.Miss)
		}
		if l.outward(s.Q) < -1e-12 {
			t.Fatalf("the coxa is turned away from %v: %v of %+v", p, s.Q, *l)
		}
	default:
		t.Fatalf("status %v", s.Status)
	}
}

// Over the whole reach, both knees: the foot of the solved angles is where it
// was asked to be, and the angles are the ones it came from.
func TestSolveUndoesForward(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := drawLeg(t)
		q := drawAngles(t)
		p := l.Forward(q)
		s := l.Solve(p)
		verify(t, l, p, &s)
		if l.outward(q) >= 0 && s.Status == Missed {
			t.Fatalf("%v of %+v at %v is missed by %g", p, *l, q, s.Miss)
		}
		side := q[Tibia] < 0 == (l.Knee == KneeUp)
		det := math.Abs(l.outward(q)) * l.Length[Femur] * l.Length[Tibia] * math.Abs(math.Sin(q[Tibia]))
		if l.outward(q) > 0 && side && det > 1e-7 && turns(s.Q, q) > 1e-8 {
			t.Fatalf("angles %v, want %v", s.Q, q)
		}
		all := l.All(p)
		for _, a := range all {
			if foot := l.Forward(a); !near(foot, p, 1e-11) {
				t.Fatalf("All has %v, which puts the foot %g m off", a, r3.Norm(r3.Sub(foot, p)))
			}
		}
		if len(all) == 0 || len(all) > 4 {
			t.Fatalf("%d solutions", len(all))
		}
	})
}

// The Jacobian is the derivative of Forward by central differences, and its
// determinant is -s·F·T·sin t.
func TestJacobianIsDerivative(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := drawLeg(t)
		q := drawAngles(t)
		got := l.Jacobian(q)
		want := mat.NewDense(3, 3, nil)
		fd.Jacobian(want, func(y, x []float64) {
			p := l.Forward([Joints]float64(x))
			y[0], y[1], y[2] = p.X, p.Y, p.Z
		}, q[:], &fd.JacobianSettings{Formula: fd.Central, Step: 1e-5})
		for i := range got {
			if w := want.At(i/3, i%3); math.Abs(got[i]-w) > 1e-10 {
				t.Fatalf("J[%d] = %v, by differences %v", i, got[i], w)
			}
		}
		det := -l.outward(q) * l.Length[Femur] * l.Length[Tibia] * math.Sin(q[Tibia])
		// By cofactors: an LU decomposition stumbles over denormal offsets.
		j := &got
		if g := j[0]*(j[4]*j[8]-j[5]*j[7]) - j[1]*(j[3]*j[8]-j[5]*j[6]) + j[2]*(j[3]*j[7]-j[4]*j[6]); math.Abs(g-det) > 1e-15 {
			t.Fatalf("det %v, want %v", g, det)
		}
	})
}

// slowMiss is the obvious reference for a target out of reach: the least
// distance over a grid of femur and tibia angles with the foot on the outer
// side of the coxa axis, then over ever finer grids about the best ones. The
// coxa needs no search: it turns the foot into the target's direction.
func slowMiss(l *Leg, p r3.Vec) float64 {
	rho := math.Hypot(p.X, p.Y)
	at := func(f, t float64) float64 {
		q := [Joints]float64{0, f, t}
		s := l.outward(q)
		if s < 0 {
			return math.Inf(1)
		}
		return math.Hypot(math.Hypot(s, l.Lateral)-rho, l.Forward(q).Z-p.Z)
	}
	type spot struct{ f, t, m float64 }
	const n = 60
	var grid [n * n]spot
	for i := range n {
		for k := range n {
			f, t := 2*math.Pi*float64(i)/n-math.Pi, 2*math.Pi*float64(k)/n-math.Pi
			grid[i*n+k] = spot{f, t, at(f, t)}
		}
	}
	best := math.Inf(1)
	for _, start := range grid {
		// Every start that could still win: one step moves the foot by less
		// than 4π/90 · (F+T).
		if start.m > best+0.21*(l.Length[Femur]+l.Length[Tibia]) {
			continue
		}
		for step := 2 * math.Pi / n; step > 1e-9; {
			was := start.m
			for i := -2.0; i <= 2; i++ {
				for k := -2.0; k <= 2; k++ {
					if m := at(start.f+i*step, start.t+k*step); m < start.m {
						start = spot{start.f + i*step, start.t + k*step, m}
					}
				}
			}
			if start.m >= was {
				step /= 2
			}
			if step < 0.01 && start.m > best+0.01*(l.Length[Femur]+l.Length[Tibia]) {
				break
			}
		}
		best = min(best, start.m)
	}
	return best
}

func TestMissAgainstSlowSearch(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	span := func(a, b float64) float64 { return a + (b-a)*rnd.Float64() }
	missed, within, reached := 0, 0, 0
	for i := range 120 {
		l := &Leg{Length: [Joints]float64{span(0, 0.06), span(0.03, 0.15), span(0.03, 0.15)}, Vertical: span(-0.02, 0.02)}
		if i%3 != 0 {
			l.Lateral = span(-0.05, 0.05)
		}
		var p r3.Vec
		a := span(-math.Pi, math.Pi)
		switch i % 4 {
		case 0: // far
			p = r3.Vec{X: span(-0.6, 0.6), Y: span(-0.6, 0.6), Z: span(-0.6, 0.6)}
		case 1: // about the femur axis, where the inner circle is
			rho := l.Length[Coxa] + span(-0.03, 0.03)
			p = r3.Vec{X: rho * math.Cos(a), Y: rho * math.Sin(a), Z: l.Vertical + span(-0.03, 0.03)}
		case 2: // about the coxa axis
			rho := l.Lateral * rnd.Float64()
			p = r3.Vec{X: rho * math.Cos(a), Y: rho * math.Sin(a), Z: span(-0.4, 0.4)}
		case 3: // anywhere
			p = r3.Vec{X: span(-0.15, 0.15), Y: span(-0.15, 0.15), Z: span(-0.15, 0.15)}
		}
		s := l.Solve(p)
		verify(t, l, p, &s)
		want := slowMiss(l, p)
		// verify has seen that the foot can stand that far off, so the miss
		// is no less than the least; the search must find nothing closer. It
		// itself may end a hair early, in the corner where a circle meets the
		// axis.
		if s.Miss > want+1e-10 || s.Miss < want-3e-4 {
			t.Errorf("%d: %v of %v, %v, %v: miss %.10g, by search %.10g", i, p, l.Length, l.Lateral, l.Vertical, s.Miss, want)
		}
		switch {
		case s.Status != Missed:
			reached++
		case math.Hypot(p.X, p.Y) < math.Abs(l.Lateral):
			within++
		default:
			missed++
		}
	}
	if missed < 15 || within < 10 || reached < 15 {
		t.Errorf("too few of a kind: %d missed, %d within the lateral offset, %d reached", missed, within, reached)
	}
}

// slowEdge is the distance from a reachable target to the nearest point that
// is not, over many directions of the half plane through the coxa axis.
func slowEdge(l *Leg, rho, z float64) float64 {
	missed := func(r, z float64) bool {
		s := l.Solve(r3.Vec{X: math.Abs(r), Z: z})
		return s.Status == Missed
	}
	best := math.Inf(1)
	const n = 720
	for i := range n {
		sn, cs := math.Sincos(2 * math.Pi * float64(i) / n)
		lo, hi := 0.0, math.Inf(1)
		for d := 0.0; d < min(best, 1)+0.001; d += 0.001 {
			if missed(rho+d*cs, z+d*sn) {
				hi = d
				break
			}
			lo = d
		}
		if math.IsInf(hi, 1) {
			continue
		}
		for range 30 {
			if m := (lo + hi) / 2; missed(rho+m*cs, z+m*sn) {
				hi = m
			} else {
				lo = m
			}
		}
		best = min(best, hi)
	}
	return best
}

// Without a lateral offset the margin is the distance to the edge of the
// reach; with one it is a lower bound, at least the plane's share of it.
func TestMarginAgainstSlowSearch(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	span := func(a, b float64) float64 { return a + (b-a)*rnd.Float64() }
	for i := range 80 {
		l := &Leg{Length: [Joints]float64{span(0, 0.06), span(0.05, 0.15), span(0.05, 0.15)}}
		if i%2 == 1 {
			l.Lateral = span(-0.03, 0.03)
		}
		q := [Joints]float64{0, span(-math.Pi, math.Pi), span(-math.Pi, math.Pi)}
		s := l.outward(q)
		if s < 0 {
			continue
		}
		z := l.Forward(q).Z
		rho := math.Hypot(s, l.Lateral)
		got := l.Solve(r3.Vec{Y: rho, Z: z}).Margin
		want := slowEdge(l, rho, z)
		// 720 directions: the search itself is up to 1 - cos(π/720) too far
		// on a flat edge, more where the edge has a corner.
		if got > want+1e-9 {
			t.Errorf("%d: margin %v, the edge is %v away (%v, %v, %v)", i, got, want, l.Length, l.Lateral, q)
		}
		if l.Lateral == 0 && got < want*(1-1e-4)-1e-4 {
			t.Errorf("%d: margin %v, by search %v (%v, %v, %v)", i, got, want, l.Length, l.Lateral, q)
		}
		if l.Lateral != 0 && s > 0.02 && got < 0.5*want*s/rho {
			t.Errorf("%d: margin %v is far below %v (%v, %v, %v)", i, got, want, l.Length, l.Lateral, q)
		}
	}
}

// By hand, femur and tibia 0.15 m together, the femur axis 0.03 m out.
func TestMarginByHand(t *testing.T) {
	l := &Leg{Length: [Joints]float64{0.03, 0.06, 0.09}}
	for _, c := range []struct {
		p    r3.Vec
		want float64
	}{
		{r3.Vec{X: 0.13}, 0.05},              // 0.15 - 0.10
		{r3.Vec{X: 0.07}, 0.01},              // 0.04 - 0.03, the folded leg
		{r3.Vec{X: 0.09, Z: -0.08}, 0.05},    // 0.15 - 0.10, oblique
		{r3.Vec{X: 0.05}, -0.01},             // 0.02 - 0.03
		{r3.Vec{Y: -0.15, Z: -0.16}, -0.05},  // 0.15 - 0.20, oblique
		{r3.Vec{Z: -0.1}, 0.046969384566991}, // to where the circle meets the axis, √(0.15²-0.03²) - 0.1; straight on it would be 0.0456
	} {
		if got := l.Solve(c.p).Margin; math.Abs(got-c.want) > 1e-15 {
			t.Errorf("%v: margin %v, want %v", c.p, got, c.want)
		}
	}
	// Lateral 0.05: radius 0.13 is 0.12 outward (5-12-13), 0.09 from the femur
	// axis, so 0.06 from both circles; the bound is what a step of 0.06 towards
	// the coxa axis changes the radius by.
	l.Lateral = 0.05
	if got, want := l.Solve(r3.Vec{X: 0.13}).Margin, 0.13-math.Sqrt(0.0061); math.Abs(got-want) > 1e-15 {
		t.Errorf("margin %v, want %v", got, want)
	}
	// Within the cylinder of the offset no foot stands.
	if got := l.Solve(r3.Vec{X: 0.03, Z: -0.1}); got.Status != Missed || math.Abs(got.Margin+0.02) > 1e-12 {
		t.Errorf("margin %v, want -0.02", got.Margin)
	}
}

// Along any line the margin has no jump: between neighbouring points it
// changes by no more than their distance (without a lateral offset), and
// vanishes with it (with one). Its sign is the status.
func TestMarginIsContinuous(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := drawLeg(t)
		a, b := drawVec(t, "a"), drawVec(t, "b")
		a, b = r3.Scale(0.4, a), r3.Scale(0.4, b)
		const n = 400
		step := r3.Norm(r3.Sub(b, a)) / n
		last := 0.0
		for i := range n + 1 {
			p := r3.Add(a, r3.Scale(float64(i)/n, r3.Sub(b, a)))
			s := l.Solve(p)
			if (s.Margin < 0) != (s.Status == Missed) {
				t.Fatalf("margin %g, status %v", s.Margin, s.Status)
			}
			allowed := step
			if l.Lateral != 0 {
				// The bound's slope may pass 1, as the outward coordinate's
				// own does near the cylinder of the lateral offset.
				allowed = 3*step + math.Sqrt(2*math.Abs(l.Lateral)*step)
			}
			if i > 0 && math.Abs(s.Margin-last) > allowed+1e-12 {
				t.Fatalf("the margin jumps from %g to %g within %g m at %v of %+v", last, s.Margin, step, p, *l)
			}
			last = s.Margin
		}
	})
}

// Singular poses, by the determinant of the Jacobian.
func TestSingular(t *testing.T) {
	for _, c := range []struct {
		name string
		leg  Leg
		p    r3.Vec
	}{
		{"full stretch", Leg{Length: [Joints]float64{0.03, 0.06, 0.09}}, r3.Vec{X: 0.18}},
		{"stretched down", Leg{Length: [Joints]float64{0.03, 0.06, 0.09}, Vertical: 0.01}, r3.Vec{X: 0.03, Z: -0.14}},
		{"folded", Leg{Length: [Joints]float64{0.03, 0.06, 0.09}}, r3.Vec{X: 0.06}},
		{"folded on the femur axis", Leg{Length: [Joints]float64{0.03, 0.08, 0.08}}, r3.Vec{X: 0.03}},
		{"on the coxa axis", Leg{Length: [Joints]float64{0.03, 0.06, 0.09}}, r3.Vec{Z: -0.1}},
		{"at the lateral offset", Leg{Length: [Joints]float64{0.03, 0.06, 0.09}, Lateral: 0.02}, r3.Vec{X: 0.02, Z: -0.1}},
	} {
		for _, knee := range []Knee{KneeUp, KneeDown} {
			c.leg.Knee = knee
			s := c.leg.Solve(c.p)
			verify(t, &c.leg, c.p, &s)
			if s.Status != Singular {
				t.Errorf("%s: status %v", c.name, s.Status)
			}
			j := c.leg.Jacobian(s.Q)
			if det := mat.Det(mat.NewDense(3, 3, j[:])); math.Abs(det) > 1e-9 {
				t.Errorf("%s: the determinant %g is not 0", c.name, det)
			}
		}
	}
	// Within rounding of the edge: reached; a hair beyond that: missed.
	l := &Leg{Length: [Joints]float64{0.03, 0.06, 0.09}}
	for i, off := range []float64{-2e-16, 0, 2e-16, 1e-13, 1e-11, 1e-9} {
		s := l.Solve(r3.Vec{X: 0.18 + off})
		if want := i >= 4; (s.Status == Missed) != want {
			t.Errorf("%g m beyond the reach: %+v", off, s)
		}
	}
}

var extremes = []float64{
	0, math.Copysign(0, -1), math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat64, -math.MaxFloat64,
	1e308, 1e200, -1e155, 1.3e154, 1e154, 1e100, 1e20, 1e-20, -1e-100, 1e-155, 1e-160, 1e-200, 1e-308, 5e-324,
	0.02, -0.02, 0.03, 0.06, 0.18,
}

func TestSolveOfAnything(t *testing.T) {
	number := rapid.OneOf(rapid.Float64(), rapid.SampledFrom(extremes), rapid.Float64Range(-0.3, 0.3))
	rapid.Check(t, func(t *rapid.T) {
		l := drawLeg(t)
		p := r3.Vec{X: number.Draw(t, "x"), Y: number.Draw(t, "y"), Z: number.Draw(t, "z")}
		s := l.Solve(p)
		verify(t, l, p, &s)
	})
	// Every combination of the extremes.
	for _, l := range []Leg{
		{Length: [Joints]float64{0.03, 0.06, 0.09}},
		{Length: [Joints]float64{0.03, 0.06, 0.09}, Lateral: 0.02, Vertical: -0.02, Knee: KneeDown},
		{Length: [Joints]float64{0, 0.06, 0.06}, Lateral: -0.02},
		{Length: [Joints]float64{0, 0.06, 0.06}, Knee: KneeDown},
		{Length: [Joints]float64{0.1, 0.01, 0.02}, Lateral: 1e-170},
		{Length: [Joints]float64{0, 0.2, 0.2}, Lateral: 1.1e-162},
		{Length: [Joints]float64{0.08, 0.2, 0.2}, Lateral: 1.8e-12},
	} {
		for _, x := range extremes {
			for _, y := range extremes {
				for _, z := range extremes {
					p := r3.Vec{X: x, Y: y, Z: z}
					s := l.Solve(p)
					verify(t, &l, p, &s)
					for _, q := range l.All(p) {
						for _, a := range q {
							if !(math.Abs(a) <= math.Pi) {
								t.Fatalf("All(%v) of %+v has %v", p, l, q)
							}
						}
					}
				}
			}
		}
	}
}

func FuzzSolve(f *testing.F) {
	f.Add(0.03, 0.06, 0.09, 0.0, 0.0, false, 0.09, 0.0, -0.06)
	f.Add(0.03, 0.06, 0.09, 0.02, 0.01, true, 0.01, 0.0, -0.06)
	f.Add(0.0, 0.06, 0.06, 0.0, 0.0, false, 0.0, 0.0, 0.0)
	f.Add(0.03, 0.06, 0.09, 0.0, 0.0, false, 1e-160, 0.0, -0.06)
	f.Add(0.03, 0.06, 0.09, 0.0, 0.0, false, math.Inf(1), math.NaN(), -0.06)
	f.Fuzz(func(t *testing.T, c, fe, ti, d, h float64, down bool, x, y, z float64) {
		// Only legs that people build: 1 mm to 1 m, offsets up to 1 m.
		if !(c >= 0 && c <= 1 && fe >= 1e-3 && fe <= 1 && ti >= 1e-3 && ti <= 1 && math.Abs(d) <= 1 && math.Abs(h) <= 1) {
			return
		}
		l := &Leg{Length: [Joints]float64{c, fe, ti}, Lateral: d, Vertical: h}
		if down {
			l.Knee = KneeDown
		}
		p := r3.Vec{X: x, Y: y, Z: z}
		s := l.Solve(p)
		verify(t, l, p, &s)
		l.All(p)
	})
}
