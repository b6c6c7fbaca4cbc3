// SPDX-License-Identifier: MIT

// Package gait describes ways of walking: when each leg swings, how high, and
// in which order.
//
// Time is counted in cycles. Leg i touches down at phases φᵢ, φᵢ+1, …, stands
// for its duty factor βᵢ, and swings for 1-βᵢ until the next touchdown (the
// convention of Song and Waldron, Machines That Walk, 1989; from memory).
//
// Standing tells how many feet are down when, Library which gaits there are
// for a number of legs, and Parts how a foot goes through the air.
package gait

import (
	"errors"
	"fmt"
	"math"

	"gaitwright/motion/curve"
)

// Gait is a way of walking.
type Gait struct {
	Name       string
	Period     float64   // s
	Duty       float64   // share of the period on the ground, of legs without one of their own, (0,1)
	Duties     []float64 // the same for each leg, nil: Duty for all, (0,1)
	Phase      []float64 // touch-down lag of each leg, cycles, [0,1)
	StepHeight float64   // apex of a swing above its ends, m
	Swing      Swing
	Timing     curve.Timing // progress of a swing
	EarlyLift  float64      // share of the swing time in which the foot rises before it travels, [0,0.5]
	LateTouch  float64      // share of the swing time, at its end, in which the foot comes straight down, [0,0.5]
	Sway       float64      // greatest shift of the body away from swinging legs, m
}

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
	case g.Duties != nil && len(g.Duties) != legs:
		return fmt.Errorf("%w: %d duty factors for %d legs", ErrGait, len(g.Duties), legs)
	}
	for i, d := range g.Duties {
		if !(d > 0 && d < 1) {
			return fmt.Errorf("%w: duty factor %v of leg %d must lie between 0 and 1", ErrGait, d, i+1)
		}
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
	for _, v := range []float64{g.EarlyLift, g.LateTouch} {
		if !(v >= 0 && v <= MostShare) {
			return fmt.Errorf("%w: early lift %v, late touch %v: want shares of the swing from 0 to %v", ErrGait, g.EarlyLift, g.LateTouch, MostShare)
		}
	}
	if g.EarlyLift+g.LateTouch > 1-LeastTravel+1e-12 {
		return fmt.Errorf("%w: early lift %v and late touch %v leave less than %v of the swing to travel in", ErrGait, g.EarlyLift, g.LateTouch, LeastTravel)
	}
	if g.Timing.Kind == curve.Hold {
		return fmt.Errorf("%w: a swing that is held never gets to its touchdown", ErrGait)
	}
	if err := g.Timing.Check(); err != nil {
		return fmt.Errorf("%w: %w", ErrGait, err)
	}
	return nil
}

// DutyOf gives the duty factor of leg i.
func (g *Gait) DutyOf(i int) float64 {
	if g.Duties != nil {
		return g.Duties[i]
	}
	return g.Duty
}

// MeanDuty gives the mean of the legs' duty factors.
func (g *Gait) MeanDuty() float64 {
	if g.Duties == nil || len(g.Phase) == 0 {
		return g.Duty
	}
	sum := 0.0
	for i := range g.Phase {
		sum += g.DutyOf(i)
	}
	return sum / float64(len(g.Phase))
}

// SwingTime gives how long a swing of leg i lasts, s.
func (g *Gait) SwingTime(i int) float64 { return (1 - g.DutyOf(i)) * g.Period }

// MidSwing gives the phase half-way through a swing of leg i, [0,1).
func (g *Gait) MidSwing(i int) float64 { return Frac(g.Phase[i] + (1+g.DutyOf(i))/2) }

// Down tells whether leg i is on the ground at phase (cycles).
func (g *Gait) Down(i int, phase float64) bool { return Frac(phase-g.Phase[i]) < g.DutyOf(i) }

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
	for i, p := range g.Phase {
		first = min(first, Frac(p+g.DutyOf(i)))
	}
	return first
}
