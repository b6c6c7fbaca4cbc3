// SPDX-License-Identifier: MIT

package review

import (
	"math"
	"strconv"
	"strings"
)

// leastWritten is the smallest number that sentences write; below it they say
// that there is less.
const leastWritten = 0.001

// decimal writes a number with so many decimals. One that would be written as
// zero has two significant digits instead, or is said to be less than
// leastWritten: no sentence says "0 mm" of what is not nothing.
func decimal(v float64, decimals int) string {
	v = finite(v)
	a := math.Abs(v)
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if a == 0 {
		return strconv.FormatFloat(0, 'f', decimals, 64) // no sign on a zero
	}
	if shown, err := strconv.ParseFloat(s, 64); err == nil && shown != 0 {
		return s
	}
	if a < leastWritten {
		if v < 0 {
			return "more than −" + strconv.FormatFloat(leastWritten, 'f', -1, 64)
		}
		return "less than " + strconv.FormatFloat(leastWritten, 'f', -1, 64)
	}
	return strconv.FormatFloat(v, 'f', 1-int(math.Floor(math.Log10(a))), 64)
}

// lasting writes how long an interval lasts.
func lasting(v *interval) string {
	if d := v.to - v.from; d > 0 {
		return decimal(d*milli, 0) + " ms"
	}
	return "an instant"
}

// Amount writes the value and the limit as the sentence does, without the unit.
func (f *Finding) Amount() (value, limit string) {
	write := func(v float64) string { return decimal(v, 1) }
	switch f.Unit {
	case "N·m":
		write = func(v float64) string { return strings.TrimSuffix(torque(v), " N·m") }
	case "deg/s", "mm/s", "us":
		write = func(v float64) string { return decimal(v, 0) }
	case "":
		write = func(v float64) string { return decimal(v, 2) }
	}
	if f.Word == "jump" && f.Unit == "deg" {
		write = func(v float64) string { return decimal(v, 2) }
	}
	value = write(f.Value)
	if f.Limit == 0 {
		return value, "0"
	}
	return value, write(f.Limit)
}
