// SPDX-License-Identifier: MIT

package recovery

import (
	"fmt"
	"os"
	"slices"

	"gaitwright/motion/diskfile"
	"gaitwright/motion/workfile"
)

// Found is a copy that a window left which does not run any more.
type Found struct {
	Path  string // of the recovery file
	Copy  *Copy  // nil when it cannot be read
	Err   error  // why not
	token string
	cache string
}

// most is the size of the largest recovery file that is looked at: that of a
// workfile and of what stands above it.
const most = workfile.MaxSize + 1<<14

// Find gives the copies of a place that ended windows left, the newest first
// and those that cannot be read last. Copies of windows that run are not among
// them.
func Find(p Place) []Found {
	paths := map[string]string{}
	add := func(dir, front string) {
		for f, t := range tokens(dir, front) {
			paths[f] = t
		}
	}
	if p.Path != "" {
		add(p.beside())
	}
	if p.Cache != "" {
		add(p.away())
	}
	var all []Found
	for f, t := range paths {
		if t == p.Token || runs(p.Cache, t) {
			continue
		}
		c := Found{Path: f, token: t, cache: p.Cache}
		if src, err := diskfile.Load(f, most); err != nil {
			c.Err = err
		} else if len(src) > most {
			c.Err = fmt.Errorf("%w: it is too large", ErrDamaged)
		} else {
			c.Copy, c.Err = Parse(src)
		}
		all = append(all, c)
	}
	slices.SortFunc(all, func(a, b Found) int {
		switch {
		case a.Copy != nil && b.Copy != nil:
			return b.Copy.At.Compare(a.Copy.At)
		case a.Copy != nil:
			return -1
		case b.Copy != nil:
			return 1
		}
		return slices.Compare([]byte(a.Path), []byte(b.Path))
	})
	return all
}

// Discard takes the copy away.
func (f *Found) Discard() error {
	if f.cache != "" {
		os.Remove(lockPath(f.cache, f.token)) // what the ended window left of its lock
	}
	if err := os.Remove(f.Path); err != nil && !os.IsNotExist(err) {
		return fmt.Errorf("the kept changes are still at %s: delete that file by hand: %w", f.Path, err)
	}
	return nil
}
