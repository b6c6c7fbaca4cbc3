// SPDX-License-Identifier: MIT

package workfile

import (
	"math"
	"strings"
	"testing"

	"gaitwright/kin"
)

// TestMeasuredPoints: the line through two measured points, by hand: 850 µs for
// 85 degrees, falling: 10 µs a degree, and 1500 µs at 10 degrees.
func TestMeasuredPoints(t *testing.T) {
	f := mustRead(t, base)
	tibia := &f.Legs[0].Tibia
	tibia.CentreUs, tibia.PerDeg, tibia.Reversed, tibia.Trim = nil, nil, nil, nil
	tibia.AtDeg, tibia.AtUs = &[2]float64{-30, 55}, &[2]float64{1900, 1050}
	f.Legs[2].Tibia.AtDeg, f.Legs[2].Tibia.AtUs = tibia.AtDeg, tibia.AtUs // the other side was measured as well
	f.Legs[2].Tibia.Reversed, f.Legs[2].Tibia.Trim = nil, nil
	c := &mustBuild(t, f).Channels[0][kin.Tibia]
	for _, p := range [][2]float64{{-30, 1900}, {55, 1050}, {10, 1500}, {0, 1600}} {
		if got := c.Pulse(p[0] * math.Pi / 180); math.Abs(got-p[1]) > 1e-9 {
			t.Errorf("at %v deg %v us, want %v", p[0], got, p[1])
		}
	}
	if c.Sign != -1 || c.Trim != 0 || c.Offset != 0 {
		t.Errorf("%+v", c)
	}
}

func TestChannelFaults(t *testing.T) {
	us := 2000.0
	for want, change := range map[string]func(*Joint){
		"missing beside measured_us":  func(q *Joint) { q.AtUs = &[2]float64{1000, 2000} },
		"missing beside measured_deg": func(q *Joint) { q.AtDeg = &[2]float64{-45, 45} },
		"leave one of them out": func(q *Joint) {
			q.AtDeg, q.AtUs, q.CentreUs = &[2]float64{-45, 45}, &[2]float64{1000, 2000}, &us
		},
		"too near":        func(q *Joint) { q.AtDeg, q.AtUs = &[2]float64{10, 10.5}, &[2]float64{1000, 2000} },
		"us a degree":     func(q *Joint) { q.AtDeg, q.AtUs = &[2]float64{-45, 45}, &[2]float64{1500, 1500} },
		"another tooth":   func(q *Joint) { v := 150.0; q.Trim = &v },
		"is out of range": func(q *Joint) { v := 0.0; q.PerDeg = &v },
		"is used by":      func(q *Joint) { v := 1; q.Channel = &v },
	} {
		f := mustRead(t, base)
		q := &f.Legs[0].Coxa
		q.CentreUs, q.PerDeg, q.Reversed, q.Trim = nil, nil, nil, nil
		change(q)
		if err := f.Check(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want %q, got %v", want, err)
		}
	}
}

// TestMeasuredMirror: measured points belong to one servo. The leg on the other
// side of a measured one needs a calibration of its own, a leg that was measured
// takes none from there, and its pulse range is mirrored by the way in which the
// servo turns, as it was measured.
func TestMeasuredMirror(t *testing.T) {
	pair := func(left, right Joint) *File {
		f := mustRead(t, base)
		l, r := &f.Legs[0].Tibia, &f.Legs[2].Tibia
		n, m := *l.Channel, *r.Channel
		left.Range, left.Servo, left.Mass, left.Channel, right.Channel = l.Range, l.Servo, l.Mass, &n, &m
		*l, *r = left, right
		return f
	}
	at := &[2]float64{-120, -30}
	up, down := &[2]float64{900, 1800}, &[2]float64{2100, 1200}
	centre, per, horn, turned := 1500., 10., 2080., true

	err := pair(Joint{AtDeg: at, AtUs: up}, Joint{Reversed: &turned}).Check()
	if err == nil || !strings.Contains(err.Error(), "RF") || !strings.Contains(err.Error(), "centre_us") || !strings.Contains(err.Error(), "us_per_deg") {
		t.Errorf("%v", err)
	}
	unwired := pair(Joint{AtDeg: at, AtUs: up}, Joint{})
	unwired.Legs[2].Tibia.Channel = nil
	for _, f := range []*File{
		pair(Joint{AtDeg: at, AtUs: up}, Joint{AtDeg: at, AtUs: down}),
		pair(Joint{AtDeg: at, AtUs: up}, Joint{CentreUs: &centre, PerDeg: &per}),
		unwired,
	} {
		if err := f.Check(); err != nil {
			t.Errorf("%v", err)
		}
	}

	f := pair(Joint{CentreUs: &horn, RangeUs: &[2]float64{600, 2500}}, Joint{AtDeg: at, AtUs: down})
	w := f.Whole(2)
	if q := w.Tibia; q.CentreUs != nil || q.PerDeg != nil || *q.RangeUs != [2]float64{500, 2400} {
		t.Errorf("%+v, range %v", q, *q.RangeUs)
	}
	f.Legs[2] = w // with everything of its own it still reads
	f.Legs[2].Mirrors = ""
	f.Moves, f.Sequence = nil, nil // the pair is one no more
	if err := f.Check(); err != nil {
		t.Error(err)
	}
	if c := mustBuild(t, f).Channels[2][kin.Tibia]; c.Sign != -1 || math.Abs(c.Pulse(-75*math.Pi/180)-1650) > 1e-9 {
		t.Errorf("%+v", c)
	}
}

// TestServoNameInUnicode: what cannot be read back is not written.
func TestServoNameInUnicode(t *testing.T) {
	f := mustRead(t, base)
	f.Servos["\xff"] = f.Servos[sorted(f.Servos)[0]]
	if err := f.Check(); err == nil || !strings.Contains(err.Error(), "UTF-8") {
		t.Errorf("%v", err)
	}
}
