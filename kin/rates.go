// SPDX-License-Identifier: MIT

package kin

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Rates gives the joint speeds and accelerations that move the foot centre
// with velocity v and acceleration a (hip frame, m/s and m/s²) in the pose c
// of the leg: rad/s and rad/s², coxa, femur, tibia. Not ok where they are not
// determined or not finite: a straight or folded knee or a foot on the coxa
// axis, unless the foot stands still. No trigonometry, no allocation.
//
// The first and second derivative of the leg's formula solved for the joints,
// in the plane of the leg; the same as q̇ = J⁻¹·v, q̈ = J⁻¹·(a − J̇·q̇) (Lynch and
// Park, Modern Robotics, 2017, ch. 5).
func (l *Leg) Rates(c *Chain, v, a r3.Vec) (qd, qdd [Joints]float64, ok bool) {
	if v == (r3.Vec{}) && a == (r3.Vec{}) {
		return qd, qdd, true
	}
	f, t, d := l.Length[Femur], l.Length[Tibia], l.Lateral
	s := l.Length[Coxa] + f*c.CosF + t*c.CosT // outward
	bend := c.SinT*c.CosF - c.CosT*c.SinF     // sine of the tibia angle
	// Axes that turn with the coxa: outward, lateral, up.
	vs, vl := c.CosC*v.X+c.SinC*v.Y, c.CosC*v.Y-c.SinC*v.X
	as, al := c.CosC*a.X+c.SinC*a.Y, c.CosC*a.Y-c.SinC*a.X

	coxa := vl / s
	sd := vs + d*coxa
	femur := (c.CosT*sd + c.SinT*v.Z) / (f * bend)
	both := -(c.CosF*sd + c.SinF*v.Z) / (t * bend) // femur and tibia together

	coxa2 := (al - 2*sd*coxa + d*coxa*coxa) / s
	ff, bb := femur*femur, both*both
	sdd := as + d*coxa2 + s*coxa*coxa + f*c.CosF*ff + t*c.CosT*bb
	zdd := a.Z + f*c.SinF*ff + t*c.SinT*bb
	femur2 := (c.CosT*sdd + c.SinT*zdd) / (f * bend)
	both2 := -(c.CosF*sdd + c.SinF*zdd) / (t * bend)

	qd = [Joints]float64{coxa, femur, both - femur}
	qdd = [Joints]float64{coxa2, femur2, both2 - femur2}
	for j := range qd {
		if !(math.Abs(qd[j]) < fastest && math.Abs(qdd[j]) < fastest) {
			return [Joints]float64{}, [Joints]float64{}, false
		}
	}
	return qd, qdd, true
}

// fastest is the speed and acceleration from which a joint counts as not
// determined, rad/s and rad/s². A hobby servo stays below 20 rad/s.
const fastest = 1e7

// Spin gives the angular velocity and acceleration (rad/s, rad/s²), in the
// axes that the angles are measured in, of a frame with R = Rz(yaw)·Ry(pitch)·
// Rx(roll): angles are roll, pitch, yaw, rate and acc their derivatives. The
// three rates turn about x of the pitched and yawed axes, y of the yawed ones,
// and z (textbook).
func Spin(angles, rate, acc r3.Vec) (omega, alpha r3.Vec) {
	if rate == (r3.Vec{}) && acc == (r3.Vec{}) {
		return r3.Vec{}, r3.Vec{}
	}
	sy, cy := math.Sincos(angles.Z)
	sp, cp := math.Sincos(angles.Y)
	x, y := r3.Vec{X: cp * cy, Y: cp * sy, Z: -sp}, r3.Vec{X: -sy, Y: cy}
	yaw := r3.Vec{Z: rate.Z}
	pitch := r3.Scale(rate.Y, y)
	roll := r3.Scale(rate.X, x)
	both := r3.Add(yaw, pitch)
	alpha = r3.Add(r3.Vec{Z: acc.Z}, r3.Add(r3.Scale(acc.Y, y), r3.Scale(acc.X, x)))
	return r3.Add(both, roll), r3.Add(alpha, r3.Add(r3.Cross(yaw, pitch), r3.Cross(both, roll)))
}
