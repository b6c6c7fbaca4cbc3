// SPDX-License-Identifier: MIT

package gait

import (
	"errors"
	"fmt"
	"slices"

	"gaitwright/kin"
	"gaitwright/motion/curve"
)

// ErrSides is what Sides' and Library's errors wrap.
var ErrSides = errors.New("gait: legs do not form two even rows")

// Sides gives the legs of each side by their mounts, front to rear, as indexes
// of the robot's legs: the order of a workfile is free. Refused are a leg
// mounted on the midline, sides with unlike numbers of legs, and two legs of a
// side mounted equally far forward.
func Sides(r *kin.Robot) (left, right []int, err error) {
	for i := range r.Legs {
		switch y := r.Legs[i].PBH.Y; {
		case y > 0:
			left = append(left, i)
		case y < 0:
			right = append(right, i)
		default:
			return nil, nil, fmt.Errorf("%w: leg %s is mounted on the midline: give its mount a side", ErrSides, r.Legs[i].Name)
		}
	}
	if len(left) != len(right) {
		return nil, nil, fmt.Errorf("%w: %d legs on the left, %d on the right: gaits by rows want as many on either side", ErrSides, len(left), len(right))
	}
	for _, side := range [...][]int{left, right} {
		slices.SortStableFunc(side, func(a, b int) int {
			switch xa, xb := r.Legs[a].PBH.X, r.Legs[b].PBH.X; {
			case xa > xb:
				return -1
			case xa < xb:
				return 1
			}
			return 0
		})
		for k := 1; k < len(side); k++ {
			a, b := &r.Legs[side[k-1]], &r.Legs[side[k]]
			if a.PBH.X == b.PBH.X {
				return nil, nil, fmt.Errorf("%w: legs %s and %s are mounted equally far forward: one has to be in front of the other", ErrSides, a.Name, b.Name)
			}
		}
	}
	return left, right, nil
}

// pattern is a gait of the library: phases of the left legs front to rear,
// then of the right ones.
type pattern struct {
	name  string
	duty  float64
	phase []float64
}

// patterns lists what there is for n legs a side. The wave rule and its source
// stand at Wave. That names are used so is from memory; ripple above all is
// used for several gaits, so phases and duty factor say what is meant.
func patterns(n int) []pattern {
	wave := func(name string, duty float64) pattern { return pattern{name, duty, Wave(n, duty)} }
	switch n {
	case 2:
		return []pattern{
			// The wave of four legs: left front, right rear, right front, left
			// rear touch down in this order. McGhee and Frank, Mathematical
			// Biosciences 3, 1968: the one creeping gait that stands best, from
			// duty factor 3/4 on (from memory).
			wave("crawl", 5./6),
			// Hildebrand, Science 150, 1965, and BioScience 39, 1989 (from
			// memory): pairs that step together. Left rear touches down at 0.
			{"trot", 1. / 2, []float64{0.5, 0, 0, 0.5}},
			{"pace", 1. / 2, []float64{0, 0, 0.5, 0.5}},
			{"bound", 2. / 5, []float64{0.5, 0, 0.5, 0}},
		}
	case 3:
		return []pattern{
			wave("wave", 5./6),   // one foot at a time
			wave("ripple", 3./4), // one or two
			// Two feet at a time: left front with right rear, left rear with
			// right middle, left middle with right front. Its mirror image is a
			// gait as well (from memory).
			{"tetrapod", 2. / 3, []float64{0, 2. / 3, 1. / 3, 2. / 3, 1. / 3, 0}},
			wave("tripod", 1./2), // three feet at a time
		}
	}
	return []pattern{
		wave("wave", 1-1/float64(2*n)), // one foot at a time
		wave("ripple", 3./4),
		wave("alternating", 1./2), // every other leg of a side
	}
}

// Library gives the gaits known for legs in two rows, given as indexes front
// to rear, such as Sides gives: wave, ripple, tetrapod and tripod for six
// legs, crawl, trot, pace and bound for four, and waves for more. Period and
// step height are left at 0, for the user to give; the foot swings plainly, and
// eases in and out.
func Library(left, right []int) ([]Gait, error) {
	var out []Gait
	for _, p := range patterns(len(left)) {
		g, err := placed(left, right, p)
		if err != nil {
			return nil, err
		}
		out = append(out, g)
	}
	return out, nil
}

// WaveOf gives the gait of the wave family (Wave) for a duty factor from 1/2 to
// below 1, as Library does.
func WaveOf(left, right []int, duty float64) (Gait, error) {
	if !(duty >= 0.5 && duty < 1) {
		return Gait{}, fmt.Errorf("%w: duty factor %v of a wave must lie from 0.5 to below 1", ErrGait, duty)
	}
	return placed(left, right, pattern{"wave", duty, Wave(len(left), duty)})
}

// placed gives every phase to the leg at its place.
func placed(left, right []int, p pattern) (Gait, error) {
	n := len(left)
	if n < 2 || n != len(right) {
		return Gait{}, fmt.Errorf("%w: %d legs on the left, %d on the right: want as many on either side, at least 2", ErrSides, n, len(right))
	}
	g := Gait{
		Name: p.name, Duty: p.duty, Phase: make([]float64, 2*n), Swing: PlainSwing,
		Timing: curve.Timing{Kind: curve.CubicBezier, X1: 0.42, X2: 0.58, Y2: 1}, // ease-in-out, CSS Easing Functions Level 1
	}
	taken := make([]bool, 2*n)
	for k, i := range slices.Concat(left, right) {
		if i < 0 || i >= 2*n || taken[i] {
			return Gait{}, fmt.Errorf("%w: rows %v and %v do not name each of %d legs once", ErrSides, left, right, 2*n)
		}
		taken[i] = true
		g.Phase[i] = p.phase[k]
	}
	return g, nil
}

// Wave gives the phases of the wave gait of 2n legs for a duty factor of at
// least 1/2: left legs front to rear, then right legs front to rear. Each leg
// lifts as the one behind it touches down, and the sides are half a cycle
// apart. On the circle of phases it is continuous in the duty factor (Song and
// Waldron, Int. J. Robotics Research 6(2), 1987, and Machines That Walk, 1989,
// ch. 3; from memory).
func Wave(n int, duty float64) []float64 {
	p := make([]float64, 2*n)
	for m := range n {
		p[m] = Frac(float64(m) * duty)
		p[n+m] = Frac(p[m] + 0.5)
	}
	return p
}
