// SPDX-License-Identifier: MIT

package clearance

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// testdata/geos/geos_segments.csv: distances of segments of the plane by the
// GEOS library 3.11.1 (see the README there).
func TestSegmentsAgainstGEOS(t *testing.T) {
	file, err := os.Open("../../testdata/geos/geos_segments.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) < 400 {
		t.Fatalf("%d rows", len(rows))
	}
	// The plane may lie anyhow in space: also on its edge, with the rows as x and z.
	for i, row := range rows[1:] {
		var v [9]float64
		for k := range v {
			if v[k], err = strconv.ParseFloat(row[k+1], 64); err != nil {
				t.Fatalf("row %d: %v", i+2, err)
			}
		}
		for _, put := range []func(x, y float64) r3.Vec{
			func(x, y float64) r3.Vec { return r3.Vec{X: x, Y: y, Z: 0.1} },
			func(x, y float64) r3.Vec { return r3.Vec{X: x, Z: y} },
			func(x, y float64) r3.Vec { return r3.Vec{X: 0.6 * x, Y: y, Z: 0.8 * x} },
		} {
			a, b, c, d := put(v[0], v[1]), put(v[2], v[3]), put(v[4], v[5]), put(v[6], v[7])
			for _, got := range []float64{Segments(a, b, c, d), Segments(d, c, a, b)} {
				if math.Abs(got-v[8]) > 1e-9 {
					t.Errorf("row %d (%s): %v, GEOS %v", i+2, row[0], got, v[8])
				}
			}
		}
	}
}

// toSegment is the distance of p from the segment a-b.
func toSegment(p, a, b r3.Vec) float64 {
	u := r3.Sub(b, a)
	s := 0.0
	if n := r3.Dot(u, u); n > 0 {
		s = max(0, min(1, r3.Dot(r3.Sub(p, a), u)/n))
	}
	return r3.Norm(r3.Sub(p, r3.Add(a, r3.Scale(s, u))))
}

// least finds the minimum over [0, 1] of a convex function by thirds.
func least(f func(s float64) float64) float64 {
	lo, hi := 0.0, 1.0
	for range 120 {
		a, b := lo+(hi-lo)/3, hi-(hi-lo)/3
		if f(a) < f(b) {
			hi = b
		} else {
			lo = a
		}
	}
	return min(f(0), f(1), f((lo+hi)/2))
}

func along(a, b r3.Vec, s float64) r3.Vec { return r3.Add(a, r3.Scale(s, r3.Sub(b, a))) }

func drawVec(t *rapid.T, name string) r3.Vec {
	// A coarse grid now and then: points that coincide, segments that are
	// parallel or meet.
	g := rapid.OneOf(rapid.Float64Range(-0.3, 0.3),
		rapid.Map(rapid.IntRange(-3, 3), func(i int) float64 { return float64(i) / 10 }))
	return r3.Vec{X: g.Draw(t, name+" x"), Y: g.Draw(t, name+" y"), Z: g.Draw(t, name+" z")}
}

// The distance of a moving point of one segment from the other is convex.
func TestSegmentsAgainstSlow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, c, d := drawVec(t, "a"), drawVec(t, "b"), drawVec(t, "c"), drawVec(t, "d")
		if rapid.IntRange(0, 4).Draw(t, "parallel") == 0 {
			d = r3.Add(c, r3.Scale(rapid.Float64Range(-2, 2).Draw(t, "by"), r3.Sub(b, a)))
		}
		got := Segments(a, b, c, d)
		want := least(func(s float64) float64 { return toSegment(along(a, b, s), c, d) })
		if math.Abs(got-want) > 1e-9 {
			t.Fatalf("%v-%v to %v-%v: %v, want %v", a, b, c, d, got, want)
		}
		if again := Segments(d, c, b, a); math.Abs(again-got) > 1e-12 {
			t.Fatalf("the other way: %v, was %v", again, got)
		}
		p, q := Capsule{a, b, 0.01}, Capsule{c, d, 0.02}
		if gap := Between(&p, &q); math.Abs(gap-(got-0.03)) > 1e-15 {
			t.Fatalf("capsules: %v, segments %v", gap, got)
		}
	})
}

var box = Box{
	Outline: []r3.Vec{{X: 0.15, Y: 0.05}, {X: 0.1, Y: 0.1}, {X: -0.15, Y: 0.08}, {X: -0.12, Y: -0.09}, {X: 0.13, Y: -0.07}},
	Bottom:  -0.03, Top: 0.05,
}

// slowBox is the obvious reference: the nearest of all faces, each a convex
// polygon in space cut into triangles, with the sign of the half spaces.
func slowBox(x *Box, p r3.Vec) float64 {
	inside := p.Z > x.Bottom && p.Z < x.Top
	best := math.Inf(1)
	n := len(x.Outline)
	up := func(i int, z float64) r3.Vec { o := x.Outline[i%n]; return r3.Vec{X: o.X, Y: o.Y, Z: z} }
	for i := range n {
		a, b := up(i, x.Bottom), up(i+1, x.Bottom)
		if (b.X-a.X)*(p.Y-a.Y)-(b.Y-a.Y)*(p.X-a.X) < 0 {
			inside = false
		}
		c, d := up(i+1, x.Top), up(i, x.Top)
		best = min(best, toTriangle(p, a, b, c), toTriangle(p, a, c, d),
			toTriangle(p, up(0, x.Bottom), a, b), toTriangle(p, up(0, x.Top), d, c))
	}
	if inside {
		return -best
	}
	return best
}

// toTriangle is the distance of p from a triangle: to its plane if the foot
// of the perpendicular lies in it, else to the nearest side.
func toTriangle(p, a, b, c r3.Vec) float64 {
	best := min(toSegment(p, a, b), toSegment(p, b, c), toSegment(p, c, a))
	n := r3.Cross(r3.Sub(b, a), r3.Sub(c, a))
	if nn := r3.Norm(n); nn > 0 {
		n = r3.Scale(1/nn, n)
		h := r3.Dot(r3.Sub(p, a), n)
		f := r3.Sub(p, r3.Scale(h, n))
		if r3.Dot(r3.Cross(r3.Sub(b, a), r3.Sub(f, a)), n) >= 0 &&
			r3.Dot(r3.Cross(r3.Sub(c, b), r3.Sub(f, b)), n) >= 0 &&
			r3.Dot(r3.Cross(r3.Sub(a, c), r3.Sub(f, c)), n) >= 0 {
			best = min(best, math.Abs(h))
		}
	}
	return best
}

func TestBoxPoint(t *testing.T) {
	// By hand, on a box of 0.2 x 0.1 x 0.06 about the origin.
	plain := Box{Outline: []r3.Vec{{X: 0.1, Y: 0.05}, {X: -0.1, Y: 0.05}, {X: -0.1, Y: -0.05}, {X: 0.1, Y: -0.05}}, Bottom: -0.03, Top: 0.03}
	for _, c := range []struct {
		p    r3.Vec
		want float64
	}{
		{r3.Vec{}, -0.03},
		{r3.Vec{X: 0.09}, -0.01},
		{r3.Vec{X: 0.1}, 0},
		{r3.Vec{X: 0.12, Z: 0.01}, 0.02},
		{r3.Vec{Z: -0.05}, 0.02},
		{r3.Vec{X: 0.13, Y: 0.09}, 0.05},
		{r3.Vec{X: 0.12, Y: 0.06, Z: 0.05}, 0.03},
	} {
		if got := plain.Point(c.p); math.Abs(got-c.want) > 1e-16 {
			t.Errorf("%v: %v, want %v", c.p, got, c.want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		p := drawVec(t, "p")
		if got, want := box.Point(p), slowBox(&box, p); math.Abs(got-want) > 1e-12 {
			t.Fatalf("%v: %v, want %v", p, got, want)
		}
	})
	var none Box
	if got := none.Point(r3.Vec{}); !math.IsInf(got, 1) {
		t.Errorf("a box without an outline is %v away", got)
	}
}

func TestBoxSegment(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawVec(t, "a"), drawVec(t, "b")
		got := box.Segment(a, b)
		want := least(func(s float64) float64 { return slowBox(&box, along(a, b, s)) })
		if math.Abs(got-want) > 1e-8 {
			t.Fatalf("%v-%v: %v, want %v", a, b, got, want)
		}
		// Nothing along the segment is nearer.
		for i := range 200 {
			if d := slowBox(&box, along(a, b, float64(i)/199)); d < got-1e-8 {
				t.Fatalf("%v-%v: %v, but %v at %d/199", a, b, got, d, i)
			}
		}
	})
}

func TestNoAllocation(t *testing.T) {
	p, q := Capsule{B: r3.Vec{X: 0.1}, R: 0.01}, Capsule{A: r3.Vec{Z: 0.05}, B: r3.Vec{Y: 0.1, Z: 0.05}, R: 0.01}
	if n := testing.AllocsPerRun(100, func() {
		if math.Abs(Between(&p, &q)-0.03) > 1e-15 || box.Segment(p.A, p.B) > 0 {
			t.Error("wrong distance")
		}
	}); n != 0 {
		t.Errorf("%g allocations", n)
	}
}

func BenchmarkBetween(b *testing.B) {
	p, q := Capsule{B: r3.Vec{X: 0.1, Y: 0.02}, R: 0.01}, Capsule{A: r3.Vec{Z: 0.05}, B: r3.Vec{X: 0.03, Y: 0.1, Z: 0.04}, R: 0.01}
	b.ReportAllocs()
	sum := 0.0
	for b.Loop() {
		sum += Between(&p, &q)
	}
	if math.IsNaN(sum) {
		b.Fatal("NaN")
	}
}

func BenchmarkBoxSegment(b *testing.B) {
	b.ReportAllocs()
	sum := 0.0
	for b.Loop() {
		sum += box.Segment(r3.Vec{X: 0.2, Y: 0.1, Z: 0.05}, r3.Vec{X: 0.1, Y: 0.3, Z: -0.04})
	}
	if math.IsNaN(sum) {
		b.Fatal("NaN")
	}
}

// Two shins cross, 50 mm one above the other, each 8 mm thick.
func Example() {
	left := Capsule{A: r3.Vec{X: -0.1}, B: r3.Vec{X: 0.1}, R: 0.004}
	right := Capsule{A: r3.Vec{Y: -0.1, Z: 0.05}, B: r3.Vec{Y: 0.1, Z: 0.05}, R: 0.004}
	fmt.Printf("%.1f mm apart\n", Between(&left, &right)*1000)
	// Output: 42.0 mm apart
}
