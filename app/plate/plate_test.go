// SPDX-License-Identifier: MIT

package plate

import (
	"image"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"
)

func near(a, b r2.Vec, tol float64) bool { return r2.Norm(r2.Sub(a, b)) <= tol }

func TestRoundTripAndZoom(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := func(lo, hi float64, n string) float64 { return rapid.Float64Range(lo, hi).Draw(t, n) }
		v := View{Size: image.Pt(640, 480), Centre: r2.Vec{X: f(-2, 2, "cx"), Y: f(-2, 2, "cy")}, Scale: f(10, 1e5, "s")}
		at := r2.Vec{X: f(0, 640, "x"), Y: f(0, 480, "y")}
		if got := v.Px(v.M(at)); !near(got, at, 1e-6) {
			t.Fatalf("%v comes back as %v", at, got)
		}
		p := v.M(at)
		v.Zoom(f(0.2, 5, "k"), at)
		if got := v.Px(p); !near(got, at, 1e-5) {
			t.Fatalf("zoom moved the cursor's point from %v to %v", at, got)
		}
		v.Pan(7, -3)
		if got := v.Px(p); !near(got, r2.Add(at, r2.Vec{X: 7, Y: -3}), 1e-5) {
			t.Fatalf("pan moved %v to %v", at, got)
		}
	})
}

func TestUpIsUp(t *testing.T) {
	v := View{Size: image.Pt(200, 100), Scale: 100}
	if got, want := v.Px(r2.Vec{X: 0.5, Y: 0.25}), (r2.Vec{X: 150, Y: 25}); got != want {
		t.Errorf("got=%v, want=%v", got, want)
	}
	lo, hi := v.Bounds()
	if (lo != r2.Vec{X: -1, Y: -0.5}) || (hi != r2.Vec{X: 1, Y: 0.5}) {
		t.Errorf("bounds %v %v", lo, hi)
	}
}

func TestFit(t *testing.T) {
	v := View{Size: image.Pt(400, 300)}
	if !v.Fit(r2.Vec{X: -0.1, Y: 0}, r2.Vec{X: 0.3, Y: 0.1}, 20) {
		t.Fatal("not fitted")
	}
	if a, b := v.Px(r2.Vec{X: -0.1}), v.Px(r2.Vec{X: 0.3}); math.Abs(a.X-20) > 1e-9 || math.Abs(b.X-380) > 1e-9 {
		t.Errorf("ends at %v and %v", a.X, b.X)
	}
	was := v.Scale
	if !v.Fit(r2.Vec{X: 1, Y: 1}, r2.Vec{X: 1, Y: 1}, 20) || v.Scale != was || v.Centre.X != 1 {
		t.Errorf("a point gives %+v", v)
	}
	keep := v
	for _, b := range [][2]r2.Vec{{{X: 1}, {}}, {{X: math.NaN()}, {}}, {{}, {Y: math.Inf(1)}}} {
		if v.Fit(b[0], b[1], 20) || v != keep {
			t.Errorf("box %v was accepted", b)
		}
	}
}

func TestRound(t *testing.T) {
	for _, tc := range []struct{ x, want float64 }{
		{1, 1}, {1.01, 2}, {2, 2}, {2.1, 5}, {5, 5}, {5.5, 10}, {9.99, 10}, {0.003, 0.005}, {0.001, 0.001}, {123, 200},
		{0, 1}, {-3, 1}, {math.NaN(), 1}, {math.Inf(1), 1},
	} {
		if got := Round(tc.x); got != tc.want {
			t.Errorf("Round(%v) = %v, want %v", tc.x, got, tc.want)
		}
	}
}

func TestTicks(t *testing.T) {
	if got, want := Ticks(-0.25, 0.31, 0.1), []float64{-0.2, -0.1, 0, 0.1, 0.2, 0.30000000000000004}; !slices.Equal(got, want) {
		t.Errorf("got=%v, want=%v", got, want)
	}
	if math.Signbit(Ticks(-1, 1, 1)[1]) {
		t.Error("a tick is negative zero")
	}
	for _, tc := range [][3]float64{{0, 1, 0}, {0, 1, -1}, {1, 0, 1}, {0, 1, 1e-9}, {math.NaN(), 1, 1}, {0, math.Inf(1), 1}} {
		if got := Ticks(tc[0], tc[1], tc[2]); got != nil {
			t.Errorf("Ticks%v = %d ticks", tc, len(got))
		}
	}
	if n := len(View{Size: image.Pt(600, 600)}.TicksX(0.05)); n != 13 {
		t.Errorf("%d ticks over 0.6 m in steps of 50 mm", n)
	}
}

func TestDecimals(t *testing.T) {
	for _, tc := range []struct {
		step float64
		want int
	}{{10, 0}, {1, 0}, {0.5, 1}, {0.1, 1}, {0.02, 2}, {0.001, 3}, {0, 0}} {
		if got := Decimals(tc.step); got != tc.want {
			t.Errorf("Decimals(%v) = %d, want %d", tc.step, got, tc.want)
		}
	}
}

func TestBar(t *testing.T) {
	v := View{Scale: 1000}
	for _, tc := range []struct{ most, want float64 }{{120, 0.1}, {100, 0.1}, {99, 0.05}, {60, 0.05}, {49, 0.02}, {20, 0.02}, {19, 0.01}} {
		if m, px := v.Bar(tc.most); math.Abs(m-tc.want) > 1e-12 || math.Abs(px-1000*tc.want) > 1e-9 {
			t.Errorf("Bar(%v) = %v m, %v px; want %v m", tc.most, m, px, tc.want)
		}
	}
}
