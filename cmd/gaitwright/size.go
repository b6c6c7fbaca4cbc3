// SPDX-License-Identifier: MIT

package main

import (
	"fmt"
	"io"

	"gaitwright/motion/table"
)

type sizeCmd struct {
	fileArg `embed:""`
	sheetFlags
}

// Run tells what the tables and the player take of common microcontrollers.
func (c *sizeCmd) Run(e *env) error {
	if c.Rate == 0 && c.WithinUs == 0 && c.WithinMM == 0 {
		c.Rate = 50 // as servos usually take their pulses
	}
	s, err := c.load()
	if err != nil {
		return err
	}
	r, err := s.rehearse(e, 0)
	if err != nil {
		return err
	}
	p := e.progress()
	p.stage("making tables of " + s.name)
	set, err := c.set(s, r)
	p.done()
	if err != nil {
		return fmt.Errorf("%s: %w", s.name, err)
	}
	parts := table.Parts()
	if c.Part != "" {
		one, err := table.ParsePart(c.Part)
		if err != nil {
			return err
		}
		parts = []table.Part{one}
	}
	var misfit error
	err = buffered(e.stdout, func(w io.Writer) (err error) {
		misfit, err = writeSizes(w, set, parts)
		return err
	})
	if err != nil {
		return fmt.Errorf("%s: %w", s.name, err)
	}
	if c.Part != "" {
		return misfit
	}
	return nil
}

// writeSizes writes what the tables take, and gives why one of the parts does
// not hold them.
func writeSizes(w io.Writer, set *table.Set, parts []table.Part) (misfit, err error) {
	fmt.Fprintf(w, "%-24s %8s %8s %8s %9s %8s %8s\n", "table", "seconds", "frames", "Hz", "off by us", "mm", "bytes")
	for _, t := range set.Sheets {
		b, err := t.Binary()
		if err != nil {
			return nil, err
		}
		fmt.Fprintf(w, "%-24s %8.3f %8d %8.4g %9.3f %8.3f %8d\n", t.Name, t.Duration, t.Frames, t.Rate(), t.WorstUs, t.WorstMM, len(b))
	}
	fmt.Fprintf(w, "\n%-12s %9s %9s %9s %6s %9s %9s %6s  %s\n", "part", "tables", "player", "flash", "share", "state", "memory", "share", "")
	for _, part := range parts {
		z, err := set.SizeOn(part)
		if err != nil {
			return nil, err
		}
		verdict := "fits"
		if z.FarToo {
			verdict = "fits, with far addresses"
		}
		if err := z.Err(); err != nil {
			verdict, misfit = "does not fit", err
		}
		fmt.Fprintf(w, "%-12s %9d %9d %9d %5.1f%% %9d %9d %5.1f%%  %s\n", z.Name, z.Tables, z.Code, z.Flash, 100*float64(z.Used())/float64(z.Flash),
			z.State, z.RAM, 100*float64(z.State)/float64(z.RAM), verdict)
	}
	fmt.Fprintln(w, "\nBytes. Limits:")
	for _, part := range parts {
		fmt.Fprintf(w, "  %s: %s; %s\n", part.Name, part.Source, part.Note)
	}
	return misfit, nil
}
