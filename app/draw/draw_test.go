// SPDX-License-Identifier: MIT

package draw

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"testing"

	"gioui.org/font/gofont"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/text"
	"gioui.org/unit"
	"gonum.org/v1/gonum/spatial/r2"
)

func p(x, y float64) r2.Vec { return r2.Vec{X: x, Y: y} }

var (
	inf  = math.Inf(1)
	nan  = math.NaN()
	view = image.Rect(0, 0, 100, 80)
)

func TestClip(t *testing.T) {
	for _, tc := range []struct {
		name         string
		a, b         r2.Vec
		ok           bool
		wantA, wantB r2.Vec
	}{
		{"inside", p(1, 1), p(5, 5), true, p(1, 1), p(5, 5)},
		{"cross", p(-5, 5), p(15, 5), true, p(0, 5), p(10, 5)},
		{"corner", p(-5, 5), p(5, -5), true, p(0, 0), p(0, 0)},
		{"beside", p(-5, -5), p(-1, 20), false, p(0, 0), p(0, 0)},
		{"parallel", p(-1, 2), p(-1, 8), false, p(0, 0), p(0, 0)},
		{"point", p(3, 3), p(3, 3), true, p(3, 3), p(3, 3)},
		{"not a number", p(nan, 5), p(5, 5), false, p(0, 0), p(0, 0)},
		{"infinite", p(inf, 5), p(5, 5), false, p(0, 0), p(0, 0)},
		{"huge", p(-1e12, 5), p(1e12, 5), true, p(0, 5), p(10, 5)},
	} {
		t.Run(tc.name, func(t *testing.T) {
			a, b, ok := Clip(tc.a, tc.b, p(0, 0), p(10, 10))
			if ok != tc.ok {
				t.Fatalf("ok=%v, want=%v", ok, tc.ok)
			}
			if ok && (r2.Norm(r2.Sub(a, tc.wantA)) > 1e-3 || r2.Norm(r2.Sub(b, tc.wantB)) > 1e-3) {
				t.Errorf("got=%v %v, want=%v %v", a, b, tc.wantA, tc.wantB)
			}
		})
	}
}

// contours returns the collected contours.
func contours(b *Batch) [][]r2.Vec {
	var out [][]r2.Vec
	from := 0
	for _, end := range b.ends {
		var c []r2.Vec
		for _, q := range b.pts[from:end] {
			c = append(c, p(float64(q.X), float64(q.Y)))
		}
		out = append(out, c)
		from = end
	}
	return out
}

// verify checks what must hold for every batch: finite points within reach of
// the view and contours of one orientation.
func verify(t *testing.T, b *Batch) {
	t.Helper()
	for _, c := range contours(b) {
		if a := area2(c); a > 1e-2 {
			t.Errorf("contour %v has the wrong orientation (area %g)", c, a)
		}
		for _, q := range c {
			if !finite(q) || q.X < b.min.X-40 || q.X > b.max.X+40 || q.Y < b.min.Y-40 || q.Y > b.max.Y+40 {
				t.Errorf("point %v lies far outside", q)
			}
		}
	}
}

func TestRandomShapesStayInOrder(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	num := func() float64 {
		switch r.IntN(20) {
		case 0:
			return nan
		case 1:
			return inf
		case 2:
			return -1e15
		case 3:
			return 0
		}
		return r.NormFloat64() * 200
	}
	pt := func() r2.Vec { return p(num(), num()) }
	for range 5000 {
		var b Batch
		b.Reset(view)
		w := r.Float64() * 12
		l := Line{Width: w, Pattern: Pattern(r.IntN(5)), Phase: num()}
		switch r.IntN(9) {
		case 0:
			b.Segment(pt(), pt(), l)
		case 1:
			b.Polyline([]r2.Vec{pt(), pt(), pt(), pt()}, l)
		case 2:
			b.Loop([]r2.Vec{pt(), pt(), pt()}, l)
		case 3:
			b.Polygon(pt(), pt(), pt())
		case 4:
			b.Taper(pt(), pt(), w, r.Float64()*12)
		case 5:
			b.Disc(pt(), w)
			b.Square(pt(), w)
			b.Diamond(pt(), w)
		case 6:
			b.Triangle(pt(), w, r.Float64()*7)
			b.Cross(pt(), w, 2)
			b.Plus(pt(), w, 2)
		case 7:
			b.Arrow(pt(), pt(), w)
		case 8:
			b.Disc(pt(), math.Abs(num()))
		}
		verify(t, &b)
	}
}

func TestNothingBeforeReset(t *testing.T) {
	var b Batch
	b.Segment(p(-5, -5), p(50, 50), Line{Width: 2})
	b.Disc(p(10, 10), 3)
	b.Polygon(p(1, 1), p(5, 1), p(5, 5))
	if b.Len() != 0 {
		t.Errorf("%d contours in a batch without a view", b.Len())
	}
	b.Paint(new(op.Ops), color.NRGBA{A: 255})
}

// area is the painted area when nothing overlaps.
func area(b *Batch) float64 {
	s := 0.0
	for _, c := range contours(b) {
		s -= area2(c) / 2
	}
	return s
}

func TestAreas(t *testing.T) {
	big := image.Rect(0, 0, 1000, 1000)
	for _, tc := range []struct {
		name string
		add  func(b *Batch)
		want float64
		tol  float64
	}{
		{"segment", func(b *Batch) { b.Segment(p(10, 10), p(13, 14), Line{Width: 2}) }, 10, 1e-4},
		{"long slanted segment", func(b *Batch) { b.Segment(p(100, 100), p(700, 900), Line{Width: 3}) }, 3000, 1e-1},
		{"polygon", func(b *Batch) { b.Polygon(p(10, 10), p(50, 10), p(50, 40), p(10, 40)) }, 1200, 1e-3},
		{"polygon turned around", func(b *Batch) { b.Polygon(p(10, 40), p(50, 40), p(50, 10), p(10, 10)) }, 1200, 1e-3},
		{"polygon over the edge", func(b *Batch) { b.Polygon(p(-30, 10), p(50, 10), p(50, 40), p(-30, 40)) }, 1500, 1e-3},
		{"disc", func(b *Batch) { b.Disc(p(100, 100), 20) }, math.Pi * 400, 6},
		{"ring", func(b *Batch) { b.Ring(p(100, 100), 20, 4) }, math.Pi * (22*22 - 18*18), 3},
		{"square", func(b *Batch) { b.Square(p(100, 100), 5) }, 100, 1e-3},
		{"diamond", func(b *Batch) { b.Diamond(p(100, 100), 5) }, 50, 1e-3},
		{"triangle", func(b *Batch) { b.Triangle(p(100, 100), 10, -math.Pi/2) }, 3 * math.Sqrt(3) / 4 * 100, 1e-2},
		{"capsule", func(b *Batch) { b.Taper(p(100, 100), p(160, 180), 10, 10) }, 100*10 + math.Pi*25, 2},
		// Hull of two circles of radii 20 and 10, 60 apart: two tangent lines of
		// length sqrt(60²-10²), sectors with half angles acos(±10/60).
		{"taper", func(b *Batch) { b.Taper(p(100, 100), p(160, 100), 40, 20) }, taperArea(20, 10, 60), 5},
	} {
		t.Run(tc.name, func(t *testing.T) {
			var b Batch
			b.Reset(big)
			tc.add(&b)
			if tc.name != "ring" { // has a hole, turned the other way
				verify(t, &b)
			}
			if got := area(&b); math.Abs(got-tc.want) > tc.tol {
				t.Errorf("area = %.4f, want %.4f", got, tc.want)
			}
		})
	}
}

// taperArea is the area of the hull of two discs: two trapezia and two sectors.
func taperArea(r1, r2, d float64) float64 {
	a := math.Acos((r1 - r2) / d)
	return (r1+r2)*math.Sqrt(d*d-(r1-r2)*(r1-r2)) + r1*r1*(math.Pi-a) + r2*r2*a
}

// Long slanted segments come in pieces whose boxes stay small, since a quad
// costs about its box.
func TestSlantedSegmentIsCut(t *testing.T) {
	var b Batch
	b.Reset(image.Rect(0, 0, 1280, 800))
	b.Segment(p(0, 0), p(1280, 800), Line{Width: 1.5})
	if n := b.Len(); n < 10 || n > 40 {
		t.Errorf("%d pieces", n)
	}
	b.Reset(image.Rect(0, 0, 1280, 800))
	b.Segment(p(0, 400), p(1280, 400), Line{Width: 1.5})
	if n := b.Len(); n != 1 {
		t.Errorf("%d pieces of a level line", n)
	}
}

// dashes returns the drawn ranges along a level segment.
func dashes(l Line, from, to float64) [][2]float64 {
	var out [][2]float64
	l.each(l.Phase, from, to, func(a, b float64) { out = append(out, [2]float64{a, b}) })
	return out
}

func TestDashes(t *testing.T) {
	l := Line{Width: 1, Pattern: Dashed, Unit: 2} // 10 on, 7 off
	got := dashes(l, 0, 40)
	want := [][2]float64{{0, 10}, {17, 27}, {34, 40}}
	if len(got) != len(want) {
		t.Fatalf("got=%v, want=%v", got, want)
	}
	for i := range got {
		if math.Abs(got[i][0]-want[i][0]) > 1e-9 || math.Abs(got[i][1]-want[i][1]) > 1e-9 {
			t.Errorf("got=%v, want=%v", got, want)
		}
	}
	// A part of the line shows the same dashes as the whole.
	for _, pattern := range []Pattern{Dashed, Dotted, DashDot} {
		l := Line{Width: 1.5, Pattern: pattern, Phase: 3.3}
		on := func(ranges [][2]float64, x float64) bool {
			for _, r := range ranges {
				if x >= r[0] && x < r[1] {
					return true
				}
			}
			return false
		}
		whole, part := dashes(l, 0, 500), dashes(l, 123.4, 321)
		for x := 124.0; x < 320; x += 0.37 {
			if on(whole, x) != on(part, x) {
				t.Errorf("%v: differs at %g", pattern, x)
				break
			}
		}
	}
	if n := len(dashes(Line{Width: 1, Pattern: Dashed, Unit: inf}, 0, 10)); n != 1 {
		t.Errorf("an endless unit gives %d dashes", n)
	}
}

// The pattern runs on over a corner: two halves give the same length of ink as
// the whole, also when a huge part lies outside the view.
func TestPhaseIsCarried(t *testing.T) {
	l := Line{Width: 2, Pattern: DashDot}
	var whole, halves Batch
	whole.Reset(image.Rect(0, 0, 400, 100))
	halves.Reset(image.Rect(0, 0, 400, 100))
	whole.Polyline([]r2.Vec{p(0, 50), p(400, 50)}, l)
	end := halves.Polyline([]r2.Vec{p(0, 50), p(133, 50), p(257.5, 50), p(400, 50)}, l)
	if math.Abs(area(&whole)-area(&halves)) > 1e-2 || end != 400 {
		t.Errorf("ink %g and %g, end %g", area(&whole), area(&halves), end)
	}
	var far Batch
	far.Reset(image.Rect(0, 0, 400, 100))
	far.Segment(p(-1e9, 50), p(1e9, 50), l)
	if n := far.Len(); n < 30 || n > 80 {
		t.Errorf("%d dashes of a line from far outside", n)
	}
}

func TestSheetKeepsTheOrderOfColours(t *testing.T) {
	var s Sheet
	s.Reset(view)
	red, blue := color.NRGBA{R: 255, A: 255}, color.NRGBA{B: 255, A: 255}
	s.In(red).Disc(p(5, 5), 3)
	s.In(blue).Disc(p(5, 5), 3)
	if s.In(red).Len() != 1 || len(s.inks) != 2 || s.inks[0] != red {
		t.Errorf("inks %v", s.inks)
	}
	s.Paint(new(op.Ops))
	s.Reset(view)
	if s.In(blue).Len() != 0 {
		t.Error("Reset keeps shapes")
	}
}

func TestNumber(t *testing.T) {
	for _, tc := range []struct {
		v    float64
		d    int
		want string
	}{
		{1.25, 1, "1.2"}, {-3.14159, 2, "−3.14"}, {-0.001, 1, "0.0"}, {0, 0, "0"}, {math.Copysign(0, -1), 0, "0"},
		{nan, 2, "–"}, {inf, 2, "–"}, {12.5, -3, "12"},
	} {
		if got := Number(tc.v, tc.d); got != tc.want {
			t.Errorf("Number(%v, %d) = %q, want %q", tc.v, tc.d, got, tc.want)
		}
	}
}

func canvas() (layout.Context, Text) {
	return layout.Context{
			Ops: new(op.Ops), Metric: unit.Metric{PxPerDp: 1, PxPerSp: 1}, Constraints: layout.Exact(image.Pt(400, 300)),
		}, Text{
			Shaper: text.NewShaper(text.NoSystemFonts(), text.WithCollection(gofont.Collection())),
			Size:   12, Color: color.NRGBA{A: 255},
		}
}

func TestTextAnchors(t *testing.T) {
	gtx, w := canvas()
	at := p(100, 60)
	size := w.At(gtx, at, layout.NW, "12.5 mm").Size()
	if size.X < 20 || size.Y < 10 {
		t.Fatalf("size %v", size)
	}
	for _, tc := range []struct {
		d    layout.Direction
		want image.Point // top left corner
	}{
		{layout.NW, image.Pt(100, 60)},
		{layout.SE, image.Pt(100-size.X, 60-size.Y)},
		{layout.Center, image.Pt(100-size.X/2, 60-size.Y/2)},
		{layout.E, image.Pt(100-size.X, 60-size.Y/2)},
		{layout.N, image.Pt(100-size.X/2, 60)},
	} {
		if got := w.At(gtx, at, tc.d, "12.5 mm"); got.Min != tc.want || got.Size() != size {
			t.Errorf("%v: %v, want from %v", tc.d, got, tc.want)
		}
	}
	for _, bad := range []r2.Vec{p(nan, 1), p(1, inf), p(1e9, 1)} {
		if got := w.At(gtx, bad, layout.NW, "x"); !got.Empty() {
			t.Errorf("text at %v", bad)
		}
	}
	if got := (Text{}).At(gtx, at, layout.NW, "x"); !got.Empty() {
		t.Error("text without a shaper")
	}
}

func TestCrisp(t *testing.T) {
	if got := snap(10.5, 1); got != 10 {
		t.Errorf("a 1 px line about 10.5 starts at %d", got)
	}
	if got := snap(10, 2); got != 9 {
		t.Errorf("a 2 px line about 10 starts at %d", got)
	}
	ops := new(op.Ops)
	Horizontal(ops, nan, 5, 5, 1, color.NRGBA{A: 255})
	Vertical(ops, 5, -inf, inf, 1, color.NRGBA{A: 255})
	Frame(ops, image.Rect(0, 0, 1, 1), 1, color.NRGBA{A: 255})
	RoundFrame(ops, image.Rect(0, 0, 20, 10), 40, 1, color.NRGBA{A: 255}, color.NRGBA{A: 255})
}

func TestBatchAllocatesNothingOnceGrown(t *testing.T) {
	var b Batch
	var ops op.Ops
	frame := func() {
		ops.Reset()
		b.Reset(image.Rect(0, 0, 1280, 800))
		for i := range 500 {
			x := float64(i)
			b.Segment(p(x, 10), p(x*2, 700), Line{Width: 1.5, Pattern: Pattern(i % 4)})
			b.Disc(p(x, x), 4)
		}
		b.Paint(&ops, color.NRGBA{A: 255})
	}
	frame()
	if n := testing.AllocsPerRun(20, frame); n > 4 {
		t.Errorf("%v allocations a frame", n)
	}
}

func BenchmarkSegments2000(b *testing.B) {
	r := rand.New(rand.NewPCG(2, 2))
	pts := make([]r2.Vec, 4000)
	for i := range pts {
		pts[i] = p(r.Float64()*1280, r.Float64()*800)
		if i%2 == 1 { // short segments, as in a wireframe
			pts[i] = r2.Add(pts[i-1], p(r.NormFloat64()*25, r.NormFloat64()*25))
		}
	}
	for _, pattern := range []Pattern{Solid, Dashed} {
		b.Run(pattern.String(), func(b *testing.B) {
			var batch Batch
			var ops op.Ops
			b.ReportAllocs()
			for b.Loop() {
				ops.Reset()
				batch.Reset(image.Rect(0, 0, 1280, 800))
				for i := 0; i < len(pts); i += 2 {
					batch.Segment(pts[i], pts[i+1], Line{Width: 1.5, Pattern: pattern})
				}
				batch.Paint(&ops, color.NRGBA{A: 255})
			}
		})
	}
}

func BenchmarkLabels60(b *testing.B) {
	gtx, w := canvas()
	names := make([]string, 60)
	for i := range names {
		names[i] = Number(float64(i)*0.5, 1)
	}
	b.ReportAllocs()
	for b.Loop() {
		gtx.Ops.Reset()
		for i, s := range names {
			w.At(gtx, p(float64(i%10)*40, float64(i/10)*40), layout.W, s)
		}
	}
}
