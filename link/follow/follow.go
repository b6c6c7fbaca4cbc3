// SPDX-License-Identifier: MIT

// Package follow is what a link and a motion have to do with each other: the
// pose to send at an instant, why it must not be sent, and the robot's reports
// as rows of a log. The command line and the window both use it.
package follow

import (
	"fmt"
	"math"
	"slices"

	"gaitwright/kin"
	"gaitwright/link"
	"gaitwright/motion/output"
	"gaitwright/motion/record"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/review"
)

// Late is how far the servos may be from where they should be before the
// motion waits for them, µs: some 4 degrees of a usual servo (common practice).
const Late = 40

// Follower is a motion that a robot can follow.
type Follower struct {
	Lines []output.Line // in the order of the channels
	run   *rehearsal.Rehearsal
	us    []float64
}

// New prepares a motion. The error is that of output.Lines: each joint needs a
// channel.
func New(run *rehearsal.Rehearsal) (*Follower, error) {
	lines, err := output.Lines(run.Built)
	if err != nil {
		return nil, err
	}
	return &Follower{Lines: lines, run: run}, nil
}

// Speed gives the greatest change of a pulse with which no joint turns faster
// than a bound (deg/s), µs/s.
func (f *Follower) Speed(bound float64) float64 {
	least := math.Inf(1)
	for i := range f.Lines {
		least = min(least, f.Lines[i].PerRad*math.Pi/180)
	}
	return bound * least
}

// Pose gives the pose at an instant of the motion, with some joints held at
// angles of their own (leg and joint, rad; nil for none), and why the review
// stops it. The pulses are valid until the next call.
func (f *Follower) Pose(at float64, held map[[2]int]float64) link.Pose {
	f.us = output.Pose(f.us, f.Lines, f.run.Trajectory, at)
	p := link.Pose{Pulses: f.us}
	for i := range f.Lines {
		l := &f.Lines[i]
		if q, ok := held[[2]int{l.Leg, l.Joint}]; ok {
			f.us[i] = l.Pulse(q)
		}
		// The review has seen the motion, not what is held by hand.
		if l.Outside(f.us[i]) && p.Stop == "" {
			p.Stop = fmt.Sprintf("%s needs a pulse of %.0f µs, outside %.0f to %.0f µs", l.Name, f.us[i], l.Min, l.Max)
		}
	}
	if s := review.StopAt(f.run.Findings, at); s != nil && p.Stop == "" {
		p.Stop = s.Word + ": " + s.Why
	}
	return p
}

// Fits tells whether another motion is of a robot with the same channels, so
// that it can be followed in the same session.
func (f *Follower) Fits(o *Follower) bool {
	return slices.EqualFunc(f.Lines, o.Lines, func(a, b output.Line) bool {
		return a.Leg == b.Leg && a.Joint == b.Joint && a.Number == b.Number
	})
}

// Row makes a row of a log of what the robot reported; at is the time of the
// motion then, NaN while none is played, s.
func (f *Follower) Row(s *link.Seen, at float64, switches bool) record.Row {
	r := record.Row{Robot: s.Time.Seconds(), Motion: at, Switches: switches, Down: s.Switches}
	if len(s.Positions) == len(f.Lines) {
		r.Pulses = make([]float64, len(f.run.Built.Robot.Legs)*kin.Joints)
		for i := range r.Pulses {
			r.Pulses[i] = math.NaN()
		}
		for i := range f.Lines {
			r.Pulses[f.Lines[i].Leg*kin.Joints+f.Lines[i].Joint] = s.Positions[i]
		}
	}
	return r
}

// Cautions are shown before anything moves.
func Cautions() []string {
	return []string{
		"Put the robot on a stand with its feet in the air, and into its rest pose.",
		"Have the switch that cuts the servos' power in reach.",
		"Hands, hair and face away from the legs: joints pinch, feet strike. Wear eye protection.",
		"No people, children or animals in reach of it.",
		"Treat a lithium battery as its maker and your local rules say.",
		"The rules of the place, and qualified people, go before this program: it knows the workfile, not your robot.",
	}
}
