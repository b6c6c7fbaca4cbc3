// SPDX-License-Identifier: MIT

package filedialog

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"strings"
)

// FS is what the browser reads. Paths are those of the system.
type FS interface {
	ReadDir(dir string) ([]fs.DirEntry, error)
	Stat(path string) (fs.FileInfo, error)
	Home() (string, error)
}

// Disk is the system's files.
type Disk struct{}

// ReadDir is os.ReadDir.
func (Disk) ReadDir(dir string) ([]fs.DirEntry, error) { return os.ReadDir(dir) }

// Stat is os.Stat.
func (Disk) Stat(path string) (fs.FileInfo, error) { return os.Stat(path) }

// Home is os.UserHomeDir.
func (Disk) Home() (string, error) { return os.UserHomeDir() }

// item is a row of the list.
type item struct {
	name   string
	folder bool
	size   int64
}

// list reads a folder: folders first, then the files that match, each by name
// without regard to case. Names with a leading dot are left out unless hidden.
func list(files FS, dir string, match func(string) bool, hidden bool) ([]item, error) {
	entries, err := files.ReadDir(dir)
	if err != nil {
		return nil, errors.New(sentence(err, dir))
	}
	var out []item
	for _, e := range entries {
		it := item{name: e.Name(), folder: e.IsDir()}
		if !hidden && strings.HasPrefix(it.name, ".") {
			continue
		}
		if e.Type()&fs.ModeSymlink != 0 {
			if info, err := files.Stat(filepath.Join(dir, it.name)); err == nil {
				it.folder, it.size = info.IsDir(), info.Size()
			}
		} else if info, err := e.Info(); err == nil {
			it.size = info.Size()
		}
		if it.folder || match(it.name) {
			out = append(out, it)
		}
	}
	sort.SliceStable(out, func(i, j int) bool {
		if out[i].folder != out[j].folder {
			return out[i].folder
		}
		a, b := strings.ToLower(out[i].name), strings.ToLower(out[j].name)
		if a != b {
			return a < b
		}
		return out[i].name < out[j].name
	})
	return out, nil
}

// sentence says in plain words why a path cannot be read.
func sentence(err error, path string) string {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Sprintf("there is no “%s”", path)
	case errors.Is(err, fs.ErrPermission):
		return fmt.Sprintf("you may not read “%s”", path)
	}
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return fmt.Sprintf("“%s” cannot be read: %v", path, pe.Err)
	}
	return fmt.Sprintf("“%s” cannot be read: %v", path, err)
}

// inWords writes a file size.
func inWords(n int64) string {
	switch {
	case n < 1000:
		return fmt.Sprintf("%d B", n)
	case n < 1_000_000:
		return fmt.Sprintf("%.1f kB", float64(n)/1e3)
	}
	return fmt.Sprintf("%.1f MB", float64(n)/1e6)
}
