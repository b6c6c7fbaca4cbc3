// SPDX-License-Identifier: MIT

package export

import (
	"runtime"
	"strconv"
	"strings"

	"gaitwright/motion/table"
)

// Args gives what to tell the program on a command line so that it writes the
// same files. A file of "" is the demo.
func (c Choices) Args(file, folder string, despite bool) []string {
	c, u := c.InForce(), Usual()
	args := []string{"export"}
	add := func(when bool, s ...string) {
		if when {
			args = append(args, s...)
		}
	}
	number := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
	add(file != "", file)
	add(true, "--format", words[c.Format])
	add(!c.Lowest, "--rate", number(c.Rate))
	add(c.Lowest && c.WithinUs > 0, "--within-us", number(c.WithinUs))
	add(c.Lowest && c.WithinMM > 0, "--within-mm", number(c.WithinMM))
	add(c.What == Whole, "--whole")
	add(c.What == MovesAndWalks, "--walks")
	add(c.Between != u.Between, "--interpolate", c.Between.String())
	add(c.Packed, "--packed")
	add(c.Kind != table.PulseUs, "--unit", c.Kind.String())
	add(c.PWM.Rate != u.PWM.Rate, "--pwm-hz", number(c.PWM.Rate))
	add(c.PWM.Oscillator != u.PWM.Oscillator, "--pwm-clock-hz", number(c.PWM.Oscillator))
	add(c.Steps.Most != u.Steps.Most, "--step-most", strconv.Itoa(c.Steps.Most))
	add(c.Steps.Range != u.Steps.Range, "--step-range-deg", number(c.Steps.Range))
	add(c.Steps.Centre != u.Steps.Centre, "--step-centre", strconv.Itoa(c.Steps.Centre))
	add(c.Part != "" && c.Format.Played(), "--part", c.Part)
	add(c.WithPlayer, "--with-player")
	add(despite, "--despite-findings")
	add(true, "--out", folder)
	return args
}

// command writes a command line as it is typed into a shell.
func command(args []string) string { return typed(args, runtime.GOOS == "windows") }

func typed(args []string, windows bool) string {
	out := []string{"gaitwright"}
	for _, a := range args {
		plain := a != ""
		for _, r := range a {
			plain = plain && (r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("-_./,:+=@", r) || windows && r == '\\')
		}
		switch {
		case plain:
		case windows:
			a = `"` + a + `"` // a path cannot have the sign itself
		default:
			a = "'" + strings.ReplaceAll(a, "'", `'\''`) + "'"
		}
		out = append(out, a)
	}
	return strings.Join(out, " ")
}
