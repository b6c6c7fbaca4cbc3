// SPDX-License-Identifier: MIT

package draw

import "testing"

func TestDegrees(t *testing.T) {
	for in, want := range map[string]string{
		"it stands at −70.5 deg, past 65.0 deg": "it stands at −70.5°, past 65.0°",
		"at 300 deg/s":                    "at 300°/s",
		"5 degrees of freedom, 1 deg":     "5 degrees of freedom, 1°",
		"set range_deg, or the deg of it": "set range_deg, or the deg of it",
		"":                                "",
		"turn by 3 deg":                   "turn by 3°",
	} {
		if got := Degrees(in); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}
