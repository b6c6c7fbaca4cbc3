// SPDX-License-Identifier: MIT

package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"gaitwright/motion/sweep"
	"gaitwright/motion/sweep/heatmap"
	"gaitwright/motion/table"
)

type sweepCmd struct {
	fileArg  `embed:""`
	JSON     bool   `name:"json" help:"Write all runs as JSON, in SI units."`
	Out      string `placeholder:"DIR" help:"Folder to write a heat map (SVG, PNG) and a CSV of all runs into; it is made when it is not there."`
	Instants int    `default:"100" placeholder:"N" help:"Instants of the gait's cycle at which each change is asked for (default: ${default})."`
}

// errInterrupted is returned by a command that has said how far it came.
var errInterrupted = errors.New("interrupted")

// Run sweeps the workfile. Interrupted, it says what it has so far and writes
// no file.
func (c *sweepCmd) Run(e *env) error {
	if c.Instants < 1 || c.Instants > sweep.MostInstants {
		return fmt.Errorf("--instants %d: give a number from 1 to %d", c.Instants, sweep.MostInstants)
	}
	s, err := c.load()
	if err != nil {
		return err
	}
	if len(s.file.Gaits) == 0 {
		return fmt.Errorf("%s: there is no gait to sweep: add a [[gait]]", s.name)
	}
	if c.Out != "" { // better now than when all is done
		if err := os.MkdirAll(c.Out, 0o755); err != nil {
			return fmt.Errorf("cannot make the folder: %w", err)
		}
	}
	r, err := c.sweep(e, s)
	if r == nil {
		return fmt.Errorf("%s: %w", s.name, err)
	}
	write := func(w io.Writer) error { return sweepText(w, s, r) }
	if c.JSON {
		write = func(w io.Writer) error { return writeJSON(w, sweepOf(s, r)) }
	}
	if err := buffered(e.stdout, write); err != nil {
		return fmt.Errorf("cannot write the sweep: %w", err)
	}
	if r.Partial {
		fmt.Fprintf(e.stderr, "gaitwright: interrupted after %d of %s; no file is written\n", r.Runs, runs(r.Total))
		return errInterrupted
	}
	if c.Out != "" {
		if err := c.files(e, s, r); err != nil {
			return err
		}
	}
	if runs, gaits := r.Stops(); runs+gaits > 0 {
		return errStop
	}
	return nil
}

// sweep runs it with a line on the terminal, until it is interrupted.
func (c *sweepCmd) sweep(e *env, s *source) (*sweep.Result, error) {
	ctx, stop := context.WithCancel(context.Background())
	if e.interrupted != nil {
		ctx, stop = e.interrupted(ctx)
	}
	defer stop()
	context.AfterFunc(ctx, stop) // a second time it ends the program
	p := e.progress()
	p.stage("sweeping " + s.name)
	defer p.done()
	return sweep.Run(ctx, s.file, sweep.Options{Instants: c.Instants, Progress: p.part})
}

// files writes the pictures and the table of all runs.
func (c *sweepCmd) files(e *env, s *source, r *sweep.Result) error {
	if len(r.Rows) == 0 {
		fmt.Fprintf(e.stderr, "gaitwright: %s: no change was swept, so there is nothing to draw\n", s.name)
		return nil
	}
	svg, png, err := heatmap.Draw(r, s.name)
	if err != nil {
		return err
	}
	rows, err := sweepCSV(s.file, r)
	if err != nil {
		return err
	}
	const name = "sweep-margin"
	paths, err := table.Write(c.Out, []table.File{
		{Name: name + ".svg", Data: svg}, {Name: name + ".png", Data: png}, {Name: name + ".csv", Data: rows},
	})
	if !c.JSON {
		for _, path := range paths {
			fmt.Fprintln(e.stdout, path)
		}
	}
	return err
}

func runs(n int) string { return count(n, "run", "runs") }
