// SPDX-License-Identifier: MIT

package dynamics

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

// Leg is the geometry of a leg with the weight of its links.
type Leg struct {
	Length   [kin.Joints]float64  // coxa, femur, tibia, m
	Lateral  float64              // d, m
	Vertical float64              // h, m
	Links    [kin.Joints]kin.Link // servos included, link frames
}

// Base is how the hip frame moves, seen from the world, in H's axes.
type Base struct {
	Vel     r3.Vec // of H's origin, m/s; momentum alone depends on it
	Omega   r3.Vec // angular velocity, rad/s
	Acc     r3.Vec // of H's origin, m/s²
	Alpha   r3.Vec // angular acceleration, rad/s²
	Gravity r3.Vec // acceleration of free fall, (0, 0, -9.80665) when H is level, m/s²
}

// Wrench is a force and the moment about a stated point.
type Wrench struct {
	Force  r3.Vec // N
	Moment r3.Vec // N·m
}

// Momentum is linear momentum and angular momentum about a stated point.
type Momentum struct {
	P r3.Vec // kg·m/s
	L r3.Vec // kg·m²/s
}

// dual is a force with its moment, or a momentum with its angular one: both
// move between frames alike.
type dual struct{ f, n r3.Vec }

func (d dual) plus(e dual) dual { return dual{r3.Add(d.f, e.f), r3.Add(d.n, e.n)} }

// about moves d, known about a frame's origin, to the frame that sees this
// origin at p, axes alike.
func (d dual) about(p r3.Vec) dual { return dual{d.f, r3.Add(d.n, r3.Cross(p, d.f))} }

// turn is the sine and cosine of a joint angle.
type turn struct{ s, c float64 }

func sincos(a float64) turn {
	s, c := math.Sincos(a)
	return turn{s, c}
}

// yawIn takes v into a frame turned about z, yawOut back.
func (t turn) yawIn(v r3.Vec) r3.Vec {
	return r3.Vec{X: t.c*v.X + t.s*v.Y, Y: t.c*v.Y - t.s*v.X, Z: v.Z}
}
func (t turn) yawOut(v r3.Vec) r3.Vec {
	return r3.Vec{X: t.c*v.X - t.s*v.Y, Y: t.s*v.X + t.c*v.Y, Z: v.Z}
}

// pitchIn takes v into a frame turned about -y, pitchOut back.
func (t turn) pitchIn(v r3.Vec) r3.Vec {
	return r3.Vec{X: t.c*v.X + t.s*v.Z, Y: v.Y, Z: t.c*v.Z - t.s*v.X}
}
func (t turn) pitchOut(v r3.Vec) r3.Vec {
	return r3.Vec{X: t.c*v.X - t.s*v.Z, Y: v.Y, Z: t.s*v.X + t.c*v.Z}
}

func (t turn) pitchOut2(d dual) dual { return dual{t.pitchOut(d.f), t.pitchOut(d.n)} }
func (t turn) yawOut2(d dual) dual   { return dual{t.yawOut(d.f), t.yawOut(d.n)} }

// pace is how a link's frame moves: velocity and acceleration of its origin,
// angular velocity and acceleration, in the link's axes.
type pace struct{ v, a, w, al r3.Vec }

// at is the pace of the point p of the link.
func (m *pace) at(p r3.Vec) pace {
	wp := r3.Cross(m.w, p)
	return pace{
		v:  r3.Add(m.v, wp),
		a:  r3.Add(m.a, r3.Add(r3.Cross(m.al, p), r3.Cross(m.w, wp))),
		w:  m.w,
		al: m.al,
	}
}

// bend takes the pace into a frame turned by the pitch t, rate qd, qdd.
func (m *pace) bend(t turn, qd, qdd float64) pace {
	w, al := t.pitchIn(m.w), t.pitchIn(m.al)
	// axis -y: w × (-y·qd) = (w.z, 0, -w.x)·qd
	return pace{
		v:  t.pitchIn(m.v),
		a:  t.pitchIn(m.a),
		w:  r3.Vec{X: w.X, Y: w.Y - qd, Z: w.Z},
		al: r3.Vec{X: al.X + w.Z*qd, Y: al.Y - qdd, Z: al.Z - w.X*qd},
	}
}

// root is where the femur axis is in the coxa's frame, knee in the femur's,
// foot in the tibia's.
func (l *Leg) root() r3.Vec { return r3.Vec{X: l.Length[kin.Coxa], Y: l.Lateral, Z: l.Vertical} }
func (l *Leg) knee() r3.Vec { return r3.Vec{X: l.Length[kin.Femur]} }
func (l *Leg) foot() r3.Vec { return r3.Vec{X: l.Length[kin.Tibia]} }

// outward is the first half of the recursion: the pace of each link's frame.
// lift is taken from the acceleration of the hip.
func (l *Leg) outward(t *[kin.Joints]turn, qd, qdd *[kin.Joints]float64, b *Base, lift r3.Vec) (m [kin.Joints]pace) {
	c := t[kin.Coxa]
	w, al := c.yawIn(b.Omega), c.yawIn(b.Alpha)
	m[kin.Coxa] = pace{
		v: c.yawIn(b.Vel),
		a: c.yawIn(r3.Sub(b.Acc, lift)),
		w: r3.Vec{X: w.X, Y: w.Y, Z: w.Z + qd[kin.Coxa]},
		// axis z: w × z·qd = (w.y, -w.x, 0)·qd
		al: r3.Vec{X: al.X + w.Y*qd[kin.Coxa], Y: al.Y - w.X*qd[kin.Coxa], Z: al.Z + qdd[kin.Coxa]},
	}
	at := m[kin.Coxa].at(l.root())
	m[kin.Femur] = at.bend(t[kin.Femur], qd[kin.Femur], qdd[kin.Femur])
	at = m[kin.Femur].at(l.knee())
	m[kin.Tibia] = at.bend(t[kin.Tibia], qd[kin.Tibia], qdd[kin.Tibia])
	return m
}

// rate is what moves the link: force and moment about its frame's origin
// that give it the pace m (Newton; Euler).
func rate(k *kin.Link, m *pace) dual {
	at := m.at(k.COM)
	f := r3.Scale(k.Mass, at.a)
	n := r3.Add(k.Inertia.Mul(m.al), r3.Cross(m.w, k.Inertia.Mul(m.w)))
	return dual{f, r3.Add(n, r3.Cross(k.COM, f))}
}

// momentum of the link, about its frame's origin.
func momentum(k *kin.Link, m *pace) dual {
	p := r3.Scale(k.Mass, r3.Add(m.v, r3.Cross(m.w, k.COM)))
	return dual{p, r3.Add(k.Inertia.Mul(m.w), r3.Cross(k.COM, p))}
}

// inward is the second half of the recursion: it sums what each link needs
// from the tip to the hip, each about its own frame's origin and in its axes.
func (l *Leg) inward(t *[kin.Joints]turn, d *[kin.Joints]dual) {
	d[kin.Femur] = d[kin.Femur].plus(t[kin.Tibia].pitchOut2(d[kin.Tibia]).about(l.knee()))
	d[kin.Coxa] = d[kin.Coxa].plus(t[kin.Femur].pitchOut2(d[kin.Femur]).about(l.root()))
}

// along takes from the sums of inward what acts along each joint's axis.
func along(d *[kin.Joints]dual) [kin.Joints]float64 {
	return [kin.Joints]float64{d[kin.Coxa].n.Z, -d[kin.Femur].n.Y, -d[kin.Tibia].n.Y}
}

func turns(q *[kin.Joints]float64) [kin.Joints]turn {
	return [kin.Joints]turn{sincos(q[0]), sincos(q[1]), sincos(q[2])}
}

// InverseDynamics gives the torque each servo must exert (N·m, positive along
// the positive angle) for angles q, speeds qd and accelerations qdd (rad,
// rad/s, rad/s²) while the hip moves as base tells and the outside pushes the
// foot centre with fHF (H's axes, N), and the wrench that the leg exerts on
// the body (about H's origin, H's axes). For every pose, singular ones too;
// friction, gears and rotors are left out. No iteration.
//
// Recursive Newton-Euler in link frames (Luh, Walker and Paul, Journal of
// Dynamic Systems, Measurement, and Control 102, 1980; Featherstone, Rigid
// Body Dynamics Algorithms, Springer 2008, ch. 5; both from memory).
func (l *Leg) InverseDynamics(q, qd, qdd [kin.Joints]float64, base *Base, fHF r3.Vec) (tau [kin.Joints]float64, onBody Wrench) {
	t := turns(&q)
	m := l.outward(&t, &qd, &qdd, base, base.Gravity)
	var d [kin.Joints]dual
	for j := range d {
		d[j] = rate(&l.Links[j], &m[j])
	}
	f := t[kin.Tibia].pitchIn(t[kin.Femur].pitchIn(t[kin.Coxa].yawIn(fHF)))
	push := dual{f: r3.Scale(-1, f)}
	d[kin.Tibia] = d[kin.Tibia].plus(push.about(l.foot()))
	l.inward(&t, &d)
	tau = along(&d)
	h := t[kin.Coxa].yawOut2(d[kin.Coxa])
	return tau, Wrench{Force: r3.Scale(-1, h.f), Moment: r3.Scale(-1, h.n)}
}

// Momentum gives the leg's linear momentum and its angular momentum about H's
// origin, both in H's axes, as seen from the world: angles q (rad), speeds qd
// (rad/s), base's Vel and Omega.
func (l *Leg) Momentum(q, qd [kin.Joints]float64, base *Base) Momentum {
	t := turns(&q)
	var still [kin.Joints]float64
	m := l.outward(&t, &qd, &still, base, r3.Vec{})
	var d [kin.Joints]dual
	for j := range d {
		d[j] = momentum(&l.Links[j], &m[j])
	}
	l.inward(&t, &d)
	h := t[kin.Coxa].yawOut2(d[kin.Coxa])
	return Momentum{P: h.f, L: h.n}
}

// sums of a leg about H's origin, in H's axes.
type sums struct {
	first    r3.Vec // Σ mass·position, kg·m
	momentum dual
	rate     dual // of the momentum, the reference point held still in the world
}

func (l *Leg) sum(q, qd, qdd *[kin.Joints]float64, base *Base) sums {
	t := turns(q)
	m := l.outward(&t, qd, qdd, base, r3.Vec{})
	var p, r [kin.Joints]dual
	for j := range p {
		p[j] = momentum(&l.Links[j], &m[j])
		r[j] = rate(&l.Links[j], &m[j])
	}
	l.inward(&t, &p)
	l.inward(&t, &r)
	k := &l.Links[kin.Tibia]
	mass, first := k.Mass, r3.Scale(k.Mass, k.COM)
	k = &l.Links[kin.Femur]
	first = r3.Add(t[kin.Tibia].pitchOut(first), r3.Scale(mass, l.knee()))
	first = r3.Add(first, r3.Scale(k.Mass, k.COM))
	mass += k.Mass
	k = &l.Links[kin.Coxa]
	first = r3.Add(t[kin.Femur].pitchOut(first), r3.Scale(mass, l.root()))
	first = r3.Add(first, r3.Scale(k.Mass, k.COM))
	c := t[kin.Coxa]
	return sums{first: c.yawOut(first), momentum: c.yawOut2(p[kin.Coxa]), rate: c.yawOut2(r[kin.Coxa])}
}
