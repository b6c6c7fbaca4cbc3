// SPDX-License-Identifier: MIT

package main

import (
	"bufio"
	"fmt"
	"io"
	"strconv"
	"strings"

	"gaitwright/kin"
	"gaitwright/motion/gait"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

type gaitsCmd struct {
	fileArg `embed:""`
	Duty    dutyFlag `placeholder:"SHARE" help:"The wave gait for this duty factor (from 0.5 to below 1) instead of the usual gaits."`
}

// dutyFlag is a duty factor of a wave gait, 0 for none.
type dutyFlag float64

// UnmarshalText refuses what no wave gait has.
func (d *dutyFlag) UnmarshalText(text []byte) error {
	var v float64
	if _, err := fmt.Sscanf(string(text)+"\n", "%g\n", &v); err != nil || !(v >= 0.5 && v < 1) {
		return fmt.Errorf("%q is no duty factor of a wave gait: give a share of the period from 0.5 to below 1, such as 0.75", text)
	}
	*d = dutyFlag(v)
	return nil
}

// Run writes the known gaits for the robot's legs, ready to be put into the
// workfile.
func (c *gaitsCmd) Run(e *env) error {
	s, err := c.load()
	if err != nil {
		return err
	}
	b, err := s.file.Build()
	if err != nil {
		return err
	}
	s.file.Gaits, s.file.Sequence = nil, nil // swing time and step height are those to begin with
	var all []workfile.Gait
	if c.Duty > 0 {
		g, err := edit.Wave(s.file, float64(c.Duty))
		if err != nil {
			return fmt.Errorf("%s: %w", s.name, err)
		}
		all = append(all, g)
	} else if all, err = edit.Library(s.file); err != nil {
		return fmt.Errorf("%s: %w", s.name, err)
	}
	of := s.file.Clone()
	of.Gaits, of.Sequence = all, nil
	built, err := of.Build()
	if err != nil {
		return err
	}
	out := bufio.NewWriter(e.stdout)
	for i := range all {
		if i > 0 {
			fmt.Fprintln(out)
		}
		writeGait(out, &all[i], &built.Gaits[i], &b.Robot)
	}
	if err := out.Flush(); err != nil {
		return fmt.Errorf("cannot write the gaits: %w", err)
	}
	return nil
}

// writeGait writes a gait as the workfile has it.
func writeGait(w io.Writer, g *workfile.Gait, is *gait.Gait, r *kin.Robot) {
	most := 0
	for _, s := range is.Standing() {
		most = max(most, s.Feet)
	}
	fmt.Fprintf(w, "# %d to %d of %d feet down\n", is.LeastDown(), most, len(is.Phase))
	fmt.Fprintf(w, "[[gait]]\nname = %q\nperiod_ms = %v\nduty_factor = %s\nstep_height_mm = %v\nphase = {", g.Name, g.Period, shareText(g.Duty), g.StepHeight)
	for i := range r.Legs {
		if i > 0 {
			fmt.Fprint(w, ",")
		}
		fmt.Fprintf(w, " %s = %s", keyText(r.Legs[i].Name), shareText(g.Phase[r.Legs[i].Name]))
	}
	fmt.Fprintln(w, " }")
}

// keyText writes a key of TOML, between quotes where it needs them: the letters
// of a leg's name may be of any alphabet.
func keyText(name string) string {
	if strings.ContainsFunc(name, func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '_' || r == '-')
	}) {
		return strconv.Quote(name)
	}
	return name
}

// shareText writes a share of a period in full: with fewer digits a foot would
// lift a moment before the one that it waits for is down.
func shareText(v float64) string {
	s := strconv.FormatFloat(v, 'f', -1, 64)
	if !strings.Contains(s, ".") {
		s += ".0"
	}
	return s
}
