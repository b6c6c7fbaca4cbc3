// SPDX-License-Identifier: MIT

package edit

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/assets"
	"gaitwright/kin"
	"gaitwright/motion/workfile"
)

// bendOf gives the demo's file and the bend between two of its spans.
func bendOf(t *testing.T, span int) (*workfile.File, Bend) {
	t.Helper()
	f, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	return f, Bend{Move: 0, Track: 0, Span: span}
}

func TestInLine(t *testing.T) {
	for _, tt := range []struct {
		name    string
		in, out r3.Vec
		want    bool
	}{
		{"opposite", r3.Vec{X: -3}, r3.Vec{X: 8}, true},
		{"by half a degree", r3.Vec{X: -10}, r3.Vec{X: 10, Z: 10 * math.Tan(0.5*math.Pi/180)}, true},
		{"off by two degrees", r3.Vec{X: -10}, r3.Vec{X: 10, Z: 10 * math.Tan(2*math.Pi/180)}, false},
		{"back the same way", r3.Vec{X: 3}, r3.Vec{X: 8}, false},
		{"square", r3.Vec{X: 3}, r3.Vec{Y: 8}, false},
		{"no handle", r3.Vec{}, r3.Vec{Y: 8}, false},
		{"no number", r3.Vec{X: math.NaN()}, r3.Vec{Y: 8}, false},
	} {
		if got := InLine(tt.in, tt.out); got != tt.want {
			t.Errorf("%s: got=%v", tt.name, got)
		}
	}
}

func TestSmoothThenAlign(t *testing.T) {
	f, b := bendOf(t, 1)
	r := kin.RPY(0.1, -0.2, 0.3) // the next span's axes may be others
	if in, out, ok := b.Handles(f); !ok || InLine(in, r.Mul(out)) {
		t.Fatalf("the demo's bend is smooth: %v %v %v", in, out, ok)
	}
	in0, out0, _ := b.Handles(f)
	if err := b.Smooth(f, r, [2]float64{}, r3.Vec{}); err != nil {
		t.Fatal(err)
	}
	in, out, _ := b.Handles(f)
	if !InLine(in, r.Mul(out)) {
		t.Errorf("%v and %v are not in line", in, out)
	}
	if math.Abs(r3.Norm(in)-r3.Norm(in0)) > 0.02 || math.Abs(r3.Norm(out)-r3.Norm(out0)) > 0.02 {
		t.Errorf("lengths went from %v, %v to %v, %v", r3.Norm(in0), r3.Norm(out0), r3.Norm(in), r3.Norm(out))
	}
	plays(t, f)

	*f.Moves[0].Feet[0].Spans[1].In = [3]float64{0, 25, -5}
	b.Align(f, true, r)
	if in, now, _ := b.Handles(f); !InLine(in, r.Mul(now)) || in != (r3.Vec{Y: 25, Z: -5}) || math.Abs(r3.Norm(now)-r3.Norm(out)) > 0.02 {
		t.Errorf("in %v, out %v of length %v", in, now, r3.Norm(out))
	}
	*f.Moves[0].Feet[0].Spans[2].Out = [3]float64{-9, 1, 2}
	b.Align(f, false, r)
	if in, out, _ := b.Handles(f); !InLine(in, r.Mul(out)) || out != (r3.Vec{X: -9, Y: 1, Z: 2}) {
		t.Errorf("in %v, out %v", in, out)
	}
	plays(t, f)
}

func TestSmoothWithoutHandles(t *testing.T) {
	f, b := bendOf(t, 1)
	s := f.Moves[0].Feet[0].Spans
	s[1].In, s[2].Out = nil, nil
	b.Align(f, true, kin.Identity)
	if s[1].In != nil || s[2].Out != nil {
		t.Error("handles out of nothing")
	}
	before := f.Clone()
	if err := b.Smooth(f, kin.Identity, [2]float64{20, 30}, r3.Vec{}); err == nil || !f.Equal(before) {
		t.Errorf("no direction at all, and yet %v", err)
	}
	if err := b.Smooth(f, kin.Identity, [2]float64{20, 30}, r3.Vec{X: 3, Z: 4}); err != nil {
		t.Fatal(err)
	}
	if in, out := *s[1].In, *s[2].Out; in != [3]float64{-12, 0, -16} || out != [3]float64{18, 0, 24} {
		t.Errorf("in %v, out %v", in, out)
	}
	// One has a direction, the other takes it.
	s[2].Out = nil
	if err := b.Smooth(f, kin.Identity, [2]float64{20, 30}, r3.Vec{}); err != nil {
		t.Fatal(err)
	}
	if out := *s[2].Out; out != [3]float64{18, 0, 24} {
		t.Errorf("out %v", out)
	}
	plays(t, f)
}

// There and back the same way: the handle into the bend stays.
func TestSmoothOfACusp(t *testing.T) {
	f, b := bendOf(t, 2) // the hit: down, and up again
	if err := b.Smooth(f, kin.Identity, [2]float64{}, r3.Vec{}); err != nil {
		t.Fatal(err)
	}
	in, out, _ := b.Handles(f)
	if in != (r3.Vec{Z: 35}) || out != (r3.Vec{Z: -35}) {
		t.Errorf("in %v, out %v", in, out)
	}
	plays(t, f)
}

func TestNoBend(t *testing.T) {
	f, _ := bendOf(t, 0)
	before := f.Clone()
	for _, b := range []Bend{
		{0, 0, 0},  // planted before
		{0, 0, 6},  // planted behind
		{0, 0, 7},  // the last
		{0, -1, 4}, // the body's last
		{0, 1, 0}, {1, 0, 0}, {-1, 0, 0}, {0, 0, -1}, {0, 0, 99},
	} {
		if err := b.Smooth(f, kin.Identity, [2]float64{9, 9}, r3.Vec{X: 1}); !errors.Is(err, ErrNoBend) {
			t.Errorf("%+v: %v", b, err)
		}
		b.Align(f, true, kin.Identity)
	}
	if !f.Equal(before) {
		t.Error("the file changed")
	}
	b := Bend{0, -1, 1}
	if err := b.Smooth(f, kin.Identity, [2]float64{9, 9}, r3.Vec{X: 1}); err != nil {
		t.Errorf("body: %v", err)
	}
	plays(t, f)
}
