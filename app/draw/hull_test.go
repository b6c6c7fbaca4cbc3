// SPDX-License-Identifier: MIT

package draw

import (
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

func TestHullOfABox(t *testing.T) {
	pts := []r2.Vec{{X: 1, Y: 1}, {X: 0, Y: 0}, {X: 2, Y: 0}, {X: 2, Y: 2}, {X: 0, Y: 2}, {X: 1, Y: 0}, {X: 0, Y: 0}}
	got := Hull(nil, pts)
	if len(got) != 4 {
		t.Fatalf("%v", got)
	}
	if len(Hull(nil, []r2.Vec{{X: 3}, {X: 1}, {X: 2}})) != 2 || len(Hull(nil, nil)) != 0 || len(Hull(nil, []r2.Vec{{X: 1}, {X: 1}})) != 1 {
		t.Error("a line, nothing, one point")
	}
}

// Every point lies on the same side of every side of its hull.
func TestHullHoldsItsPoints(t *testing.T) {
	rnd := rand.New(rand.NewPCG(2, 2))
	for range 200 {
		var pts []r2.Vec
		for range 3 + rnd.IntN(40) {
			pts = append(pts, r2.Vec{X: rnd.NormFloat64(), Y: rnd.NormFloat64()})
		}
		h := Hull(nil, pts)
		for i, a := range h {
			b := h[(i+1)%len(h)]
			for _, p := range pts {
				if r2.Cross(r2.Sub(b, a), r2.Sub(p, a)) < -1e-12 {
					t.Fatalf("%v lies outside of %v", p, h)
				}
			}
		}
	}
}
