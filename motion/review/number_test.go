// SPDX-License-Identifier: MIT

package review

import (
	"math"
	"testing"
)

func TestDecimal(t *testing.T) {
	for _, tt := range []struct {
		v    float64
		n    int
		want string
	}{
		{12.345, 1, "12.3"}, {0.3, 1, "0.3"}, {0.05, 1, "0.1"}, {0.049, 1, "0.049"}, {-0.049, 1, "-0.049"},
		{0.0123, 1, "0.012"}, {0.00995, 1, "0.0100"}, {0.001, 1, "0.0010"}, {0.00099, 1, "less than 0.001"}, {-1e-9, 1, "more than −0.001"},
		{0, 1, "0.0"}, {math.Copysign(0, -1), 0, "0"}, {0.4, 0, "0.40"}, {0.5000001, 0, "1"}, {0.002, 2, "0.0020"}, {0.00049, 3, "less than 0.001"},
		{math.Inf(1), 0, "1000000"}, {math.NaN(), 0, "-1000000"},
	} {
		got := decimal(tt.v, tt.n)
		if math.IsInf(tt.v, 0) || math.IsNaN(tt.v) { // whatever the bound is
			if got == "" || got == "NaN" || got == "+Inf" {
				t.Errorf("%v: %q", tt.v, got)
			}
			continue
		}
		if got != tt.want {
			t.Errorf("%v, %d decimals: got %q, want %q", tt.v, tt.n, got, tt.want)
		}
	}
	if got := lasting(&interval{from: 1, to: 1}); got != "an instant" {
		t.Errorf("got %q", got)
	}
	if got := lasting(&interval{from: 1, to: 1.0004}); got != "0.40 ms" {
		t.Errorf("got %q", got)
	}
	if got := length(4e-5); got != "0.040 mm" {
		t.Errorf("got %q", got)
	}
	if got := torque(0.0002); got != "less than 0.001 N·m" {
		t.Errorf("got %q", got)
	}
}
