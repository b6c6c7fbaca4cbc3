// SPDX-License-Identifier: MIT

package pace

import (
	"math"
	"runtime"
	"sync"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/motion"
)

// Reserves are the step-down reserves along a trajectory, flat like it.
type Reserves struct {
	N, Legs int

	// Each is how far below the ground each foot could still reach at the place
	// over which it is, with the body held still (samples x legs), m. NaN where
	// it does not even reach the ground there.
	Each []float64
	// Least is the least of the planted feet (samples), m. NaN where none is
	// planted, or where one of them does not reach its place.
	Least []float64
	Which []int // the leg that has it, or that does not reach its place; -1 with none planted
}

// Below gives how far below the ground the foot of a leg could still reach at
// sample k, at the place over which it is, the body held still, m. Not ok where
// it does not even reach the ground.
func Below(r *kin.Robot, t *motion.Trajectory, k, leg int) (reserve float64, ok bool) {
	x := t.BodyPose(k)
	up := r3.Vec{X: t.RWG[2], Y: t.RWG[5], Z: t.RWG[8]}
	return below(&r.Legs[leg], &x, up, t.FootAt(k, leg))
}

func below(l *kin.Leg, xWB *kin.Pose, up, pWF r3.Vec) (reserve float64, ok bool) {
	ground := r3.Sub(pWF, r3.Scale(r3.Dot(up, pWF)-l.FootRadius, up))
	return StepDown(l, xWB.Into(ground), xWB.R.TMul(r3.Scale(-1, up)))
}

// Along works out the reserves of all feet along t, which must be of the robot
// r. The arrays of reuse are taken over, which may be nil. It uses all cores;
// a foot that stays where it is below a body that stays costs nothing.
func Along(r *kin.Robot, t *motion.Trajectory, reuse *Reserves) *Reserves {
	if t.Legs != len(r.Legs) {
		panic("pace: the trajectory is another robot's")
	}
	s := reuse
	if s == nil {
		s = &Reserves{}
	}
	s.N, s.Legs = t.N, t.Legs
	s.Each, s.Least, s.Which = sized(s.Each, t.N*t.Legs), sized(s.Least, t.N), sized(s.Which, t.N)
	parts := max(1, min(runtime.GOMAXPROCS(0), t.N/100))
	var wait sync.WaitGroup
	for i := range parts {
		wait.Go(func() { s.fill(r, t, i*t.N/parts, (i+1)*t.N/parts) })
	}
	wait.Wait()
	return s
}

// sized gives a slice of n, of the old one's memory where it suffices.
func sized[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	return s[:n]
}

// fill works out the samples from a to before b.
func (s *Reserves) fill(r *kin.Robot, t *motion.Trajectory, a, b int) {
	n := t.Legs
	up := r3.Vec{X: t.RWG[2], Y: t.RWG[5], Z: t.RWG[8]}
	for k := a; k < b; k++ {
		x := t.BodyPose(k)
		still := k > a && [6]float64(t.Body[k*6:k*6+6]) == [6]float64(t.Body[k*6-6:k*6])
		s.Least[k], s.Which[k] = math.NaN(), -1
		least := math.Inf(1) // NaN once a planted foot does not reach its place
		for i := range n {
			o := k*n + i
			if still && t.FootAt(k, i) == t.FootAt(k-1, i) {
				s.Each[o] = s.Each[o-n]
			} else if d, ok := below(&r.Legs[i], &x, up, t.FootAt(k, i)); ok {
				s.Each[o] = d
			} else {
				s.Each[o] = math.NaN()
			}
			if v := s.Each[o]; t.Planted[o] && (v < least || v != v && least == least) {
				least, s.Which[k] = v, i
			}
		}
		if s.Which[k] >= 0 {
			s.Least[k] = least
		}
	}
}
