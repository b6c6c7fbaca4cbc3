// SPDX-License-Identifier: MIT

package table

import (
	"errors"
	"math"
	"testing"

	"gaitwright/motion/workfile"
)

// The example of the NXP PCA9685 datasheet (revision 4, section 7.3.5): 25 MHz
// and 200 Hz take the prescale 30. Its table 5 has the bounds: 1526 Hz for 3,
// 24 Hz for 255.
func TestPrescale(t *testing.T) {
	for _, c := range []struct {
		rate float64
		want int
	}{{200, 30}, {1526, 3}, {24, 253}, {50, 121}, {0, 121}} {
		if got, err := (PWM{Rate: c.rate, Oscillator: 25e6}).Prescale(); got != c.want || err != nil {
			t.Errorf("%v Hz: got %d, %v; want %d", c.rate, got, err, c.want)
		}
	}
	for _, rate := range []float64{2000, 23, -1, math.NaN(), math.Inf(1)} {
		if _, err := (PWM{Rate: rate}).Prescale(); !errors.Is(err, ErrUnit) {
			t.Errorf("%v Hz: got %v, want %v", rate, err, ErrUnit)
		}
	}
	// At the prescale 30 a period is 4096·31/25 MHz = 5.07904 ms: 1.5 ms are
	// 1209.68 counts of 1.24 µs.
	p := PWM{Rate: 200}
	if got := p.Counts(1500); got != 1210 {
		t.Errorf("1500 µs: got %d counts, want 1210", got)
	}
	// Its examples of counts (page 17): a duty of 20 % is 819 counts, one of 90 %
	// 3686.
	for share, want := range map[float64]int{0.2: 819, 0.9: 3686} {
		if got := p.Counts(share * 5079.04); got != want {
			t.Errorf("%v of the period: got %v counts, want %d", share, got, want)
		}
	}
	if got, err := p.Period(); err != nil || math.Abs(got-5.07904e-3) > 1e-12 {
		t.Errorf("period %v s, %v", got, err)
	}
}

// Each unit says the same pulse: checked against the numbers of the workfile.
func TestUnits(t *testing.T) {
	c := workfile.Channel{Set: true, Centre: 2080, PerRad: 10 * 180 / math.Pi, Sign: -1, Trim: 0.05, Offset: 0.2, Min: 600, Max: 2400}
	const q = 0.31
	us := c.Pulse(q)
	for _, k := range []struct {
		unit Unit
		want float64
	}{
		{Unit{}, us},
		{Unit{Kind: PWMCount, PWM: PWM{Rate: 200}}, us / 1.24},
		{Unit{Kind: TenthDegree}, q * 1800 / math.Pi},
		{Unit{Kind: ServoStep, Steps: Steps{Most: 1023, Range: 300, Centre: 512}}, 512 + (us-1500)/10*1023/300},
	} {
		l := k.unit.line(&c)
		if got := l.at0 + l.perRad*q; math.Abs(got-k.want) > 1e-9 {
			t.Errorf("%v: got %v, want %v", k.unit.Kind, got, k.want)
		}
		if one := math.Abs(l.perRad); math.Abs(one*l.us-c.PerRad) > 1e-9 {
			t.Errorf("%v: a unit is %v µs", k.unit.Kind, l.us)
		}
		if !(l.lo < l.hi) {
			t.Errorf("%v: range %v to %v", k.unit.Kind, l.lo, l.hi)
		}
	}
	for _, u := range []Unit{{Bits: 8}, {Bits: -1}, {Kind: 4}, {Kind: PWMCount, PWM: PWM{Rate: 5000}}, {Kind: ServoStep},
		{Kind: ServoStep, Bits: 7, Steps: Steps{Most: 1023, Range: 300, Centre: 512}}, {Kind: ServoStep, Steps: Steps{Most: 10, Range: 300, Centre: 11}}} {
		if err := u.check(); !errors.Is(err, ErrUnit) {
			t.Errorf("%+v: got %v, want %v", u, err, ErrUnit)
		}
	}
	for k := PulseUs; k <= ServoStep; k++ {
		if got, err := ParseKind(k.String()); got != k || err != nil {
			t.Errorf("%v: got %v, %v", k, got, err)
		}
	}
}
