// SPDX-License-Identifier: MIT

package document

import (
	"errors"
	"fmt"
	"testing"

	"gaitwright/motion/workfile"
)

func TestReason(t *testing.T) {
	for _, c := range []struct {
		err  error
		want string
	}{
		{nil, ""},
		{errors.New("edit: there is no gait yet: add one first"), "There is no gait yet: add one first."},
		{fmt.Errorf("sequence: unusable sequence: entry 3 (walk): the sequence is longer than 600 s"), "Entry 3 (walk): the sequence is longer than 600 s."},
		{workfile.Problems{{Key: "sequence[2].kind", Text: "there is nothing to go on with; put a walk before it"}, {Text: "more"}},
			"There is nothing to go on with; put a walk before it (sequence[2].kind)."},
		{fmt.Errorf("workfile: %w", workfile.Problems{{Text: "empty"}}), "Empty."},
		{errors.New("élan."), "Élan."},
		{errors.New(""), ""},
		{ErrShowing, "Another motion shows in place of the file: go back to the file, then change it."},
	} {
		if got := Reason(c.err); got != c.want {
			t.Errorf("%v: %q, want %q", c.err, got, c.want)
		}
	}
}
