// SPDX-License-Identifier: MIT

package load

import (
	"math"
	"testing"

	"gaitwright/kin"
	"gaitwright/motion"
)

// A block that is pushed harder along the ground than friction holds, and then
// let go: with a the excess, it slides ½·a·T² while it is pushed and
// (a·T)²/(2·μ·g) until it stands (textbook). Pushed one way and then as hard the
// other way it comes back; a push that friction holds moves nothing.
func TestSlipIsABlock(t *testing.T) {
	const mu, g, rate = 0.5, 10.0, 20000.0
	e := &Estimator{robot: &kin.Robot{Gravity: g, Friction: mu}}
	run := func(push func(s float64) float64, slips func(s float64) bool, seconds float64) (most, last float64) {
		n := int(seconds * rate)
		tr := &motion.Trajectory{Rate: rate, N: n, RWG: kin.Identity}
		l := &Loads{N: n, State: make([]State, n), Acc: make([]float64, 3*n)}
		for k := range n {
			s := float64(k) / rate
			l.Acc[3*k] = push(s)
			if slips(s) {
				l.State[k] = Slipping
			}
		}
		e.slip(tr, l)
		for _, v := range l.Slip {
			if math.IsNaN(v) {
				return v, v
			}
			most = max(most, v)
		}
		return most, l.Slip[n-1]
	}
	const excess, T = 2.0, 0.05
	during := func(s float64) bool { return s < T }
	got, last := run(func(s float64) float64 {
		if s < T {
			return mu*g + excess
		}
		return 0
	}, during, 0.3)
	if want := excess*T*T/2 + (excess*T)*(excess*T)/(2*mu*g); math.Abs(got-want) > 2e-4*want || last != 0 {
		t.Errorf("slides %v m (then %v), want %v", got, last, want)
	}
	// Braking as hard as it was pushed: friction and the push the other way stop
	// it sooner, and it slides no farther than the first half does.
	there, _ := run(func(s float64) float64 {
		if s < T {
			return mu*g + excess
		}
		if s < 1.2*T {
			return -(mu*g + excess)
		}
		return 0
	}, func(s float64) bool { return s < 1.2*T }, 0.3)
	if !(there < got) {
		t.Errorf("braked it slides %v m, let go %v m", there, got)
	}
	// Where the cones fail though friction would hold a block: it turns.
	if turns, _ := run(func(float64) float64 { return 1 }, during, 0.1); !math.IsNaN(turns) {
		t.Errorf("turning is told as a slide of %v m", turns)
	}
	if still, _ := run(func(float64) float64 { return 1 }, func(float64) bool { return false }, 0.1); still != 0 {
		t.Errorf("a block that is held slides %v m", still)
	}
}
