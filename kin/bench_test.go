// SPDX-License-Identifier: MIT

package kin

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

const benchTargets = 1024 // a power of two

// benchLegs gives a leg and reachable targets, spread over its reach.
func benchLegs(d float64) (*Leg, []r3.Vec) {
	l := &Leg{Length: [Joints]float64{0.04, 0.07, 0.12}, Lateral: d, Vertical: 0.01}
	rnd := rand.New(rand.NewPCG(1, 2))
	var targets []r3.Vec
	for len(targets) < benchTargets {
		p := l.Forward([Joints]float64{
			(rnd.Float64() - 0.5) * 2, (rnd.Float64() - 0.3) * 2, -0.3 - 2*rnd.Float64()})
		if l.Solve(p).Status == Reached {
			targets = append(targets, p)
		}
	}
	return l, targets
}

var (
	sinkSolution Solution
	sinkSum      float64
)

// BenchmarkSolve is one leg solved, its links placed; divide by the
// BenchmarkTrigFloor of the same name. Targets: random poses of a leg.
func BenchmarkSolve(b *testing.B) {
	for _, c := range []struct {
		name string
		d    float64
	}{{"straight", 0}, {"offset", 0.012}} {
		b.Run(c.name, func(b *testing.B) {
			l, targets := benchLegs(c.d)
			b.ReportAllocs()
			i := 0
			for b.Loop() {
				sinkSolution = l.Solve(targets[i&(benchTargets-1)])
				i++
			}
		})
	}
}

// BenchmarkSolveMissed is one leg with its target out of reach.
func BenchmarkSolveMissed(b *testing.B) {
	for _, c := range []struct {
		name string
		d    float64
	}{{"straight", 0}, {"offset", 0.012}} {
		b.Run(c.name, func(b *testing.B) {
			l, targets := benchLegs(c.d)
			for i := range targets {
				targets[i] = r3.Scale(10, targets[i])
			}
			b.ReportAllocs()
			i := 0
			for b.Loop() {
				sinkSolution = l.Solve(targets[i&(benchTargets-1)])
				i++
			}
		})
	}
}

// BenchmarkTrigFloor is the trigonometry alone that a closed form cannot do
// without: the square roots of the plane and of the triangle, an arc tangent
// for the yaw, an arc cosine for the knee and an arc tangent for the femur; on
// the same targets, no link placed, no edge looked at.
func BenchmarkTrigFloor(b *testing.B) {
	for _, c := range []struct {
		name string
		d    float64
	}{{"straight", 0}, {"offset", 0.012}} {
		b.Run(c.name, func(b *testing.B) {
			l, targets := benchLegs(c.d)
			f, t := l.Length[Femur], l.Length[Tibia]
			b.ReportAllocs()
			i := 0
			sum := 0.0
			for b.Loop() {
				p := &targets[i&(benchTargets-1)]
				i++
				u := math.Sqrt(p.X*p.X + p.Y*p.Y - c.d*c.d)
				w, v := u-l.Length[Coxa], p.Z-l.Vertical
				k := (w*w + v*v - f*f - t*t) / (2 * f * t)
				x, y := f+t*k, t*math.Sqrt(1-k*k)
				sum += math.Atan2(p.Y*u-p.X*c.d, p.X*u+p.Y*c.d) + math.Acos(k) + math.Atan2(v*x-w*y, w*x+v*y)
			}
			sinkSum = sum
		})
	}
}
