// SPDX-License-Identifier: MIT

package motion

import (
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/motion/curve"
)

// path is a place with its velocity and acceleration.
type path struct{ p, v, a r3.Vec }

// spanAt gives where a span that runs from one time to another is at t, by
// the second.
func spanAt(s *curve.Span, t, from, to float64) path {
	d := to - from
	if d <= 0 {
		p, _, _ := s.At(1)
		return path{p: p}
	}
	x := (t - from) / d
	p, v, a := s.At(max(0, min(1, x)))
	if x < -1e-9 || x > 1+1e-9 { // begins or ends, and rests
		return path{p: p}
	}
	return path{p, r3.Scale(1/d, v), r3.Scale(1/(d*d), a)}
}

// turning is a frame that moves: B in G.
type turning struct {
	x            kin.Pose
	rpy          r3.Vec // rad
	v, a         r3.Vec // of the origin, m/s, m/s²
	omega, alpha r3.Vec // rad/s, rad/s²
}

// moving gives the body's pose in G and how it moves there.
func (b *BodyPiece) moving(t float64) turning {
	c := b.Start
	var go1, go2 r3.Vec // speed of C's origin and its rate
	var w, dw float64   // turning speed of C and its rate
	if b.Drive != nil {
		c = b.Drive.CourseAt(t)
		v, a := b.Drive.Speed(t)
		w, dw = v.Turn, a.Turn
		go1 = c.Turn(r3.Vec{X: v.Forward, Y: v.Side})
		go2 = c.Turn(r3.Vec{X: a.Forward, Y: a.Side})
	}
	var shift, lean path
	if k := b.Carriage; k != nil {
		shift.p, shift.v, shift.a = k.ShiftAt(t)
		lean.p, lean.v, lean.a = k.Lean.At(t)
	} else {
		shift, lean = spanAt(&b.Shift, t, b.From, b.To), spanAt(&b.Lean, t, b.From, b.To)
	}
	m := turning{rpy: r3.Vec{X: lean.p.X, Y: lean.p.Y, Z: lean.p.Z + c.Yaw}}
	m.x = kin.Pose{P: c.At(shift.p), R: kin.RPY(m.rpy.X, m.rpy.Y, m.rpy.Z)}
	// The course turns about z at w and goes along in its own axes.
	r, v := c.Turn(shift.p), c.Turn(shift.v)
	m.v = r3.Add(go1, r3.Add(v, r3.Scale(w, quarter(r))))
	m.a = r3.Add(r3.Add(go2, r3.Scale(w, quarter(go1))),
		r3.Add(c.Turn(shift.a), r3.Add(r3.Scale(dw, quarter(r)), r3.Add(r3.Scale(2*w, quarter(v)), r3.Scale(w*w, quarter(quarter(r)))))))
	rate, acc := lean.v, lean.a
	rate.Z += w
	acc.Z += dw
	m.omega, m.alpha = kin.Spin(m.rpy, rate, acc)
	return m
}

// quarter gives ẑ × v.
func quarter(v r3.Vec) r3.Vec { return r3.Vec{X: -v.Y, Y: v.X} }

// moving gives where a foot is and how it moves, in G and seen from B.
func (f *FootPiece) moving(t float64, b *turning) (inG, inB path) {
	f.move(t, b, &inG, &inB)
	return inG, inB
}

// move is moving, written to paths, which is a good deal faster.
func (f *FootPiece) move(t float64, b *turning, inG, inB *path) {
	switch f.Hold {
	case Planted:
		*inG = path{p: f.Span.Path.P0}
	case OverGround:
		*inG = f.path(t)
	default:
		*inB = f.path(t)
		*inG = b.out(inB)
		return
	}
	b.in(inG, inB)
}

// out gives in G what is known in B.
func (m *turning) out(q *path) path {
	r, v := m.x.R.Mul(q.p), m.x.R.Mul(q.v)
	wr := r3.Cross(m.omega, r)
	return path{
		p: r3.Add(m.x.P, r),
		v: r3.Add(m.v, r3.Add(v, wr)),
		a: r3.Add(m.a, r3.Add(m.x.R.Mul(q.a), r3.Add(r3.Cross(m.alpha, r), r3.Add(r3.Scale(2, r3.Cross(m.omega, v)), r3.Cross(m.omega, wr))))),
	}
}

// in gives in B what is known in G, as seen by somebody who turns with B.
func (m *turning) in(q, inB *path) {
	r := r3.Sub(q.p, m.x.P)
	wr := r3.Cross(m.omega, r)
	v := r3.Sub(r3.Sub(q.v, m.v), wr)
	a := r3.Sub(r3.Sub(q.a, m.a), r3.Add(r3.Cross(m.alpha, r), r3.Add(r3.Scale(2, r3.Cross(m.omega, v)), r3.Cross(m.omega, wr))))
	inB.p, inB.v, inB.a = m.x.R.TMul(r), m.x.R.TMul(v), m.x.R.TMul(a)
}
