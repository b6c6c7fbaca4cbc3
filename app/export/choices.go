// SPDX-License-Identifier: MIT

package export

import (
	"errors"

	"gaitwright/motion/table"
	"gaitwright/motion/workfile"
)

// What says what of the motion is written.
type What int

// The kinds of extent.
const (
	Moves         What = iota // every move of the sequence, a table each
	MovesAndWalks             // and for each walk a cycle, the way into it and out of it
	Whole                     // the whole sequence as one table
)

// Format is how it is written.
type Format int

// The formats.
const (
	Player Format = iota // C sources for the player
	AVR                  // C with the numbers in an AVR's flash
	C                    // C99
	CSV
	JSON
	Binary // files for the player
)

// words are the command line's, in the order of the formats.
var words = [...]string{"player", "avr", "c", "csv", "json", "bin"}

// Played tells whether the player reads the format.
func (f Format) Played() bool { return f == Player || f == Binary }

// Choices are everything that is chosen before tables are written. They can be
// compared.
type Choices struct {
	What       What
	Format     Format
	Rate       float64 // frames a second, Hz; not with Lowest
	Lowest     bool    // as few frames as keep within the errors
	WithinUs   float64 // greatest error of a pulse, µs; 0: any
	WithinMM   float64 // greatest error of a foot's place, mm; 0: any
	Between    table.Interpolation
	Packed     bool
	Kind       table.Kind
	PWM        table.PWM
	Steps      table.Steps
	Part       string // its name for the table package, "" for none
	WithPlayer bool
}

// Usual is what a person begins with.
func Usual() Choices {
	return Choices{
		Rate: 50, WithinUs: 2, WithinMM: 0.5, Between: table.Linear,
		PWM:   table.PWM{Rate: 50, Oscillator: table.Oscillator},
		Steps: table.Steps{Most: 1023, Range: 300, Centre: 512},
		Part:  "atmega2560", WithPlayer: true,
	}
}

// InForce gives the choices with what the format has no use for left at the
// usual, so that two of equal effect are equal.
func (c Choices) InForce() Choices {
	u := Usual()
	if !c.Format.Played() {
		c.Lowest, c.Between, c.Packed, c.Kind, c.WithPlayer = false, u.Between, false, table.PulseUs, false
	}
	if c.Lowest {
		c.Rate = 0
	} else {
		c.WithinUs, c.WithinMM = 0, 0
	}
	if c.Kind != table.PWMCount {
		c.PWM = u.PWM
	}
	if c.Kind != table.ServoStep {
		c.Steps = u.Steps
	}
	if !c.holds(c.Part) {
		c.Part = ""
	}
	return c
}

// holds tells whether tables of the format are made for a part.
func (c *Choices) holds(name string) bool {
	if name == "" {
		return true
	}
	p, err := table.ParsePart(name)
	switch {
	case err != nil:
		return false
	case c.Format == AVR:
		return p.OnAVR()
	case c.Format == C:
		return !p.OnAVR() // its compiler would put the table into memory
	}
	return c.Format.Played()
}

// Why choices cannot be met, before anything is worked out.
var (
	errWalks = errors.New("this format has no tables of a walk’s cycle: choose the player or binary, or the whole sequence")
	errNone  = errors.New("say how much the table may be off: in µs, in mm, or both")
)

func (c *Choices) check() error {
	switch {
	case c.What == MovesAndWalks && !c.Format.Played():
		return errWalks
	case c.Lowest && c.WithinUs == 0 && c.WithinMM == 0:
		return errNone
	}
	return nil
}

// which says it to the table package.
func (c *Choices) which() table.Which {
	return table.Which{Moves: c.What != Whole, Walks: c.What == MovesAndWalks, Whole: c.What == Whole}
}

// how says it to the table package.
func (c *Choices) how(b *workfile.Built) table.SheetOptions {
	return table.SheetOptions{
		Unit:          table.Unit{Kind: c.Kind, Bits: bits(c.Kind, b), PWM: c.PWM, Steps: c.Steps},
		Interpolation: c.Between, Packed: c.Packed,
		Rate: c.Rate, WithinUs: c.WithinUs, WithinMM: c.WithinMM,
	}
}

// longPulse is the longest pulse that quarters of a microsecond hold in 16
// bits, µs.
const longPulse = 16383

// bits gives the fraction bits that the command line takes for a kind of
// value.
func bits(k table.Kind, b *workfile.Built) int {
	switch k {
	case table.TenthDegree:
		return 0
	case table.PWMCount, table.ServoStep:
		return 3
	}
	for i := range b.Channels {
		for j := range b.Channels[i] {
			if b.Channels[i][j].Max > longPulse {
				return 1
			}
		}
	}
	return 2
}
