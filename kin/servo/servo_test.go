// SPDX-License-Identifier: MIT

package servo

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"gaitwright/kin"
)

var standard = kin.Servo{StallTorque: 2, NoLoadSpeed: 8, Voltage: 6, StallCurrent: 2.4, IdleCurrent: 0.1, Efficiency: 0.7}

func close(a, b float64) bool { return a == b || math.Abs(a-b) <= 1e-12*max(math.Abs(a), math.Abs(b)) }

// The straight line of the textbook motor by hand: half the stall torque is
// left at half the no-load speed, where the mechanical power is greatest,
// stall torque times no-load speed over 4.
func TestLine(t *testing.T) {
	l := At(&standard, 0)
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"torque at rest", l.Torque(0), 2},
		{"torque at half speed", l.Torque(-4), 1},
		{"torque at no load", l.Torque(8), 0},
		{"torque past it", l.Torque(9), 0},
		{"speed without load", l.Speed(0), 8},
		{"speed at half torque", l.Speed(-1), 4},
		{"speed at stall", l.Speed(2.5), 0},
		{"greatest power", l.Torque(4) * 4, 2 * 8. / 4},
		{"driving on the line", l.Use(1, 4), 1},
		{"braking", l.Use(-1, 4), 0.5},
		{"holding", l.Use(1.5, 0), 0.75},
		{"idle", l.Amperes(0, 3), 0.1},
		{"stalled", l.Amperes(2, 0), 2.4},
		{"half", l.Amperes(-1, -1), 1.25},
		{"braking", l.Amperes(1, -1), 0.1 + 0.5*0.49*2.3},
	} {
		if !close(c.got, c.want) {
			t.Errorf("%s: %v, want %v", c.what, c.got, c.want)
		}
	}
	// At 4.5 V three quarters of everything but the idle current.
	low := At(&standard, 4.5)
	if !close(low.Stall, 1.5) || !close(low.NoLoad, 6) || !close(low.Current, 1.8) || low.Idle != 0.1 {
		t.Errorf("at 4.5 V %+v", low)
	}
	if d := l.Derated(0.8); !close(d.Stall, 1.6) || d.NoLoad != 8 {
		t.Errorf("derated %+v", d)
	}
}

// A torque draws the same current at any voltage: the motor's constant does
// not depend on it (textbook).
func TestCurrentDoesNotDependOnVoltage(t *testing.T) {
	s := standard
	s.IdleCurrent = 0
	a, b := At(&s, 6), At(&s, 7.4)
	if x, y := a.Amperes(0.9, 1), b.Amperes(0.9, 1); !close(x, y) {
		t.Errorf("%v A and %v A", x, y)
	}
}

// A servo of which nothing is known, and any numbers: never NaN.
func TestNeverNaN(t *testing.T) {
	var zero kin.Servo
	l := At(&zero, 0)
	if l.Use(0, 3) != 0 || !math.IsInf(l.Use(1, 0), 1) || l.Torque(1) != 0 || l.Speed(0) != 0 || l.Amperes(1, 1) != 0 {
		t.Errorf("nothing: %v %v %v %v %v", l.Use(0, 3), l.Use(1, 0), l.Torque(1), l.Speed(0), l.Amperes(1, 1))
	}
	faint := At(&kin.Servo{StallTorque: 0.5, NoLoadSpeed: 1, Voltage: 1, StallCurrent: 1, IdleCurrent: 1, Efficiency: 1}, 3e-307)
	if v := faint.Amperes(1, -1); v != 1 {
		t.Errorf("hardly any voltage: %v A", v)
	}
	if v := (&Line{}).Use(0, 0); v != 0 {
		t.Errorf("nothing asked of nothing: %v", v)
	}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(1e-6, 1e6)) // far past what a file may say
		volts := n
		s := kin.Servo{
			StallTorque: n.Draw(t, "stall"), NoLoadSpeed: n.Draw(t, "speed"), Voltage: volts.Draw(t, "voltage"),
			StallCurrent: n.Draw(t, "current"), IdleCurrent: n.Draw(t, "idle"), Efficiency: n.Draw(t, "gears"),
		}
		l := At(&s, volts.Draw(t, "supply"))
		m := rapid.Float64Range(-1e6, 1e6)
		torque, speed := m.Draw(t, "torque"), m.Draw(t, "turning")
		for _, v := range []float64{l.Torque(speed), l.Speed(torque), l.Use(torque, speed), l.Amperes(torque, speed)} {
			if math.IsNaN(v) || v < 0 {
				t.Fatalf("%v", v)
			}
		}
	})
}

func Example() {
	s := kin.Servo{StallTorque: 2, NoLoadSpeed: 8, Voltage: 6, StallCurrent: 2.4, IdleCurrent: 0.1, Efficiency: 0.7}
	l := At(&s, 6)
	fmt.Printf("%.2f N·m left at 2 rad/s, %.2f rad/s at 0.5 N·m, drawing %.2f A\n", l.Torque(2), l.Speed(0.5), l.Amperes(0.5, 2))
	// Output: 1.50 N·m left at 2 rad/s, 6.00 rad/s at 0.5 N·m, drawing 0.67 A
}
