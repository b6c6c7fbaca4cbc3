// SPDX-License-Identifier: MIT

package review

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

// lopsided: the feet of a pair not mirrored in the body's axes while they are
// meant to be, and, once for the robot, legs that mirror by name but not by
// measure. The value is the difference.
func lopsided(c *look) {
	for i := range c.r.Legs {
		if c.r.Legs[i].Mirror > i {
			c.unlike(i, c.r.Legs[i].Mirror)
		}
	}
	t := c.t
	for n := range t.Mirrored {
		s := &t.Mirrored[n]
		var tr track
		k, end := c.within(s)
		for ; k < end; k++ {
			if !t.Reached(k, s.Leg) || !t.Reached(k, s.Other) {
				continue
			}
			if d := r3.Norm(c.skew(k, s.Leg, s.Other)); d > c.l.Lopsided {
				c.add(&tr, t.Time(k), d, Caution)
			}
		}
		for _, v := range tr.intervals() {
			c.find(v, Finding{
				Leg: s.Leg, Joint: -1, Other: s.Other,
				Value: v.score * milli, Limit: c.l.Lopsided * milli, Unit: "mm",
				Why: fmt.Sprintf("the feet of legs %s and %s differ by %s from mirroring each other", c.leg(s.Leg), c.leg(s.Other), length(v.score)),
				Mend: fmt.Sprintf("move the foot point of leg %s %s, or do not call the pair mirrored",
					c.leg(s.Other), shift(c.skew(t.Index(v.worst), s.Leg, s.Other))),
			})
		}
	}
}

// skew gives what the foot of other has to move to mirror that of leg, B, m.
func (c *look) skew(k, leg, other int) r3.Vec {
	p, q := c.t.LinkPoints(k, leg)[2], c.t.LinkPoints(k, other)[2]
	return r3.Vec{X: p.X - q.X, Y: -p.Y - q.Y, Z: p.Z - q.Z}
}

// unlike compares the measures of two legs that should mirror. Lengths may
// differ by the limit, angles by what moves a stretched leg's foot that far.
func (c *look) unlike(i, j int) {
	a, b := &c.r.Legs[i], &c.r.Legs[j]
	angle := c.l.Lopsided / (a.Length[kin.Coxa] + a.Length[kin.Femur] + a.Length[kin.Tibia])
	type measure struct {
		name string
		a, b float64 // equal when mirrored
		turn bool    // an angle
	}
	m := []measure{
		{"mount x", a.PBH.X, b.PBH.X, false},
		{"mount y", a.PBH.Y, -b.PBH.Y, false},
		{"mount z", a.PBH.Z, b.PBH.Z, false},
		{"heading", a.Heading, a.Heading - math.Remainder(a.Heading+b.Heading, 2*math.Pi), true},
		{"coxa length", a.Length[kin.Coxa], b.Length[kin.Coxa], false},
		{"femur length", a.Length[kin.Femur], b.Length[kin.Femur], false},
		{"tibia length", a.Length[kin.Tibia], b.Length[kin.Tibia], false},
		{"lateral offset", a.Lateral, -b.Lateral, false},
		{"vertical offset", a.Vertical, b.Vertical, false},
		{"coxa lower limit", a.Limits[kin.Coxa].Lo, -b.Limits[kin.Coxa].Hi, true},
		{"coxa upper limit", a.Limits[kin.Coxa].Hi, -b.Limits[kin.Coxa].Lo, true},
		{"femur lower limit", a.Limits[kin.Femur].Lo, b.Limits[kin.Femur].Lo, true},
		{"femur upper limit", a.Limits[kin.Femur].Hi, b.Limits[kin.Femur].Hi, true},
		{"tibia lower limit", a.Limits[kin.Tibia].Lo, b.Limits[kin.Tibia].Lo, true},
		{"tibia upper limit", a.Limits[kin.Tibia].Hi, b.Limits[kin.Tibia].Hi, true},
		{"standing point x", a.Stand.X, b.Stand.X, false},
		{"standing point y", a.Stand.Y, -b.Stand.Y, false},
	}
	for _, v := range m {
		limit, scale, unit := c.l.Lopsided, float64(milli), "mm"
		if v.turn {
			limit, scale, unit = angle, deg, "deg"
		}
		d := math.Abs(v.a - v.b)
		if !(d > limit+1e-9) {
			continue
		}
		f := Finding{
			Word: c.word, Level: Caution, Part: -1, Entry: "robot",
			Leg: i, Joint: -1, Other: j,
			Value: finite(d * scale), Limit: finite(limit * scale), Unit: unit,
			Why: fmt.Sprintf("legs %s and %s are a mirrored pair, but the %s differs by %s %s between the sides",
				a.Name, b.Name, v.name, decimal(d*scale, 1), unit),
			Mend: fmt.Sprintf("measure the %s of both legs again, or do not call the two a mirrored pair", v.name),
		}
		c.out = append(c.out, f)
	}
}
