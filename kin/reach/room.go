// SPDX-License-Identifier: MIT

package reach

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

// Limb is a leg made quick for asking about many points. Make one with Of.
type Limb struct {
	coxa, femur, tibia float64 // link lengths, m
	side, up           float64 // lateral and vertical offset, m
	far, near          float64 // F+T and |F-T|, m
	half               float64 // 1/2FT, 1/m²
	sign               float64 // of the tibia's angle on the leg's own knee side
	limits             [kin.Joints]kin.Range
}

// Of takes what counts from a leg.
func Of(l *kin.Leg) Limb {
	f, t := l.Length[kin.Femur], l.Length[kin.Tibia]
	b := Limb{
		coxa: l.Length[kin.Coxa], femur: f, tibia: t, side: l.Lateral, up: l.Vertical,
		far: f + t, near: math.Abs(f - t), half: 1 / (2 * f * t), sign: -1, limits: l.Limits,
	}
	if l.Knee == kin.KneeDown {
		b.sign = 1
	}
	return b
}

// Room tells whether the foot centre can be put on pHF (hip frame, m) as
// kin.Leg.Solve puts it, with every joint inside its limits: positive where it
// can, negative where it cannot, 0 on the edge. Its size is no distance: at
// the rim of the reach it is the way to the rim, at a joint's limit the angle
// left times the length of the straight leg, m. Inside it is continuous but on
// the coxa's axis. A point that is not finite gives a negative number or NaN.
//
// The same closed form as Solve (law of cosines behind a yaw; Lynch and Park,
// Modern Robotics, 2017, ch. 6). Up to four arc tangents, no allocation.
func (b *Limb) Room(pHF r3.Vec) float64 {
	rho2 := pHF.X*pHF.X + pHF.Y*pHF.Y
	room := math.Inf(1)
	u2 := rho2
	if b.side != 0 {
		if room = math.Sqrt(rho2) - math.Abs(b.side); room <= 0 {
			return room
		}
		u2 -= b.side * b.side
	}
	u := math.Sqrt(max(0, u2))
	w, v := u-b.coxa, pHF.Z-b.up
	r2 := w*w + v*v
	r := math.Sqrt(r2)
	room = min(room, b.far-r)
	if b.near > 0 {
		room = min(room, r-b.near)
	}
	if !(room > 0) {
		return room
	}
	less, more := max(0, (b.far-r)*(b.far+r)), max(0, (r-b.near)*(r+b.near))
	c, s := (more-less)*b.half/2, b.sign*math.Sqrt(less*more)*b.half
	if room = min(room, b.left(kin.Tibia, math.Atan2(s, c))); room <= 0 {
		return room
	}
	along, across := b.femur-b.tibia+more/(2*b.femur), b.tibia*s
	if room = min(room, b.left(kin.Femur, math.Atan2(v*along-w*across, w*along+v*across))); room <= 0 {
		return room
	}
	// The coxa's direction is the foot's less that of (u, d) in the plane.
	x, y := pHF.X, pHF.Y
	if d := b.side; d != 0 {
		x, y = x*u+y*d, y*u-x*d
	}
	return min(room, b.left(kin.Coxa, math.Atan2(y, x)))
}

// left gives how far an angle lies inside a joint's limits, as a length, m. A
// joint that turns all round has no end where its angle wraps.
func (b *Limb) left(j int, q float64) float64 {
	r := &b.limits[j]
	if r.Hi-r.Lo >= 2*math.Pi {
		return b.far
	}
	return min(q-r.Lo, r.Hi-q) * b.far
}
