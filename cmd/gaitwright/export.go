// SPDX-License-Identifier: MIT

package main

import (
	"fmt"

	"gaitwright/motion/table"
)

type exportCmd struct {
	fileArg `embed:""`
	Format  string   `required:"" enum:"c,avr,csv,json" placeholder:"c|avr|csv|json" help:"What to write: C99, C for an AVR's flash, CSV or JSON."`
	Rate    rateFlag `required:"" placeholder:"HZ" help:"Frames a second."`
	Out     string   `required:"" placeholder:"DIR" help:"Folder to write into; it is made when it is not there."`
	Whole   bool     `help:"One table of the whole sequence, walking included, instead of one for each move."`
	Despite bool     `name:"despite-findings" help:"Export although findings forbid running the motion; the tables list them."`
}

// Run writes the tables. The motion is judged at the workfile's own rate and
// exported at the one asked for.
func (c *exportCmd) Run(e *env) error {
	format, err := table.ParseFormat(c.Format)
	if err != nil {
		return err
	}
	s, err := c.load()
	if err != nil {
		return err
	}
	r, err := s.rehearse(e, 0)
	if err != nil {
		return err
	}
	if bad := stops(r.Findings); len(bad) > 0 && !c.Despite {
		fmt.Fprintf(e.stderr, "gaitwright: %s is not exported: %s running it on the robot\n", s.name, count(len(bad), "finding forbids", "findings forbid"))
		for i := range bad {
			fmt.Fprintf(e.stderr, "  %s\n", findingText(&bad[i], &r.Built.Robot))
		}
		fmt.Fprintln(e.stderr, "Mend them, or export all the same with --despite-findings: the tables then list them.")
		return errStop
	}
	make := r.Table
	if c.Whole {
		make = r.WholeTable
	}
	t, err := make(s.name, s.text, float64(c.Rate))
	if err != nil {
		return fmt.Errorf("%s: %w", s.name, err)
	}
	files, err := t.Files(format)
	if err != nil {
		return fmt.Errorf("%s: %w", s.name, err)
	}
	paths, err := table.Write(c.Out, files)
	for _, path := range paths {
		fmt.Fprintln(e.stdout, path)
	}
	return err
}
