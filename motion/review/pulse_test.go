// SPDX-License-Identifier: MIT

package review

import (
	"math"
	"strings"
	"testing"

	"gaitwright/kin"
)

// outputs gives every joint a servo of 10 µs a degree about 1500 µs that takes
// pulses from 500 to 2500 µs.
func outputs(legs int) [][kin.Joints]Output {
	out := make([][kin.Joints]Output, legs)
	for i := range out {
		for j := range out[i] {
			out[i][j] = Output{Set: true, Centre: 1500, PerRad: 10 * deg, Least: 500, Greatest: 2500}
		}
		out[i][kin.Tibia].Centre = 2400 // the horn sits bent by 90 degrees
	}
	return out
}

// TestPulseRange narrows and shifts the pulse range of one joint: the finding
// is there exactly when some sample, looked at one by one, is past it, and its
// value is the worst of them.
func TestPulseRange(t *testing.T) {
	r := sixLegged()
	tr := mustSample(t, r, clean(r), 200)
	lo, hi := math.Inf(1), math.Inf(-1) // angle of one joint
	for k := range tr.N {
		q := tr.JointsAt(k, LM)[kin.Femur]
		lo, hi = min(lo, q), max(hi, q)
	}
	for _, c := range []struct {
		name   string
		change func(*Output)
		value  float64 // NaN: no finding
		limit  float64
	}{
		{"wide", func(*Output) {}, math.NaN(), 0},
		{"just wide enough", func(o *Output) { o.Least, o.Greatest = 1500+10*deg*lo, 1500+10*deg*hi }, math.NaN(), 0},
		{"too short", func(o *Output) { o.Least = 1500 + 10*deg*lo + 1 }, 1500 + 10*deg*lo, 1501 + 10*deg*lo},
		{"too long", func(o *Output) { o.Greatest = 1500 + 10*deg*hi - 1 }, 1500 + 10*deg*hi, 1499 + 10*deg*hi},
		{"horn turned", func(o *Output) { o.Centre = 2400 }, 2400 + 10*deg*hi, 2500},
		{"the other way", func(o *Output) { o.Centre, o.PerRad = 600, -10*deg }, 600 - 10*deg*hi, 500},
		{"without a channel", func(o *Output) { *o = Output{} }, math.NaN(), 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			l := Defaults()
			l.Outputs = outputs(len(r.Legs))
			c.change(&l.Outputs[LM][kin.Femur])
			found := of(judge(r, tr, l), "pulse-range")
			if c.value != c.value {
				if len(found) > 0 {
					t.Errorf("%+v", found)
				}
				return
			}
			if len(found) == 0 {
				t.Fatal("no finding")
			}
			worst := found[0]
			for _, f := range found {
				if math.Abs(f.Value-f.Limit) > math.Abs(worst.Value-worst.Limit) {
					worst = f
				}
			}
			if f := worst; f.Level != Stop || f.Leg != LM || f.Joint != kin.Femur || math.Abs(f.Value-c.value) > 1e-6 || math.Abs(f.Limit-c.limit) > 1e-6 ||
				f.Unit != "us" || !strings.Contains(f.Mend, "centre_us") {
				t.Errorf("%+v, want %v of %v", f, c.value, c.limit)
			}
		})
	}
	// Past the joint's travel it is joint-limit's to tell.
	l := Defaults()
	l.Outputs = outputs(len(r.Legs))
	l.Outputs[LM][kin.Femur].Greatest = 1500 + 10*deg*hi - 5
	r.Legs[LM].Limits[kin.Femur].Hi = hi - 6/deg/10
	if found := of(judge(r, tr, l), "pulse-range"); len(found) > 0 {
		t.Errorf("told twice: %+v", found)
	}
	if found := of(judge(r, tr, l), "joint-limit"); len(found) == 0 {
		t.Error("not told at all")
	}
}
