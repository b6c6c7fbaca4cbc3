// SPDX-License-Identifier: MIT

package edit

import (
	"math"
	"slices"
	"strings"
	"testing"

	"gaitwright/assets"
	"gaitwright/kin"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/workfile"
)

// drummer reads the demo.
func drummer(t testing.TB) *workfile.File {
	t.Helper()
	f, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// plays checks that a file that was edited reads back as it is, and plays.
func plays(t testing.TB, f *workfile.File) *workfile.Built {
	t.Helper()
	text, err := f.Encode()
	if err != nil {
		t.Fatal(err)
	}
	g, err := workfile.Read("edited", text)
	if err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	r, err := rehearsal.Run(g, rehearsal.Options{Rate: 50})
	if err != nil {
		t.Fatal(err)
	}
	return r.Built
}

const lf, lm, rf = 0, 1, 3 // RF mirrors LF

// Every number of a leg reads as the robot is built, and what is set on one
// side arrives on the other, mirrored.
func TestLegValues(t *testing.T) {
	for _, tt := range []struct {
		n    LegNumber
		v    float64
		sign float64 // on the other side; 0 for a pulse width mirrored about 1500 µs
	}{
		{LegNumber{Whole, "tibia_mm", 0}, 120, 1},
		{LegNumber{Whole, "heading_deg", 0}, 50, -1},
		{LegNumber{Whole, "lateral_mm", 0}, 4, -1},
		{LegNumber{Whole, "vertical_mm", 0}, 3, 1},
		{LegNumber{Whole, "mount_mm", 0}, 105, 1},
		{LegNumber{Whole, "mount_mm", 1}, 52, -1},
		{LegNumber{Whole, "stand_mm", 1}, 148, -1},
		{LegNumber{Whole, "link_radius_mm", 0}, 7, 1},
		{LegNumber{kin.Femur, "range_deg", 1}, 90, 1},
		{LegNumber{kin.Tibia, "mass_g", 0}, 40, 1},
		{LegNumber{kin.Tibia, "centre_mm", 1}, 2, -1},
		{LegNumber{kin.Tibia, "us_per_deg", 0}, 9.5, 1},
		{LegNumber{kin.Tibia, "centre_us", 0}, 2060, 0},
	} {
		for _, leg := range [...]int{lf, rf} {
			f := drummer(t)
			SetLegValue(f, leg, tt.n, tt.v)
			if f.Legs[rf].Mount != nil || f.Legs[rf].TibiaLength != nil || f.Legs[rf].Tibia.Mass != nil {
				t.Errorf("%v: the mirroring leg got values of its own", tt.n)
			}
			other := lf + rf - leg
			want := tt.v * tt.sign
			if tt.sign == 0 {
				want = 3000 - tt.v
			}
			if got, _ := LegValue(f, leg, tt.n); got != tt.v {
				t.Errorf("%v of leg %d: got=%v, want=%v", tt.n, leg, got, tt.v)
			}
			if got, _ := LegValue(f, other, tt.n); got != want {
				t.Errorf("%v of leg %d, set on %d: got=%v, want=%v", tt.n, other, leg, got, want)
			}
			plays(t, f)
		}
	}
}

// The coxa's range turns round as a whole: the lower end of one side is the
// upper end of the other.
func TestLegCoxaRange(t *testing.T) {
	f := drummer(t)
	SetLegValue(f, rf, LegNumber{kin.Coxa, "range_deg", 0}, -40)
	b := plays(t, f)
	if got := b.Robot.Legs[rf].Limits[kin.Coxa]; math.Abs(got.Lo*180/math.Pi+40) > 1e-9 || math.Abs(got.Hi*180/math.Pi-65) > 1e-9 {
		t.Errorf("right: %v", got)
	}
	if got := b.Robot.Legs[lf].Limits[kin.Coxa]; math.Abs(got.Lo*180/math.Pi+65) > 1e-9 || math.Abs(got.Hi*180/math.Pi-40) > 1e-9 {
		t.Errorf("left: %v", got)
	}
}

func TestLegOwnAndShare(t *testing.T) {
	f := drummer(t)
	n := LegNumber{Whole, "tibia_mm", 0}
	if _, from := LegValue(f, rf, n); from != Mirrored {
		t.Errorf("from %v", from)
	}
	OwnLegValue(f, rf, n)
	SetLegValue(f, rf, n, 131)
	if a, from := LegValue(f, rf, n); a != 131 || from != Own || !CanShare(f, rf, n) {
		t.Errorf("%v %v", a, from)
	}
	if a, _ := LegValue(f, lf, n); a != 130 {
		t.Errorf("the other side changed: %v", a)
	}
	plays(t, f)
	ShareLegValue(f, rf, n)
	if !f.Equal(drummer(t)) {
		t.Error("sharing again does not give the file as it was")
	}

	// An optional key: its default, a value, the default again.
	n = LegNumber{Whole, "lateral_mm", 0}
	if v, from := LegValue(f, rf, n); v != 0 || from != Default {
		t.Errorf("%v %v", v, from)
	}
	SetLegValue(f, rf, n, 5)
	ClearLegValue(f, rf, n)
	if !f.Equal(drummer(t)) {
		t.Error("clearing does not give the file as it was")
	}
	// A list gets its other numbers by default.
	n = LegNumber{kin.Coxa, "range_us", 1}
	SetLegValue(f, lf, n, 2400)
	if v, _ := LegValue(f, lf, LegNumber{kin.Coxa, "range_us", 0}); v != 500 {
		t.Errorf("least pulse %v", v)
	}
	plays(t, f)
}

// With its own values or the source's, a leg is built the same.
func TestLegMirrors(t *testing.T) {
	const rm = 4
	f := drummer(t)
	before := plays(t, f)
	if err := SetMirrors(f, rm, ""); err != nil {
		t.Fatal(err)
	}
	after := plays(t, f)
	a, b := before.Robot.Legs[rm], after.Robot.Legs[rm]
	a.Mirror, b.Mirror = -1, -1
	if a != b || before.Channels[rm] != after.Channels[rm] {
		t.Errorf("got=%+v, want=%+v", b, a)
	}
	if f.Legs[rm].Mount == f.Legs[lm].Mount || f.Legs[rm].TibiaLength == f.Legs[lm].TibiaLength {
		t.Error("the two legs share a number")
	}
	if err := SetMirrors(f, rm, "LM"); err != nil {
		t.Fatal(err)
	}
	ShareLeg(f, rm)
	if !f.Equal(drummer(t)) {
		t.Error("mirroring again does not give the file as it was")
	}
	for _, tt := range []struct {
		leg        int
		name, says string
	}{
		{rm, "XX", "there is no leg"},
		{lf, "RF", "mirrors LF itself"},
		{lf, "LF", "cannot mirror itself"},
		{rm, "LF", "is mirrored by RF already"},
	} {
		if err := SetMirrors(f, tt.leg, tt.name); err == nil || !strings.Contains(err.Error(), tt.says) {
			t.Errorf("%s: %v", tt.name, err)
		}
	}
	if !f.Equal(drummer(t)) {
		t.Error("a refusal changed the file")
	}
}

func TestCopyLeg(t *testing.T) {
	f := drummer(t)
	SetMirrors(f, rf+2, "") // RR has everything of its own
	SetLegValue(f, lm, LegNumber{Whole, "tibia_mm", 0}, 118)
	SetLegValue(f, lm, LegNumber{Whole, "lateral_mm", 0}, 6)
	SetLegValue(f, lm, LegNumber{kin.Coxa, "range_deg", 0}, -50)
	SetLegValue(f, rf, LegNumber{Whole, "femur_mm", 0}, 80)
	CopyLeg(f, lm)
	b := plays(t, f)
	want := b.Robot.Legs[lm]
	for i, l := range b.Robot.Legs {
		right := i >= rf
		lateral, lo := want.Lateral, want.Limits[kin.Coxa].Lo
		if right {
			lateral, lo = -lateral, -want.Limits[kin.Coxa].Hi
		}
		if l.Length != want.Length || l.Lateral != lateral || math.Abs(l.Limits[kin.Coxa].Lo-lo) > 1e-12 {
			t.Errorf("leg %s: %v, lateral %v, coxa %v", l.Name, l.Length, l.Lateral, l.Limits[kin.Coxa])
		}
	}
	if f.Legs[rf].FemurLength != nil || *f.Legs[lf].Mount == *f.Legs[lm].Mount || *f.Legs[lf].Coxa.Channel == *f.Legs[lm].Coxa.Channel {
		t.Error("more or less was copied than said")
	}
	// From the mirroring side it does the same.
	g := f.Clone()
	CopyLeg(g, rf+1)
	if !g.Equal(f) {
		t.Error("copying the mirror image of a leg changes something")
	}
}

func TestRenameLeg(t *testing.T) {
	f := drummer(t)
	RenameLeg(f, lf, "drum")
	b := plays(t, f)
	if b.Robot.Legs[rf].Mirror != lf || f.Moves[0].Feet[0].Leg != "drum" {
		t.Error("a reference is lost")
	}
	text, _ := f.Encode()
	if strings.Contains(string(text), "LF") {
		t.Errorf("the old name is still there:\n%s", text)
	}
}

func TestKnee(t *testing.T) {
	f := drummer(t)
	if down, from := Knee(f, rf); down || from != Default {
		t.Errorf("%v %v", down, from)
	}
	SetKnee(f, rf, true)
	if down, from := Knee(f, rf); !down || from != Mirrored || f.Legs[lf].Knee != "down" {
		t.Errorf("%v %v", down, from)
	}
}

func TestServos(t *testing.T) {
	f := drummer(t)
	c := workfile.Classes()[5]
	name := AddServo(f, c.Name, c.Servo)
	if again := AddServo(f, c.Name, c.Servo); again != name+"-2" {
		t.Errorf("the second is called %s", again)
	}
	if err := DeleteServo(f, name+"-2"); err != nil {
		t.Fatal(err)
	}
	SetServos(f, kin.Tibia, name)
	if n := ServoUses(f, name); n != [3]int{0, 0, 6} {
		t.Errorf("used by %v", n)
	}
	if f.Legs[rf].Tibia.Servo != "" {
		t.Error("the mirroring leg names a servo of its own")
	}
	if err := DeleteServo(f, name); err == nil || !strings.Contains(err.Error(), "6 joints") {
		t.Errorf("%v", err)
	}
	if err := RenameServo(f, name, "standard"); err == nil {
		t.Error("a name that is taken was given")
	}
	if err := RenameServo(f, name, "strong"); err != nil || f.Legs[lf].Tibia.Servo != "strong" {
		t.Errorf("%v", err)
	}
	b := plays(t, f)
	if got, want := b.Robot.Legs[rf].Servos[kin.Tibia].StallTorque, c.Servo.Nm(); math.Abs(got-want) > 1e-12 {
		t.Errorf("%v N·m, want %v", got, want)
	}
	SetServos(f, kin.Tibia, "standard")
	if err := DeleteServo(f, "strong"); err != nil {
		t.Fatal(err)
	}
	if err := DeleteServo(f, "standard"); err == nil {
		t.Error("the last servo was taken out")
	}
	if !f.Equal(drummer(t)) {
		t.Error("the file is not as it was")
	}
	s := f.Servos["standard"]
	SetTorque(&s, 2, true)
	if s.StallKgfCm != nil || s.Nm() != 2 {
		t.Errorf("%+v", s)
	}
	SetTorque(&s, 20, false)
	if s.StallNm != nil || s.KgfCm() != 20 {
		t.Errorf("%+v", s)
	}
}

func TestOutline(t *testing.T) {
	f := drummer(t)
	n := len(f.Robot.Outline)
	if err := SplitEdge(f, n-1); err != nil {
		t.Fatal(err)
	}
	if got, want := f.Robot.Outline[n], ([2]float64{120, 0}); got != want {
		t.Errorf("the new corner is %v, want %v", got, want)
	}
	plays(t, f)
	if err := RemoveCorner(f, n); err != nil || !f.Equal(drummer(t)) {
		t.Errorf("%v", err)
	}
	if err := Symmetric(f); err != nil || !f.Equal(drummer(t)) {
		t.Errorf("a symmetric outline changed: %v, %v", f.Robot.Outline, err)
	}
	f.Robot.Outline = [][2]float64{{100, 0}, {-20, 60}, {-100, -10}, {0, -30}}
	if err := Symmetric(f); err != nil {
		t.Fatal(err)
	}
	// The cut of the edge from (-20, 60) to (-100, -10) with the axis is at
	// x = -20 - 80·60/70.
	x := -20 - 80.0*60/70
	want := [][2]float64{{100, 0}, {-20, 60}, {x, 0}, {-20, -60}}
	if len(f.Robot.Outline) != 4 {
		t.Fatalf("got=%v, want=%v", f.Robot.Outline, want)
	}
	for i, p := range f.Robot.Outline {
		if math.Hypot(p[0]-want[i][0], p[1]-want[i][1]) > 1e-9 {
			t.Errorf("corner %d: got=%v, want=%v", i, p, want[i])
		}
	}
	plays(t, f)
	f.Robot.Outline = [][2]float64{{100, -10}, {-100, -10}, {0, -30}}
	if slices.Reverse(f.Robot.Outline); Symmetric(f) == nil {
		t.Error("an outline on one side only was mirrored")
	}
	f.Robot.Outline = f.Robot.Outline[:3]
	if err := RemoveCorner(f, 0); err == nil {
		t.Error("two corners are left")
	}
}

func TestPayload(t *testing.T) {
	f := drummer(t)
	SetPayload(f, 200)
	f.Robot.PayloadSize = &[3]float64{30, 20, 10}
	if b := plays(t, f); b.Robot.Payload.Mass != 0.2 {
		t.Errorf("%v", b.Robot.Payload)
	}
	DropPayload(f)
	if !f.Equal(drummer(t)) {
		t.Error("the file is not as it was")
	}
}

func TestChannels(t *testing.T) {
	f := drummer(t)
	GiveChannel(f, lf, kin.Tibia, 17)
	if *f.Legs[lf].Tibia.Channel != 17 || *f.Legs[5].Tibia.Channel != 2 {
		t.Error("the two were not exchanged")
	}
	plays(t, f)
	f.Legs[lf].Tibia.Channel = nil
	GiveChannel(f, lf, kin.Tibia, 2)
	if *f.Legs[lf].Tibia.Channel != 2 || f.Legs[5].Tibia.Channel != nil {
		t.Error("a joint without a channel did not take one away")
	}
	plays(t, f)
	NumberChannels(f)
	if !f.Equal(drummer(t)) {
		t.Error("the demo's channels are numbered in order")
	}
	SetReversed(f, lf, kin.Femur, true)
	SetReversed(f, lf, kin.Femur, false)
	if !f.Equal(drummer(t)) {
		t.Error("reversed is written where it is not needed")
	}
}

// The pulse that the README's formula gives, and what is told about it.
func TestChannelFaults(t *testing.T) {
	f := drummer(t)
	said := func() string {
		t.Helper()
		b := plays(t, f)
		return strings.Join(ChannelFaults(&b.Channels[lf][kin.Tibia], b.Robot.Legs[lf].Limits[kin.Tibia]), "\n")
	}
	if s := said(); !strings.Contains(s, "asks for 1180 to 2780 µs, more than 500 to 2500 µs") { // 2080 + 10·(q + 60), q from -150 to 10
		t.Errorf("%q", s)
	}
	b := plays(t, f)
	if got := ServoAngle(&b.Channels[lf][kin.Tibia], -1); math.Abs(got-(math.Pi/3-1)) > 1e-12 {
		t.Errorf("servo angle %v", got)
	}
	f.Legs[lf].Tibia = workfile.Joint{Range: &[2]float64{-90, 0}, Servo: "standard", Mass: f.Legs[lf].Tibia.Mass}
	f.Legs[lf].TibiaOffset = nil
	if s := said(); s != "No channel: a table for the firmware cannot be written." {
		t.Errorf("%q", s)
	}
}

// Two measured points give the pulses that centre and slope gave, to the
// rounding of the two; the mirroring leg keeps what it had. And back.
func TestMeasure(t *testing.T) {
	for leg := range 6 {
		for j := range kin.Joints {
			f := drummer(t)
			was := plays(t, f)
			if err := Measure(f, leg, j, &was.Channels[leg][j], was.Robot.Legs[leg].Limits[j]); err != nil {
				t.Fatal(err)
			}
			got := plays(t, f)
			for i := range was.Channels {
				for k := range kin.Joints {
					for _, q := range [...]float64{-2, 0, 1} {
						a, b := was.Channels[i][k].Pulse(q), got.Channels[i][k].Pulse(q)
						tol := 1e-9
						if i == leg && k == j {
							tol = 1.5 // two points rounded to whole µs, drawn out past the range
						}
						if math.Abs(a-b) > tol {
							t.Errorf("leg %d joint %d: %v µs at %v, want %v", i, k, b, q, a)
						}
					}
				}
			}
			offset := 0.0
			if j == kin.Tibia {
				offset = was.Robot.Legs[leg].TibiaOffset
			}
			Unmeasure(f, leg, j, &got.Channels[leg][j], offset)
			back := plays(t, f)
			for i := range was.Channels {
				for k := range kin.Joints {
					for _, q := range [...]float64{-2, 0, 1} {
						if a, b := got.Channels[i][k].Pulse(q), back.Channels[i][k].Pulse(q); math.Abs(a-b) > 1e-6 {
							t.Errorf("leg %d joint %d: %v µs at %v, want %v", i, k, b, q, a)
						}
					}
				}
			}
		}
	}
	f := drummer(t)
	if err := Measure(f, lf, kin.Coxa, &workfile.Channel{}, kin.Range{}); err == nil || Measured(&f.Legs[lf].Coxa) {
		t.Error("two points at one angle were taken")
	}
}
