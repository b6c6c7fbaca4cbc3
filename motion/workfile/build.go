// SPDX-License-Identifier: MIT

package workfile

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/motion/gait"
	"gaitwright/motion/review"
	"gaitwright/motion/sequence"
)

// What a key that was left out means, in the key's unit.
const (
	gravity    = 9.80665 // m/s², standard gravity (NIST SP 811)
	linkRadius = 8       // mm
	standMs    = 600
	centreUs   = 1500
	perDeg     = 10
	leastUs    = 500
	greatestUs = 2500
	reviewHz   = 500

	// Common practice: rubber on a dry floor; a gear train of four or five
	// stages; what a hobby servo draws while it turns without load.
	friction   = 0.6
	efficiency = 0.7
	idleShare  = 0.05
)

// Built is a workfile in SI units, ready to be played.
type Built struct {
	Robot    kin.Robot
	Height   float64 // of B above the ground when standing, m
	Tilt     kin.Rot // rWG, of the ground
	Limits   review.Limits
	Rate     float64 // of the review, Hz
	Gaits    []gait.Gait
	Channels [][kin.Joints]Channel // a leg; the firmware side
	Script   sequence.Script       // points to Robot
}

// Channel tells which servo output a joint has, and its pulse widths:
//
//	servo angle = Sign·(q + Offset) + Trim
//	pulse width = Centre + PerRad·(servo angle)
//
// with q the joint angle.
type Channel struct {
	Number int
	Set    bool    // a channel was given
	Centre float64 // µs
	PerRad float64 // µs/rad
	Min    float64 // µs
	Max    float64 // µs
	Sign   float64 // 1, or -1 for a servo that turns the other way
	Trim   float64 // rad
	Offset float64 // servo tibia angle minus joint tibia angle; 0 for the other joints, rad

	DeadBand float64 // change of the pulse that the servo does not answer, 0 for not known, µs
}

// Pulse gives the pulse width for joint angle q (rad), µs. It is not kept
// inside Min and Max.
func (c *Channel) Pulse(q float64) float64 {
	return c.Centre + c.PerRad*(c.Sign*(q+c.Offset)+c.Trim)
}

// Angle is the inverse of Pulse: the joint angle at a pulse width (µs), rad.
func (c *Channel) Angle(us float64) float64 {
	return c.Sign*((us-c.Centre)/c.PerRad-c.Trim) - c.Offset
}

// Build gives the robot and everything that it does in SI units. A leg that
// mirrors another one gets its measurements with y, heading, lateral offset
// and the coxa's range turned round; kin.Leg.Mirror is set on both. The error
// is that of Check: a file that Read gave always builds.
func (f *File) Build() (*Built, error) {
	if err := f.Check(); err != nil {
		return nil, err
	}
	r := &f.Robot
	b := &Built{
		Robot: kin.Robot{
			Name:    r.Name,
			Gravity: orElse(r.Gravity, gravity),
			Body: kin.Body{
				Mass: scaled(r.BodyMass, gram), COM: vec(r.BodyCentre, mm),
				Top: scaled(r.Top, mm), Bottom: scaled(r.Bottom, mm),
			},
			Friction: orElse(f.Ground.Friction, friction),
			Supply: kin.Supply{
				Voltage: orElse(f.Supply.Voltage, 0), Limit: orElse(f.Supply.Limit, 0),
				Resistance: orElse(f.Supply.Resistance, 0) / 1000,
			},
		},
		Height: scaled(r.StandHeight, mm),
		Tilt:   kin.RPY(f.Ground.Roll*deg, f.Ground.Pitch*deg, 0),
		Limits: f.limits(),
		Rate:   orElse(f.Limits.Rate, reviewHz),
	}
	for _, c := range r.Outline {
		b.Robot.Body.Outline = append(b.Robot.Body.Outline, vec([3]float64{c[0], c[1]}, mm))
	}
	b.Robot.Body.Inertia = inertiaOr(r.BodyInertia, b.Robot.Body.Solid())
	if r.Payload != nil {
		m, size := scaled(*r.Payload, gram), vecOr(r.PayloadSize, mm)
		b.Robot.Payload = kin.Link{Mass: m, COM: vecOr(r.PayloadAt, mm), Inertia: kin.Box(m, size.X, size.Y, size.Z)}
	}
	for i := range f.Legs {
		l := f.whole(&f.Legs[i])
		leg, channels := f.leg(&l)
		leg.Mirror = f.mirrorOf(i)
		b.Robot.Legs = append(b.Robot.Legs, leg)
		b.Channels = append(b.Channels, channels)
		var outputs [kin.Joints]review.Output
		for j := range channels {
			outputs[j] = channels[j].output()
		}
		b.Limits.Outputs = append(b.Limits.Outputs, outputs)
	}
	if err := f.script(b); err != nil {
		return nil, err
	}
	b.Gaits = b.Script.Gaits
	if v, same := f.common(); b.Robot.Supply.Voltage == 0 && same {
		b.Robot.Supply.Voltage = v
	}
	return b, nil
}

// common gives the voltage that the datasheets of all servos in use have in
// common: what they are fed with where the supply has none.
func (f *File) common() (v float64, same bool) {
	for i := range f.Legs {
		l := f.whole(&f.Legs[i])
		for j := range kin.Joints {
			s, ok := f.Servos[l.joint(j).Servo]
			if !ok || v != 0 && s.Voltage != v {
				return 0, false
			}
			v = s.Voltage
		}
	}
	return v, v != 0
}

// whole gives a leg with everything that it takes from the leg it mirrors, or
// the leg itself.
func (f *File) whole(l *Leg) Leg {
	i := slices.IndexFunc(f.Legs, func(m Leg) bool { return m.Name == l.Mirrors })
	if l.Mirrors == "" || i < 0 {
		return *l
	}
	w, m := *l, &f.Legs[i]
	take(&w.Mount, m.Mount, func(v *[3]float64) { v[1] = -v[1] })
	take(&w.Heading, m.Heading, negate)
	take(&w.CoxaLength, m.CoxaLength, nil)
	take(&w.FemurLength, m.FemurLength, nil)
	take(&w.TibiaLength, m.TibiaLength, nil)
	take(&w.Lateral, m.Lateral, negate)
	take(&w.Vertical, m.Vertical, nil)
	take(&w.TibiaOffset, m.TibiaOffset, nil)
	take(&w.FootRadius, m.FootRadius, nil)
	take(&w.LinkRadius, m.LinkRadius, nil)
	take(&w.Stand, m.Stand, func(v *[2]float64) { v[1] = -v[1] })
	if w.Knee == "" {
		w.Knee = m.Knee
	}
	for j := range kin.Joints {
		q, o := w.joint(j), m.joint(j)
		take(&q.Range, o.Range, func(v *[2]float64) {
			if j == kin.Coxa {
				v[0], v[1] = -v[1], -v[0]
			}
		})
		take(&q.Mass, o.Mass, nil)
		take(&q.Centre, o.Centre, func(v *[3]float64) { v[1] = -v[1] })
		take(&q.Inertia, o.Inertia, func(v *[6]float64) { v[3], v[5] = -v[3], -v[5] }) // xy and yz
		flipUs, flipRange := mirrorPulse(j, q, o)
		if q.AtDeg == nil && q.AtUs == nil { // measured points say it already
			take(&q.CentreUs, o.CentreUs, flipUs)
			take(&q.PerDeg, o.PerDeg, nil)
		}
		take(&q.RangeUs, o.RangeUs, flipRange)
		take(&q.DeadBand, o.DeadBand, nil)
		if q.Servo == "" {
			q.Servo = o.Servo
		}
	}
	return w
}

// mirrorPulse gives what turns the pulse widths of joint j of one side into
// those of the other. A servo whose middle (1500 µs) stands at the mirrored
// joint angle has its widths mirrored about 1500 when either the joint's angle
// changes sign (the coxa's does) or the servo turns the other way, not both.
func mirrorPulse(j int, q, o *Joint) (centre func(*float64), width func(*[2]float64)) {
	turned := q.backwards() != o.backwards()
	if turned == (j == kin.Coxa) {
		return nil, nil
	}
	return func(v *float64) { *v = 2*centreUs - *v },
		func(v *[2]float64) { v[0], v[1] = 2*centreUs-v[1], 2*centreUs-v[0] }
}

// backwards tells whether the servo turns the other way than the joint: as
// reversed says, or as it was measured.
func (q *Joint) backwards() bool {
	if q.AtDeg != nil && q.AtUs != nil {
		return (q.AtUs[1]-q.AtUs[0])*(q.AtDeg[1]-q.AtDeg[0]) < 0
	}
	return orElse(q.Reversed, false)
}

// take copies a value that was left out from the other side, turned by flip.
func take[T any](to **T, from *T, flip func(*T)) {
	if *to != nil || from == nil {
		return
	}
	v := *from
	if flip != nil {
		flip(&v)
	}
	*to = &v
}

func negate(v *float64) { *v = -*v }

// leg converts a whole leg.
func (f *File) leg(l *Leg) (kin.Leg, [kin.Joints]Channel) {
	stand := orElse(l.Stand, [2]float64{})
	k := kin.Leg{
		Name:        l.Name,
		Mirror:      -1,
		PBH:         vecOr(l.Mount, mm),
		Heading:     orElse(l.Heading, 0) * deg,
		Lateral:     scaled(orElse(l.Lateral, 0), mm),
		Vertical:    scaled(orElse(l.Vertical, 0), mm),
		TibiaOffset: orElse(l.TibiaOffset, 0) * deg,
		FootRadius:  scaled(orElse(l.FootRadius, 0), mm),
		LinkRadius:  scaled(orElse(l.LinkRadius, linkRadius), mm),
		Stand:       vec([3]float64{stand[0], stand[1]}, mm),
	}
	if l.Knee == "down" {
		k.Knee = kin.KneeDown
	}
	k.Length = [kin.Joints]float64{
		scaled(orElse(l.CoxaLength, 0), mm), scaled(orElse(l.FemurLength, 0), mm), scaled(orElse(l.TibiaLength, 0), mm),
	}
	var channels [kin.Joints]Channel
	for j := range kin.Joints {
		q := l.joint(j)
		r := orElse(q.Range, [2]float64{})
		k.Limits[j] = kin.Range{Lo: r[0] * deg, Hi: r[1] * deg}
		k.Links[j] = kin.Link{Mass: scaled(orElse(q.Mass, 0), gram), COM: r3.Vec{X: k.Length[j] / 2}}
		if q.Centre != nil {
			k.Links[j].COM = vec(*q.Centre, mm)
		}
		k.Links[j].Inertia = inertiaOr(q.Inertia, k.Solid(j))
		k.Servos[j] = servo(f.Servos[q.Servo])
		channels[j] = channel(q)
	}
	if l.Tibia.AtUs == nil { // measured points are of the joint itself
		channels[kin.Tibia].Offset = k.TibiaOffset
	}
	return k, channels
}

// servo converts a class of servo. A stall current that is not given follows
// from the others: a direct-current motor gives as much torque an ampere as it
// takes voltage a speed, so that stall torque times no-load speed is V times
// the stall current, less what the gears lose (textbook).
func servo(s Servo) kin.Servo {
	k := kin.Servo{
		StallTorque: orElse(s.StallNm, orElse(s.StallKgfCm, 0)*kgfCm),
		NoLoadSpeed: speedOf(s.Speed),
		Voltage:     s.Voltage,
		Mass:        scaled(s.Mass, gram),
		Efficiency:  orElse(s.Efficiency, efficiency),
	}
	k.StallCurrent = orElse(s.StallA, k.StallTorque*k.NoLoadSpeed/(k.Voltage*k.Efficiency))
	k.IdleCurrent = orElse(s.IdleA, idleShare*k.StallCurrent)
	return k
}

func channel(q *Joint) Channel {
	lo, hi := pulses(q)
	c := Channel{
		Number: orElse(q.Channel, 0), Set: q.Channel != nil,
		Centre: orElse(q.CentreUs, centreUs),
		PerRad: orElse(q.PerDeg, perDeg) / deg,
		Min:    lo, Max: hi,
		Sign: 1,
		Trim: orElse(q.Trim, 0) * deg,
	}
	if orElse(q.Reversed, false) {
		c.Sign = -1
	}
	if q.AtDeg != nil && q.AtUs != nil {
		slope := (q.AtUs[1] - q.AtUs[0]) / (q.AtDeg[1] - q.AtDeg[0]) // µs/deg
		c.Centre, c.PerRad, c.Sign, c.Trim = q.AtUs[0]-slope*q.AtDeg[0], math.Abs(slope)/deg, math.Copysign(1, slope), 0
	}
	c.DeadBand = orElse(q.DeadBand, 0)
	return c
}

// output gives the channel as the review judges it.
func (c *Channel) output() review.Output {
	return review.Output{
		Set: c.Set, Centre: c.Pulse(0), PerRad: c.PerRad * c.Sign,
		Least: c.Min, Greatest: c.Max,
	}
}

// Outside tells, as the review does, whether a pulse (µs) is past what the servo
// takes.
func (c *Channel) Outside(us float64) bool {
	o := c.output()
	return o.Outside(us)
}

// pulses gives the least and the greatest pulse width of a joint, µs.
func pulses(q *Joint) (lo, hi float64) {
	r := orElse(q.RangeUs, [2]float64{leastUs, greatestUs})
	return r[0], r[1]
}

// limits gives the review's thresholds: its own defaults where a key was left
// out.
func (f *File) limits() review.Limits {
	l, out := &f.Limits, review.Defaults()
	for _, k := range []struct {
		to   *float64
		from *float64
		unit float64
	}{
		{&out.Margin, l.Margin, mm}, {&out.Clearance, l.Clearance, mm}, {&out.SpeedShare, l.SpeedShare, 1}, {&out.Slide, l.Slide, mm},
		{&out.GroundHit, l.GroundHit, mm}, {&out.Lopsided, l.Lopsided, mm}, {&out.JumpSpeed, l.JumpSpeed, deg},
		{&out.Dynamic, l.Dynamic, mm}, {&out.Derating, l.Derating, 1}, {&out.Holding, l.Holding, 1}, {&out.Landing, l.Landing, mm},
		{&out.Contact, l.Contact, ms},
	} {
		if k.from != nil {
			*k.to = scaled(*k.from, k.unit)
		}
	}
	return out
}
