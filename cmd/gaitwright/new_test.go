// SPDX-License-Identifier: MIT

package main

import (
	"path/filepath"
	"strings"
	"testing"
)

// TestNewOfAnswers makes robots of options: their motion passes the review.
func TestNewOfAnswers(t *testing.T) {
	for name, args := range map[string][]string{
		"four legs":  {"--legs", "4", "--body", "180,90", "--links", "35,70,105", "--servo", "standard-15"},
		"small":      {"--legs", "6", "--body", "90,60", "--links", "20,35,55", "--servo", "micro-9g"},
		"only legs":  {"--legs", "8"},
		"only servo": {"--servo", "standard-25"},
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "robot.toml")
			fine(t, append([]string{"new", path}, args...)...)
			if out := fine(t, "check", path); !strings.Contains(out, "no stop found") {
				t.Errorf("%s", out)
			}
		})
	}
	for want, args := range map[string][]string{
		"take 4, 6":        {"--legs", "7"},
		"two lengths":      {"--body", "100"},
		"three lengths":    {"--links", "1,2"},
		"no length in mm":  {"--links", "a,b,c"},
		"standard-20":      {"--servo", "huge"},
		"called \"\"":      {"--servo", ""},
		"0 legs: take 4":   {"--legs", "0"},
		"mm: must lie":     {"--links", "40,-75,115"},
		"is too short for": {"--links", "40,100,40"},
	} {
		path := filepath.Join(t.TempDir(), "robot.toml")
		if r := call(append([]string{"new", path}, args...)...); r.code != exitUnable || !strings.Contains(r.errout, want) {
			t.Errorf("%v: status %d, %q, want %q", args, r.code, r.errout, want)
		}
	}
}

// TestNewThatCannotWalk: the reason is told where the file is written, since
// the review of a robot that only stands finds nothing.
func TestNewThatCannotWalk(t *testing.T) {
	path := filepath.Join(t.TempDir(), "thin legs.toml")
	out := fine(t, "new", path, "--legs", "6", "--body", "500,150", "--links", "1,60,115")
	if !strings.Contains(out, "no gait can be walked: leg") || !strings.Contains(out, "too near to the body") {
		t.Errorf("%s", out)
	}
}

func TestShellWord(t *testing.T) {
	for path, want := range map[string]string{
		"a/b-1.toml": "a/b-1.toml", "my robot.toml": `"my robot.toml"`, "-x.toml": "./-x.toml", "-x y": `"./-x y"`, "läufer.toml": "läufer.toml",
	} {
		if got := shellWord(path); got != want {
			t.Errorf("%q: %s, want %s", path, got, want)
		}
	}
}
