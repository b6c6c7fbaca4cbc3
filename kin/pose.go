// SPDX-License-Identifier: MIT

package kin

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Rot is a rotation matrix by rows. The zero value is not a rotation; use
// Identity.
type Rot [9]float64

// Identity leaves axes as they are.
var Identity = Rot{1, 0, 0, 0, 1, 0, 0, 0, 1}

// RPY composes R = Rz(yaw)·Ry(pitch)·Rx(roll) (ISO 8855), rad.
func RPY(roll, pitch, yaw float64) Rot {
	sr, cr := math.Sincos(roll)
	sp, cp := math.Sincos(pitch)
	sy, cy := math.Sincos(yaw)
	return Rot{
		cy * cp, cy*sp*sr - sy*cr, cy*sp*cr + sy*sr,
		sy * cp, sy*sp*sr + cy*cr, sy*sp*cr - cy*sr,
		-sp, cp * sr, cp * cr,
	}
}

// RPY gives the angles that compose r, pitch in [-π/2, π/2]. At pitch ±π/2
// roll and yaw turn about one axis: roll is then 0.
func (r Rot) RPY() (roll, pitch, yaw float64) {
	cp := math.Hypot(r[0], r[3])
	pitch = math.Atan2(-r[6], cp) // an arc sine would lose half the digits near ±π/2
	if cp < 1e-12 {
		return 0, pitch, math.Atan2(-r[1], r[4])
	}
	return math.Atan2(r[7], r[8]), pitch, math.Atan2(r[3], r[0])
}

// Mul turns p.
func (r *Rot) Mul(p r3.Vec) r3.Vec {
	return r3.Vec{
		X: r[0]*p.X + r[1]*p.Y + r[2]*p.Z,
		Y: r[3]*p.X + r[4]*p.Y + r[5]*p.Z,
		Z: r[6]*p.X + r[7]*p.Y + r[8]*p.Z,
	}
}

// TMul turns p back: rᵀ·p.
func (r *Rot) TMul(p r3.Vec) r3.Vec {
	return r3.Vec{
		X: r[0]*p.X + r[3]*p.Y + r[6]*p.Z,
		Y: r[1]*p.X + r[4]*p.Y + r[7]*p.Z,
		Z: r[2]*p.X + r[5]*p.Y + r[8]*p.Z,
	}
}

// Dot composes two rotations: rAC = rAB·rBC.
func (r Rot) Dot(s Rot) Rot {
	var m Rot
	for i := range 3 {
		for j := range 3 {
			m[3*i+j] = r[3*i]*s[j] + r[3*i+1]*s[3+j] + r[3*i+2]*s[6+j]
		}
	}
	return m
}

// Pose is where a frame is and how it is turned. Pose xAB: P = pAB, R = rAB.
type Pose struct {
	P r3.Vec // m
	R Rot
}

// At gives pAP of a point fixed in B: pAP = xAB·pBP.
func (x *Pose) At(p r3.Vec) r3.Vec { return r3.Add(x.P, x.R.Mul(p)) }

// Into gives pBP of a point known in A: the inverse of At.
func (x *Pose) Into(p r3.Vec) r3.Vec { return x.R.TMul(r3.Sub(p, x.P)) }

// Dot composes two poses: xAC = xAB·xBC.
func (x Pose) Dot(y Pose) Pose { return Pose{P: x.At(y.P), R: x.R.Dot(y.R)} }
