// SPDX-License-Identifier: MIT

package dynamics

import (
	"math"
	"testing"
)

// With a constant margin the tilt is that of the linear inverted pendulum,
// (d/h)·(cosh ωt − 1) with ω² = push·h/I (textbook), whatever the step.
func TestRockIsAPendulum(t *testing.T) {
	const push, out, height, inertia = 20.0, 0.01, 0.1, 0.04
	w := math.Sqrt(push * height / inertia)
	for _, n := range []int{1, 10, 1000} {
		var r Rock
		for range n {
			r.Step(0.15/float64(n), push, -out, height, inertia)
		}
		want := out / height * (math.Cosh(w*0.15) - 1)
		rate := out / height * w * math.Sinh(w*0.15)
		if math.Abs(r.Angle-want) > 1e-10 || math.Abs(r.Rate-rate) > 1e-9 {
			t.Errorf("%d steps: %+v, want %v and %v", n, r, want, rate)
		}
	}
	// Without height it is a constant angular acceleration.
	var r Rock
	for range 100 {
		r.Step(0.001, push, -out, 0, inertia)
	}
	if want := 0.5 * push * out / inertia * 0.01; math.Abs(r.Angle-want) > 1e-12 {
		t.Errorf("flat: %v, want %v", r.Angle, want)
	}
}

// A push that ends in time is caught, one that lasts is not: the border is
// where the rolling pendulum's energy just reaches the top (its capture).
func TestRockComesBackOrFalls(t *testing.T) {
	const push, height, inertia, dt = 20.0, 0.1, 0.04, 0.0005
	w := math.Sqrt(push * height / inertia)
	// Out by d for T, then in by m: it falls when angle + rate/ω ≥ m/h, and with
	// both from above that is (d/h)·(e^{ωT} − 1) ≥ m/h.
	d, m := 0.01, 0.03
	border := math.Log(1+m/d) / w
	for _, c := range []struct {
		last float64
		fall bool
	}{{0.98 * border, false}, {1.02 * border, true}} {
		var r Rock
		for s := 0.0; s < 3; s += dt {
			margin := m
			if s < c.last {
				margin = -d
			}
			r.Step(dt, push, margin, height, inertia)
		}
		if fell := r.Angle > 1; fell != c.fall {
			t.Errorf("out for %v s: %+v, falls %v", c.last, r, c.fall)
		}
	}
	r := Rock{Angle: 0.01}
	r.Step(0.001, 20, 0.05, 0.1, 0.04)
	for range 1000 {
		r.Step(0.001, 20, 0.05, 0.1, 0.04)
	}
	if r != (Rock{}) {
		t.Errorf("does not settle: %+v", r)
	}
	r = Rock{Angle: 0.01, Rate: 0.1}
	r.Step(0.01, 0, math.NaN(), math.NaN(), math.NaN())
	if math.Abs(r.Angle-0.011) > 1e-15 {
		t.Errorf("in the air: %+v", r)
	}
}
