// SPDX-License-Identifier: MIT

package table

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// Write puts files into a folder, which it makes when it is not there: all of
// them or, with an error, none, and what was there before stays. A file's name
// may have a folder of its own in front. It returns the paths written.
//
// Everything is written beside its place first and only then moved there; a
// move that fails is undone with those before it. A loss of power in the midst
// of the moves can leave some of each.
func Write(folder string, files []File) (paths []string, err error) {
	made, err := makeFolder(folder)
	if err != nil {
		return nil, fmt.Errorf("cannot make the folder: %w", err)
	}
	var undo []func()
	defer func() {
		if err == nil {
			return
		}
		paths = nil
		for i := len(undo) - 1; i >= 0; i-- {
			undo[i]()
		}
		if made != "" {
			os.RemoveAll(made)
		}
	}()
	stage, err := os.MkdirTemp(folder, ".writing-")
	if err != nil {
		return nil, fmt.Errorf("cannot write into %s: see that you may, and that the disk has room: %w", folder, err)
	}
	defer os.RemoveAll(stage)
	targets := make([]string, len(files))
	for i, f := range files {
		path := filepath.Join(folder, filepath.FromSlash(f.Name))
		paths = append(paths, path)
		if targets[i], err = target(path); err != nil {
			return nil, err
		}
		if err = fill(staged(stage, i), f.Data); err != nil {
			return nil, fmt.Errorf("%s is not written, nothing is: see that the disk has room and that you may write in %s: %w", path, folder, err)
		}
	}
	for i, path := range targets {
		if dir := filepath.Dir(path); dir != folder {
			sub, err := makeFolder(dir)
			if err != nil {
				return nil, fmt.Errorf("nothing is written: cannot make the folder: %w", err)
			}
			if sub != "" {
				undo = append(undo, func() { os.Remove(sub) })
			}
		}
		old := staged(stage, i) + ".old"
		switch err := os.Rename(path, old); {
		case err == nil:
			undo = append(undo, func() { os.Rename(old, path) })
			if info, err := os.Stat(old); err == nil {
				os.Chmod(staged(stage, i), info.Mode().Perm())
			}
		case !errors.Is(err, fs.ErrNotExist):
			return nil, fmt.Errorf("%s cannot be replaced, nothing is written: %w", path, err)
		}
		if err := os.Rename(staged(stage, i), path); err != nil {
			return nil, fmt.Errorf("%s cannot be written, nothing is: %w", path, err)
		}
		undo = append(undo, func() { os.Remove(path) })
	}
	return paths, nil
}

func staged(stage string, i int) string { return filepath.Join(stage, fmt.Sprint(i)) }

// makeFolder makes a folder and gives the topmost one that was not there.
func makeFolder(path string) (made string, err error) {
	for p := path; ; p = filepath.Dir(p) {
		if _, err := os.Stat(p); !errors.Is(err, fs.ErrNotExist) || p == filepath.Dir(p) {
			break
		}
		made = p
	}
	return made, os.MkdirAll(path, 0o755)
}

// target gives where a path leads, and an error when no file may be there.
func target(path string) (string, error) {
	if to, err := filepath.EvalSymlinks(path); err == nil {
		path = to
	}
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return path, nil
	case err != nil:
		return "", fmt.Errorf("cannot write %s, nothing is written: %w", path, err)
	case info.IsDir():
		return "", fmt.Errorf("cannot write %s: it is a folder; nothing is written: give another folder to write into", path)
	case !info.Mode().IsRegular():
		return "", fmt.Errorf("cannot write %s: it is not a plain file; nothing is written: give another folder to write into", path)
	case info.Mode().Perm()&0o200 == 0:
		return "", fmt.Errorf("cannot write %s: it is read-only; nothing is written: allow writing, or give another folder: %w", path, fs.ErrPermission)
	}
	return path, nil
}

// fill writes a file to the disk.
func fill(path string, data []byte) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	return errors.Join(err, f.Sync(), f.Close())
}
