// SPDX-License-Identifier: MIT

package review

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/load"
)

// number reads the first number after some words.
func number(t *testing.T, s, after string) float64 {
	t.Helper()
	m := regexp.MustCompile(regexp.QuoteMeta(after) + ` ([\d.]+)`).FindStringSubmatch(s)
	if m == nil {
		t.Fatalf("no number after %q in %q", after, s)
	}
	v, err := strconv.ParseFloat(strings.TrimSuffix(m[1], "."), 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// slowed is the same motion at a share of its speed.
func slowed(t *testing.T, r *kin.Robot, p *motion.Plan, rate, share float64) *motion.Trajectory {
	t.Helper()
	tr := mustSample(t, r, p, rate)
	for _, a := range [][]float64{tr.V, tr.BodyV} {
		for n := range a {
			a[n] *= share
		}
	}
	for _, a := range [][]float64{tr.A, tr.BodyA} {
		for n := range a {
			a[n] *= share * share
		}
	}
	tr.Impacts, tr.Seams = nil, nil
	tr.Rate *= share
	for n := range tr.Parts {
		tr.Parts[n].From /= share
		tr.Parts[n].To /= share
	}
	return tr
}

// A servo as strong as told mends joint-torque, of a leg that stands and of
// one that swings; one that is weaker by more than the rounding does not.
func TestAServoAsToldMendsJointTorque(t *testing.T) {
	for _, c := range []struct {
		leg   int
		stall float64
		mend  string
	}{{LM, 0.2, "take load off leg LM"}, {LF, 0.04, "let leg LF swing more slowly"}} {
		r := sixLegged()
		s := &r.Legs[c.leg].Servos[kin.Femur]
		s.StallTorque, s.Voltage = c.stall, 6 // at 7.4 V it gives more
		tr := mustSample(t, r, clean(r), rate)
		most := 0.0
		found := of(judge(r, tr, Defaults()), "joint-torque")
		for _, f := range found {
			if f.Leg != c.leg || f.Joint != kin.Femur || f.Level != Stop || f.Value <= f.Limit || !strings.Contains(f.Mend, " at 6 V") {
				t.Errorf("got %+v", f)
			}
			most = max(most, number(t, f.Mend, "stall torque of"))
		}
		if len(found) == 0 || !strings.Contains(found[0].Mend, c.mend) {
			t.Fatalf("got %+v", found)
		}
		for stall, want := range map[float64]bool{most: false, most - 0.011: true} {
			s.StallTorque = stall
			if f := of(judge(r, tr, Defaults()), "joint-torque"); len(f) > 0 != want {
				t.Errorf("leg %d with %v N·m: %+v", c.leg, s.StallTorque, f)
			}
		}
	}
}

// A servo as strong as told mends servo-heat; as a stronger servo is given a
// greater part of the weight, it may take a second look.
func TestAServoAsToldMendsServoHeat(t *testing.T) {
	r := sixLegged()
	s := &r.Legs[LM].Servos[kin.Femur]
	s.StallTorque = 0.4
	tr := mustSample(t, r, clean(r), rate)
	for range 2 {
		found := of(judge(r, tr, Defaults()), "servo-heat")
		if len(found) != 1 {
			t.Fatalf("got %+v", found)
		}
		f := found[0]
		if f.Leg != LM || f.Part != -1 || f.Entry != "whole sequence" || f.From != 0 || f.To != tr.Duration() {
			t.Errorf("got %+v", f)
		}
		s.StallTorque = number(t, f.Mend, "stall torque of")
		if len(of(judge(r, tr, Defaults()), "servo-heat")) == 0 {
			return
		}
	}
	t.Errorf("%v N·m is still too little", s.StallTorque)
}

func TestASupplyAsToldMendsSupplyCurrent(t *testing.T) {
	r := sixLegged()
	r.Supply.Limit = 2
	tr := mustSample(t, r, clean(r), rate)
	most := 0.0
	for _, f := range of(judge(r, tr, Defaults()), "supply-current") {
		most = max(most, number(t, f.Mend, "gives"))
	}
	for limit, want := range map[float64]bool{most: false, most - 0.2: true, 0: false} { // 0: not known
		r.Supply.Limit = limit
		if f := of(judge(r, tr, Defaults()), "supply-current"); len(f) > 0 != want {
			t.Errorf("with %v A: %+v", limit, f)
		}
	}
}

// crafted is a robot standing still, of whose left front femur every sample
// has a speed and a torque. Its servo has 2 N·m and 4 rad/s; half of the
// torque is counted on, and all of the speed.
func crafted(t *testing.T, tau, v float64) (*kin.Robot, *motion.Trajectory, *load.Loads, Limits) {
	r := sixLegged()
	r.Supply = kin.Supply{}
	s := &r.Legs[LF].Servos[kin.Femur]
	s.StallTorque, s.NoLoadSpeed = 2, 4
	p := clean(r)
	p.Duration, p.Floors = 0.9, nil // everything stands
	tr := mustSample(t, r, p, 100)
	l := Defaults()
	l.Derating, l.SpeedShare, l.Holding = 0.5, 1, 2
	d := loads(r, tr, l)
	for k := range tr.N {
		o := (k*6+LF)*3 + kin.Femur
		d.Torque[o], tr.V[o] = tau, v
	}
	return r, tr, d, l
}

// The torque-speed line by hand: with half of 2 N·m counted on and 4 rad/s,
// 0.5 N·m at 2 rad/s lies on the line. Past it, what takes the greater share
// is told, once; a servo that brakes has both.
func TestOnAndPastTheTorqueSpeedLine(t *testing.T) {
	const e = 1e-9
	for _, c := range []struct {
		tau, v float64
		want   string
	}{
		{0, 0, ""},
		{0.5, 2, ""},
		{-0.5, -2, ""},
		{0.5, 2 + e, "joint-speed 2.000 of 2.000 rad/s"},
		{0.5 + e, 2, "joint-torque 0.500 of 0.500 N·m"},
		{0.25, 3.5, "joint-speed 3.500 of 3.000 rad/s"},
		{0.75, 1.5, "joint-torque 0.750 of 0.625 N·m"},
		{1, 0, ""},
		{-1 - e, 0, "joint-torque 1.000 of 1.000 N·m"},
		{0, 4, ""},
		{0, -4 - e, "joint-speed 4.000 of 4.000 rad/s"},
		{-1, 4, ""},
		{1, -4, ""},
		{-0.9, 5, "joint-speed 5.000 of 4.000 rad/s"},
		{-1.5, 3, "joint-torque 1.500 of 1.000 N·m"},
		{-1.5, 5, "joint-torque 1.500 of 1.000 N·m"},
		{-1.25, 8, "joint-speed 8.000 of 4.000 rad/s"},
		{1.25, 8, "joint-speed 8.000 of 0.000 rad/s"},
		{2.5, 8, "joint-torque 2.500 of 0.000 N·m"},
		{math.NaN(), 4, ""},
		{math.NaN(), 4 + e, "joint-speed 4.000 of 4.000 rad/s"},
	} {
		r, tr, d, l := crafted(t, c.tau, c.v)
		found := Run(r, tr, d, l)
		verify(t, r, tr, found)
		got := ""
		for _, f := range found {
			if f.Leg != LF || f.Joint != kin.Femur || f.Level != Stop {
				t.Errorf("%v N·m at %v rad/s: also %+v", c.tau, c.v, f)
				continue
			}
			unit := f.Unit
			if unit == "deg/s" {
				f.Value, f.Limit, unit = f.Value/deg, f.Limit/deg, "rad/s"
			}
			got += fmt.Sprintf("%s %.3f of %.3f %s", f.Word, f.Value, f.Limit, unit)
		}
		if got != c.want {
			t.Errorf("%v N·m at %v rad/s: %q, want %q", c.tau, c.v, got, c.want)
		}
		compare(t, r, tr, d, l)
	}
}

// The wanted share of the speed is a caution, also while braking under a
// torque that takes the greater share; on it nothing is said.
func TestReserveOfSpeed(t *testing.T) {
	for _, c := range []struct {
		tau, v float64
		want   int
	}{{0, 2, 0}, {0, 2.001, 1}, {0.25, 1.5, 0}, {0.25, 1.501, 1}, {-0.9, 2.5, 1}, {-0.9, 2, 0}} {
		r, tr, d, l := crafted(t, c.tau, c.v)
		l.SpeedShare = 0.5
		found := Run(r, tr, d, l)
		if len(found) != c.want {
			t.Errorf("%v N·m at %v rad/s: %+v", c.tau, c.v, found)
		}
		for _, f := range found {
			limit := 2.0 // half of 4 rad/s, less a share for the torque
			if c.tau*c.v > 0 {
				limit *= 1 - c.tau
			}
			if f.Word != "joint-speed" || f.Level != Caution || math.Abs(f.Limit/deg-limit) > 1e-9 {
				t.Errorf("%v N·m at %v rad/s: %+v", c.tau, c.v, f)
			}
		}
	}
}

// What is exactly at its limit passes.
func TestExactlyAtTheLimit(t *testing.T) {
	for _, past := range []bool{false, true} {
		r, tr, d, l := crafted(t, 0, 0)
		l.Holding = 0.25
		d.Supply.Limit = 3
		for k := range d.Current {
			d.Current[k] = 3
		}
		for o := range d.RMS {
			d.RMS[o] = 0.25 * d.Lines[o].Stall
		}
		for k := range d.Dynamic {
			d.Dynamic[k] = l.Dynamic
		}
		if past {
			d.Current[7] += 1e-9
			d.RMS[4] *= 1 + 1e-9
			d.Dynamic[9] -= 1e-9
		}
		var words []string
		for _, f := range Run(r, tr, d, l) {
			words = append(words, f.Word+" "+f.Level.String())
		}
		want := "[]"
		if past {
			want = "[supply-current stop tips-fast caution servo-heat caution]"
		}
		if got := fmt.Sprint(words); got != want {
			t.Errorf("past %v: %v, want %v", past, got, want)
		}
	}
}

// Servos of which nothing is known are not judged, and a supply that breaks
// down is.
func TestUnknownServosAndABrokenSupply(t *testing.T) {
	r := sixLegged()
	for i := range r.Legs {
		r.Legs[i].Servos = [kin.Joints]kin.Servo{}
	}
	tr := mustSample(t, r, clean(r), 100)
	for _, f := range judge(r, tr, Defaults()) {
		t.Errorf("unknown servos: %+v", f)
	}
	for _, known := range []bool{true, false} {
		r = sixLegged()
		for i := range r.Legs {
			for j := range kin.Joints {
				if !known {
					r.Legs[i].Servos[j].NoLoadSpeed = 0
				}
			}
		}
		r.Supply.Resistance = 50
		l := Defaults()
		d := loads(r, tr, l)
		found := Run(r, tr, d, l)
		verify(t, r, tr, found)
		compare(t, r, tr, d, l)
		if n := len(of(found, "joint-torque")); n == 0 {
			t.Error("no joint is without torque")
		}
		for _, f := range found {
			if f.Limit == 0 && strings.HasPrefix(f.Word, "joint-") && f.Mend != noVoltage {
				t.Errorf("got %+v", f)
			}
		}
	}
}

// Samples without loads: nothing is said of torque and balance, and the speed
// counts against the no-load speed.
func TestSamplesWithoutLoads(t *testing.T) {
	r := sixLegged()
	tr := mustSample(t, r, clean(r), 100)
	top := 0.0
	for k := range tr.N {
		for o := range 18 {
			tr.A[k*18+o] = math.NaN()
			if o == LF*3+kin.Tibia {
				top = max(top, math.Abs(tr.V[k*18+o]))
			}
		}
	}
	for _, state := range []load.State{load.Unknown, load.Pulled, load.Slipping} {
		r.Legs[LF].Servos[kin.Tibia].NoLoadSpeed = top / 1.1
		d := loads(r, tr, Defaults())
		for k := range d.State {
			if d.State[k] != load.Unknown {
				t.Fatalf("sample %d is %v", k, d.State[k])
			}
			d.State[k] = state
		}
		found := Run(r, tr, d, Defaults())
		verify(t, r, tr, found)
		if n := len(of(found, "joint-speed")); n == 0 {
			t.Errorf("%v: no joint-speed", state)
		}
		words := map[load.State]string{load.Unknown: "", load.Pulled: "tips-fast", load.Slipping: "foot-slides"}
		for _, f := range found {
			if f.Word != "joint-speed" && f.Word != words[state] {
				t.Errorf("%v: %+v", state, f)
			}
		}
	}
}

// On a stand a leg still has to carry itself.
func TestOnAStandALegCarriesItself(t *testing.T) {
	r := sixLegged()
	r.Legs[LF].Servos[kin.Femur].StallTorque = 0.05
	r.Supply.Limit = 0.5
	l := Defaults()
	l.OnStand = true
	tr := mustSample(t, r, clean(r), rate)
	found := judge(r, tr, l)
	verify(t, r, tr, found)
	for _, w := range []string{"joint-torque", "servo-heat", "supply-current"} {
		if len(of(found, w)) == 0 {
			t.Errorf("no %s", w)
		}
	}
}
