// SPDX-License-Identifier: MIT

package table

import "fmt"

// Plain is what a table of pulses and angles takes on a part.
type Plain struct {
	Part
	Pulses int // bytes of NAME_pulse.c, the channels included
	Angles int // bytes of NAME_angle.c
}

// SizeOn works out what the C sources of a table take on a part.
func (t *Table) SizeOn(p Part) Plain {
	s := Plain{Part: p, Pulses: 2 * len(t.Joints)}
	for i := range t.Moves {
		s.Pulses += 2 * len(t.Moves[i].Pulse)
		s.Angles += 2 * len(t.Moves[i].Angle)
	}
	return s
}

// Used is the flash that both sources take, bytes.
func (s *Plain) Used() int { return s.Pulses + s.Angles }

// near is the flash in which both have to find room, bytes.
func (s *Plain) near() int {
	if s.family == avr8 {
		return min(s.Flash, maxNear)
	}
	return s.Flash
}

// OneOnly tells that there is room for pulses or angles, but not for both.
func (s *Plain) OneOnly() bool { return s.Used() > s.near() && s.Pulses <= s.near() }

// Err tells why not even the pulses alone find room, nil when they do.
func (s *Plain) Err() error {
	if s.Pulses <= s.near() {
		return nil
	}
	return fmt.Errorf("%w: pulses of %d bytes do not find room in the %d bytes that an %s has for them: lower the rate, export fewer moves, take the packed tables of the player, or a larger part",
		ErrPart, s.Pulses, s.near(), s.Name)
}

// OnAVR tells whether the part keeps its flash apart from its memory, so that
// tables are read by functions of their own.
func (p *Part) OnAVR() bool { return p.family == avr8 }
