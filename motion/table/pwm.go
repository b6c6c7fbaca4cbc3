// SPDX-License-Identifier: MIT

package table

import (
	"fmt"
	"math"
)

// counts is how many a 12-bit driver counts in a period.
const counts = 4096

// Oscillator is what the driver's own clock has when nothing else is known,
// Hz (NXP PCA9685 datasheet, revision 4, section 1: 25 MHz typical).
const Oscillator = 25e6

// PWM describes a 12-bit PWM driver as the NXP PCA9685 datasheet does.
type PWM struct {
	Rate       float64 // wanted periods a second, Hz; 0 for 50
	Oscillator float64 // Hz; 0 for 25 MHz
}

func (p PWM) clock() (osc, rate float64) {
	osc, rate = p.Oscillator, p.Rate
	if osc == 0 {
		osc = Oscillator
	}
	if rate == 0 {
		rate = 50
	}
	return osc, rate
}

// Prescale gives the number for the prescale register: round(oscillator /
// (4096·rate)) − 1, which the part takes from 3 to 255 (NXP PCA9685 datasheet,
// revision 4, section 7.3.5; its example: 25 MHz, 200 Hz: 30).
func (p PWM) Prescale() (int, error) {
	osc, rate := p.clock()
	v := math.Round(osc/(counts*rate)) - 1
	if !(v >= 3 && v <= 255) || math.IsInf(osc, 0) {
		return 0, fmt.Errorf("%w: %g Hz from an oscillator of %g Hz takes a prescale of %g, but the driver has 3 to 255: "+
			"ask for %.4g to %.4g Hz", ErrUnit, rate, osc, v, osc/counts/256, osc/counts/4)
	}
	return int(v), nil
}

// Period gives how long the driver's period really is with that prescale, s.
func (p PWM) Period() (float64, error) {
	n, err := p.Prescale()
	if err != nil {
		return 0, err
	}
	osc, _ := p.clock()
	return counts * float64(n+1) / osc, nil
}

// perMicrosecond gives the counts in a microsecond, 0 where there is no
// prescale.
func (p PWM) perMicrosecond() float64 {
	n, err := p.Prescale()
	if err != nil {
		return 0
	}
	osc, _ := p.clock()
	return osc / float64(n+1) / 1e6
}

// Counts gives the count for a pulse width (µs), rounded to the nearest.
func (p PWM) Counts(us float64) int { return int(math.Round(us * p.perMicrosecond())) }
