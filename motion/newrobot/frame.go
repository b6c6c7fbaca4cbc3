// SPDX-License-Identifier: MIT

package newrobot

import (
	"fmt"
	"math"

	"gaitwright/motion/workfile"
)

// frame gives the robot itself, without gaits.
func (a *Answers) frame() *workfile.File {
	s, _ := a.stand()
	foot := math.Max(3, round(0.05*a.Tibia, 0.5))
	height := round(s.height+foot, 1)
	half := math.Min(20, math.Floor(height/3))
	name := a.Name
	if name == "" {
		name = "my robot"
	}
	servo := a.servoName()
	f := &workfile.File{
		Format: workfile.Version,
		Servos: map[string]workfile.Servo{servo: a.Servo},
	}
	f.Robot = workfile.Robot{
		Name: name,
		// Battery, controller and plates: about as heavy as the servos.
		BodyMass:    round(60+0.8*3*float64(a.Legs)*a.Servo.Mass, 10),
		Outline:     a.outline(),
		Top:         half,
		Bottom:      -half,
		StandHeight: height,
	}
	rows := a.Legs / 2
	for i := range rows {
		f.Legs = append(f.Legs, a.leg(i, s, foot, servo))
	}
	for i := range rows {
		from := &f.Legs[i]
		l := workfile.Leg{Name: "R" + from.Name[1:], Mirrors: from.Name}
		turned := true
		for j, p := range []*workfile.Joint{&l.Coxa, &l.Femur, &l.Tibia} {
			n := 3*(rows+i) + j
			p.Channel = &n
			if j > 0 { // the same bracket, turned about: femur and tibia run the other way
				p.Reversed = &turned
			}
		}
		f.Legs = append(f.Legs, l)
	}
	return f
}

func (a *Answers) servoName() string {
	if a.ServoName != "" {
		return a.ServoName
	}
	return "servo"
}

// leastCut is the shortest cut of a corner that a body is given, mm: shorter
// ones are no part of a shape, and their ends crowd each other on a drawing.
const leastCut = 12

// outline is the body seen from above: a rectangle, with its corners cut where
// it is large.
func (a *Answers) outline() [][2]float64 {
	x, y := a.Length/2, a.Width/2
	c := round(0.2*math.Min(x, y), 0.5)
	if c < leastCut {
		return [][2]float64{{x, y}, {-x, y}, {-x, -y}, {x, -y}}
	}
	return [][2]float64{{x, y - c}, {x - c, y}, {c - x, y}, {-x, y - c}, {-x, c - y}, {c - x, -y}, {x - c, -y}, {x, c - y}}
}

// leg gives the left leg number i from the front.
func (a *Answers) leg(i int, s stance, foot float64, servo string) workfile.Leg {
	rows := a.Legs / 2
	at := 1 - 2*float64(i)/float64(rows-1) // 1 at the front, -1 at the rear
	heading := 90 - 45*at
	inset := math.Min(0.1*a.Width, 12)
	ends := math.Min(inset, 0.1*a.Length) // a short body's legs do not all sit in its middle
	mount := [3]float64{round(at*(a.Length/2-ends), 0.5), round(a.Width/2-inset/2, 0.5), 0}
	sin, cos := math.Sincos(heading * math.Pi / 180)
	stand := [2]float64{round(mount[0]+s.out*cos, 1), round(mount[1]+s.out*sin, 1)}
	link := math.Max(3, round(0.07*a.Tibia, 0.5))
	l := workfile.Leg{
		Name: a.legName(i), Mount: &mount, Heading: &heading,
		CoxaLength: given(a.Coxa), FemurLength: given(a.Femur), TibiaLength: given(a.Tibia),
		FootRadius: &foot, LinkRadius: &link, Stand: &stand, TibiaOffset: given(70),
	}
	// A hobby servo turns some 180 degrees with pulses from 500 to 2500 us; the
	// horn is put on so that the joint's range lies in the middle of that.
	for j, p := range []struct {
		to     *workfile.Joint
		travel [2]float64
		length float64
	}{{&l.Coxa, [2]float64{-60, 60}, a.Coxa}, {&l.Femur, [2]float64{-80, 90}, a.Femur}, {&l.Tibia, [2]float64{-150, 10}, a.Tibia}} {
		n := 3*i + j
		mass := math.Max(2, round(0.25*p.length, 1)) // a printed or sheet bracket
		*p.to = workfile.Joint{Range: &p.travel, Servo: servo, Mass: &mass, Channel: &n}
	}
	return l
}

// legName names the left legs from the front: F, M and R where there are two or
// three a side, numbers where there are more.
func (a *Answers) legName(i int) string {
	switch rows := a.Legs / 2; {
	case rows == 2:
		return [...]string{"LF", "LR"}[i]
	case rows == 3:
		return [...]string{"LF", "LM", "LR"}[i]
	}
	return fmt.Sprintf("L%d", i+1)
}

func given(v float64) *float64 { return &v }

// round rounds to a multiple of a step, so that files hold numbers that people
// would write.
func round(v, step float64) float64 { return math.Round(v/step) * step }
