// SPDX-License-Identifier: MIT

package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"

	"gaitwright/motion/diskfile"
)

// save lets write fill the file at path, whole or not at all. Into a device
// or a pipe, which cannot be replaced, it writes directly.
func save(path string, write func(io.Writer) error) error {
	info, err := os.Stat(path)
	if err != nil || info.IsDir() || info.Mode().IsRegular() {
		return diskfile.SaveFrom(path, write)
	}
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return fmt.Errorf("cannot write: %w", err)
	}
	return errors.Join(buffered(f, write), f.Close())
}

func buffered(w io.Writer, write func(io.Writer) error) error {
	b := bufio.NewWriterSize(w, 1<<16)
	if err := write(b); err != nil {
		return err
	}
	return b.Flush()
}
