// SPDX-License-Identifier: MIT

package main

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"gaitwright/motion/rehearsal"
	"gaitwright/motion/table"
	"gaitwright/motion/workfile"
)

// sheetFlags say what is made for the player, and how.
type sheetFlags struct {
	Rate        rateFlag `placeholder:"HZ" help:"Frames a second. For the player it may be left out: then it is the lowest that keeps within --within-us and --within-mm."`
	Whole       bool     `help:"One table of the whole sequence, walking included, instead of one for each move."`
	Walks       bool     `help:"For the player: also one cycle of each walk, and the ways into it and out of it."`
	Interpolate string   `enum:"hold,linear,cubic" default:"linear" help:"How the player gets from frame to frame: hold, linear or cubic."`
	WithinUs    float64  `placeholder:"US" help:"Greatest error of a pulse between frames, after rounding, µs."`
	WithinMM    float64  `name:"within-mm" placeholder:"MM" help:"Greatest error of a foot's place, mm."`
	Packed      bool     `help:"Pack the table: the player unpacks it as it goes."`
	Unit        string   `enum:"pulse,count,angle,step" default:"pulse" help:"What the player is to tell the servos: pulse (µs), count (of a 12-bit PWM driver), angle (0.1 degree) or step (of a serial-bus servo)."`
	Fraction    int      `default:"-1" placeholder:"BITS" help:"Fraction bits of the values in the table, 0 to 7; 2 for pulses (1/4 µs) when left out, 0 for angles, 3 for counts and steps."`
	PWMHz       float64  `name:"pwm-hz" default:"50" placeholder:"HZ" help:"Periods a second of the PWM driver."`
	PWMClock    float64  `name:"pwm-clock-hz" default:"25000000" placeholder:"HZ" help:"Oscillator of the PWM driver."`
	StepMost    int      `name:"step-most" default:"1023" placeholder:"N" help:"Greatest position of a serial-bus servo."`
	StepRange   float64  `name:"step-range-deg" default:"300" placeholder:"DEG" help:"Angle from its position 0 to the greatest."`
	StepCentre  int      `name:"step-centre" default:"512" placeholder:"N" help:"Position that stands for 1500 µs."`
	Part        string   `placeholder:"NAME" help:"Microcontroller that has to hold it: atmega328p, atmega2560, rp2040 or esp32."`
}

// usual gives the fraction bits of a unit.
func usual(k table.Kind, b *workfile.Built) int {
	switch {
	case k == table.TenthDegree:
		return 0
	case k != table.PulseUs:
		return 3
	case longest(b) > longPulse:
		return 1
	}
	return 2
}

// longPulse is the longest pulse that quarters of a microsecond hold in 16
// bits, µs.
const longPulse = 16383

// set makes the tables for the player.
func (c *sheetFlags) set(s *source, r *rehearsal.Rehearsal) (*table.Set, error) {
	how := table.SheetOptions{Rate: float64(c.Rate), WithinUs: c.WithinUs, WithinMM: c.WithinMM, Packed: c.Packed}
	if c.Rate == 0 && c.WithinUs == 0 && c.WithinMM == 0 {
		return nil, errors.New("give --rate, or the error to keep within: --within-us, --within-mm or both")
	}
	var err error
	if how.Interpolation, err = table.ParseInterpolation(c.Interpolate); err != nil {
		return nil, err
	}
	if how.Unit.Kind, err = table.ParseKind(c.Unit); err != nil {
		return nil, err
	}
	how.Unit.Bits = c.Fraction
	if c.Fraction == -1 {
		how.Unit.Bits = usual(how.Unit.Kind, r.Built)
	}
	switch {
	case !(c.PWMHz > 0):
		return nil, fmt.Errorf("--pwm-hz must be greater than 0, got %v; servos usually take 50", c.PWMHz)
	case !(c.PWMClock > 0):
		return nil, fmt.Errorf("--pwm-clock-hz must be greater than 0, got %v; see the driver's data sheet", c.PWMClock)
	}
	how.Unit.PWM = table.PWM{Rate: c.PWMHz, Oscillator: c.PWMClock}
	how.Unit.Steps = table.Steps{Most: c.StepMost, Range: c.StepRange, Centre: c.StepCentre}
	clips, err := table.Clips(r.Built, r.Plan, table.Which{Moves: !c.Whole, Walks: c.Walks, Whole: c.Whole})
	if err != nil {
		return nil, err
	}
	sum := sha256.Sum256(s.text)
	base := filepath.Base(s.name)
	return table.NewSet(r.Built, clips, how, table.Options{
		Name: strings.TrimSuffix(base, filepath.Ext(base)), Workfile: base, SHA256: hex.EncodeToString(sum[:]), Findings: r.Grounded(),
	})
}

// longest gives the longest pulse that any channel may have, µs.
func longest(b *workfile.Built) float64 {
	us := 0.0
	for i := range b.Channels {
		for j := range b.Channels[i] {
			us = max(us, b.Channels[i][j].Max)
		}
	}
	return us
}

// fits tells why a part does not hold the tables, nil when it does or none is
// named.
func (c *sheetFlags) fits(set *table.Set) error {
	if c.Part == "" {
		return nil
	}
	p, err := table.ParsePart(c.Part)
	if err != nil {
		return err
	}
	size, err := set.SizeOn(p)
	if err != nil {
		return err
	}
	return size.Err()
}

// only tells which flag asks for what the tables of a format do not have.
func (c *sheetFlags) only(format string) error {
	for _, f := range []struct {
		name string
		set  bool
	}{
		{"--walks", c.Walks}, {"--interpolate", c.Interpolate != "linear"}, {"--within-us", c.WithinUs != 0}, {"--within-mm", c.WithinMM != 0},
		{"--packed", c.Packed}, {"--unit", c.Unit != "pulse"}, {"--fraction", c.Fraction != -1}, {"--part", c.Part != ""},
	} {
		if f.set {
			return fmt.Errorf("%s belongs to the formats player and bin: %s holds pulses and angles, frame by frame", f.name, format)
		}
	}
	if c.Rate == 0 {
		return fmt.Errorf("give --rate: the format %s has no lowest one", format)
	}
	return nil
}
