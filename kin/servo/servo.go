// SPDX-License-Identifier: MIT

// Package servo says what a servo can do at a voltage: the torque it has left
// at a speed, the speed it has left at a torque, and the current it draws.
//
// The model is the direct-current motor behind a gear: torque falls in a
// straight line from the stall torque at rest to nothing at the no-load speed,
// and both go with the voltage (textbook; for example Fitzgerald, Kingsley and
// Umans, Electric Machinery, permanent-magnet dc motors, from memory). Hobby
// servos hold to it closely enough for a first judgement (common practice).
package servo

import (
	"math"

	"gaitwright/kin"
)

// Line is the torque-speed line of a servo at one voltage. The zero value can
// do nothing.
type Line struct {
	Stall   float64 // torque at rest, N·m
	NoLoad  float64 // speed without load, +Inf when it is not known, rad/s
	Current float64 // at stall, A
	Idle    float64 // without load, A
	Gears   float64 // efficiency, (0,1]
}

// At gives the line of a servo at a voltage (V); 0 stands for the datasheet's.
func At(s *kin.Servo, voltage float64) Line {
	share := 1.0
	if voltage > 0 && s.Voltage > 0 {
		share = voltage / s.Voltage
	}
	l := Line{Stall: s.StallTorque, NoLoad: s.NoLoadSpeed, Current: s.StallCurrent, Idle: s.IdleCurrent, Gears: s.Efficiency}
	if !(l.NoLoad > 0) {
		l.NoLoad = math.Inf(1)
	}
	if !(l.Gears > 0) {
		l.Gears = 1
	}
	return l.Scaled(share)
}

// Scaled gives the line at a voltage share times as high. The idle current
// stays.
func (l Line) Scaled(share float64) Line {
	l.Stall *= share
	l.Current *= share
	if !math.IsInf(l.NoLoad, 1) { // not known stays so
		l.NoLoad *= share
	}
	return l
}

// Derated gives the line with only a share of the stall torque counted on.
func (l Line) Derated(share float64) Line {
	l.Stall *= share
	return l
}

// Drives tells whether a servo that exerts a torque at a speed does work: it
// then has less torque the faster it turns. A servo that is turned against its
// torque brakes; it is taken to have its stall torque there, which is less
// than the motor gives.
func Drives(torque, speed float64) bool { return torque*speed > 0 }

// Torque gives the greatest torque at a speed (rad/s) when driving, N·m: none
// past the no-load speed.
func (l *Line) Torque(speed float64) float64 {
	if math.IsInf(l.NoLoad, 1) || speed == 0 {
		return l.Stall
	}
	return l.Stall * max(0, 1-math.Abs(speed)/l.NoLoad)
}

// Speed gives the greatest speed at a torque (N·m) when driving, rad/s: none
// past the stall torque.
func (l *Line) Speed(torque float64) float64 {
	if !(l.Stall > 0) {
		return 0
	}
	if math.IsInf(l.NoLoad, 1) {
		return l.NoLoad
	}
	return l.NoLoad * max(0, 1-math.Abs(torque)/l.Stall)
}

// Use gives which share of the line a torque (N·m) at a speed (rad/s) takes:
// 1 on the line, torque share plus speed share when driving; the greater of
// the two when braking. +Inf for a torque without a stall torque.
func (l *Line) Use(torque, speed float64) float64 {
	t := math.Abs(torque) / l.Stall
	if torque == 0 {
		t = 0
	}
	v := math.Abs(speed) / l.NoLoad
	if speed == 0 {
		v = 0
	}
	if Drives(torque, speed) {
		return t + v
	}
	return max(t, v)
}

// Amperes gives the current that a servo draws for a torque (N·m, as it acts
// on the joint) at a speed (rad/s), A: the idle current, and a share of the
// rest of the stall current that goes with the motor's torque. When it brakes
// the gears lose in its favour: what reaches the motor is the torque times the
// efficiency, where driving asks for the torque over the efficiency, so that
// the current is the efficiency squared times as high. What a braking motor
// gives back is not counted, nor that a driver which chops the voltage draws
// less on average than the motor does: an upper estimate. A torque that is not
// known (NaN) gives a current that is not.
func (l *Line) Amperes(torque, speed float64) float64 {
	rest := l.Current - l.Idle
	if !(l.Stall > 0) || rest <= 0 && torque == torque {
		return l.Idle
	}
	share := math.Abs(torque) / l.Stall
	if torque*speed < 0 {
		share *= l.Gears * l.Gears
	}
	return l.Idle + share*rest
}
