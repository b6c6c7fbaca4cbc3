// SPDX-License-Identifier: MIT

// Package diskfile writes files so that nothing is lost: a file is there whole,
// the old one or the new one, whatever happens in between.
package diskfile

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

// newMode is the permission of a file that was not there before.
const newMode = 0o644

// Save puts data into the file at path, as SaveFrom does.
func Save(path string, data []byte) error {
	return SaveFrom(path, func(w io.Writer) error { _, err := w.Write(data); return err })
}

// SaveFrom lets write fill the file at path: wholly, or not at all. A file
// that is there keeps its permissions, and what it holds until the new one is
// complete; a symbolic link stays one and its target is written. An error of
// write comes back as it is. Others say what to do; errors.Is finds the cause
// (fs.ErrPermission, fs.ErrNotExist) where it was looked at beforehand.
func SaveFrom(path string, write func(io.Writer) error) error {
	if to, err := filepath.EvalSymlinks(path); err == nil {
		path = to
	}
	dir := filepath.Dir(path)
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if d, err := os.Stat(dir); err != nil {
			return fmt.Errorf("cannot save: there is no folder %s: make it, or save elsewhere: %w", dir, err)
		} else if !d.IsDir() {
			return fmt.Errorf("cannot save: %s is not a folder: save elsewhere", dir)
		}
	case err != nil:
		return fmt.Errorf("cannot save %s: look at its folder's permissions, or save elsewhere: %w", path, err)
	case info.IsDir():
		return fmt.Errorf("cannot save: %s is a folder: name a file", path)
	case !info.Mode().IsRegular():
		return fmt.Errorf("cannot save: %s is not a plain file: save under another name", path)
	case info.Mode().Perm()&0o200 == 0:
		return fmt.Errorf("cannot save: %s is read-only: allow writing, or save under another name: %w", path, fs.ErrPermission)
	}
	r, w := io.Pipe()
	written := make(chan error, 1)
	go func() {
		b := bufio.NewWriterSize(w, 1<<16)
		err := write(b)
		if err == nil {
			err = b.Flush()
		}
		w.CloseWithError(err)
		written <- err
	}()
	err = atomic.WriteFile(path, r)
	r.Close() // ends a writer that nobody reads any more
	if werr := <-written; werr != nil && !errors.Is(werr, io.ErrClosedPipe) {
		return werr
	}
	if err != nil {
		return fmt.Errorf("%s is not saved, what was there is untouched: see that the disk has room and that you may write in %s, or save elsewhere: %w",
			path, dir, err)
	}
	if info == nil {
		// The new file has the narrow permissions of a temporary one.
		if err := os.Chmod(path, newMode); err != nil {
			return fmt.Errorf("%s is saved, but only you can read it: set its permissions by hand: %w", path, err)
		}
	}
	return nil
}
