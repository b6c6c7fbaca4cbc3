// SPDX-License-Identifier: MIT

package recovery

import (
	"os"
	"path/filepath"
	"strings"
	"time"

	"gaitwright/motion/diskfile"
)

// stale is the age from which a lock that nobody holds is taken away: a window
// that starts right now may have made its lock and not taken it yet.
const stale = time.Hour

// Tidy takes away what programs that were ended half-way left for a place
// beside copies: parts of files, and locks.
func Tidy(p Place, now time.Time) {
	if p.Path != "" {
		diskfile.Sweep(p.file(), now)
		dir, front := p.beside()
		diskfile.SweepAll(dir, front, now)
	}
	if p.Cache == "" {
		return
	}
	dir, front := p.away()
	diskfile.SweepAll(dir, front, now)
	dir = filepath.Dir(lockPath(p.Cache, p.Token))
	all, err := os.ReadDir(dir)
	if err != nil {
		return
	}
	for _, e := range all {
		t, ok := strings.CutSuffix(e.Name(), ".lock")
		if i, err := e.Info(); !ok || err != nil || now.Sub(i.ModTime()) < stale || t == p.Token || runs(p.Cache, t) {
			continue
		}
		os.Remove(filepath.Join(dir, e.Name()))
	}
}
