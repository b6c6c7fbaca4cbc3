// SPDX-License-Identifier: MIT

package table

import (
	"errors"
	"fmt"
	"math"

	"gaitwright/kin"
	"gaitwright/motion/workfile"
)

// ErrUnit is what errors about units wrap.
var ErrUnit = errors.New("table: unusable unit")

// Kind says what the numbers of a sheet are.
type Kind uint8

// The kinds, as FORMAT.md numbers them.
const (
	PulseUs     Kind = iota // servo pulse width, µs
	PWMCount                // counts of a 12-bit PWM driver
	TenthDegree             // joint angle, 0.1 degree
	ServoStep               // position steps of a serial-bus servo
)

var kindNames = [...]string{"pulse", "count", "angle", "step"}

// String gives the kind's word, "" for none.
func (k Kind) String() string {
	if int(k) >= len(kindNames) {
		return ""
	}
	return kindNames[k]
}

// ParseKind is the inverse of String.
func ParseKind(s string) (Kind, error) {
	for i, w := range kindNames {
		if w == s {
			return Kind(i), nil
		}
	}
	return 0, fmt.Errorf("%w: unknown unit %q: want pulse, count, angle or step", ErrUnit, s)
}

// Unit says in what a sheet's values are written. The zero Unit is whole
// microseconds.
type Unit struct {
	Kind  Kind
	Bits  int   // fraction bits, 0 to 7: values are in 2^-Bits of a unit
	PWM   PWM   // of PWMCount
	Steps Steps // of ServoStep
}

// Steps describe a serial-bus servo.
type Steps struct {
	Most   int     // greatest position; the least is 0
	Range  float64 // angle from 0 to Most, degree
	Centre int     // position where a pulse of 1500 µs would put it
}

func (u *Unit) check() error {
	if u.Kind > ServoStep || u.Bits < 0 || u.Bits > 7 {
		return fmt.Errorf("%w: kind %d with %d fraction bits: want 0 to 7 bits", ErrUnit, u.Kind, u.Bits)
	}
	switch u.Kind {
	case PWMCount:
		_, err := u.PWM.Prescale()
		return err
	case ServoStep:
		s := &u.Steps
		if !(s.Most >= 1 && s.Most <= math.MaxUint16>>u.Bits) || s.Centre < 0 || s.Centre > s.Most || !(s.Range > 0 && s.Range <= 36000) {
			return fmt.Errorf("%w: positions 0 to %d over %g degrees, centre %d: want at most %d positions, a centre among them, and a positive range",
				ErrUnit, s.Most, s.Range, s.Centre, math.MaxUint16>>u.Bits)
		}
	}
	return nil
}

// text tells the unit to people.
func (u *Unit) text() string {
	s := ""
	switch u.Kind {
	case PWMCount:
		p, _ := u.PWM.Prescale()
		return fmt.Sprintf("counts of a 12-bit PWM driver (prescale %d, %.6g counts a µs)", p, u.PWM.perMicrosecond())
	case TenthDegree:
		s = "joint angle, 0.1 degree"
	case ServoStep:
		s = fmt.Sprintf("position steps, 0 to %d over %g degrees, centre %d", u.Steps.Most, u.Steps.Range, u.Steps.Centre)
	default:
		s = "servo pulse width, µs"
	}
	if u.Bits > 0 {
		s = fmt.Sprintf("1/%d of: %s", 1<<u.Bits, s)
	}
	return s
}

// centrePulse is where a servo stands in the middle, µs.
const centrePulse = 1500

// line tells a channel's values by the joint angle: value = At0 + PerRad·q, in
// whole units.
type line struct {
	at0, perRad float64
	us          float64 // µs of pulse by a whole unit, not negative
	lo, hi      float64 // range, whole units
}

// line gives the line of a channel. The range is that of the pulses, and of
// what the unit can hold.
func (u *Unit) line(c *workfile.Channel) line {
	us0, usPer := c.Pulse(0), c.PerRad*c.Sign // µs, µs/rad
	scale, from := 1.0, 0.0                   // value = from + scale·µs
	most := math.Inf(1)
	switch u.Kind {
	case PWMCount:
		scale, most = u.PWM.perMicrosecond(), counts-1
	case TenthDegree:
		scale = 1800 / math.Pi / usPer
		from = -us0 * scale
	case ServoStep:
		scale = 180 / math.Pi / c.PerRad * float64(u.Steps.Most) / u.Steps.Range
		from, most = float64(u.Steps.Centre)-centrePulse*scale, float64(u.Steps.Most)
	}
	l := line{at0: from + scale*us0, perRad: scale * usPer, us: 1 / math.Abs(scale)}
	l.lo, l.hi = from+scale*c.Min, from+scale*c.Max
	if l.lo > l.hi {
		l.lo, l.hi = l.hi, l.lo
	}
	if u.Kind != TenthDegree {
		l.lo, l.hi = max(l.lo, 0), min(l.hi, most)
	}
	return l
}

// signed tells whether values may be negative.
func (u *Unit) signed() bool { return u.Kind == TenthDegree }

// lines gives those of all joints, leg by leg.
func (u *Unit) lines(b *workfile.Built) []line {
	var all []line
	for i := range b.Channels {
		for j := range kin.Joints {
			all = append(all, u.line(&b.Channels[i][j]))
		}
	}
	return all
}
