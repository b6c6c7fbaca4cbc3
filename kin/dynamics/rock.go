// SPDX-License-Identifier: MIT

package dynamics

import "math"

// Rock is a robot that rolls, as one stiff part, over an edge of its support:
// how far it has tilted and how fast it tilts. The zero value stands.
//
// While the zero-moment point lies outside the support, nothing keeps the far
// feet down; whether the robot falls or only lifts them for an instant is a
// matter of how long and how far.
type Rock struct {
	Angle float64 // rad, 0 or more
	Rate  float64 // rad/s
}

// Step goes on by dt (s) with the ground pushing with push (N) on the edge,
// the zero-moment point margin inside it (m; negative outside), the centre of
// mass height above it (m), and the moment of inertia about it (kg·m²):
//
//	θ'' = -push·(margin - height·θ) / inertia
//
// the linearised inverted pendulum about an edge (textbook; compare the tipping
// block of Housner, Bulletin of the Seismological Society of America 53, 1963,
// from memory), whose arm shrinks as it tilts. It never tilts inwards: there the
// feet stand, and the rest of the motion is lost in the blow. The step is exact
// for constant coefficients, so that it does not depend on dt.
func (r *Rock) Step(dt, push, margin, height, inertia float64) {
	if !(inertia > 0) || !(push > 0) {
		r.Angle = max(0, r.Angle+r.Rate*dt) // in the air it goes on
		return
	}
	w2 := push * height / inertia
	if !(height > 0) || w2*dt*dt < 1e-12 {
		a := -push * margin / inertia
		r.Angle, r.Rate = r.Angle+dt*(r.Rate+a*dt/2), r.Rate+a*dt
	} else {
		w := math.Sqrt(w2)
		sh, ch := math.Sinh(w*dt), math.Cosh(w*dt)
		rest := margin / height // where it would balance
		d := r.Angle - rest
		r.Angle, r.Rate = rest+d*ch+r.Rate/w*sh, d*w*sh+r.Rate*ch
	}
	if !(r.Angle > 0) {
		*r = Rock{}
	}
	if r.Angle > math.Pi/2 { // it lies
		*r = Rock{Angle: math.Pi / 2}
	}
}
