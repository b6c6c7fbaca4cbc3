// SPDX-License-Identifier: MIT

package support

import (
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"gaitwright/kin"
)

// verify checks what holds for every hull: counter-clockwise, convex but for
// rounding, made of feet, starting from the lowest x.
func verify(t interface{ Fatalf(string, ...any) }, feet []Point, h *Polygon) {
	if h.N > len(feet) || (len(feet) > 0 && h.N == 0) {
		t.Fatalf("%d corners of %d feet", h.N, len(feet))
	}
	for i := range h.N {
		a, b, c := h.V[i], h.V[(i+1)%h.N], h.V[(i+2)%h.N]
		if !slices.Contains(feet, a) {
			t.Fatalf("corner %v is no foot of %v", a, feet)
		}
		if a.X < h.V[0].X {
			t.Fatalf("corner %v before the first %v", a, h.V[0])
		}
		if h.N > 2 && (b.X-a.X)*(c.Y-b.Y)-(b.Y-a.Y)*(c.X-b.X) < -1e-15 {
			t.Fatalf("right turn at %v in %v of %v", b, h.V[:h.N], feet)
		}
	}
	// No foot lies outside by more than rounding.
	for _, f := range feet {
		if m := h.Margin(f); m < -1e-11 {
			t.Fatalf("foot %v of %v has margin %g (%v)", f, feet, m, h.V[:h.N])
		}
	}
}

// testdata/geos/geos_margins.csv: margins by the GEOS library 3.11.1 (see the
// README there).
func TestAgainstGEOS(t *testing.T) {
	file, err := os.Open("../../testdata/geos/geos_margins.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	kinds := map[string]int{}
	for i, row := range rows[1:] {
		kinds[row[0]]++
		var v []float64
		for _, cell := range row[1:] {
			if cell == "" {
				break
			}
			x, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				t.Fatalf("row %d: %v", i+2, err)
			}
			v = append(v, x)
		}
		var feet []Point
		for k := 3; k+1 < len(v); k += 2 {
			feet = append(feet, Point{v[k], v[k+1]})
		}
		h := Hull(feet)
		verify(t, feet, &h)
		if got, want := h.Margin(Point{v[0], v[1]}), v[2]; math.Abs(got-want) > 1e-9 {
			t.Errorf("row %d (%s): margin %v, GEOS %v", i+2, row[0], got, want)
		}
	}
	if len(rows) < 600 || len(kinds) < 12 {
		t.Errorf("too few rows: %v", kinds)
	}
}

// Static stability margin as McGhee and Frank define it (Mathematical
// Biosciences 3, 1968, 331-351; content from memory); the numbers were
// computed with Shapely.
func TestMarginTable(t *testing.T) {
	rectangle := []Point{{0.15, 0.10}, {-0.15, 0.10}, {-0.15, -0.10}, {0.15, -0.10}}
	triangle := []Point{{0.15, 0.10}, {-0.15, 0.10}, {0, -0.12}}
	tripod := []Point{{0.12, 0.10}, {0, -0.13}, {-0.12, 0.10}}
	var hexagon, alternate []Point
	for i := range 6 {
		s, c := math.Sincos(float64(i) * math.Pi / 3)
		hexagon = append(hexagon, Point{0.2 * c, 0.2 * s})
		if i%2 == 0 {
			alternate = append(alternate, hexagon[i])
		}
	}
	for _, c := range []struct {
		name string
		feet []Point
		at   Point
		want float64
	}{
		{"rectangle", rectangle, Point{}, 0.10},
		{"rectangle", rectangle, Point{0.05, 0.02}, 0.08},
		{"rectangle, on an edge", rectangle, Point{0.15, 0}, 0},
		{"rectangle, outside", rectangle, Point{0.16, 0}, -0.01},
		{"rectangle, beside a corner", rectangle, Point{0.20, 0.20}, -0.11180339887498951},
		{"triangle", triangle, Point{}, 0.06760041895698117},
		{"triangle", triangle, Point{0.05, 0}, 0.026289051816603785},
		{"triangle, outside", triangle, Point{0.10, -0.05}, -0.0431891565558491},
		{"triangle, beside a corner", triangle, Point{-0.20, 0.10}, -0.05},
		{"tripod", tripod, Point{}, 0.06013358087035257},
		{"tripod", tripod, Point{0.03, 0}, 0.03353603548538893},
		{"tripod", tripod, Point{0.06, 0}, 0.006938490100425295},
		{"tripod", tripod, Point{0, 0.05}, 0.05},
		{"hexagon", hexagon, Point{}, 0.17320508075688773},
		{"every other corner of it", alternate, Point{}, 0.10},
		// By hand: nothing stands on fewer than three feet.
		{"no feet", nil, Point{}, math.Inf(-1)},
		{"one foot", tripod[:1], Point{0.12, 0.10}, 0},
		{"one foot", tripod[:1], Point{0.15, 0.14}, -0.05},
		{"two feet", tripod[:2], Point{0.06, -0.015}, 0},
		{"two feet", []Point{{0, 0}, {0.1, 0}}, Point{0.05, 0.02}, -0.02},
		{"two feet, beyond the end", []Point{{0, 0}, {0.1, 0}}, Point{0.13, 0.04}, -0.05},
		{"in a line", []Point{{0, 0}, {0.05, 0}, {0.1, 0}}, Point{0.05, 0}, 0},
		{"in one place", []Point{{0.1, 0}, {0.1, 0}, {0.1, 0}}, Point{0.1, 0.3}, -0.3},
	} {
		h := Hull(c.feet)
		verify(t, c.feet, &h)
		if got := h.Margin(c.at); got != c.want && !(math.Abs(got-c.want) <= 1e-15) {
			t.Errorf("%s at %v: %v, want %v", c.name, c.at, got, c.want)
		}
	}
	var none Polygon
	if got := none.Margin(Point{}); !math.IsInf(got, -1) {
		t.Errorf("the zero polygon has margin %v", got)
	}
}

// On a slope the feet and the centre of mass are projected straight down, not
// along the ground's normal: a rectangle of 0.3 by 0.2 m on ground pitched by
// 20 degrees shrinks to 0.3·cos 20° and a body held 0.1 m off it along the
// normal leans out by 0.1·sin 20°. By hand.
func TestTiltedGround(t *testing.T) {
	const pitch = 20 * math.Pi / 180
	xWG := kin.Pose{R: kin.RPY(0, pitch, 0)}
	var feet []Point
	for _, p := range []r3.Vec{{X: 0.15, Y: 0.10}, {X: -0.15, Y: 0.10}, {X: -0.15, Y: -0.10}, {X: 0.15, Y: -0.10}} {
		w := xWG.At(p)
		feet = append(feet, Point{w.X, w.Y})
	}
	h := Hull(feet)
	com := xWG.At(r3.Vec{Z: 0.1})
	got := h.Margin(Point{com.X, com.Y})
	// The lower edge is 0.15·0.9397-0.1·0.3420 = 0.1068 away; the sides are nearer.
	if math.Abs(got-0.10) > 1e-15 {
		t.Errorf("margin %v, want 0.1", got)
	}
	com = xWG.At(r3.Vec{Z: 0.3}) // higher: the lower edge is nearest
	got = h.Margin(Point{com.X, com.Y})
	if want := 0.15*math.Cos(pitch) - 0.3*math.Sin(pitch); math.Abs(got-want) > 1e-15 {
		t.Errorf("margin %v, want %v", got, want)
	}
	com = xWG.At(r3.Vec{Z: 0.5}) // and too high
	if got = h.Margin(Point{com.X, com.Y}); got >= 0 {
		t.Errorf("margin %v, want it negative", got)
	}
}

// walkMargin gives the least static margin over a cycle of a walk with the
// body's centre at (0, 0): feet move straight back by stroke in the fraction
// duty of the cycle, from touch-down at phase. Between two events the same
// feet stand and move as one, so the least is at an event.
func walkMargin(centres []Point, phase []float64, duty, stroke float64) float64 {
	fract := func(x float64) float64 { return x - math.Floor(x) }
	var events []float64
	for _, p := range phase {
		events = append(events, fract(p), fract(p+duty))
	}
	slices.Sort(events)
	events = append(events, events[0]+1)
	least := math.Inf(1)
	for i := range len(events) - 1 {
		from, to := events[i], events[i+1]
		if to-from < 1e-9 {
			continue
		}
		mid := (from + to) / 2
		for _, at := range []float64{from, to} {
			var feet []Point
			for k, c := range centres {
				if age := fract(mid - phase[k]); age < duty {
					feet = append(feet, Point{c.X + stroke/2 - stroke*(age+at-mid)/duty, c.Y})
				}
			}
			h := Hull(feet)
			least = min(least, h.Margin(Point{}))
		}
	}
	return least
}

// Wave gaits by the phases of Song and Waldron (Int. J. Robotics Research
// 6(2), 1987, 60-71; rule from memory), margins computed with Shapely.
func TestWaveGaitMargins(t *testing.T) {
	wave := func(n int, duty float64) []float64 {
		var p []float64
		for m := range n {
			p = append(p, float64(m)*duty)
		}
		for m := range n {
			p = append(p, float64(m)*duty+0.5)
		}
		return p
	}
	six := []Point{{0.12, 0.10}, {0, 0.13}, {-0.12, 0.10}, {0.12, -0.10}, {0, -0.13}, {-0.12, -0.10}}
	four := []Point{{0.10, 0.08}, {-0.10, 0.08}, {0.10, -0.08}, {-0.10, -0.08}}
	quarter := []float64{0, 0.75, 0.5, 0.25} // LF, LH, RF, RH: RH follows LF, then RF, then LH
	for _, c := range []struct {
		name    string
		centres []Point
		phase   []float64
		duty    float64
		want    float64
	}{
		{"wave 1/2", six, wave(3, 1./2), 1. / 2, 0.03353603548538893},
		{"wave 2/3", six, wave(3, 2./3), 2. / 3, 0.05398800544665397},
		{"wave 3/4", six, wave(3, 3./4), 3. / 4, 0.061005095046410836},
		{"wave 5/6", six, wave(3, 5./6), 5. / 6, 0.06668517248034482},
		{"wave 11/12", six, wave(3, 11./12), 11. / 12, 0.07137424785563622},
		{"tetrapod 2/3", six, []float64{0, 2. / 3, 1. / 3, 2. / 3, 1. / 3, 0}, 2. / 3, 0.04737191531546659},
		{"four legs 3/4", four, wave(2, 3./4), 3. / 4, 0},
		{"four legs 5/6", four, wave(2, 5./6), 5. / 6, 0.004036036763977863},
		{"four legs 11/12", four, wave(2, 11./12), 11. / 12, 0.0074134037038003165},
		{"quarter phases 5/6", four, quarter, 5. / 6, 0.0019807671387295075},
		{"quarter phases 11/12", four, quarter, 11. / 12, 0.003583187266046926},
	} {
		if got := walkMargin(c.centres, c.phase, c.duty, 0.06); math.Abs(got-c.want) > 1e-14 {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

// slowMargin is the obvious reference for three feet and more: a point is
// inside if it lies in a triangle of feet; the boundary is every segment
// between two feet with all others on one side.
func slowMargin(feet []Point, c Point) float64 {
	turn := func(a, b, p Point) float64 { return (b.X-a.X)*(p.Y-a.Y) - (b.Y-a.Y)*(p.X-a.X) }
	inside, edge := false, math.Inf(1)
	for i, a := range feet {
		for j, b := range feet {
			if i == j {
				continue
			}
			outer := true
			for k, p := range feet {
				if k == i || k == j {
					continue
				}
				if turn(a, b, p) < 0 {
					outer = false
				}
				if turn(a, b, c) >= 0 && turn(b, p, c) >= 0 && turn(p, a, c) >= 0 && turn(a, b, p) > 0 {
					inside = true
				}
			}
			if outer {
				best := math.Inf(1)
				ux, uy, wx, wy := b.X-a.X, b.Y-a.Y, c.X-a.X, c.Y-a.Y
				if s := (ux*wx + uy*wy) / (ux*ux + uy*uy); s > 0 && s < 1 {
					best = math.Hypot(wx-s*ux, wy-s*uy)
				}
				edge = min(edge, best, math.Hypot(wx, wy), math.Hypot(c.X-b.X, c.Y-b.Y))
			}
		}
	}
	if inside {
		return edge
	}
	return -edge
}

func TestMarginAgainstSlow(t *testing.T) {
	grid := rapid.Map(rapid.IntRange(-300, 300), func(mm int) float64 { return float64(mm) / 1000 })
	point := rapid.Custom(func(t *rapid.T) Point { return Point{grid.Draw(t, "x"), grid.Draw(t, "y")} })
	rapid.Check(t, func(t *rapid.T) {
		feet := rapid.SliceOfNDistinct(point, 3, kin.MaxLegs, rapid.ID[Point]).Draw(t, "feet")
		c := point.Draw(t, "c")
		h := Hull(feet)
		verify(t, feet, &h)
		got := h.Margin(c)
		if want := slowMargin(feet, c); h.N > 2 && math.Abs(got-want) > 1e-12 {
			t.Fatalf("%v at %v: %v, want %v", feet, c, got, want)
		}
		// The order of the feet does not matter, and a mirror or a shift
		// changes nothing.
		slices.Reverse(feet)
		if again := Hull(feet); again.Margin(c) != got {
			t.Fatalf("reversed: %v, was %v", again.Margin(c), got)
		}
		for i := range feet {
			feet[i] = Point{feet[i].X + 1, -feet[i].Y}
		}
		if again := Hull(feet); math.Abs(again.Margin(Point{c.X + 1, -c.Y})-got) > 1e-12 {
			t.Fatalf("mirrored: %v, was %v", again.Margin(Point{c.X + 1, -c.Y}), got)
		}
	})
}

// A foot that sticks out along a line that is upright but for rounding is a
// corner, wherever rounding puts it in the order.
func TestUprightLineKeepsItsEnd(t *testing.T) {
	feet := []Point{{0, 0}, {1e-13, 1}, {2e-13, 0.5}}
	h := Hull(feet)
	verify(t, feet, &h)
	if got := h.Margin(Point{0, 1.25}); math.Abs(got+0.25) > 1e-12 {
		t.Errorf("margin %v, want -0.25", got)
	}
}

func TestTooManyFeet(t *testing.T) {
	defer func() {
		if r := recover(); r == nil {
			t.Error("13 feet do not panic")
		}
	}()
	Hull(make([]Point, kin.MaxLegs+1))
}

func TestNoAllocation(t *testing.T) {
	feet := []Point{{0.15, 0.10}, {-0.15, 0.10}, {-0.15, -0.10}, {0.15, -0.10}, {0, 0.13}, {0, -0.13}}
	if n := testing.AllocsPerRun(100, func() {
		h := Hull(feet)
		if h.Margin(Point{}) < 0 {
			t.Error("outside")
		}
	}); n != 0 {
		t.Errorf("%g allocations", n)
	}
}

func BenchmarkMargin(b *testing.B) {
	feet := []Point{{0.15, 0.10}, {-0.15, 0.10}, {-0.15, -0.10}, {0.15, -0.10}, {0, 0.13}, {0, -0.13}}
	b.ReportAllocs()
	sum := 0.0
	for b.Loop() {
		h := Hull(feet)
		sum += h.Margin(Point{})
	}
	if math.IsNaN(sum) {
		b.Fatal("NaN")
	}
}

// A robot stands on three feet and leans forward until it would tip.
func Example() {
	h := Hull([]Point{{0.12, 0.10}, {0, -0.13}, {-0.12, 0.10}})
	for _, x := range []float64{0, 0.03, 0.06, 0.09} {
		fmt.Printf("%.0f mm ahead: margin %.1f mm\n", x*1000, h.Margin(Point{X: x})*1000)
	}
	// Output:
	// 0 mm ahead: margin 60.1 mm
	// 30 mm ahead: margin 33.5 mm
	// 60 mm ahead: margin 6.9 mm
	// 90 mm ahead: margin -19.7 mm
}

// Nearest is as far away as Margin says, and on the boundary.
func TestNearest(t *testing.T) {
	rnd := rand.New(rand.NewPCG(8, 9))
	for n := range 7 {
		for range 50 {
			feet := make([]Point, n)
			for i := range feet {
				feet[i] = Point{rnd.Float64(), rnd.Float64()}
			}
			h := Hull(feet)
			c := Point{2*rnd.Float64() - 0.5, 2*rnd.Float64() - 0.5}
			q, ok := h.Nearest(c)
			if ok != (n > 0) {
				t.Fatalf("%d feet: %v", n, ok)
			}
			if !ok {
				continue
			}
			if d := math.Hypot(q.X-c.X, q.Y-c.Y); math.Abs(d-math.Abs(h.Margin(c))) > 1e-14 {
				t.Errorf("%v is %v away, margin %v", q, d, h.Margin(c))
			}
			if m := h.Margin(q); math.Abs(m) > 1e-14 {
				t.Errorf("%v is not on the boundary: %v", q, m)
			}
		}
	}
}
