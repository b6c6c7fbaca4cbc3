// SPDX-License-Identifier: MIT

package edit

import (
	"errors"
	"fmt"
	"strings"

	"gaitwright/motion/workfile"
)

// Refused is why an act on a move cannot be done, and what to do instead.
type Refused struct {
	Why string // a clause without a full stop
	Way string // what to do, "" when there is nothing to do
}

// Error gives both parts on one line.
func (r *Refused) Error() string { return "edit: " + r.text() }

func (r *Refused) text() string {
	if r.Way == "" {
		return r.Why
	}
	return r.Why + ": " + r.Way
}

// Words gives an error of this package as a sentence for the screen.
func Words(err error) string {
	if err == nil {
		return ""
	}
	s := err.Error()
	var r *Refused
	if errors.As(err, &r) {
		s = r.text()
	}
	s = strings.TrimPrefix(s, "edit: ")
	if s == "" {
		return ""
	}
	first := []rune(s)[0]
	s = strings.ToUpper(string(first)) + s[len(string(first)):]
	if !strings.HasSuffix(s, ".") {
		s += "."
	}
	return s
}

// refuse makes a Refused.
func refuse(way, why string, a ...any) error {
	return &Refused{Why: fmt.Sprintf(why, a...), Way: way}
}

// attempt edits a copy and takes it over only when nothing is wrong with it.
func attempt(f *workfile.File, do func(*workfile.File) error) error {
	next := f.Clone()
	if err := do(next); err != nil {
		return err
	}
	if err := next.Check(); err != nil {
		var p workfile.Problem
		if errors.As(err, &p) {
			return refuse("", "%s", p.Error())
		}
		return refuse("", "%s", err.Error())
	}
	*f = *next
	return nil
}
