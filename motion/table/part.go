// SPDX-License-Identifier: MIT

package table

import (
	"errors"
	"fmt"
	"strings"
)

// ErrPart is what errors wrap when tables do not fit a part.
var ErrPart = errors.New("table: too large for the part")

// family is how a part reads its flash, and which code its compiler makes.
type family uint8

const (
	avr8  family = iota // flash apart from memory, 16-bit near addresses
	thumb               // 32-bit, flash in the one address space
	lx6                 // the same
)

// Part is a microcontroller.
type Part struct {
	Name   string
	Flash  int // bytes
	RAM    int // bytes
	Source string
	family family
	Far    bool // flash beyond 64 KiB can be read (ELPM)
	Note   string
}

// Parts lists those that tables can be sized for.
func Parts() []Part {
	return []Part{
		{"atmega328p", 32 << 10, 2 << 10, "data sheet DS40002061, table 2-1", avr8, false, "less what a boot loader takes, 512 to 2048 bytes"},
		{"atmega2560", 256 << 10, 8 << 10, "data sheet DS40002211, table 2-1", avr8, true, "less what a boot loader takes, up to 8192 bytes"},
		{"rp2040", 2 << 20, 264 << 10, "RP2040 datasheet, section 1: 264 kB of SRAM, external flash of up to 16 MB", thumb, true, "with 2 MB of external flash"},
		{"esp32", 4 << 20, 520 << 10, "ESP32 series datasheet, section 1: 520 kB of SRAM, external flash", lx6, true, "with 4 MB of external flash; about 300 kB of the SRAM are free for data"},
	}
}

// ParsePart finds a part by its name.
func ParsePart(s string) (Part, error) {
	var names []string
	for _, p := range Parts() {
		if strings.EqualFold(p.Name, s) {
			return p, nil
		}
		names = append(names, p.Name)
	}
	return Part{}, fmt.Errorf("table: unknown part %q: want one of %s", s, strings.Join(names, ", "))
}

// What the player takes, measured with avr-gcc 5.4 -Os, arm-none-eabi-gcc 12.2
// -Os for a Cortex-M0+; the last is an estimate from that. A test measures it
// again.
func (f family) player() (flash int) {
	return [...]int{16050, 7250, 9500}[f]
}

// state is the memory of a player with room for so many channels, bytes.
func (f family) state(channels int) int {
	if f == avr8 {
		return avrState + avrEach*channels
	}
	return armState + armEach*channels
}

// The size of struct gait_player.
const (
	avrState, avrEach = 274, 34
	armState, armEach = 308, 34
)

// The code that reads one table, and its struct.
func (f family) reader(arrays int, far bool) (flash, ram int) {
	switch {
	case f != avr8:
		return 14 + 14*arrays, 0
	case far:
		return 12 + 70*arrays, 6
	}
	return 10 + 40*arrays, 6
}

// Size is what an export takes on a part.
type Size struct {
	Part
	Tables int  // bytes of all tables' data
	Code   int  // bytes of the player and of what reads the tables
	State  int  // bytes of memory
	FarToo bool // the tables lie beyond near addresses
}

// Used is the flash taken, bytes.
func (s *Size) Used() int { return s.Tables + s.Code }

// Err tells why the export does not fit, nil when it does.
func (s *Size) Err() error {
	switch {
	case s.FarToo && !s.Far:
		return fmt.Errorf("%w: the tables have %d bytes, of which an %s reads %d at the most: lower the rate, interpolate by a cubic, pack them, or export fewer",
			ErrPart, s.Tables, s.Name, maxNear)
	case s.Used() > s.Flash:
		return fmt.Errorf("%w: tables of %d bytes and a player of %d do not fit the %d bytes of flash of an %s: lower the rate, interpolate by a cubic, pack them, export fewer, or take a larger part",
			ErrPart, s.Tables, s.Code, s.Flash, s.Name)
	case s.State > s.RAM*3/4:
		return fmt.Errorf("%w: the player takes %d of the %d bytes of memory of an %s, and a program needs some too: take a larger part", ErrPart, s.State, s.RAM, s.Name)
	}
	return nil
}

// SizeOn works out what sheets take on a part.
func (set *Set) SizeOn(p Part) (Size, error) {
	s := Size{Part: p, Code: p.family.player()}
	channels := 0
	sizes, err := set.sizes()
	if err != nil {
		return s, err
	}
	for i, n := range sizes {
		s.Tables += even(n)
		channels = max(channels, len(set.Sheets[i].Channels))
	}
	s.FarToo = p.family == avr8 && s.Tables > maxNear
	for _, n := range sizes {
		code, ram := p.family.reader((n+maxChunk-1)/maxChunk, s.FarToo)
		s.Code += code
		s.State += ram
	}
	s.State += p.family.state(channels)
	return s, nil
}
