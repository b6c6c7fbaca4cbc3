// SPDX-License-Identifier: MIT

package workfile

import (
	"math"
	"testing"

	"gaitwright/assets"
)

// The intervals are the tags' own; the two examples are those of the README
// and the schema.
func TestRange(t *testing.T) {
	for _, tt := range []struct {
		section, key string
		lo, hi       float64
		ok           bool
	}{
		{"leg", "tibia_mm", 1, 2000, true},
		{"joint", "us_per_deg", 0.1, 1000, true},
		{"servo", "speed_s_per_60deg", 0.01, 10, true},
		{"robot", "stand_height_mm", 1, 2000, true},
		{"limits", "joint_speed_share", 0, 1, true},
		{"leg", "knee", 0, 0, false},
		{"leg", "nothing", 0, 0, false},
		{"nothing", "tibia_mm", 0, 0, false},
	} {
		if lo, hi, ok := Range(tt.section, tt.key); lo != tt.lo || hi != tt.hi || ok != tt.ok {
			t.Errorf("%s.%s: got=%v, %v, %v", tt.section, tt.key, lo, hi, ok)
		}
	}
	for section, typ := range sections() {
		for _, k := range keysOf(typ) {
			if lo, hi, ok := Range(section, k.name); ok != (k.in != "") || lo > hi {
				t.Errorf("%s.%s: %v, %v, %v", section, k.name, lo, hi, ok)
			}
		}
	}
}

// A key left out and a key with its default build the same robot.
func TestDefault(t *testing.T) {
	f, err := Read("demo", assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	l := &f.Legs[1]
	l.LinkRadius, l.TibiaOffset, l.Tibia.CentreUs = nil, nil, nil
	plain, err := f.Build()
	if err != nil {
		t.Fatal(err)
	}
	value := func(section, key string, part int) float64 {
		t.Helper()
		v, ok := Default(section, key, part)
		if lo, hi, _ := Range(section, key); !ok || v < lo || v > hi {
			t.Fatalf("%s.%s: %v %v", section, key, v, ok)
		}
		return v
	}
	at := func(section, key string) *float64 { v := value(section, key, 0); return &v }
	f.Robot.Gravity = at("robot", "gravity_m_s2")
	l.LinkRadius, l.TibiaOffset = at("leg", "link_radius_mm"), at("leg", "tibia_offset_deg")
	l.Lateral, l.Vertical = at("leg", "lateral_mm"), at("leg", "vertical_mm")
	l.Tibia.CentreUs, l.Tibia.PerDeg = at("joint", "centre_us"), at("joint", "us_per_deg")
	l.Tibia.Trim = at("joint", "trim_deg")
	l.Tibia.RangeUs = &[2]float64{value("joint", "range_us", 0), value("joint", "range_us", 1)}
	s := f.Servos["standard"]
	s.Efficiency = at("servo", "gear_efficiency")
	f.Servos["standard"] = s
	full, err := f.Build()
	if err != nil {
		t.Fatal(err)
	}
	for i := range plain.Robot.Legs {
		a, b := plain.Robot.Legs[i], full.Robot.Legs[i]
		if a.LinkRadius != b.LinkRadius || a.TibiaOffset != b.TibiaOffset || a.Lateral != b.Lateral || a.Vertical != b.Vertical || a.Servos != b.Servos {
			t.Errorf("leg %d: got=%+v, want=%+v", i, b, a)
		}
		if plain.Channels[i] != full.Channels[i] {
			t.Errorf("leg %d: got=%+v, want=%+v", i, full.Channels[i], plain.Channels[i])
		}
	}
	if plain.Robot.Gravity != full.Robot.Gravity {
		t.Error("gravity")
	}
	if _, ok := Default("leg", "tibia_mm", 0); ok {
		t.Error("a length has no default")
	}
}

// Every generic class can stand in a file, in either torque unit. One
// kilogram-force centimetre is 0.0980665 N·m exactly (NIST SP 811, App. B.8).
func TestClasses(t *testing.T) {
	f, err := Read("demo", assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	last := 0.0
	for _, c := range Classes() {
		if _, taken := f.Servos[c.Name]; taken {
			t.Errorf("%s twice", c.Name)
		}
		f.Servos[c.Name] = c.Servo
		if c.Servo.KgfCm() <= last {
			t.Errorf("%s is out of order", c.Name)
		}
		last = c.Servo.KgfCm()
		if got, want := c.Servo.Nm(), last*0.0980665; math.Abs(got-want) > 1e-12 {
			t.Errorf("%s: %v N·m, want %v", c.Name, got, want)
		}
		nm := c.Servo.Nm()
		if got := (Servo{StallNm: &nm}).KgfCm(); math.Abs(got-last) > 1e-9 {
			t.Errorf("%s: %v kgf·cm, want %v", c.Name, got, last)
		}
		if stall, idle := c.Servo.Currents(); stall != *c.Servo.StallA || idle != 0.05*stall {
			t.Errorf("%s: %v A, %v A", c.Name, stall, idle)
		}
		// The stall current is not far from what torque, speed and voltage make
		// of it, so that the class is of a piece.
		bare := c.Servo
		bare.StallA = nil
		est, _ := bare.Currents()
		if r := *c.Servo.StallA / est; r < 0.6 || r > 1.9 {
			t.Errorf("%s: stall current %v A, estimated %v A", c.Name, *c.Servo.StallA, est)
		}
	}
	if err := f.Check(); err != nil {
		t.Error(err)
	}
}
