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
