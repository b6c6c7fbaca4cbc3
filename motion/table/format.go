// SPDX-License-Identifier: MIT

package table

import "fmt"

// Format is a way to write tables.
type Format int

// The formats.
const (
	C    Format = iota // C99: a header and two sources, pulses and angles apart
	AVR                // the same with the data in flash (PROGMEM) and functions that read it
	CSV                // one file
	JSON               // one file
)

var formats = [...]string{"c", "avr", "csv", "json"}

// String gives the format's word, "" for none.
func (f Format) String() string {
	if f < 0 || int(f) >= len(formats) {
		return ""
	}
	return formats[f]
}

// ParseFormat is the inverse of String.
func ParseFormat(s string) (Format, error) {
	for i, w := range formats {
		if s == w {
			return Format(i), nil
		}
	}
	return 0, fmt.Errorf("table: unknown format %q: want c, avr, csv or json", s)
}

// File is one file of an export.
type File struct {
	Name string // without folder
	Data []byte
}

// Files writes the tables. An error when the format cannot hold them; then
// no file is given.
func (t *Table) Files(f Format) ([]File, error) {
	switch f {
	case C:
		return t.c(false)
	case AVR:
		return t.c(true)
	case CSV:
		return t.csv()
	case JSON:
		return t.json()
	}
	return nil, fmt.Errorf("table: unknown format %d", int(f))
}
