// SPDX-License-Identifier: MIT

package load

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"gaitwright/kin"
	"gaitwright/kin/servo"
	"gaitwright/motion"
)

// one gives the loads of one leg at one sample.
func one(torque, speed [3]float64, line [3]servo.Line, supply kin.Supply, voltage float64) (*motion.Trajectory, *Loads) {
	return &motion.Trajectory{Rate: 1, N: 1, Legs: 1, V: speed[:]},
		&Loads{N: 1, Legs: 1, Torque: torque[:], Lines: line[:], Supply: supply, Voltage: []float64{voltage}}
}

// The straight torque-speed line of the textbook motor by hand: 2 N·m at rest,
// of which 80 % is counted on, 8 rad/s without load; three quarters of the
// voltage leave three quarters of both.
func TestSharesByHand(t *testing.T) {
	l := servo.Line{Stall: 2, NoLoad: 8}
	lines := [3]servo.Line{l, l, l}
	for _, c := range []struct {
		what                         string
		torque, speed, voltage       float64
		wantTorque, wantSpeed, wantL float64
	}{
		{"driving", 0.8, 4, 6, 0.5, 0.5, 1},
		{"driving backwards", -0.8, -4, 6, 0.5, 0.5, 1},
		{"braking", 0.8, -6, 6, 0.5, 0.75, 0.75},
		{"holding", 1.6, 0, 6, 1, 0, 1},
		{"sagging", 0.6, 3, 4.5, 0.5, 0.5, 1},
		{"nothing left, at rest", 0, 0, 0, 0, 0, 0},
		{"nothing left, turning", 0, 1, 0, 0, math.Inf(1), math.Inf(1)},
		{"supply without a number", 0.8, 4, math.NaN(), 0.5, 0.5, 1},
		{"torque without a number", math.NaN(), 4, 6, math.NaN(), 0.5, math.NaN()},
	} {
		tr, d := one([3]float64{c.torque}, [3]float64{c.speed}, lines, kin.Supply{Voltage: 6}, c.voltage)
		s := d.Shares(tr, 0.8, nil)
		for i, v := range []struct{ got, want float64 }{{s.Torque[0], c.wantTorque}, {s.Speed[0], c.wantSpeed}, {s.Line[0], c.wantL}} {
			if v.got != v.want && !(math.Abs(v.got-v.want) < 1e-12) && !(v.got != v.got && v.want != v.want) {
				t.Errorf("%s: number %d is %v, want %v", c.what, i, v.got, v.want)
			}
		}
	}
	// A servo without a known speed is judged by its torque alone, one without
	// a torque not at all.
	lines[0].NoLoad, lines[1].Stall = math.Inf(1), 0
	tr, d := one([3]float64{0.4, 0.4, 0.4}, [3]float64{9, 4, 4}, lines, kin.Supply{}, 0)
	s := d.Shares(tr, 0.8, nil)
	if !math.IsNaN(s.Speed[0]) || math.Abs(s.Line[0]-0.25) > 1e-12 || !math.IsNaN(s.Torque[1]) || !math.IsNaN(s.Line[1]) || s.Speed[1] != 0.5 {
		t.Errorf("speed %v, line %v, torque %v", s.Speed, s.Line, s.Torque)
	}
}

// Shares against servo.Line, which is proven by itself, at the voltage left.
func TestSharesAgreeWithTheLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Float64Range(0.1, 20)
		m := rapid.Float64Range(-30, 30)
		var torque, speed [3]float64
		var lines [3]servo.Line
		for o := range lines {
			torque[o], speed[o] = m.Draw(t, "torque"), m.Draw(t, "speed")
			lines[o] = servo.Line{Stall: n.Draw(t, "stall"), NoLoad: n.Draw(t, "no load")}
		}
		derating := rapid.Float64Range(0.1, 1).Draw(t, "derating")
		tr, d := one(torque, speed, lines, kin.Supply{Voltage: 6}, rapid.Float64Range(0.5, 7).Draw(t, "voltage"))
		s := d.Shares(tr, derating, nil)
		for o := range lines {
			at := d.LineAt(0, o)
			derated := at.Derated(derating)
			want := derated.Use(torque[o], speed[o])
			if math.Abs(s.Line[o]-want) > 1e-12*want {
				t.Fatalf("joint %d: %v, by its line %v", o, s.Line[o], want)
			}
		}
	})
}

// A later trajectory of the same length takes the arrays over.
func TestSharesReuse(t *testing.T) {
	l := servo.Line{Stall: 2, NoLoad: 8}
	tr, d := one([3]float64{1, 1, 1}, [3]float64{}, [3]servo.Line{l, l, l}, kin.Supply{}, 0)
	s := d.Shares(tr, 1, nil)
	if n := testing.AllocsPerRun(10, func() { s = d.Shares(tr, 1, s) }); n > 0 {
		t.Errorf("%v allocations", n)
	}
	defer func() {
		if recover() == nil {
			t.Error("the loads of another trajectory pass")
		}
	}()
	d.Shares(&motion.Trajectory{N: 2, Legs: 1}, 1, nil)
}
