// SPDX-License-Identifier: MIT

// Package diskfile writes files so that nothing is lost: a file is there whole,
// the old one or the new one, whatever happens in between.
//
// # How a save goes
//
// The new content goes into a file of its own beside the old one
// (.NAME.*.part), is brought onto the disk, gets the old file's permissions, and
// then takes the old file's name in one step; the folder is brought onto the
// disk as well. A program that is ended in between leaves the old file as it
// was, and at most the part, which [Sweep] takes away.
//
// A symbolic link stays one: the file that it leads to is replaced, also one
// that is not there any more. Permission bits stay; a new file gets 0644. What
// a new file cannot take over from an old one is not kept: a further hard link
// to the old file goes on leading to the old content, and owner, access lists
// and extended attributes are those of a file that the person makes.
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
	return save(path, newMode, write)
}

// SavePrivate is Save, but a new file can be read by its owner alone.
func SavePrivate(path string, data []byte) error {
	return save(path, 0o600, func(w io.Writer) error { _, err := w.Write(data); return err })
}

func save(path string, mode fs.FileMode, write func(io.Writer) error) error {
	path = Target(path)
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
	default:
		mode = info.Mode().Perm()
	}
	inWriting, err := replace(path, mode, write)
	if err != nil && !inWriting {
		return fmt.Errorf("%s is not saved, what was there is untouched: see that the disk has room and that you may write in %s, or save elsewhere: %w",
			path, dir, err)
	}
	return err
}

// replace puts a new file in the place of the one at path. It tells whether an
// error is one of write's own.
func replace(path string, mode fs.FileMode, write func(io.Writer) error) (own bool, err error) {
	dir, name := filepath.Split(path)
	if dir == "" {
		dir = "."
	}
	f, err := os.CreateTemp(dir, "."+name+".*"+partEnd)
	if err != nil {
		return false, err
	}
	defer func() {
		if err != nil {
			f.Close()
			os.Remove(f.Name())
		}
	}()
	disk := &noted{w: f}
	b := bufio.NewWriterSize(disk, 1<<16)
	if err := write(b); err != nil {
		return disk.err == nil, err
	}
	if err := b.Flush(); err != nil {
		return false, err
	}
	if err := f.Chmod(mode); err != nil && !errors.Is(err, errors.ErrUnsupported) {
		return false, err
	}
	if err := f.Sync(); err != nil {
		return false, err
	}
	if err := f.Close(); err != nil {
		return false, err
	}
	if err := atomic.ReplaceFile(f.Name(), path); err != nil {
		return false, err
	}
	syncFolder(dir)
	return false, nil
}

// noted remembers whether the disk refused something.
type noted struct {
	w   io.Writer
	err error
}

func (n *noted) Write(p []byte) (int, error) {
	k, err := n.w.Write(p)
	if err != nil {
		n.err = err
	}
	return k, err
}

// syncFolder brings a folder's list of names onto the disk. Where a system
// cannot do that the names are there all the same, if not through a failure of
// the power in the next seconds.
func syncFolder(dir string) {
	if d, err := os.Open(dir); err == nil {
		_ = d.Sync()
		d.Close()
	}
}

// Target follows symbolic links to the file that they lead to, also where that
// is not there.
func Target(path string) string {
	const most = 40 // links, as Linux follows
	for range most {
		if to, err := filepath.EvalSymlinks(path); err == nil {
			return to
		}
		to, err := os.Readlink(path)
		if err != nil {
			return path
		}
		if !filepath.IsAbs(to) {
			to = filepath.Join(filepath.Dir(path), to)
		}
		path = to
	}
	return path
}
