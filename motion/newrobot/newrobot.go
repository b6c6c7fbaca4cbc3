// SPDX-License-Identifier: MIT

// Package newrobot makes a whole workfile of four answers: how many legs, how
// large the body, how long the links, which servo. The robot stands in a pose
// from which it can step, knows the gaits for its legs that keep at least three
// feet down, and walks in the first of them that the review lets pass.
//
// What was not asked for is estimated, by common practice where no source is
// named, and is there to be measured and replaced: masses above all.
package newrobot

import (
	"errors"
	"fmt"
	"math"

	"gaitwright/motion/workfile"
)

// Answers describe a robot in people's units.
type Answers struct {
	Name          string  // of the robot; "my robot"
	Legs          int     // 4, 6, 8, 10 or 12, half of them on each side
	Length, Width float64 // of the body seen from above, mm
	Coxa          float64 // from the coxa's axis to the femur's, mm
	Femur         float64 // from the femur's axis to the tibia's, mm
	Tibia         float64 // from the tibia's axis to the foot's centre, mm
	ServoName     string  // "servo"
	Servo         workfile.Servo
}

// Usual gives answers to begin with: a robot of the size that is often built.
func Usual(legs int) Answers {
	a := Answers{Legs: legs, Length: 200, Width: 100, Coxa: 40, Femur: 75, Tibia: 115}
	if legs > 4 {
		a.Length = 110 * float64(legs/2-1)
	}
	return a
}

// ErrAnswer is what errors about an answer wrap.
var ErrAnswer = errors.New("newrobot: unusable answer")

// Fault says which answer cannot be used, and why.
type Fault struct {
	Field string // "legs", "length", "width", "coxa", "femur", "tibia", "servo"
	Text  string
}

func (f *Fault) Error() string { return fmt.Sprintf("newrobot: %s: %s", f.Field, f.Text) }

// Unwrap gives ErrAnswer.
func (f *Fault) Unwrap() error { return ErrAnswer }

// Bounds of the answers, mm: what a desk or a garage floor has room for.
const (
	leastBody, mostBody = 20, 1000
	leastCoxa, mostCoxa = 0, 300
	leastLink, mostLink = 10, 500
)

// Range gives the least and the greatest answer to a field in millimetres.
func Range(field string) (least, most float64) {
	switch field {
	case "length", "width":
		return leastBody, mostBody
	case "coxa":
		return leastCoxa, mostCoxa
	}
	return leastLink, mostLink
}

// Check tells whether a robot can be made of the answers, without making it.
func (a *Answers) Check() error {
	if a.Legs < 4 || a.Legs > 12 || a.Legs%2 != 0 {
		return &Fault{"legs", fmt.Sprintf("%d legs: take 4, 6, 8, 10 or 12", a.Legs)}
	}
	for _, v := range []struct {
		field string
		value float64
	}{{"length", a.Length}, {"width", a.Width}, {"coxa", a.Coxa}, {"femur", a.Femur}, {"tibia", a.Tibia}} {
		least, most := Range(v.field)
		if !(v.value >= least && v.value <= most) {
			return &Fault{v.field, fmt.Sprintf("%v mm: must lie from %v to %v mm", v.value, least, most)}
		}
	}
	if _, ok := a.stand(); !ok {
		return &Fault{"tibia", fmt.Sprintf("a tibia of %v mm is too short for a femur of %v mm: the body would touch the ground; take at least %.0f mm",
			a.Tibia, a.Femur, math.Ceil(leastShare*a.Femur))}
	}
	return nil
}

// leastShare is the least tibia, as a share of the femur: below it, legs that
// stand with the knee up leave no room under the body.
const leastShare = 0.6

// lean is how far the tibia leans outwards when the robot stands, so that the
// foot can still go in and out, rad.
const lean = 10 * math.Pi / 180

// stance is how a leg stands.
type stance struct {
	femur, tibia float64 // joint angles, rad
	out          float64 // from the coxa's axis to the foot, mm
	height       float64 // of the femur's axis over the foot's centre, mm
}

// stand bends the leg: the femur raised by up to 25 degrees, less where the
// tibia is short, and the tibia nearly upright, where its servo has least to
// hold.
func (a *Answers) stand() (s stance, ok bool) {
	if a.Tibia < leastShare*a.Femur {
		return s, false
	}
	rise := min(a.Femur*math.Sin(25*math.Pi/180), 0.35*a.Tibia)
	s.femur = math.Asin(rise / a.Femur)
	s.tibia = -(math.Pi/2 - lean) - s.femur
	s.out = a.Coxa + a.Femur*math.Cos(s.femur) + a.Tibia*math.Sin(lean)
	s.height = a.Tibia*math.Cos(lean) - rise
	return s, true
}
