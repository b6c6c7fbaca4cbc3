// SPDX-License-Identifier: MIT

package dynamics

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

var flat = Plane{N: r3.Vec{Z: 1}}

// points sums bodies of mass m at c with acceleration a and spin rate l to the
// demand about their centre of mass.
func points(m []float64, c, a, l []r3.Vec) (Wrench, r3.Vec) {
	var com r3.Vec
	total := 0.0
	for i := range m {
		total += m[i]
		com = r3.Add(com, r3.Scale(m[i], c[i]))
	}
	com = r3.Scale(1/total, com)
	var w Wrench
	for i := range m {
		f := r3.Scale(m[i], r3.Add(a[i], r3.Vec{Z: gravity}))
		w.Force = r3.Add(w.Force, f)
		w.Moment = r3.Add(w.Moment, r3.Add(l[i], r3.Cross(r3.Sub(c[i], com), f)))
	}
	return w, com
}

// Closed forms: cart-table x - h·a/g (Kajita and others, Introduction to
// Humanoid Robotics, 2014, ch. 3; from memory) and three bodies, confirmed by a
// balance of moments.
func TestZeroMoment(t *testing.T) {
	v := func(x, y, z float64) r3.Vec { return r3.Vec{X: x, Y: y, Z: z} }
	three := []float64{1.5, 0.3, 0.2}
	at := []r3.Vec{v(0.01, 0, 0.10), v(0.08, 0.09, 0.05), v(-0.07, -0.08, 0.04)}
	for _, c := range []struct {
		name    string
		m       []float64
		c, a, l []r3.Vec
		x, y    float64
	}{
		{"cart", []float64{1}, []r3.Vec{v(0, 0, 0.1)}, []r3.Vec{v(1, 0, 0)}, []r3.Vec{{}}, -0.010197162129779284, 0},
		{"cart back", []float64{3}, []r3.Vec{v(0.02, 0, 0.12)}, []r3.Vec{v(-2, 0, 0)}, []r3.Vec{{}}, 0.044473189111470274, 0},
		{"tall cart", []float64{1}, []r3.Vec{v(0, 0, 0.8)}, []r3.Vec{v(1, 0, 0)}, []r3.Vec{{}}, -0.08157729703823427, 0},
		{
			"three", three, at, []r3.Vec{v(0.5, -0.2, 0.3), v(-1, 0.4, 2), {}},
			[]r3.Vec{v(0.001, 0.004, 0), v(-0.0005, 0.0002, 0), {}}, 0.011298594609767076, 0.009019524954871681,
		},
		{"three at rest", three, at, make([]r3.Vec, 3), make([]r3.Vec, 3), 0.0125, 0.0055},
	} {
		w, com := points(c.m, c.c, c.a, c.l)
		p, footing := ZeroMoment(w, com, flat)
		if footing != Loaded || math.Hypot(p.X-c.x, p.Y-c.y) > 1e-15 || p.Z != 0 {
			t.Errorf("%s: %v %v, want %v %v", c.name, p, footing, c.x, c.y)
		}
		// On any other plane the moment about the point has no part along it.
		tilt := kin.RPY(0.2, -0.3, 0)
		g := Plane{P: v(0.1, 0.2, -0.03), N: tilt.Mul(r3.Vec{Z: 1})}
		p, footing = ZeroMoment(w, com, g)
		m := r3.Add(w.Moment, r3.Cross(r3.Sub(com, p), w.Force))
		if footing != Loaded || r3.Norm(r3.Cross(g.N, m)) > 1e-14 || math.Abs(r3.Dot(g.N, r3.Sub(p, g.P))) > 1e-15 {
			t.Errorf("%s, tilted: %v %v leaves %v", c.name, p, footing, m)
		}
	}
	com := v(0, 0, 0.1)
	for _, c := range []struct {
		f    r3.Vec
		want Footing
	}{
		{v(0, 0, 0), Unloaded}, {v(1, 0, 0), Unloaded}, {v(1, 0, -1), Unloaded}, {v(1, 0, 1e-12), Unloaded},
		{v(0, 0, math.NaN()), Undefined}, {v(0, math.Inf(1), 1), Undefined}, {v(0, 0, 1e-3), Loaded},
	} {
		if p, got := ZeroMoment(Wrench{Force: c.f}, com, flat); got != c.want || (got != Loaded && p != r3.Vec{}) {
			t.Errorf("force %v: %v %v, want %v", c.f, p, got, c.want)
		}
	}
}

// highest is the slow truth: how far com rises at most while it turns outward
// about the edge from a to b.
func highest(com, a, b r3.Vec) float64 {
	best := 0.0
	for i := range 200001 {
		r := r3.NewRotation(math.Pi*float64(i)/200000, r3.Sub(b, a))
		best = max(best, r3.Add(a, r.Rotate(r3.Sub(com, a))).Z-com.Z)
	}
	return best
}

// Closed form √(d² + H²) - H on a rectangle and its tilted pose (exact
// arithmetic; Messuri and Klein 1985, Hirose and others 1998, from memory).
func TestEnergyMargin(t *testing.T) {
	feet := []r3.Vec{{X: 0.15, Y: 0.1}, {X: -0.15, Y: -0.1}, {X: -0.15, Y: 0.1}, {X: 0.15, Y: -0.1}}
	for _, c := range []struct {
		com         r3.Vec
		pitch, want float64
		joule       float64 // of 2 kg, 0 where the source has none
	}{
		{r3.Vec{Z: 0.10}, 0, 0.0414213562373095, 0.8124094862892224},
		{r3.Vec{Z: 0.05}, 0, 0.06180339887498949, 1.2121686031548313},
		{r3.Vec{X: 0.05, Y: 0.02, Z: 0.10}, 0, 0.02806248474865697, 0.5503979321208337},
		{r3.Vec{X: 0.10, Z: 0.12}, 0, 0.01, 0.196133},
		{r3.Vec{Z: 0.10}, 20, 0.035005280195758326, 0},
		{r3.Vec{Z: 0.10}, 30, 0.018675023394755602, 0},
	} {
		r := kin.RPY(0, c.pitch*math.Pi/180, 0)
		turned := make([]r3.Vec, len(feet))
		for i := range feet {
			turned[i] = r3.Add(r3.Vec{X: 1, Y: 2, Z: 3}, r.Mul(feet[i]))
		}
		com := r3.Add(r3.Vec{X: 1, Y: 2, Z: 3}, r.Mul(c.com))
		got := EnergyMargin(com, turned)
		if math.Abs(got-c.want) > 1e-14 {
			t.Errorf("%v at %v°: %v, want %v", c.com, c.pitch, got, c.want)
		}
		if j := 2 * gravity * got; c.joule != 0 && math.Abs(j-c.joule) > 1e-13 {
			t.Errorf("%v: %v J, want %v", c.com, j, c.joule)
		}
	}
}

func TestEnergyMarginUneven(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 8))
	for range 8 {
		var f [3]r3.Vec
		for i := range f {
			s, c := math.Sincos(2*math.Pi*float64(i)/3 + rnd.Float64())
			f[i] = r3.Vec{X: 0.15 * c, Y: 0.15 * s, Z: 0.08 * (rnd.Float64() - 0.5)}
		}
		mid := r3.Scale(1./3, r3.Add(f[0], r3.Add(f[1], f[2])))
		com := r3.Add(mid, r3.Vec{X: 0.01 * rnd.Float64(), Z: 0.05 + 0.1*rnd.Float64()})
		want := math.Inf(1)
		for i := range f {
			want = min(want, highest(com, f[i], f[(i+1)%3]))
		}
		if got := EnergyMargin(com, f[:]); math.Abs(got-want) > 1e-9 {
			t.Errorf("feet %v, centre %v: %v, want %v", f, com, got, want)
		}
	}
}

func TestEnergyMarginEdges(t *testing.T) {
	a, b, c := r3.Vec{X: -0.1, Y: -0.1}, r3.Vec{X: 0.1, Y: -0.1}, r3.Vec{Y: 0.2}
	h := math.Hypot(0.05, 0.1) - 0.1 // 50 mm off an edge, 100 mm up
	for _, k := range []struct {
		name string
		com  r3.Vec
		feet []r3.Vec
		want float64
	}{
		{"none", r3.Vec{}, nil, math.Inf(-1)},
		{"above the edge", r3.Vec{Y: -0.1, Z: 0.1}, []r3.Vec{a, b, c}, 0},
		{"beyond the edge", r3.Vec{Y: -0.15, Z: 0.1}, []r3.Vec{a, b, c}, -h},
		{"two feet", r3.Vec{Y: -0.15, Z: 0.1}, []r3.Vec{a, b}, -h},
		{"two feet, other side", r3.Vec{Y: -0.05, Z: 0.1}, []r3.Vec{b, a}, -h},
		{"two feet, above", r3.Vec{Y: -0.1, Z: 0.1}, []r3.Vec{a, b}, 0},
		{"one foot", r3.Vec{X: 0.05, Y: 0.2, Z: 0.1}, []r3.Vec{c}, -h},
		{"one above the other", r3.Vec{X: 0.05, Y: 0.2, Z: 0.1}, []r3.Vec{{Y: 0.2, Z: -1}, c}, -h},
		{"below the feet", r3.Vec{Y: -0.05, Z: -0.1}, []r3.Vec{a, b, c}, math.Hypot(0.05, 0.1) + 0.1},
	} {
		if got := EnergyMargin(k.com, k.feet); got != k.want && !(math.Abs(got-k.want) < 1e-15) {
			t.Errorf("%s: %v, want %v", k.name, got, k.want)
		}
	}
}
