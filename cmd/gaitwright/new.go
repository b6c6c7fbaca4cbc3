// SPDX-License-Identifier: MIT

package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"

	"gaitwright/assets"
)

type newCmd struct {
	File string `arg:"" name:"FILE" help:"Workfile to write; it must not exist yet."`
}

// Run writes the starting workfile, never over another file.
func (c *newCmd) Run(e *env) error {
	f, err := os.OpenFile(c.File, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s is there already and stays as it is: choose another name", c.File)
	}
	if err != nil {
		return fmt.Errorf("cannot write the workfile: %w", err)
	}
	_, err = f.Write(assets.New)
	if err = errors.Join(err, f.Close()); err != nil {
		os.Remove(c.File) // half a workfile helps nobody
		return fmt.Errorf("cannot write the workfile: %w", err)
	}
	fmt.Fprintf(e.stdout, "%s is written. Put your robot's numbers in, then: gaitwright check %s\n", c.File, c.File)
	return nil
}
