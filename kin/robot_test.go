// SPDX-License-Identifier: MIT

package kin

import (
	"errors"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// fourLegs is a robot that passes its Check.
func fourLegs() *Robot {
	r := &Robot{Name: "four", Gravity: 9.80665, Body: Body{Mass: 1}}
	for i, name := range []string{"LF", "RF", "LH", "RH"} {
		r.Legs = append(r.Legs, Leg{Name: name, Mirror: i ^ 1, Length: [Joints]float64{0.03, 0.06, 0.09}})
	}
	return r
}

func TestCheck(t *testing.T) {
	if err := fourLegs().Check(); err != nil {
		t.Fatal(err)
	}
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		want  string // words of the complaint
		spoil func(*Robot)
	}{
		{"3 legs", func(r *Robot) { r.Legs = r.Legs[:3] }},
		{"13 legs", func(r *Robot) { r.Legs = make([]Leg, 13) }},
		{"gravity", func(r *Robot) { r.Gravity = 0 }},
		{"gravity", func(r *Robot) { r.Gravity = nan }},
		{"body mass", func(r *Robot) { r.Body.Mass = inf }},
		{"body: kin: impossible mass or inertia: centre of mass", func(r *Robot) { r.Body.COM.Z = nan }},
		{`"LF" is empty or taken`, func(r *Robot) { r.Legs[2].Name = "LF" }},
		{`"" is empty or taken`, func(r *Robot) { r.Legs[2].Name = "" }},
		{"leg LF: mirror", func(r *Robot) { r.Legs[0].Mirror = 0 }},
		{"leg LF: mirror", func(r *Robot) { r.Legs[1].Mirror = -1 }},
		{"leg LF: mirror", func(r *Robot) { r.Legs[0].Mirror = 2 }},
		{"leg LF: mirror", func(r *Robot) { r.Legs[0].Mirror = 4 }},
		{"leg LH: link lengths", func(r *Robot) { r.Legs[2].Length[Femur] = 0 }},
		{"leg LH: link lengths", func(r *Robot) { r.Legs[2].Length[Coxa] = -0.01 }},
		{"leg LH: link lengths", func(r *Robot) { r.Legs[2].Length[Coxa] = inf }},
		{"leg LH: link lengths", func(r *Robot) { r.Legs[2].Length[Tibia] = nan }},
		{"leg LF: a number", func(r *Robot) { r.Legs[0].PBH.X = nan }},
		{"leg LF: a number", func(r *Robot) { r.Legs[0].Heading = inf }},
		{"leg LF: a number", func(r *Robot) { r.Legs[0].Lateral = nan }},
		{"leg LF: foot radius", func(r *Robot) { r.Legs[0].FootRadius = -1 }},
		{"leg LF: foot radius", func(r *Robot) { r.Legs[0].LinkRadius = nan }},
		{"tibia: kin: impossible mass or inertia: mass -1", func(r *Robot) { r.Legs[3].Links[Tibia].Mass = -1 }},
		{"femur: kin: impossible mass or inertia: centre of mass", func(r *Robot) { r.Legs[3].Links[Femur].COM.Y = inf }},
		{"mass of the coxa servo", func(r *Robot) { r.Legs[3].Servos[Coxa].Mass = nan }},
		{"exceeds the sum of the other two", func(r *Robot) { r.Body.Inertia = Inertia{XX: 1, YY: 1, ZZ: 3} }},
		{"payload: kin: impossible mass or inertia: inertia without mass", func(r *Robot) { r.Payload.Inertia = Inertia{XX: 1, YY: 1, ZZ: 1} }},
		{"friction", func(r *Robot) { r.Friction = nan }},
		{"supply", func(r *Robot) { r.Supply.Resistance = -1 }},
		{"femur limits", func(r *Robot) { r.Legs[0].Limits[Femur] = Range{1, -1} }},
		{"tibia limits", func(r *Robot) { r.Legs[0].Limits[Tibia] = Range{nan, 1} }},
	} {
		r := fourLegs()
		c.spoil(r)
		err := r.Check()
		if !errors.Is(err, ErrRobot) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("got %v, want it to say %q", err, c.want)
		}
	}
}

func TestRobotWords(t *testing.T) {
	r := fourLegs()
	if r.LegIndex("LH") != 2 || r.LegIndex("no such") != -1 {
		t.Error("LegIndex")
	}
	if JointName(Coxa) != "coxa" || JointName(Femur) != "femur" || JointName(Tibia) != "tibia" || JointName(3) != "" {
		t.Error("JointName")
	}
	lim := Range{-0.5, 1}
	for q, want := range map[float64]float64{0: 0, -0.5: 0, 1: 0, 1.25: 0.25, -0.75: 0.25} {
		if got := lim.Outside(q); got != want {
			t.Errorf("Outside(%g) = %g, want %g", q, got, want)
		}
	}
}

// InLink puts the ends of the links where the chain has them, and a point off
// a link's axis where turning it by hand does.
func TestInLink(t *testing.T) {
	l := &Leg{Length: [Joints]float64{0.03, 0.06, 0.09}, Lateral: 0.01, Vertical: -0.005}
	q := [Joints]float64{0.4, 0.7, -1.3}
	c := l.Chain(q)
	for _, k := range []struct {
		j       int
		p, want r3.Vec
	}{
		{Coxa, r3.Vec{X: 0.03, Y: 0.01, Z: -0.005}, c.PHK0},
		{Femur, r3.Vec{}, c.PHK0},
		{Femur, r3.Vec{X: 0.06}, c.PHK},
		{Tibia, r3.Vec{}, c.PHK},
		{Tibia, r3.Vec{X: 0.09}, c.PHF},
	} {
		if got := l.InLink(&c, k.j, k.p); !near(got, k.want, 1e-15) {
			t.Errorf("%s point %v at %v, want %v", JointName(k.j), k.p, got, k.want)
		}
	}
	// By composed frames: a pitch about -y is RPY(0, -angle, 0).
	xHC := Pose{R: RPY(0, 0, q[Coxa])}
	xCF := Pose{P: r3.Vec{X: 0.03, Y: 0.01, Z: -0.005}, R: RPY(0, -q[Femur], 0)}
	xFT := Pose{P: r3.Vec{X: 0.06}, R: RPY(0, -q[Tibia], 0)}
	p := r3.Vec{X: 0.02, Y: -0.004, Z: 0.007}
	for j, x := range []Pose{xHC, xHC.Dot(xCF), xHC.Dot(xCF).Dot(xFT)} {
		if got, want := l.InLink(&c, j, p), x.At(p); !near(got, want, 1e-15) {
			t.Errorf("%s: %v, by frames %v", JointName(j), got, want)
		}
	}
}
