// SPDX-License-Identifier: MIT

package load

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/motion"
)

// slip fills Slip: while the friction cones do not hold the planted feet, the
// robot is taken for a block that slides over the ground (Coulomb friction,
// textbook). Seen from the drawn motion it slides with u,
//
//	u̇ = -friction·push·û - along
//
// with the pushes per mass that the motion asks of the ground; it holds again
// once u has come to nothing and friction suffices. So it does where a foot
// would have to pull, if it is pushed along harder than friction holds. NaN where it would turn
// rather than slide, which a block does not tell, and where the loads are not
// known; 0 while the feet hold.
func (e *Estimator) slip(t *motion.Trajectory, l *Loads) {
	l.Slip = sized(l.Slip, l.N)
	n := r3.Vec{X: t.RWG[2], Y: t.RWG[5], Z: t.RWG[8]}
	dt := 1 / t.Rate
	var way, u r3.Vec
	slides := false
	for k := range l.N {
		l.Slip[k] = 0
		slips := l.State[k] == Slipping || l.State[k] == Pulled
		if l.State[k] == Unknown {
			l.Slip[k] = math.NaN()
		}
		if !slips && (!slides || l.State[k] != Carried) {
			way, u, slides = r3.Vec{}, r3.Vec{}, false
			continue
		}
		f := r3.Add(vec(l.Acc, k*3), r3.Vec{Z: e.robot.Gravity}) // per mass
		push := r3.Dot(n, f)
		along := r3.Sub(f, r3.Scale(push, n))
		hold := e.robot.Friction * push // m/s²
		size := r3.Norm(along)
		if size <= hold && !slides {
			if l.State[k] == Slipping {
				l.Slip[k] = math.NaN()
			}
			continue
		}
		slides = true
		before := u
		if v := r3.Norm(u); v > 0 {
			u = r3.Sub(u, r3.Scale(dt, r3.Add(along, r3.Scale(hold/v, before))))
			if size <= hold && r3.Dot(u, before) <= 0 { // friction has stopped it
				u, slides = r3.Vec{}, false
			}
		} else {
			u = r3.Scale(-dt*(size-hold)/size, along)
		}
		way = r3.Add(way, r3.Scale(dt/2, r3.Add(before, u)))
		l.Slip[k] = r3.Norm(way)
		if !slides {
			way = r3.Vec{}
		}
	}
}
