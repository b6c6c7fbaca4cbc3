// SPDX-License-Identifier: MIT

package main

import (
	"fmt"

	"gaitwright/motion/output"
)

type sheetCmd struct {
	fileArg `embed:""`
	Out     string `help:"Write a page to print (HTML) into this file." placeholder:"F.html"`
}

// Run writes the check sheet: the pulse of each joint at some angles.
func (c *sheetCmd) Run(e *env) error {
	if err := spared(c.Out, "--out", c.File); err != nil {
		return err
	}
	s, err := c.load()
	if err != nil {
		return err
	}
	b, err := s.file.Build()
	if err != nil {
		return err
	}
	sheet, err := output.NewSheet(b)
	if err != nil {
		return fmt.Errorf("%s: %w", s.name, err)
	}
	if c.Out == "" {
		if err := buffered(e.stdout, sheet.Text); err != nil {
			return fmt.Errorf("cannot write the sheet: %w", err)
		}
		return nil
	}
	if err := save(c.Out, sheet.HTML); err != nil {
		return fmt.Errorf("cannot write the sheet: %w", err)
	}
	if _, err := fmt.Fprintln(e.stdout, c.Out); err != nil {
		return fmt.Errorf("the sheet is written, but its name cannot be: %w", err)
	}
	return nil
}
