// SPDX-License-Identifier: MIT

package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/natefinch/atomic"
)

// save lets write fill the file at path. A regular file is there whole or
// not at all, the old one until the new one is complete; into a device or a
// pipe it writes directly.
func save(path string, write func(io.Writer) error) error {
	info, err := os.Stat(path)
	fresh := errors.Is(err, fs.ErrNotExist)
	switch {
	case err != nil && !fresh:
		return fmt.Errorf("cannot write: %w", err)
	case fresh:
		if dir := filepath.Dir(path); !isDir(dir) {
			return fmt.Errorf("cannot write %s: there is no folder %s: make it, or name another", path, dir)
		}
	case info.IsDir():
		return fmt.Errorf("cannot write %s: it is a folder: name a file", path)
	case !info.Mode().IsRegular():
		f, err := os.OpenFile(path, os.O_WRONLY, 0)
		if err != nil {
			return fmt.Errorf("cannot write: %w", err)
		}
		return errors.Join(buffered(f, write), f.Close())
	default:
		// Replace what a link points to, not the link.
		if path, err = filepath.EvalSymlinks(path); err != nil {
			return fmt.Errorf("cannot write: %w", err)
		}
	}
	r, w := io.Pipe()
	written := make(chan error, 1)
	go func() {
		err := buffered(w, write)
		w.CloseWithError(err)
		written <- err
	}()
	err = atomic.WriteFile(path, r)
	r.Close() // ends a writer that nobody reads any more
	if werr := <-written; werr != nil && !errors.Is(werr, io.ErrClosedPipe) {
		return werr
	}
	if err != nil {
		return fmt.Errorf("cannot write %s: %w", path, err)
	}
	if fresh { // made for its owner alone
		if err := os.Chmod(path, 0o644); err != nil {
			return fmt.Errorf("cannot open %s to readers: %w", path, err)
		}
	}
	return nil
}

func isDir(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

func buffered(w io.Writer, write func(io.Writer) error) error {
	b := bufio.NewWriterSize(w, 1<<16)
	if err := write(b); err != nil {
		return err
	}
	return b.Flush()
}
