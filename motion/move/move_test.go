// SPDX-License-Identifier: MIT

package move

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

func TestDuration(t *testing.T) {
	m := Move{CoolDown: 1}
	if d := m.Duration(); d != 0 {
		t.Errorf("without marks: %v s", d)
	}
	m.Marks = []Mark{{"up", 0.4}, {"hit", 0.7}}
	if d := m.Duration(); d != 0.7 {
		t.Errorf("got=%v, want=0.7 s", d)
	}
}

func TestFlip(t *testing.T) {
	v := r3.Vec{X: 1, Y: 2, Z: 3}
	if got := Flip(v); got != (r3.Vec{X: 1, Y: -2, Z: 3}) || Flip(got) != v {
		t.Errorf("got=%v", got)
	}
}
