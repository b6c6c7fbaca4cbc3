// SPDX-License-Identifier: MIT

package app

import "testing"

func TestOnScreen(t *testing.T) {
	for in, want := range map[string]string{
		"robot.body_top_mm -3 → 4":       "robot.body_top_mm −3 → 4",
		"[-1, 2, -3.5]":                  "[−1, 2, −3.5]",
		`name "a -1" → "b\" -2"`:         `name "a -1" → "b\" -2"`,
		"ease-in-out, move[hi-2].x 1e-7": "ease-in-out, move[hi-2].x 1e-7",
		"-5":                             "−5",
		"":                               "",
	} {
		if got := onScreen(in); got != want {
			t.Errorf("%q: got %q, want %q", in, got, want)
		}
	}
}
