// SPDX-License-Identifier: MIT

package curve

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/floats/scalar"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// Central differences of gonum/diff/fd, on the swing path with and without Even.
func TestSpanDerivatives(t *testing.T) {
	even := NewEven(swing)
	for _, span := range []Span{
		{Path: swing},
		{Path: swing, Timing: Timing{CubicBezier, 0.42, 0, 0.58, 1}},
		{Path: swing, Timing: Timing{CubicBezier, 0.25, 0.1, 0.25, 1}, Even: &even},
	} {
		if err := span.Check(); err != nil {
			t.Fatal(err)
		}
		for i := 1; i < 20; i++ {
			x := float64(i) / 20
			_, v, a := span.At(x)
			set := &fd.Settings{Formula: fd.Central, Step: 1e-6}
			for j, axis := range [...]func(r3.Vec) float64{
				func(v r3.Vec) float64 { return v.X },
				func(v r3.Vec) float64 { return v.Z },
			} {
				want := fd.Derivative(func(x float64) float64 { p, _, _ := span.At(x); return axis(p) }, x, set)
				if !scalar.EqualWithinAbs(axis(v), want, 1e-9) {
					t.Errorf("%v, velocity %c at %v: got=%v, want=%v", span.Timing, "xz"[j], x, axis(v), want)
				}
				want = fd.Derivative(func(x float64) float64 { _, v, _ := span.At(x); return axis(v) }, x, set)
				if !scalar.EqualWithinAbsOrRel(axis(a), want, 1e-7, 1e-6) {
					t.Errorf("%v, acceleration %c at %v: got=%v, want=%v", span.Timing, "xz"[j], x, axis(a), want)
				}
			}
		}
	}
}

// A foot that moves evenly at a linear timing has the speed length / duration.
func TestSpanEvenSpeed(t *testing.T) {
	even := NewEven(swing)
	span := Span{Path: swing, Even: &even}
	for i := range 101 {
		// 121.49203688970986 mm is the arch's length by quadrature with 20 digits (mpmath).
		if _, v, _ := span.At(float64(i) / 100); !scalar.EqualWithinRel(r3.Norm(v), 0.12149203688970986, 1e-13) {
			t.Errorf("at %d/100: got=%v, want=0.12149203688970986", i, r3.Norm(v))
		}
	}
}

func TestSpanEnds(t *testing.T) {
	finite := func(v r3.Vec) bool { return !math.IsNaN(r3.Norm(v)) && !math.IsInf(r3.Norm(v), 0) }
	rapid.Check(t, func(t *rapid.T) {
		span := Span{Path: genBezier().Draw(t, "path"), Timing: genTiming().Draw(t, "timing")}
		if rapid.Bool().Draw(t, "even") {
			e := NewEven(span.Path)
			span.Even = &e
		}
		if err := span.Check(); err != nil {
			t.Fatal(err)
		}
		for _, c := range [...]struct {
			x    float64
			want r3.Vec
			rest bool
		}{
			{-1, span.Path.P0, true}, {0, span.Path.P0, false}, {1, span.Path.P3, false},
			{2, span.Path.P3, true}, {math.NaN(), span.Path.P0, true},
		} {
			p, v, a := span.At(c.x)
			if p != c.want || c.rest && (v != (r3.Vec{}) || a != (r3.Vec{})) {
				t.Fatalf("at %v: got=%v, %v, %v", c.x, p, v, a)
			}
		}
		x := rapid.OneOf(genShare(), rapid.Float64()).Draw(t, "x")
		if p, v, a := span.At(x); !finite(p) || !finite(v) || !finite(a) {
			t.Fatalf("at %v: got=%v, %v, %v", x, p, v, a)
		}
		span.Timing = Timing{Kind: Hold}
		if p, v, a := span.At(x); p != span.Path.P0 || v != (r3.Vec{}) || a != (r3.Vec{}) {
			t.Fatalf("hold at %v: got=%v, %v, %v", x, p, v, a)
		}
	})
}

func TestSpanCheck(t *testing.T) {
	other := NewEven(textbook)
	for _, c := range []struct {
		name string
		span Span
		ok   bool
	}{
		{"zero value", Span{}, true},
		{"plain", Span{Path: swing}, true},
		{"table of another path", Span{Path: swing, Even: &other}, false},
		{"refused timing", Span{Path: swing, Timing: Timing{CubicBezier, 0, 2, 0, 0}}, false},
		{"no number", Span{Path: Bezier{P3: r3.Vec{Z: math.NaN()}}}, false},
	} {
		if err := c.span.Check(); (err == nil) != c.ok {
			t.Errorf("%s: got=%v, want ok=%v", c.name, err, c.ok)
		}
	}
}

func TestNoAllocation(t *testing.T) {
	even := NewEven(swing)
	span := Span{Path: swing, Timing: Timing{CubicBezier, 0.42, 0, 0.58, 1}, Even: &even}
	for name, f := range map[string]func(){
		"Span.At":        func() { span.At(0.3) },
		"Timing.At":      func() { span.Timing.At(0.3) },
		"Even.U":         func() { even.U(0.3) },
		"Bezier.At":      func() { swing.At(0.3) },
		"Bezier.Nearest": func() { swing.Nearest(r3.Vec{}) },
		"Bezier.Length":  func() { swing.Length() },
	} {
		if n := testing.AllocsPerRun(100, f); n != 0 {
			t.Errorf("%s allocates %v times", name, n)
		}
	}
}
