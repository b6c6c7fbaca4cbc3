// SPDX-License-Identifier: MIT

package edit

import (
	"fmt"
	"math"
	"reflect"

	"gaitwright/kin"
	"gaitwright/motion/workfile"
)

// ChannelOwner gives the joint that has a channel.
func ChannelOwner(f *workfile.File, channel int) (leg, joint int, ok bool) {
	for i := range f.Legs {
		for j := range kin.Joints {
			if c := JointOf(&f.Legs[i], j).Channel; c != nil && *c == channel {
				return i, j, true
			}
		}
	}
	return 0, 0, false
}

// GiveChannel gives a joint a channel. The joint that had it gets the one that
// this joint had, or none.
func GiveChannel(f *workfile.File, leg, joint, channel int) {
	if !has(f, leg) {
		return
	}
	q := JointOf(&f.Legs[leg], joint)
	if i, j, taken := ChannelOwner(f, channel); taken && (i != leg || j != joint) {
		JointOf(&f.Legs[i], j).Channel = q.Channel
		byItself(f, i, j)
	}
	q.Channel = &channel
	byItself(f, leg, joint)
}

// NumberChannels numbers all joints leg by leg, coxa, femur, tibia, from 0.
func NumberChannels(f *workfile.File) {
	for i := range f.Legs {
		for j := range kin.Joints {
			n := i*kin.Joints + j
			JointOf(&f.Legs[i], j).Channel = &n
			byItself(f, i, j)
		}
	}
}

// SetReversed sets which way a servo turns.
func SetReversed(f *workfile.File, leg, joint int, on bool) {
	if !has(f, leg) {
		return
	}
	q := JointOf(&f.Legs[leg], joint)
	if q.Reversed = &on; !on {
		q.Reversed = nil
	}
}

// Measured tells whether a joint's calibration is given by two measured points.
func Measured(q *workfile.Joint) bool { return q.AtDeg != nil && q.AtUs != nil }

// Measure lets the calibration of a joint be given by two measured points, at
// first the ends of its range with the pulses that it has there now, to a
// whole µs.
func Measure(f *workfile.File, leg, joint int, c *workfile.Channel, r kin.Range) error {
	if !has(f, leg) {
		return nil
	}
	const deg = math.Pi / 180
	a := [2]float64{math.Round(r.Lo / deg), math.Round(r.Hi / deg)}
	if a[1]-a[0] < 1 {
		return refuse("widen it first", "the joint’s range is less than 1 degree, too little to measure two points")
	}
	u := [2]float64{math.Round(c.Pulse(a[0] * deg)), math.Round(c.Pulse(a[1] * deg))}
	if m := MirrorOf(f, leg); m >= 0 { // what it has from here stays what it is
		OwnLegValue(f, m, LegNumber{Joint: joint, Key: "range_us"})
		ownPulses(f, m, joint)
	}
	q := JointOf(&f.Legs[leg], joint)
	q.AtDeg, q.AtUs = &a, &u
	q.CentreUs, q.PerDeg, q.Reversed, q.Trim = nil, nil, nil, nil
	return nil
}

// Unmeasure gives centre, µs per degree and direction in place of the two
// points, with the same pulses. offset is that of the tibia, 0 for the other
// joints, rad.
func Unmeasure(f *workfile.File, leg, joint int, c *workfile.Channel, offset float64) {
	if !has(f, leg) {
		return
	}
	q := JointOf(&f.Legs[leg], joint)
	q.AtDeg, q.AtUs = nil, nil
	if m := MirrorOf(f, leg); m >= 0 { // it stays what it is
		ownPulses(f, m, joint)
	}
	centre := c.Pulse(-offset)
	per := c.PerRad * math.Pi / 180
	q.CentreUs, q.PerDeg = &centre, &per
	SetReversed(f, leg, joint, c.Sign < 0)
}

// ownPulses writes the middle and the µs per degree of a joint into its own leg,
// also where they are defaults, so that they do not depend on the leg that it
// mirrors. A measured joint needs neither.
func ownPulses(f *workfile.File, leg, joint int) {
	if Measured(JointOf(&f.Legs[leg], joint)) {
		return
	}
	for _, key := range [...]string{"centre_us", "us_per_deg"} {
		n := LegNumber{Joint: joint, Key: key}
		if v, from := LegValue(f, leg, n); from == Default {
			n.slot(&f.Legs[leg]).Set(reflect.ValueOf(&v))
		} else {
			OwnLegValue(f, leg, n)
		}
	}
}

// twinMeasured tells whether a joint's leg mirrors one whose own joint was
// measured, which says nothing of this one.
func twinMeasured(f *workfile.File, leg, joint int) bool {
	s := Source(f, leg)
	return s != leg && Measured(JointOf(&f.Legs[s], joint))
}

// byItself lets the pulses of a joint not depend on points that were measured
// on the other side.
func byItself(f *workfile.File, leg, joint int) {
	if twinMeasured(f, leg, joint) {
		ownPulses(f, leg, joint)
	}
}

// ServoAngle gives the servo's angle at joint angle q (rad): after direction,
// trim and offset, rad.
func ServoAngle(c *workfile.Channel, q float64) float64 { return c.Sign*(q+c.Offset) + c.Trim }

// ChannelFaults tells in sentences what is wrong with the calibration of a
// joint whose travel is r (rad), the gravest first.
func ChannelFaults(c *workfile.Channel, r kin.Range) (all []string) {
	if !c.Set {
		all = append(all, "No channel: a table for the firmware cannot be written.")
	}
	outside := func(us float64) bool { return us < c.Min-1e-6 || us > c.Max+1e-6 }
	a, b := c.Pulse(r.Lo), c.Pulse(r.Hi)
	if outside(a) || outside(b) {
		all = append(all, fmt.Sprintf("The joint’s range asks for %s to %s, more than %s to %s: what lies beyond is not exported.",
			bare(min(a, b)), micros(max(a, b)), bare(c.Min), micros(c.Max)))
	}
	return all
}

func bare(us float64) string { return fmt.Sprintf("%d", int64(math.Round(us))) }

func micros(us float64) string { return bare(us) + " µs" }
