// SPDX-License-Identifier: MIT

package table

import (
	"errors"
	"testing"
)

// What both C sources take on a part, at the borders.
func TestPlainSize(t *testing.T) {
	of := func(bytes int) *Table { // of pulses, the one channel included
		n := (bytes - 2) / 2
		return &Table{Joints: []Joint{{}}, Moves: []Move{{Pulse: make([]uint16, n), Angle: make([]int16, n)}}}
	}
	part := func(name string) Part {
		p, err := ParsePart(name)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	for _, x := range [...]struct {
		bytes   int
		part    string
		oneOnly bool
		fits    bool
	}{
		{16000, "atmega328p", false, true},
		{16386, "atmega328p", true, true},
		{32768, "atmega328p", true, true},
		{32770, "atmega328p", false, false},
		{32640, "atmega2560", false, true}, // 64 KiB less the vectors, whatever the flash
		{32642, "atmega2560", true, true},
		{maxNear, "atmega2560", true, true},
		{maxNear + 2, "atmega2560", false, false},
		{1 << 20, "rp2040", false, true},
		{1<<20 + 2, "rp2040", true, true},
	} {
		s := of(x.bytes).SizeOn(part(x.part))
		if s.Pulses != x.bytes || s.Angles != x.bytes-2 || s.Used() != 2*x.bytes-2 {
			t.Fatalf("%+v of %d bytes", s, x.bytes)
		}
		if err := s.Err(); s.OneOnly() != x.oneOnly || (err == nil) != x.fits || err != nil && !errors.Is(err, ErrPart) {
			t.Errorf("%d bytes on %s: one only %v, %v", x.bytes, x.part, s.OneOnly(), err)
		}
	}
}
