// SPDX-License-Identifier: MIT

package mass

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"gaitwright/kin"
)

func near(a, b r3.Vec, tol float64) bool { return r3.Norm(r3.Sub(a, b)) <= tol }

// chains places every leg of r at the same angles.
func chains(r *kin.Robot, q [][kin.Joints]float64) []kin.Chain {
	var c []kin.Chain
	for i := range r.Legs {
		c = append(c, r.Legs[i].Chain(q[i]))
	}
	return c
}

// Two legs, straight out to both sides, every number small enough for hand:
//
//	part                 kg    x m    y m             z m    (in B)
//	body                 1.0   0.01   0               0
//	2 coxa servos        0.1   0.10   ±0.05           0      at the hips
//	left coxa link       0.2   0.10   0.05+0.01       0
//	  and femur servo    0.1   0.10   0.05+0.03       0
//	left femur           0.2   0.10   0.05+0.03+0.02  0
//	  and tibia servo    0.1   0.10   0.05+0.03+0.06  0
//	left tibia           0.1   0.10   0.05+0.03+0.06  -0.04  knee bent down by 90°
//	right leg            the same, femur and tibia straight: tibia at
//	                           0.10   -(0.05+0.03+0.06+0.04)  0
//
// Mass 1.0 + 0.2 + 2·0.7 = 2.6. First moments: x 0.01 + 0.02 + 0.14 = 0.17;
// y left 0.005+0.012+0.008+0.02+0.014+0.014 = 0.073,
// right -(0.005+0.012+0.008+0.02+0.014+0.018) = -0.077; z -0.004.
func TestByHand(t *testing.T) {
	leg := func(name string, side float64) kin.Leg {
		l := kin.Leg{
			Name: name, PBH: r3.Vec{X: 0.1, Y: 0.05 * side}, Heading: side * math.Pi / 2,
			Length: [kin.Joints]float64{0.03, 0.06, 0.08},
			Links: [kin.Joints]kin.Link{
				{Mass: 0.2, COM: r3.Vec{X: 0.01}}, {Mass: 0.2, COM: r3.Vec{X: 0.02}}, {Mass: 0.1, COM: r3.Vec{X: 0.04}},
			},
		}
		for j := range l.Servos {
			l.Servos[j].Mass = 0.1
		}
		return l
	}
	r := &kin.Robot{
		Body: kin.Body{Mass: 1, COM: r3.Vec{X: 0.01}},
		Legs: []kin.Leg{leg("left", 1), leg("right", -1)},
	}
	m := Lump(r)
	if math.Abs(m.Total-2.6) > 1e-15 {
		t.Errorf("total %v kg", m.Total)
	}
	got := m.Centre(chains(r, [][kin.Joints]float64{{0, 0, -math.Pi / 2}, {}}))
	if want := (r3.Vec{X: 0.17 / 2.6, Y: (0.073 - 0.077) / 2.6, Z: -0.004 / 2.6}); !near(got, want, 1e-16) {
		t.Errorf("centre %v, want %v", got, want)
	}
}

type lot interface {
	Draw(t *rapid.T, label string) float64
}

func drawVec(t *rapid.T, g lot) r3.Vec {
	return r3.Vec{X: g.Draw(t, "x"), Y: g.Draw(t, "y"), Z: g.Draw(t, "z")}
}

func drawRobot(t *rapid.T, n int) *kin.Robot {
	at, kg := rapid.Float64Range(-0.1, 0.1), rapid.Float64Range(0, 0.5)
	r := &kin.Robot{Body: kin.Body{Mass: 0.5 + kg.Draw(t, "body"), COM: drawVec(t, at)}}
	for range n {
		l := kin.Leg{
			PBH: drawVec(t, at), Heading: rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "heading"),
			Lateral: at.Draw(t, "lateral"), Vertical: at.Draw(t, "vertical"),
		}
		for j := range kin.Joints {
			l.Length[j] = rapid.Float64Range(0.01, 0.2).Draw(t, "length")
			l.Links[j] = kin.Link{Mass: kg.Draw(t, "link"), COM: drawVec(t, at)}
			l.Servos[j].Mass = kg.Draw(t, "servo")
		}
		r.Legs = append(r.Legs, l)
	}
	return r
}

func drawPose(t *rapid.T, n int) [][kin.Joints]float64 {
	a := rapid.Float64Range(-math.Pi, math.Pi)
	var q [][kin.Joints]float64
	for range n {
		q = append(q, [kin.Joints]float64{a.Draw(t, "coxa"), a.Draw(t, "femur"), a.Draw(t, "tibia")})
	}
	return q
}

// slowCentre is the obvious reference: every body, link and servo by itself,
// placed by a chain of frames, weighed and averaged.
func slowCentre(r *kin.Robot, q [][kin.Joints]float64) (pBC r3.Vec, total float64) {
	var sum r3.Vec
	weigh := func(kg float64, p r3.Vec) {
		total += kg
		sum = r3.Add(sum, r3.Scale(kg, p))
	}
	weigh(r.Body.Mass, r.Body.COM)
	for i := range r.Legs {
		l := &r.Legs[i]
		// A pitch about -y is a negative pitch of RPY.
		xBH := kin.Pose{P: l.PBH, R: kin.RPY(0, 0, l.Heading)}
		xBC := xBH.Dot(kin.Pose{R: kin.RPY(0, 0, q[i][kin.Coxa])})
		xBF := xBC.Dot(kin.Pose{P: r3.Vec{X: l.Length[kin.Coxa], Y: l.Lateral, Z: l.Vertical}, R: kin.RPY(0, -q[i][kin.Femur], 0)})
		xBT := xBF.Dot(kin.Pose{P: r3.Vec{X: l.Length[kin.Femur]}, R: kin.RPY(0, -q[i][kin.Tibia], 0)})
		for j, x := range []kin.Pose{xBC, xBF, xBT} {
			weigh(l.Links[j].Mass, x.At(l.Links[j].COM))
		}
		// A servo sits at the axis it drives.
		for j, x := range []kin.Pose{xBH, xBF, xBT} {
			weigh(l.Servos[j].Mass, x.P)
		}
	}
	return r3.Scale(1/total, sum), total
}

func TestAgainstSlow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "legs")
		r, q := drawRobot(t, n), drawPose(t, n)
		m := Lump(r)
		got := m.Centre(chains(r, q))
		want, total := slowCentre(r, q)
		if !near(got, want, 1e-14) {
			t.Fatalf("centre %v, want %v", got, want)
		}
		if math.Abs(m.Total-total) > 1e-13 {
			t.Fatalf("total %v kg, the parts weigh %v", m.Total, total)
		}
	})
}

// Mirrored at the plane y = 0, robot and pose, the centre of mass is mirrored.
func TestMirror(t *testing.T) {
	flip := func(p r3.Vec) r3.Vec { return r3.Vec{X: p.X, Y: -p.Y, Z: p.Z} }
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "legs")
		r, q := drawRobot(t, n), drawPose(t, n)
		got := Lump(r).Centre(chains(r, q))
		r.Body.COM = flip(r.Body.COM)
		for i := range r.Legs {
			l := &r.Legs[i]
			l.PBH, l.Heading, l.Lateral = flip(l.PBH), -l.Heading, -l.Lateral
			for j := range l.Links {
				l.Links[j].COM = flip(l.Links[j].COM)
			}
			q[i][kin.Coxa] = -q[i][kin.Coxa]
		}
		if mirrored := Lump(r).Centre(chains(r, q)); !near(flip(mirrored), got, 1e-14) {
			t.Fatalf("centre %v, mirrored %v", got, mirrored)
		}
	})
}

func TestNoAllocation(t *testing.T) {
	r := &kin.Robot{Body: kin.Body{Mass: 1}, Legs: make([]kin.Leg, 6)}
	m := Lump(r)
	c := make([]kin.Chain, 6)
	if n := testing.AllocsPerRun(100, func() {
		if m.Centre(c) != (r3.Vec{}) {
			t.Error("a robot of one point has its centre there")
		}
	}); n != 0 {
		t.Errorf("%g allocations", n)
	}
}

// A body of 1 kg with one arm-like leg of 0.5 kg that reaches forward.
func Example() {
	r := &kin.Robot{
		Body: kin.Body{Mass: 1},
		Legs: []kin.Leg{{
			PBH:    r3.Vec{X: 0.1},
			Length: [kin.Joints]float64{0.03, 0.07, 0.10},
			Links:  [kin.Joints]kin.Link{kin.Tibia: {Mass: 0.5, COM: r3.Vec{X: 0.05}}},
		}},
	}
	m := Lump(r)
	for _, tibia := range []float64{0, -math.Pi / 2} {
		c := m.Centre([]kin.Chain{r.Legs[0].Chain([kin.Joints]float64{kin.Tibia: tibia})})
		fmt.Printf("%.1f kg at x %.1f mm, z %.1f mm\n", m.Total, c.X*1000, c.Z*1000)
	}
	// Output:
	// 1.5 kg at x 83.3 mm, z 0.0 mm
	// 1.5 kg at x 66.7 mm, z -16.7 mm
}
