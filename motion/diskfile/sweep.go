// SPDX-License-Identifier: MIT

package diskfile

import (
	"os"
	"path/filepath"
	"strings"
	"time"
)

// partEnd is how the name of a file ends that is being written.
const partEnd = ".part"

// old is after what time a part is left over: writing takes far less.
const old = 5 * time.Minute

// Sweep takes away what saves of the file at path have left that were ended
// half-way, if it is old enough that nobody writes it any more.
func Sweep(path string, now time.Time) {
	dir, name := filepath.Split(Target(path))
	sweep(dir, now, func(of string) bool { return of == name })
}

// SweepAll does the same for all files of a folder whose names begin so.
func SweepAll(dir, front string, now time.Time) {
	sweep(dir, now, func(of string) bool { return strings.HasPrefix(of, front) })
}

func sweep(dir string, now time.Time, mine func(name string) bool) {
	if dir == "" {
		dir = "."
	}
	all, err := os.ReadDir(dir)
	if err != nil {
		return // what cannot be looked at cannot be tidied
	}
	for _, e := range all {
		n, isPart := strings.CutSuffix(e.Name(), partEnd)
		dot := strings.LastIndexByte(n, '.')
		if !isPart || dot < 1 || n[0] != '.' || !mine(n[1:dot]) || n[dot+1:] == "" || strings.Trim(n[dot+1:], "0123456789") != "" {
			continue
		}
		if i, err := e.Info(); err == nil && i.Mode().IsRegular() && now.Sub(i.ModTime()) > old {
			os.Remove(filepath.Join(dir, e.Name()))
		}
	}
}
