// SPDX-License-Identifier: MIT

package compare

import (
	"math"
	"slices"

	"gaitwright/kin"
	"gaitwright/motion/load"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/review"
)

// Wish says which of two values of a number is the better one.
type Wish int8

// Less, more, or neither.
const (
	Either Wish = iota
	Less
	More
)

// Fact is a number about a whole motion. NaN is none.
type Fact struct {
	Name     string
	Unit     string // "" for a count
	Decimals int
	Wish     Wish
	Value    float64
	At       float64 // when it is so, s; NaN for no instant of its own
	Leg      int     // that has it, -1 for none
}

// Facts gives the numbers that matter about a motion, always the same ones in
// the same order. Cost: a pass over its joints.
func Facts(r *rehearsal.Rehearsal) []Fact {
	nan := math.NaN()
	stops := review.Stops(r.Findings)
	out := []Fact{
		{"stops", "", 0, Less, float64(stops), nan, -1},
		{"cautions", "", 0, Less, float64(len(r.Findings) - stops), nan, -1},
		{"duration", "s", 2, Either, r.Trajectory.Duration(), nan, -1},
		{"least static margin", "mm", 1, More, nan, nan, -1},
		{"least dynamic margin", "mm", 1, More, nan, nan, -1},
		{"greatest torque", "%", 0, Less, nan, nan, -1},
		{"greatest joint speed", "%", 0, Less, nan, nan, -1},
		{"greatest current", "A", 1, Less, nan, nan, -1},
	}
	margin, dynamic, torque, speed, current := &out[3], &out[4], &out[5], &out[6], &out[7]
	t := r.Trajectory
	note := func(f *Fact, v float64, k, leg int) { // of a value that is a number
		if v-v != 0 || f.Value == f.Value && (f.Wish == More && v >= f.Value || f.Wish == Less && v <= f.Value) {
			return
		}
		f.Value, f.At, f.Leg = v, t.Time(k), leg
	}
	hung := slices.Contains(r.Loads.State, load.Hung)
	s := r.Loads.Shares(t, r.Built.Limits.Derating, nil)
	w := t.Legs * kin.Joints
	for k := range t.N {
		if !hung {
			note(margin, t.Margin[k]*1000, k, -1)
			note(dynamic, r.Loads.Dynamic[k]*1000, k, -1)
		}
		note(current, r.Loads.Current[k], k, -1)
		for o := range w {
			note(torque, s.Torque[k*w+o]*100, k, o/kin.Joints)
			note(speed, s.Speed[k*w+o]*100, k, o/kin.Joints)
		}
	}
	return out
}

// Better compares two values of a fact as they are written: positive when
// after is better, negative when it is worse, 0 when they read the same, when
// neither is better, or one is missing.
func Better(before, after *Fact) int {
	scale := math.Pow(10, float64(before.Decimals))
	a, b := math.Round(before.Value*scale), math.Round(after.Value*scale)
	if !(a != b) || a != a || b != b || before.Wish == Either {
		return 0
	}
	if (b > a) == (before.Wish == More) {
		return 1
	}
	return -1
}
