// SPDX-License-Identifier: MIT

package settings

import (
	"errors"
	"fmt"
	"slices"
)

// MostRecent is how many files are remembered.
const MostRecent = 8

// Recent is the paths of the files that were open last, the latest first, ""
// behind the last one.
type Recent [MostRecent]string

// List gives the paths.
func (r Recent) List() []string {
	n := slices.Index(r[:], "")
	if n < 0 {
		n = len(r)
	}
	return slices.Clone(r[:n])
}

// With puts a path in front; the oldest one falls out where there are more than
// are remembered.
func (r Recent) With(path string) Recent {
	if path == "" {
		return r
	}
	all := append([]string{path}, slices.DeleteFunc(r.List(), func(p string) bool { return p == path })...)
	return recent(all)
}

// Without takes a path out.
func (r Recent) Without(path string) Recent {
	return recent(slices.DeleteFunc(r.List(), func(p string) bool { return p == path }))
}

func recent(all []string) (r Recent) {
	copy(r[:], all)
	return r
}

// set takes the key of the file.
func (r *Recent) set(v any) error {
	all, ok := v.([]any)
	if !ok {
		return errors.New("give a list of paths in quotes")
	}
	if len(all) > MostRecent {
		return fmt.Errorf("give %d paths at most", MostRecent)
	}
	var paths []string
	for _, p := range all {
		s, ok := p.(string)
		if !ok || s == "" {
			return errors.New("give a list of paths in quotes")
		}
		paths = append(paths, s)
	}
	*r = recent(paths)
	return nil
}
