// SPDX-License-Identifier: MIT

// Package output is the way from joint angles to what servos are told: which
// channel has which joint, and the pulse widths of a pose. Tables, the check
// sheet and the live link all go through it.
package output

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/workfile"
)

// Line is one servo: a joint and the channel that it is on.
type Line struct {
	Leg, Joint int
	Name       string // "LF femur"
	workfile.Channel
}

// ErrChannel is what Lines' errors wrap.
var ErrChannel = errors.New("output: joint without a channel")

// Lines gives the servos in the order of their channel numbers, which is the
// order of the pulses in poses and tables. An error when a joint has no
// channel: a robot of which one servo is left out does not stand.
func Lines(b *workfile.Built) ([]Line, error) {
	var all []Line
	var missing []string
	for i := range b.Channels {
		for j := range kin.Joints {
			c := b.Channels[i][j]
			name := b.Robot.Legs[i].Name + " " + kin.JointName(j)
			if !c.Set {
				missing = append(missing, name)
				continue
			}
			all = append(all, Line{i, j, name, c})
		}
	}
	if len(missing) > 0 {
		return nil, fmt.Errorf("%w: %s; give each joint a channel of its own (channel = ...)", ErrChannel, strings.Join(missing, ", "))
	}
	slices.SortFunc(all, func(a, b Line) int { return cmp.Compare(a.Number, b.Number) })
	return all, nil
}

// Pose writes the pulse widths of the sample at time s into dst, µs, in the
// order of the lines; between two samples angles are interpolated in a straight
// line. dst grows when it is too short.
func Pose(dst []float64, lines []Line, t *motion.Trajectory, s float64) []float64 {
	dst = slices.Grow(dst[:0], len(lines))[:len(lines)]
	at := max(0, min(s*t.Rate, float64(t.N-1)))
	k := int(at)
	share := at - float64(k)
	next := min(k+1, t.N-1)
	for n := range lines {
		l := &lines[n]
		a, b := t.Q[(k*t.Legs+l.Leg)*kin.Joints+l.Joint], t.Q[(next*t.Legs+l.Leg)*kin.Joints+l.Joint]
		dst[n] = l.Pulse(a + share*(b-a))
	}
	return dst
}
