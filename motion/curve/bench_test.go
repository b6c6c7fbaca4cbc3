// SPDX-License-Identifier: MIT

package curve

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// swing is the arch of a foot over 80 mm, metres.
var swing = Bezier{
	P0: r3.Vec{X: -0.04}, P1: r3.Vec{X: -0.06, Z: 0.04},
	P2: r3.Vec{X: 0.06, Z: 0.04}, P3: r3.Vec{X: 0.04},
}

// shares spreads the arguments of a benchmark over [0,1].
func shares() (x [256]float64) {
	for i := range x {
		x[i] = (float64(i) + 0.5) / float64(len(x))
	}
	return x
}

func BenchmarkBezierAt(b *testing.B) {
	x := shares()
	var sum r3.Vec
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		sum = r3.Add(sum, swing.At(x[i&255]))
	}
	_ = sum
}

func BenchmarkTimingAt(b *testing.B) {
	x := shares()
	for _, s := range []string{
		"linear", "ease", "ease-in", "ease-in-out",
		"cubic-bezier(0, 0.9, 0.1, 1)", "cubic-bezier(1, 0, 0, 1)",
	} {
		t, err := ParseTiming(s)
		if err != nil {
			b.Fatal(err)
		}
		b.Run(s, func(b *testing.B) {
			var sum float64
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				y, d, dd := t.At(x[i&255])
				sum += y + d + dd
			}
			_ = sum
		})
	}
}

func BenchmarkEvenU(b *testing.B) {
	x := shares()
	e := NewEven(swing)
	var sum float64
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		u, _, _ := e.U(x[i&255])
		sum += u
	}
	_ = sum
}

func BenchmarkSpanAt(b *testing.B) {
	x := shares()
	e := NewEven(swing)
	t := Timing{CubicBezier, 0.42, 0, 0.58, 1}
	for _, s := range []struct {
		name string
		span Span
	}{
		{"plain", Span{Path: swing, Timing: t}},
		{"even", Span{Path: swing, Timing: t, Even: &e}},
	} {
		b.Run(s.name, func(b *testing.B) {
			var sum r3.Vec
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				p, v, a := s.span.At(x[i&255])
				sum = r3.Add(sum, r3.Add(p, r3.Add(v, a)))
			}
			_ = sum
		})
	}
}

func BenchmarkLength(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		swing.Length()
	}
}

func BenchmarkNewEven(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		NewEven(swing)
	}
}

func BenchmarkNearest(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		swing.Nearest(r3.Vec{X: 0.01, Z: 0.05})
	}
}
