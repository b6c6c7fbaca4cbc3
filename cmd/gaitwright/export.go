// SPDX-License-Identifier: MIT

package main

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"gaitwright/motion"
	"gaitwright/motion/table"
)

type exportCmd struct {
	fileArg `embed:""`
	Format  string   `required:"" enum:"c,avr,csv,json" placeholder:"c|avr|csv|json" help:"What to write: C99, C for an AVR's flash, CSV or JSON."`
	Rate    rateFlag `required:"" placeholder:"HZ" help:"Frames a second."`
	Out     string   `required:"" placeholder:"DIR" help:"Folder to write into; it is made when it is not there."`
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
	t, err := motion.NewSampler(&r.Built.Robot).Sample(r.Plan, float64(c.Rate), nil)
	if err != nil {
		return fmt.Errorf("%s: %w", s.name, err)
	}
	sum := sha256.Sum256(s.text)
	base := filepath.Base(s.name)
	tb, err := table.Make(r.Built, t, table.Options{
		Name:     strings.TrimSuffix(base, filepath.Ext(base)),
		Workfile: base, SHA256: hex.EncodeToString(sum[:]), Findings: r.Findings,
	})
	if err != nil {
		return err
	}
	files, err := tb.Files(format)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(c.Out, 0o755); err != nil {
		return fmt.Errorf("cannot make the folder: %w", err)
	}
	for _, f := range files {
		path := filepath.Join(c.Out, f.Name)
		if err := save(path, func(w io.Writer) error { _, err := w.Write(f.Data); return err }); err != nil {
			return err
		}
		fmt.Fprintln(e.stdout, path)
	}
	return nil
}
