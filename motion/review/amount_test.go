// SPDX-License-Identifier: MIT

package review

import (
	"strings"
	"testing"

	"gaitwright/motion"
)

// The amount of a finding stands in its sentence, digit for digit.
func TestAmountAndSentenceAgree(t *testing.T) {
	for _, c := range faults() {
		r := sixLegged()
		p := clean(r)
		c.inject(r, p)
		for _, f := range judge(r, mustSample(t, r, p, rate), Defaults()) {
			if f.Value == 0 {
				continue // there is none to tell
			}
			v, _ := f.Amount()
			if v = strings.TrimPrefix(v, "-"); !strings.Contains(f.Why, v) {
				t.Errorf("%s: %s %s: %s", c.name, v, f.Unit, f.Why)
			}
		}
	}
}

// An estimate has the digits that it has.
func TestSome(t *testing.T) {
	for m, want := range map[float64]string{0.00005: "less than 0.1 mm", 0.0023: "2.3 mm", 0.1279: "some 128 mm", 0.0099: "9.9 mm", 0.01: "some 10 mm"} {
		if got := some(m); got != want {
			t.Errorf("%v m: %q, want %q", m, got, want)
		}
	}
}

// A place in a path is named by the mark at it, of its own entry alone.
func TestMarkAtAnInstant(t *testing.T) {
	c := look{t: &motion.Trajectory{
		Rate: 500, N: 1001,
		Parts: []motion.Part{{To: 1}, {From: 1, To: 2}},
		Marks: []motion.Mark{{Name: "up", At: 0.5}, {Name: "last", At: 1}, {Name: "first", At: 1.003}},
	}}
	for s, want := range map[float64]string{
		0.5: "at “up”", 0.502: "at “up”", 0.4975: "at “up”", 0.52: "there", 1: "at “last”", 1.002: "at “first”", 0.996: "at “last”",
	} {
		if got := c.there(s); got != want {
			t.Errorf("%v s: %q, want %q", s, got, want)
		}
	}
	if got := c.point("the point", 0.5); got != "the point “up”" {
		t.Errorf("%q", got)
	}
}
