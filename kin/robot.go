// SPDX-License-Identifier: MIT

package kin

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// The joints of a leg, in the order of every joint array.
const (
	Coxa = iota
	Femur
	Tibia
	Joints // number of joints a leg has
)

// JointName gives the trade's word for joint j, "" for none.
func JointName(j int) string {
	switch j {
	case Coxa:
		return "coxa"
	case Femur:
		return "femur"
	case Tibia:
		return "tibia"
	}
	return ""
}

// Knee is the side on which a leg keeps its knee.
type Knee int

// KneeUp bends the foot down (tibia angle negative), KneeDown bends it up.
const (
	KneeUp Knee = iota
	KneeDown
)

// Range is a closed interval of joint angles.
type Range struct {
	Lo, Hi float64 // rad
}

// Outside gives how far q lies outside r, 0 inside.
func (r Range) Outside(q float64) float64 { // rad
	return max(0, r.Lo-q, q-r.Hi)
}

// Link is one rigid part. In a Leg the frame is the link's own: origin on the
// link's joint axis, x along the link, y lateral, z up at angle 0. For the
// body and what it carries it is B.
type Link struct {
	Mass    float64 // kg
	COM     r3.Vec  // m
	Inertia Inertia // about COM, in the axes of the frame COM is given in
}

// Servo is what the datasheet of a servo gives, at one voltage.
type Servo struct {
	StallTorque  float64 // N·m
	NoLoadSpeed  float64 // rad/s
	Voltage      float64 // V
	Mass         float64 // kg
	StallCurrent float64 // at stall torque, A
	IdleCurrent  float64 // without load, A
	Efficiency   float64 // of the gears, (0,1]
}

// Supply is what feeds the servos. The zero value feeds each at its
// datasheet's voltage, without limit.
type Supply struct {
	Voltage    float64 // without load, V; 0: each servo's own
	Limit      float64 // greatest current, A; 0: not known
	Resistance float64 // internal and of the leads, ohm
}

// Leg is one leg as measured.
type Leg struct {
	Name   string
	Mirror int // index of the leg on the other side, -1 for none

	PBH     r3.Vec  // mount in B, m
	Heading float64 // yaw of H in B, rad

	Length   [Joints]float64 // coxa, femur, tibia (knee axis to foot centre), m
	Lateral  float64         // d, m
	Vertical float64         // h, m

	TibiaOffset float64       // servo tibia angle minus joint tibia angle, rad; for the firmware side only
	Limits      [Joints]Range // joint angles, rad
	Knee        Knee

	FootRadius float64       // m
	LinkRadius float64       // half thickness of the links, for clearance, m
	Links      [Joints]Link  // without servos
	Servos     [Joints]Servo // coxa servo sits on the body, femur servo on the coxa, tibia servo on the femur

	Stand r3.Vec // where the foot centre stands, in B's axes below B, z unused, m
}

// Body is the part that the legs are mounted on.
type Body struct {
	Mass    float64  // kg, without servos
	COM     r3.Vec   // in B, m
	Inertia Inertia  // about COM, in B's axes
	Outline []r3.Vec // corners in B seen from above, counter-clockwise, z unused, m
	Top     float64  // height of the upper face above B's origin, m
	Bottom  float64  // height of the lower face, m (usually negative)
}

// Robot is the whole machine.
type Robot struct {
	Name     string
	Gravity  float64 // m/s²
	Body     Body
	Payload  Link // what the body carries, in B; the zero Link for nothing
	Legs     []Leg
	Friction float64 // coefficient between a foot and the ground
	Supply   Supply
}

// The number of legs a robot may have.
const (
	MinLegs = 4
	MaxLegs = 12
)

// ErrRobot is what Check's errors wrap.
var ErrRobot = errors.New("kin: unusable robot")

// Check tells whether the numbers can be computed with: finite, positive
// lengths and masses, 4 to 12 legs with distinct names, ordered limits. The
// first fault is named.
func (r *Robot) Check() error {
	bad := func(format string, a ...any) error {
		return fmt.Errorf("%w: %s", ErrRobot, fmt.Sprintf(format, a...))
	}
	if n := len(r.Legs); n < MinLegs || n > MaxLegs {
		return bad("%d legs, want %d to %d", n, MinLegs, MaxLegs)
	}
	if !positive(r.Gravity) || !positive(r.Body.Mass) {
		return bad("gravity and body mass must be positive")
	}
	body := Link{Mass: r.Body.Mass, COM: r.Body.COM, Inertia: r.Body.Inertia}
	if err := errors.Join(within("body", &body), within("payload", &r.Payload)); err != nil {
		return err
	}
	if !weight(r.Friction) || !weight(r.Supply.Voltage) || !weight(r.Supply.Limit) || !weight(r.Supply.Resistance) {
		return bad("friction %g, supply %v: want numbers that are not negative", r.Friction, r.Supply)
	}
	names := map[string]bool{}
	for i := range r.Legs {
		l := &r.Legs[i]
		if l.Name == "" || names[l.Name] {
			return bad("leg %d: name %q is empty or taken", i+1, l.Name)
		}
		names[l.Name] = true
		if l.Mirror >= len(r.Legs) || l.Mirror == i || (l.Mirror >= 0 && r.Legs[l.Mirror].Mirror != i) {
			return bad("leg %s: mirror is not mutual", l.Name)
		}
		if !(l.Length[Coxa] >= 0) || !positive(l.Length[Femur]) || !positive(l.Length[Tibia]) || math.IsInf(l.Length[Coxa], 0) {
			return bad("leg %s: link lengths %v", l.Name, l.Length)
		}
		for _, v := range []float64{l.PBH.X, l.PBH.Y, l.PBH.Z, l.Heading, l.Lateral, l.Vertical, l.Stand.X, l.Stand.Y} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return bad("leg %s: a number is not finite", l.Name)
			}
		}
		if !(l.FootRadius >= 0 && l.LinkRadius >= 0) || math.IsInf(l.FootRadius+l.LinkRadius, 0) {
			return bad("leg %s: foot radius %g, link radius %g", l.Name, l.FootRadius, l.LinkRadius)
		}
		for j := range l.Links {
			if err := within("leg "+l.Name+", "+JointName(j), &l.Links[j]); err != nil {
				return err
			}
			if !weight(l.Servos[j].Mass) {
				return bad("leg %s: mass of the %s servo", l.Name, JointName(j))
			}
		}
		for j, lim := range l.Limits {
			if !(lim.Lo <= lim.Hi) {
				return bad("leg %s: %s limits %v", l.Name, JointName(j), lim)
			}
		}
	}
	return nil
}

func positive(v float64) bool { return v > 0 && !math.IsInf(v, 0) }

// weight tells whether m can be the mass of a part, which may be left at 0.
func weight(m float64) bool { return m >= 0 && !math.IsInf(m, 0) }

// within checks a part and says which it is.
func within(part string, k *Link) error {
	if err := k.Check(); err != nil {
		return fmt.Errorf("%w: %s: %w", ErrRobot, part, err)
	}
	return nil
}

// LegIndex finds a leg by name, -1 for none.
func (r *Robot) LegIndex(name string) int {
	for i := range r.Legs {
		if r.Legs[i].Name == name {
			return i
		}
	}
	return -1
}
