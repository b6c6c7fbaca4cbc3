// SPDX-License-Identifier: MIT

package main

import (
	"bufio"
	"fmt"
	"io"
	"math"

	"gaitwright/kin"
	"gaitwright/motion/gait"
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
	left, right, err := gait.Sides(&b.Robot)
	if err != nil {
		return fmt.Errorf("%s: %w", s.name, err)
	}
	var all []gait.Gait
	if c.Duty > 0 {
		g, err := gait.WaveOf(left, right, float64(c.Duty))
		if err != nil {
			return err
		}
		all = append(all, g)
	} else if all, err = gait.Library(left, right); err != nil {
		return fmt.Errorf("%s: %w", s.name, err)
	}
	out := bufio.NewWriter(e.stdout)
	for i := range all {
		if i > 0 {
			fmt.Fprintln(out)
		}
		writeGait(out, &all[i], &b.Robot)
	}
	if err := out.Flush(); err != nil {
		return fmt.Errorf("cannot write the gaits: %w", err)
	}
	return nil
}

// writeGait writes a gait as the workfile has it. Its swings take half a
// second and rise by 30 mm, to begin with.
func writeGait(w io.Writer, g *gait.Gait, r *kin.Robot) {
	const swing, height = 500, 30 // ms, mm
	most := 0
	for _, s := range g.Standing() {
		most = max(most, s.Feet)
	}
	fmt.Fprintf(w, "# %d to %d of %d feet down\n", g.LeastDown(), most, len(g.Phase))
	fmt.Fprintf(w, "[[gait]]\nname = %q\nperiod_ms = %.0f\nduty_factor = %s\nstep_height_mm = %d\nphase = {", g.Name, math.Round(swing/(1-g.Duty)), shareText(g.Duty), height)
	for i := range r.Legs {
		if i > 0 {
			fmt.Fprint(w, ",")
		}
		fmt.Fprintf(w, " %s = %s", r.Legs[i].Name, shareText(g.Phase[i]))
	}
	fmt.Fprintln(w, " }")
}

// shareText writes a share of a period to six decimals, rounded down so that
// it stays below 1.
func shareText(v float64) string {
	s := fmt.Sprintf("%.6f", math.Floor(v*1e6+1e-6)/1e6)
	for s[len(s)-1] == '0' && s[len(s)-2] != '.' {
		s = s[:len(s)-1]
	}
	return s
}
