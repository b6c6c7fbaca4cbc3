// SPDX-License-Identifier: MIT

package dynamics

import (
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

// Sweep gives what the outside must exert on the robot for it to move so
// (angles q, speeds qd, accelerations qdd as in Motion), the moment about
// pWO, W's axes; and writes to tau (legs x 3) the torque of every joint with
// the feet free, N·m. A force f on a foot, in H's axes, takes Jᵀ·f from it
// (Leg.Jacobian of package kin).
//
// About the centre of mass it is what Demand gives of Motion, at a third of
// the cost: the same recursion without momenta, femur and tibia in the axes of
// the coxa, in which they turn about one direction.
func (m *Model) Sweep(tau []float64, b *BodyMotion, q, qd, qdd []float64, pWO r3.Vec) Wrench {
	w := &b.XWB
	pb := b.inBody()
	// A robot that is let go needs nothing: accelerations are counted from free fall.
	pb.a = r3.Add(pb.a, w.R.TMul(r3.Vec{Z: m.Gravity}))
	all := rate(&m.Body, &pb)
	f, n := all.f, all.n
	for i := range m.Legs {
		o := i * kin.Joints
		at := pb.at(m.xBH[i].P)
		fl, nl := m.Legs[i].sweep(tau[o:o+3], sincos(q[o]+m.heading[i]), q[o:o+3], qd[o:o+3], qdd[o:o+3], at.a, at.w, at.al)
		f = r3.Add(f, fl)
		n = r3.Add(n, r3.Add(nl, r3.Cross(m.xBH[i].P, fl)))
	}
	n = r3.Sub(n, r3.Cross(w.Into(pWO), f))
	return Wrench{Force: w.R.Mul(f), Moment: w.R.Mul(n)}
}

// sweep is Sweep for one leg: the hip's acceleration, angular velocity and
// acceleration, and what is given back, are in B's axes, force and moment at
// the hip. c is the turn of the coxa in B.
func (l *Leg) sweep(tau []float64, c turn, q, qd, qdd []float64, a, w, al r3.Vec) (f, n r3.Vec) {
	sf, st := sincos(q[kin.Femur]), sincos(q[kin.Femur]+q[kin.Tibia])
	root := l.root()
	knee := r3.Vec{X: l.Length[kin.Femur] * sf.c, Z: l.Length[kin.Femur] * sf.s}

	v := qd[kin.Coxa]
	a, w, al = c.yawIn(a), c.yawIn(w), c.yawIn(al)
	al = r3.Vec{X: al.X + w.Y*v, Y: al.Y - w.X*v, Z: al.Z + qdd[kin.Coxa]} // w × z·v
	w.Z += v
	fc, nc := link(&l.Links[kin.Coxa], turn{0, 1}, a, w, al)

	a = r3.Add(a, point(root, w, al))
	v = qd[kin.Femur]
	al = r3.Vec{X: al.X + w.Z*v, Y: al.Y - qdd[kin.Femur], Z: al.Z - w.X*v} // w × -y·v
	w.Y -= v
	ff, nf := link(&l.Links[kin.Femur], sf, a, w, al)

	a = r3.Add(a, point(knee, w, al))
	v = qd[kin.Tibia]
	al = r3.Vec{X: al.X + w.Z*v, Y: al.Y - qdd[kin.Tibia], Z: al.Z - w.X*v}
	w.Y -= v
	ft, nt := link(&l.Links[kin.Tibia], st, a, w, al)

	tau[kin.Tibia] = -nt.Y
	nf = r3.Add(nf, r3.Add(nt, r3.Cross(knee, ft)))
	ff = r3.Add(ff, ft)
	tau[kin.Femur] = -nf.Y
	nc = r3.Add(nc, r3.Add(nf, r3.Cross(root, ff)))
	fc = r3.Add(fc, ff)
	tau[kin.Coxa] = nc.Z
	return c.yawOut(fc), c.yawOut(nc)
}

// point is the acceleration of p that comes from turning.
func point(p, w, al r3.Vec) r3.Vec { return r3.Add(r3.Cross(al, p), r3.Cross(w, r3.Cross(w, p))) }

// link is rate for a link pitched by t, everything in the coxa's axes.
func link(k *kin.Link, t turn, a, w, al r3.Vec) (f, n r3.Vec) {
	c := t.pitchOut(k.COM)
	f = r3.Scale(k.Mass, r3.Add(a, point(c, w, al)))
	w, al = t.pitchIn(w), t.pitchIn(al)
	n = t.pitchOut(r3.Add(k.Inertia.Mul(al), r3.Cross(w, k.Inertia.Mul(w))))
	return f, r3.Add(n, r3.Cross(c, f))
}
