// SPDX-License-Identifier: MIT

package sequence_test

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/support"
	"gaitwright/motion"
	"gaitwright/motion/gait"
	"gaitwright/motion/sequence"
)

// standing is a robot of which only the standing points count: at x (front to
// rear) and ±y.
func standing(x, y []float64) *kin.Robot {
	n := len(x)
	r := legged(n)
	for i := range r.Legs {
		r.Legs[i].Stand = r3.Vec{X: x[i%n], Y: y[i%n]}
		if i >= n {
			r.Legs[i].Stand.Y = -y[i%n]
		}
	}
	return r
}

// supports calls visit with the feet that are planted, by leg, in the course
// frame, just after and just before every event of one period at full speed.
// Between two events the same feet are planted and move straight back, so
// that the least margin of a period is at one of these instants.
func supports(t *testing.T, r *kin.Robot, g gait.Gait, stroke float64, visit func(feet map[int]r3.Vec)) {
	t.Helper()
	v := stroke / (g.Duty * g.Period) // R = v·β·T
	p := mustPlan(t, script(r, g, sequence.Entry{Kind: sequence.Walk, Cycles: 8, Command: motion.Twist{Forward: v}}))
	verify(t, r, p)
	lo, hi := 3*g.Period, 4*g.Period
	var events []float64
	for _, c := range p.Feet {
		for k := range c {
			if s := c[k].From; s >= lo-1e-9 && s <= hi+1e-9 {
				events = append(events, s)
			}
		}
	}
	slices.Sort(events)
	for _, s := range events {
		for _, side := range []float64{-1e-6, 1e-6} {
			feet := map[int]r3.Vec{}
			for i := range r.Legs {
				if f := p.FootAt(i, s+side); f.Hold == motion.Planted {
					feet[i] = course(p, s).Into(f.Span.Path.P0)
				}
			}
			visit(feet)
		}
	}
}

// longitudinal gives the least longitudinal stability margin of a period with
// the centre of mass above the course: with two straight tracks the edges of
// the support polygon cross the axis half-way between the foremost (rearmost)
// feet of both sides.
func longitudinal(t *testing.T, pairs int, duty, stroke float64) float64 {
	x, y := make([]float64, pairs), make([]float64, pairs)
	for m := range pairs {
		x[m], y[m] = float64(pairs-1)/2-float64(m), 0.7
	}
	least := math.Inf(1)
	g := wave(pairs, 2, duty)
	supports(t, standing(x, y), g, stroke, func(feet map[int]r3.Vec) {
		front, rear := [2]float64{math.Inf(-1), math.Inf(-1)}, [2]float64{math.Inf(1), math.Inf(1)}
		for i, p := range feet {
			side := i / pairs
			front[side], rear[side] = max(front[side], p.X), min(rear[side], p.X)
		}
		least = min(least, (front[0]+front[1])/2, -(rear[0]+rear[1])/2)
	})
	return least
}

// Longitudinal stability margins of wave gaits, pitch 1: Song and Waldron, Int.
// J. Robotics Research 6(2), 1987, S = (n/2-1)·P + (1-3/(4β))·R (from memory;
// checked by enumeration in exact fractions, which gave these values).
func TestWaveGaitLongitudinalMargins(t *testing.T) {
	for _, c := range []struct {
		pairs        int
		duty, stroke float64
		want         float64
	}{
		{2, 1. / 2, 0.5, -1. / 4}, {3, 1. / 2, 0.5, 1. / 4}, {4, 1. / 2, 0.5, 3. / 4},
		{2, 7. / 12, 0.5, -1. / 7}, {3, 7. / 12, 0.5, 5. / 14}, {4, 7. / 12, 0.5, 6. / 7},
		{2, 2. / 3, 0.5, -1. / 16}, {3, 2. / 3, 0.5, 7. / 16}, {4, 2. / 3, 0.5, 15. / 16},
		{2, 3. / 4, 0.5, 0}, {3, 3. / 4, 0.5, 1. / 2}, {4, 3. / 4, 0.5, 1},
		{2, 5. / 6, 0.5, 1. / 20}, {3, 5. / 6, 0.5, 11. / 20}, {4, 5. / 6, 0.5, 21. / 20},
		{2, 11. / 12, 0.5, 1. / 11}, {3, 11. / 12, 0.5, 13. / 22}, {4, 11. / 12, 0.5, 12. / 11},
		{3, 1. / 2, 1, 0}, {3, 5. / 8, 1, 3. / 10}, {3, 2. / 3, 1, 3. / 8}, {3, 5. / 6, 1.5, 13. / 20},
		// Strokes that overlap: the second line, (n-1)/2·P - (1/2-1/(4β))·R.
		{3, 5. / 6, 2, 3. / 5}, {3, 7. / 8, 1.5, 19. / 28}, {3, 11. / 12, 1.25, 63. / 88},
	} {
		if got := longitudinal(t, c.pairs, c.duty, c.stroke); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%d legs, duty %v, stroke %v: got=%v, want=%v", 2*c.pairs, c.duty, c.stroke, got, c.want)
		}
	}
}

// Static stability margins in the plane, calculated with GEOS (Shapely).
func TestGaitStaticMargins(t *testing.T) {
	six := standing([]float64{0.12, 0, -0.12}, []float64{0.10, 0.13, 0.10})
	four := standing([]float64{0.10, -0.10}, []float64{0.08, 0.08})
	tetrapod := wave(3, 2, 2./3)
	tetrapod.Phase = []float64{0, 2. / 3, 1. / 3, 2. / 3, 1. / 3, 0}
	quarter := func(duty float64) gait.Gait {
		g := wave(2, 2, duty)
		g.Phase = []float64{0, 0.75, 0.5, 0.25}
		return g
	}
	for _, c := range []struct {
		name string
		r    *kin.Robot
		g    gait.Gait
		want float64
	}{
		{"tripod", six, wave(3, 2, 1./2), 0.03353603548538893},
		{"wave 2/3", six, wave(3, 2, 2./3), 0.05398800544665397},
		{"wave 3/4", six, wave(3, 2, 3./4), 0.061005095046410836},
		{"wave 5/6", six, wave(3, 2, 5./6), 0.06668517248034482},
		{"wave 11/12", six, wave(3, 2, 11./12), 0.07137424785563622},
		{"tetrapod", six, tetrapod, 0.04737191531546659},
		{"four legs, wave 3/4", four, wave(2, 2, 3./4), 0},
		{"four legs, wave 5/6", four, wave(2, 2, 5./6), 0.004036036763977863},
		{"four legs, wave 11/12", four, wave(2, 2, 11./12), 0.0074134037038003165},
		{"four legs, quarters 5/6", four, quarter(5. / 6), 0.0019807671387295075},
		{"four legs, quarters 11/12", four, quarter(11. / 12), 0.003583187266046926},
	} {
		least := math.Inf(1)
		supports(t, c.r, c.g, 0.06, func(feet map[int]r3.Vec) {
			var p []support.Point
			for _, f := range feet {
				p = append(p, support.Point{X: f.X, Y: f.Y})
			}
			h := support.Hull(p)
			least = min(least, h.Margin(support.Point{}))
		})
		if math.Abs(least-c.want) > 1e-9 {
			t.Errorf("%s: got=%v, want=%v", c.name, least, c.want)
		}
	}
}
