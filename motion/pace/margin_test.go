// SPDX-License-Identifier: MIT

package pace_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/gait"
	"gaitwright/motion/pace"
)

// tracks is a robot that is the same fore and aft, left and right, with its feet
// at these places of the left side, front to rear: left legs, then right legs. Its
// legs need not reach the ground for what is asked here.
func tracks(x, y []float64) *kin.Robot {
	r := &kin.Robot{Name: "tracks", Gravity: 9.80665, Body: kin.Body{Mass: 1}}
	for _, side := range []float64{1, -1} {
		for k := range x {
			r.Legs = append(r.Legs, kin.Leg{
				Name: string(rune('A' + len(r.Legs))), Mirror: -1, Heading: side * math.Pi / 2,
				PBH: r3.Vec{X: x[k], Y: side * y[k] / 2}, Length: [3]float64{0.04, 0.08, 0.12},
				Limits: [3]kin.Range{{Lo: -2, Hi: 2}, {Lo: -2, Hi: 2}, {Lo: -3, Hi: 1}},
				Stand:  r3.Vec{X: x[k], Y: side * y[k]},
			})
		}
	}
	return r
}

// even is n feet a side at a pitch of 1 m, on straight tracks.
func even(n int) *kin.Robot {
	var x, y []float64
	for k := range n {
		x, y = append(x, float64(n-1)/2-float64(k)), append(y, 0.4)
	}
	return tracks(x, y)
}

// margins walks a gait with a stroke of the feet straight ahead, m.
func margins(t interface{ Fatal(...any) }, r *kin.Robot, g *gait.Gait, stroke float64) pace.Margins {
	p, err := pace.New(r, 0.1, g, pace.Limits{SpeedShare: 1})
	if err != nil {
		t.Fatal(err)
	}
	return p.Margins(motion.Twist{Forward: stroke / (g.Duty * g.Period)}) // R = v·β·T
}

func wave(n int, duty float64) *gait.Gait {
	return &gait.Gait{Name: "wave", Period: 1.6, Duty: duty, Phase: gait.Wave(n, duty), StepHeight: 0.03, Swing: gait.PlainSwing}
}

// The least longitudinal margin of wave gaits, pitch 1 m, for 4, 6 and 8 legs:
// Song and Waldron, Int. J. Robotics Research 6(2), 1987, 60-71: (n/2-1)·P +
// (1-3/(4β))·R up to a stroke of P/(3-2/β), and (n-1)/2·P - (1/2-1/(4β))·R just
// beyond (from memory; the fractions agree with an exact enumeration).
func TestWaveMargins(t *testing.T) {
	for _, c := range []struct {
		n            int
		duty, stroke float64
		want         float64
	}{
		{2, 1. / 2, 1. / 2, -1. / 4}, {3, 1. / 2, 1. / 2, 1. / 4}, {4, 1. / 2, 1. / 2, 3. / 4},
		{2, 7. / 12, 1. / 2, -1. / 7}, {3, 7. / 12, 1. / 2, 5. / 14}, {4, 7. / 12, 1. / 2, 6. / 7},
		{2, 2. / 3, 1. / 2, -1. / 16}, {3, 2. / 3, 1. / 2, 7. / 16}, {4, 2. / 3, 1. / 2, 15. / 16},
		{2, 3. / 4, 1. / 2, 0}, {3, 3. / 4, 1. / 2, 1. / 2}, {4, 3. / 4, 1. / 2, 1},
		{2, 5. / 6, 1. / 2, 1. / 20}, {3, 5. / 6, 1. / 2, 11. / 20}, {4, 5. / 6, 1. / 2, 21. / 20},
		{2, 11. / 12, 1. / 2, 1. / 11}, {3, 11. / 12, 1. / 2, 13. / 22}, {4, 11. / 12, 1. / 2, 12. / 11},
		{3, 1. / 2, 1, 0}, {3, 5. / 8, 1, 3. / 10}, {3, 2. / 3, 1, 3. / 8}, {3, 5. / 6, 3. / 2, 13. / 20},
		{3, 5. / 6, 2, 3. / 5}, {3, 7. / 8, 3. / 2, 19. / 28}, {3, 11. / 12, 5. / 4, 63. / 88},
	} {
		m := margins(t, even(c.n), wave(c.n, c.duty), c.stroke)
		if !m.Defined || math.Abs(m.Longitudinal-c.want) > 1e-9 {
			t.Errorf("%d legs, duty %v, stroke %v: got=%v (%v), want=%v", 2*c.n, c.duty, c.stroke, m.Longitudinal, m.Defined, c.want)
		}
		// The nearest edge is no farther than one of two; outside, no nearer.
		if c.want >= 0 && m.Static > m.Longitudinal+1e-9 {
			t.Errorf("%d legs, duty %v: static margin %v above the longitudinal one %v", 2*c.n, c.duty, m.Static, m.Longitudinal)
		}
	}
}

// The same closed form for any duty factor and stroke up to the pitch, and on
// four legs as the crawl's bound: (β-3/4) of the stride (McGhee and Frank,
// Mathematical Biosciences 3, 1968; from memory).
func TestWaveMarginsProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 6).Draw(t, "pairs")
		duty := rapid.Float64Range(0.5, 0.99).Draw(t, "duty")
		stroke := rapid.Float64Range(0.01, 1).Draw(t, "stroke")
		m := margins(t, even(n), wave(n, duty), stroke)
		want := float64(n)/2 - 1 + (1-3/(4*duty))*stroke
		if !m.Defined || math.Abs(m.Longitudinal-want) > 1e-8 {
			t.Fatalf("got=%v (%v), want=%v", m.Longitudinal, m.Defined, want)
		}
		if stride := stroke / duty; n == 2 && math.Abs(m.Longitudinal-(duty-3./4)*stride) > 1e-8 {
			t.Fatalf("crawl: got=%v, want=%v", m.Longitudinal, (duty-3./4)*stride)
		}
	})
}

// Least static margins over a cycle, computed with Shapely (GEOS) from footholds
// and phases.
func TestStaticMargins(t *testing.T) {
	six := tracks([]float64{0.12, 0, -0.12}, []float64{0.10, 0.13, 0.10})
	tetrapod := wave(3, 2./3)
	tetrapod.Phase = []float64{0, 2. / 3, 1. / 3, 2. / 3, 1. / 3, 0}
	quarters := func(duty float64) *gait.Gait {
		g := wave(2, duty)
		g.Phase = []float64{0, 0.75, 0.5, 0.25}
		return g
	}
	four := tracks([]float64{0.10, -0.10}, []float64{0.08, 0.08})
	for _, c := range []struct {
		r    *kin.Robot
		g    *gait.Gait
		want float64
	}{
		{six, wave(3, 1./2), 0.03353603548538893},
		{six, wave(3, 2./3), 0.05398800544665397},
		{six, wave(3, 3./4), 0.061005095046410836},
		{six, wave(3, 5./6), 0.06668517248034482},
		{six, wave(3, 11./12), 0.07137424785563622},
		{six, tetrapod, 0.04737191531546659},
		{four, wave(2, 3./4), 0},
		{four, wave(2, 5./6), 0.004036036763977863},
		{four, wave(2, 11./12), 0.0074134037038003165},
		{four, quarters(5. / 6), 0.0019807671387295075},
		{four, quarters(11. / 12), 0.003583187266046926},
	} {
		if m := margins(t, c.r, c.g, 0.06); math.Abs(m.Static-c.want) > 1e-9 {
			t.Errorf("duty %v, phases %v: got=%v, want=%v", c.g.Duty, c.g.Phase, m.Static, c.want)
		}
	}
}

// Of the six orders in which four feet can step at equal intervals only the
// crawl's stands (McGhee and Frank, 1968; from memory). The margins are of an
// enumeration with 4000 samples of the cycle, right to 5e-4: hips at ±0.5 m,
// stroke 0.5 m.
func TestCreepingOrders(t *testing.T) {
	r := tracks([]float64{0.5, -0.5}, []float64{0.5, 0.5})
	const lf, lh, rf, rh = 0, 1, 2, 3
	for _, c := range []struct {
		order [4]int
		want  [5]float64 // by duty factor
	}{
		{[4]int{lf, rh, rf, lh}, [5]float64{4e-05, 0.0120, 0.02243, 0.03163, 0.03979}},
		{[4]int{lf, rf, rh, lh}, [5]float64{-0.06929, -0.05144, -0.03598, -0.02246, -0.01054}},
		{[4]int{lf, lh, rh, rf}, [5]float64{-0.06929, -0.05144, -0.03598, -0.02246, -0.01054}},
		{[4]int{lf, lh, rf, rh}, [5]float64{-0.10842, -0.09194, -0.07726, -0.06410, -0.05224}},
		{[4]int{lf, rf, lh, rh}, [5]float64{-0.12798, -0.10742, -0.08945, -0.07362, -0.05956}},
		{[4]int{lf, rh, lh, rf}, [5]float64{-0.12798, -0.10742, -0.08945, -0.07362, -0.05956}},
	} {
		for k, duty := range []float64{0.7501, 0.80, 0.85, 0.90, 0.95} {
			g := wave(2, duty)
			for n, i := range c.order {
				g.Phase[i] = float64(n) / 4
			}
			if m := margins(t, r, g, 0.5); math.Abs(m.Static-c.want[k]) > 5e-4 {
				t.Errorf("order %v, duty %v: got=%v, want=%v", c.order, duty, m.Static, c.want[k])
			}
		}
	}
}

// A pace has its two feet on one side: the line of travel meets no support.
func TestMarginNotDefined(t *testing.T) {
	g := wave(2, 0.5)
	g.Phase = []float64{0, 0, 0.5, 0.5}
	if m := margins(t, even(2), g, 0.1); m.Defined || m.Longitudinal != 0 || !(m.Static < 0) {
		t.Errorf("pace: %+v", m)
	}
	g.Duty = 0.4 // and none at all in between
	if m := margins(t, even(2), g, 0.1); m.Defined || !math.IsInf(m.Static, -1) {
		t.Errorf("running: %+v", m)
	}
	if m := margins(t, even(3), wave(3, 0.8), 0); m.Defined || m.Longitudinal != 0 || !(m.Static > 0) {
		t.Errorf("on the spot: %+v", m)
	}
}
