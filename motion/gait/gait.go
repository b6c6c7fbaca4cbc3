// SPDX-License-Identifier: MIT

// Package gait describes ways of walking: when each leg swings, how high, and
// in which order.
//
// Time is counted in cycles. Leg i touches down at phases φᵢ, φᵢ+1, …, stands
// for the duty factor β, and swings for 1-β until the next touchdown (the
// convention of Song and Waldron, Machines That Walk, 1989; from memory).
package gait

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/motion/curve"
)

// Gait is a way of walking. Every leg has the same duty factor.
type Gait struct {
	Name       string
	Period     float64   // s
	Duty       float64   // share of the period on the ground, (0,1)
	Phase      []float64 // touch-down lag of each leg, cycles, [0,1)
	StepHeight float64   // apex of a swing above its ends, m
	Swing      Swing
	Timing     curve.Timing // progress of a swing
	Sway       float64      // greatest shift of the body away from swinging legs, m
}

// Swing shapes the path of a foot in the air by its two handles, as shares of
// the step (along) and of 4/3 of the step height (up): with both at height 1
// the apex is the step height, since a cubic Bézier peaks at 3/4 of its
// handles' height.
type Swing struct {
	LiftAlong, LiftUp float64 // handle of lift-off, from the start
	LandAlong, LandUp float64 // handle of touchdown, from the start
}

// PlainSwing lifts and lands straight up and down.
var PlainSwing = Swing{0, 1, 1, 1}

// MinPeriod is far below what any servo follows; it bounds the number of steps
// in a plan, s.
const MinPeriod = 0.01

// ErrGait is what Check's errors wrap.
var ErrGait = errors.New("gait: unusable gait")

// Check tells whether the gait can be walked by a robot with that many legs.
func (g *Gait) Check(legs int) error {
	switch {
	case !(g.Period >= MinPeriod) || math.IsInf(g.Period, 0):
		return fmt.Errorf("%w: period %v s must be finite and at least %v s", ErrGait, g.Period, MinPeriod)
	case !(g.Duty > 0 && g.Duty < 1):
		return fmt.Errorf("%w: duty factor %v must lie between 0 and 1", ErrGait, g.Duty)
	case len(g.Phase) != legs:
		return fmt.Errorf("%w: %d phases for %d legs", ErrGait, len(g.Phase), legs)
	}
	for i, p := range g.Phase {
		if !(p >= 0 && p < 1) {
			return fmt.Errorf("%w: phase %v of leg %d is outside [0,1)", ErrGait, p, i+1)
		}
	}
	for _, v := range []float64{g.StepHeight, g.Sway, g.Swing.LiftAlong, g.Swing.LiftUp, g.Swing.LandAlong, g.Swing.LandUp} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("%w: step height, sway and handles must be finite", ErrGait)
		}
	}
	if !(g.Sway >= 0) {
		return fmt.Errorf("%w: sway %v m must not be negative", ErrGait, g.Sway)
	}
	if g.Timing.Kind == curve.Hold {
		return fmt.Errorf("%w: a swing that is held never gets to its touchdown", ErrGait)
	}
	if err := g.Timing.Check(); err != nil {
		return fmt.Errorf("%w: %w", ErrGait, err)
	}
	return nil
}

// Down tells whether leg i is on the ground at phase (cycles).
func (g *Gait) Down(i int, phase float64) bool { return Frac(phase-g.Phase[i]) < g.Duty }

// Frac gives x minus its floor, in [0,1).
func Frac(x float64) float64 {
	f := x - math.Floor(x)
	if f >= 1 { // rounding of a tiny negative x
		return 0
	}
	return f
}

// First gives the phase in [0,1) at which some leg lifts off and before which,
// counted from the touch-down of the reference leg, none does: where a walk
// from standing begins without waiting.
func (g *Gait) First() float64 {
	first := 1.0
	for _, p := range g.Phase {
		first = min(first, Frac(p+g.Duty))
	}
	return first
}

// Path gives the swing from a to b, in axes whose z is up, m.
func (g *Gait) Path(a, b r3.Vec) curve.Bezier {
	s, d := g.Swing, r3.Sub(b, a)
	up := g.StepHeight * 4 / 3
	return curve.Bezier{
		P0: a,
		P1: r3.Add(r3.Add(a, r3.Scale(s.LiftAlong, d)), r3.Vec{Z: s.LiftUp * up}),
		P2: r3.Add(r3.Add(a, r3.Scale(s.LandAlong, d)), r3.Vec{Z: s.LandUp * up}),
		P3: b,
	}
}

// Wave gives the phases of the wave gait of 2n legs for a duty factor of at
// least 1/2: left legs front to rear, then right legs front to rear. Each leg
// lifts as the one behind it touches down, and the sides are half a cycle
// apart (Song and Waldron, Int. J. Robotics Research 6(2), 1987; from memory).
func Wave(n int, duty float64) []float64 {
	p := make([]float64, 2*n)
	for m := range n {
		p[m] = Frac(float64(m) * duty)
		p[n+m] = Frac(p[m] + 0.5)
	}
	return p
}
