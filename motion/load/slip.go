// SPDX-License-Identifier: MIT

package load

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/motion"
)

// slip fills Slip: while the friction cones do not hold the planted feet, the
// robot is taken for a block that slides on the ground with the force it lacks
// (Coulomb friction, textbook), until friction has stopped it again. NaN where
// it would turn rather than slide, which a block does not tell, and where the
// loads are not known; 0 while the feet hold.
func (e *Estimator) slip(t *motion.Trajectory, l *Loads) {
	l.Slip = sized(l.Slip, l.N)
	n := r3.Vec{X: t.RWG[2], Y: t.RWG[5], Z: t.RWG[8]}
	way, speed := 0.0, 0.0
	for k := range l.N {
		l.Slip[k] = 0
		slips := l.State[k] == Slipping
		if l.State[k] == Unknown {
			l.Slip[k] = math.NaN()
		}
		if !slips && (speed == 0 || l.State[k] != Carried) {
			way, speed = 0, 0
			continue
		}
		f := r3.Add(vec(l.Acc, k*3), r3.Vec{Z: e.robot.Gravity}) // per mass
		push := r3.Dot(n, f)
		lack := r3.Norm(r3.Sub(f, r3.Scale(push, n))) - e.robot.Friction*push // m/s²
		if slips && lack <= 0 {
			l.Slip[k] = math.NaN()
			continue
		}
		before := speed
		speed = max(0, speed+lack/t.Rate)
		way += (before + speed) / 2 / t.Rate
		l.Slip[k] = way
	}
}
