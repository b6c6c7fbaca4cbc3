// SPDX-License-Identifier: MIT

// Package review judges a trajectory: what would go wrong on the robot, where,
// when, by how much, why, and what would mend it.
package review

import "gaitwright/kin"

// Level says how bad a finding is.
type Level int

// Caution: look first. Stop: do not run this on the robot.
const (
	Caution Level = iota
	Stop
)

// String gives the level's word.
func (l Level) String() string {
	if l == Stop {
		return "stop"
	}
	return "caution"
}

// Finding is one thing that a check has to say. It is data: nothing parses
// Why or Mend.
type Finding struct {
	Word  string // one of Words
	Level Level
	Part  int // index into the trajectory's Parts, -1 when it is about the robot itself
	Entry string
	Leg   int // -1 for none
	Joint int // -1 for none
	Other int // second leg of a pair, -1 for none

	From, To, Worst float64 // s

	Value, Limit float64 // in Unit, finite
	Unit         string
	Why, Mend    string // one plain sentence each
}

// Limits are the thresholds of the checks. The zero value is not useful; see
// Defaults.
type Limits struct {
	Margin     float64              // wanted static stability margin, m
	Clearance  float64              // wanted distance between links, m
	SpeedShare float64              // of no-load speed, above it a caution
	Slide      float64              // drift of a foot on the ground, m
	GroundHit  float64              // depth below the ground that is let pass, m
	Lopsided   float64              // difference of mirrored foot positions, m
	JumpSpeed  float64              // step of joint speed, rad/s
	Dynamic    float64              // wanted distance of the zero-moment point from the edge of support, m
	Derating   float64              // share of a servo's stall torque that is counted on
	Holding    float64              // share of it that a servo holds for long
	Landing    float64              // greatest speed of touchdown, m/s
	Contact    float64              // time in which a foot comes to rest, s
	Outputs    [][kin.Joints]Output // of each leg's joints, nil: pulses are not judged
	OnStand    bool                 // the robot hangs on a stand: no check that needs the ground
}
