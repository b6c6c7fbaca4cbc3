// SPDX-License-Identifier: MIT

package load

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/dynamics"
	"gaitwright/motion"
)

// Blow is what a foot that meets the ground or a target sends into its leg.
//
// The foot loses its speed along the ground's normal in a stated time, so the
// mean force is mass times speed over time (impulse and momentum, textbook).
// Which mass is a question of the gears: at least that of a leg whose joints
// turn freely (operational-space inertia, Khatib 1995), at most that of the
// whole robot as one stiff part struck at the foot; stiff geared servos come
// nearer to the second (Wang, Dehio and Kheddar, IEEE Robotics and Automation
// Letters 7, 2022; abstract read).
type Blow struct {
	Impact int     // index into the trajectory's Impacts
	Speed  float64 // at which the foot comes down, m/s

	Free, Locked             float64             // the two masses, kg
	FreeForce, LockedForce   float64             // mean force, N
	FreeTorque, LockedTorque [kin.Joints]float64 // size that each joint must stand, N·m
}

// Blows works out what every landing and strike of a trajectory does when the
// foot comes to rest in contact seconds. Feet that rise or stand still are
// left out, and a leg on whose pose the masses are not defined.
func (e *Estimator) Blows(t *motion.Trajectory, contact float64) (all []Blow) {
	n := r3.Vec{X: t.RWG[2], Y: t.RWG[5], Z: t.RWG[8]}
	for i := range t.Impacts {
		m := &t.Impacts[i]
		speed := m.Down(n)
		if !(speed > 1e-6) || !t.Reached(t.Index(m.At), m.Leg) {
			continue
		}
		b := Blow{Impact: i, Speed: speed}
		nB := m.XWB.R.TMul(n)
		nH := e.xBH[m.Leg].TMul(nB)
		free, ok := e.model.Legs[m.Leg].EffectiveMass(m.Q, nH)
		if !ok {
			continue
		}
		k := t.Index(m.At)
		w := t.Legs * kin.Joints
		whole := e.model.Rigid(t.Q[k*w : (k+1)*w])
		l := &e.robot.Legs[m.Leg]
		x := l.XBH()
		locked, ok := dynamics.RigidMass(&whole, x.At(l.Forward(m.Q)), nB)
		if !ok {
			continue
		}
		b.Free, b.Locked = min(free, locked), locked
		b.FreeForce, b.LockedForce = b.Free*speed/contact, b.Locked*speed/contact
		jac := l.Jacobian(m.Q)
		for j := range kin.Joints {
			arm := math.Abs(jac[j]*nH.X + jac[3+j]*nH.Y + jac[6+j]*nH.Z)
			b.FreeTorque[j], b.LockedTorque[j] = arm*b.FreeForce, arm*b.LockedForce
		}
		all = append(all, b)
	}
	return all
}
