// SPDX-License-Identifier: MIT

package glossary

import (
	"slices"
	"strings"
	"testing"
)

func TestTerms(t *testing.T) {
	all := Terms()
	if !slices.IsSortedFunc(all, func(a, b Term) int { return strings.Compare(strings.ToLower(a.Word), strings.ToLower(b.Word)) }) {
		var w []string
		for _, x := range all {
			w = append(w, x.Word)
		}
		t.Errorf("not in alphabetical order: %q", w)
	}
	seen := map[string]bool{}
	for _, x := range all {
		if x.Word == "" || x.Means == "" || x.Source == "" {
			t.Errorf("incomplete: %+v", x)
		}
		if strings.HasSuffix(x.Means, ".") || strings.Contains(x.Means, "  ") {
			t.Errorf("%s: %q", x.Word, x.Means)
		}
		for _, w := range append(strings.Split(x.More, ", "), x.Word) {
			if w != "" && seen[strings.ToLower(w)] {
				t.Errorf("%q is told twice", w)
			}
			seen[strings.ToLower(w)] = true
		}
	}
	// The words that the window writes and that a builder may not know.
	for _, w := range []string{
		"duty factor", "stance", "swing", "phase", "stride", "stroke", "coxa", "femur", "tibia", "trim", "support polygon",
		"stability margin", "zero-moment point", "Froude number", "cost of transport", "gait diagram", "touchdown", "lift-off",
		"pulse width", "stall torque", "energy margin",
	} {
		if _, ok := Find(w); !ok {
			t.Errorf("%s is not told", w)
		}
	}
}

func TestFind(t *testing.T) {
	for word, want := range map[string]string{
		"Duty Factor": "duty factor", " stride ": "stride", "zmp": "zero-moment point", "strides": "stride", "thigh": "femur", "froude number": "Froude number",
	} {
		if got, ok := Find(word); !ok || got.Word != want {
			t.Errorf("%q: got %q, want %q", word, got.Word, want)
		}
	}
	for _, word := range []string{"", "s", "brontosaurus"} {
		if got, ok := Find(word); ok {
			t.Errorf("%q: got %q", word, got.Word)
		}
	}
	if got, want := Hint("duty factor"), "Duty factor: the share of the cycle in which the foot stands."; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	if got := Hint("nothing"); got != "" {
		t.Errorf("got %q", got)
	}
}
