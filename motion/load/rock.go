// SPDX-License-Identifier: MIT

package load

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/dynamics"
	"gaitwright/kin/support"
	"gaitwright/motion"
)

// hinge is the edge that the robot rolls over.
type hinge struct {
	at, out support.Point // a point of it, and the direction outwards
	inertia float64       // of the robot about it, kg·m²
	reach   float64       // of the farthest planted foot from it, m
}

// rock fills Lift: from each instant at which the zero-moment point leaves
// the support, the robot rolls as one stiff part (dynamics.Rock) over the edge
// that is nearest to the point, until its feet are down again. A change of
// footing goes on with the tilt it finds, or ends it when it falls the other
// way. 0 while it stands; NaN where the
// loads are not known.
func (e *Estimator) rock(t *motion.Trajectory, l *Loads) {
	l.Lift, l.Tilt = sized(l.Lift, l.N), sized(l.Tilt, l.N)
	var r dynamics.Rock
	var h hinge
	rolls := false
	for k := range l.N {
		l.Lift[k], l.Tilt[k] = 0, 0
		switch l.State[k] {
		case Unknown:
			l.Lift[k], l.Tilt[k] = math.NaN(), math.NaN()
			fallthrough
		case Hung, Flying, Unsupported:
			r, rolls = dynamics.Rock{}, false
			continue
		}
		out := l.Dynamic[k] < 0
		if rolls && !e.same(t, l, k-1, k) {
			before := h.out
			rolls = out && e.hinge(t, l, k, &h)
			if !rolls || before.X*h.out.X+before.Y*h.out.Y <= 0 { // the new feet catch it
				r = dynamics.Rock{}
			}
		}
		if !rolls {
			if !out || !e.hinge(t, l, k, &h) {
				continue
			}
			rolls = true
		}
		p, ok := l.ZMPAt(k)
		margin, push := 0.0, 0.0
		if ok {
			margin = (h.at.X-p.X)*h.out.X + (h.at.Y-p.Y)*h.out.Y
			push = l.Mass * (l.Acc[k*3]*t.RWG[2] + l.Acc[k*3+1]*t.RWG[5] + (l.Acc[k*3+2]+e.robot.Gravity)*t.RWG[8])
		}
		r.Step(1/t.Rate, push, margin, t.COM[k*3+2], h.inertia)
		if r.Angle == 0 && margin >= 0 {
			r, rolls = dynamics.Rock{}, false
			continue
		}
		l.Lift[k], l.Tilt[k] = h.reach*math.Sin(r.Angle), r.Angle
	}
}

// hinge finds the edge at sample k; not ok where the point is on it.
func (e *Estimator) hinge(t *motion.Trajectory, l *Loads, k int, h *hinge) bool {
	var flat [kin.MaxLegs]support.Point
	down := 0
	for i := range t.Legs {
		if t.Planted[k*t.Legs+i] {
			p := t.FootAt(k, i)
			flat[down] = support.Point{X: p.X, Y: p.Y}
			down++
		}
	}
	z, ok := l.ZMPAt(k)
	hull := support.Hull(flat[:down])
	near, any := hull.Nearest(support.Point{X: z.X, Y: z.Y})
	if !ok || !any {
		return false
	}
	dx, dy := z.X-near.X, z.Y-near.Y
	d := math.Hypot(dx, dy)
	if !(d > 1e-9) {
		return false
	}
	h.at, h.out, h.reach = near, support.Point{X: dx / d, Y: dy / d}, 0
	for _, p := range flat[:down] {
		h.reach = max(h.reach, (near.X-p.X)*h.out.X+(near.Y-p.Y)*h.out.Y)
	}
	w := t.Legs * kin.Joints
	whole := e.model.Rigid(t.Q[k*w : (k+1)*w])
	axis := r3.Vec{X: -h.out.Y, Y: h.out.X}
	x := t.BodyPose(k)
	arm := r3.Sub(motion.Vec(t.COM, k*3), r3.Vec{X: near.X, Y: near.Y})
	axisB := x.R.TMul(axis)
	along := r3.Dot(arm, axis)
	h.inertia = r3.Dot(axisB, whole.Inertia.Mul(axisB)) + whole.Mass*(r3.Norm2(arm)-along*along)
	return true
}
