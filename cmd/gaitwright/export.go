// SPDX-License-Identifier: MIT

package main

import (
	"errors"
	"fmt"

	"gaitwright/motion/rehearsal"
	"gaitwright/motion/table"
)

type exportCmd struct {
	fileArg `embed:""`
	Format  string `required:"" enum:"c,avr,csv,json,player,bin" placeholder:"c|avr|csv|json|player|bin" help:"What to write: C99, C for an AVR's flash, CSV or JSON; or tables for the player, as C sources or as binary files."`
	Out     string `required:"" placeholder:"DIR" help:"Folder to write into; it is made when it is not there. Everything is written, or nothing."`
	sheetFlags
	WithPlayer bool `help:"Put the player beside its tables, with its documents and example programs."`
	Despite    bool `name:"despite-findings" help:"Export although findings forbid running the motion; the tables list them."`
}

// Run writes the tables. The motion is judged at the workfile's own rate and
// exported at the one asked for.
func (c *exportCmd) Run(e *env) error {
	player := c.Format == "player" || c.Format == "bin"
	if !player {
		if err := c.only(c.Format); err != nil {
			return err
		}
		if c.WithPlayer {
			return errors.New("--with-player belongs to the formats player and bin: the player does not read the others")
		}
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
	write := c.plain
	if player {
		write = c.played
	}
	files, err := write(e, s, r)
	if err != nil {
		return fmt.Errorf("%s: %w", s.name, err)
	}
	paths, err := table.Write(c.Out, files)
	for _, path := range paths {
		fmt.Fprintln(e.stdout, path)
	}
	return err
}

// plain gives the files of pulses and angles.
func (c *exportCmd) plain(_ *env, s *source, r *rehearsal.Rehearsal) ([]table.File, error) {
	format, err := table.ParseFormat(c.Format)
	if err != nil {
		return nil, err
	}
	make := r.Table
	if c.Whole {
		make = r.WholeTable
	}
	t, err := make(s.name, s.text, float64(c.Rate))
	if err != nil {
		return nil, err
	}
	return t.Files(format)
}

// played gives the files for the player.
func (c *exportCmd) played(e *env, s *source, r *rehearsal.Rehearsal) ([]table.File, error) {
	p := e.progress()
	p.stage("making tables of " + s.name)
	defer p.done()
	set, err := c.set(s, r)
	if err != nil {
		return nil, err
	}
	if err := c.fits(set); err != nil {
		return nil, err
	}
	files, err := set.Sources()
	if c.Format == "bin" {
		files, err = set.Binaries()
	}
	if err != nil || !c.WithPlayer {
		return files, err
	}
	more, err := set.Player()
	return append(files, more...), err
}
