// SPDX-License-Identifier: MIT

package load

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/contact"
	"gaitwright/kin/servo"
	"gaitwright/motion"
)

// leastShare is the share of its stall torque that a servo is given in the
// sharing out of forces however fast it turns, so that one joint past its
// speed does not take the others' part in the measure.
const leastShare = 0.05

// bearable gives what the load of a joint is measured against, N·m.
func bearable(line *servo.Line, speed float64) float64 {
	if !(line.Stall > 0) {
		return math.Inf(1)
	}
	return max(line.Torque(speed), leastShare*line.Stall)
}

// carries tells whether forces were found.
func carries(s contact.Status) bool { return s == contact.Balanced || s == contact.Overloaded }

// seek finds the forces at sample k and writes them.
func (e *Estimator) seek(t *motion.Trajectory, l *Loads, k int, to *knot) {
	p := e.pose(t, l, k)
	to.k = k
	_, to.state = e.solver.Solve(&p, e.feet, to.force[:len(e.feet)])
	l.Solved++
	e.write(t, l, k, to.state, to.force)
}

// between takes the forces at sample k from the knots before and after it.
func (e *Estimator) between(t *motion.Trajectory, l *Loads, k int) {
	if !carries(e.last.state) || !carries(e.next.state) {
		var here knot
		here.force = e.force
		e.seek(t, l, k, &here)
		return
	}
	p := e.pose(t, l, k)
	n := len(e.feet)
	share := float64(k-e.last.k) / float64(e.next.k-e.last.k)
	var mid r3.Vec
	for i := range n {
		e.force[i] = r3.Add(r3.Scale(1-share, e.last.force[i]), r3.Scale(share, e.next.force[i]))
		mid = r3.Add(mid, r3.Scale(1/float64(n), e.feet[i].P))
	}
	if !e.balance(&p, mid) || !e.inside(&p) {
		here := knot{force: e.force}
		e.seek(t, l, k, &here)
		return
	}
	st := contact.Balanced
	e.write(t, l, k, st, e.force)
}

// balance changes the forces as little as possible (least squares) so that
// they meet the demand exactly. About the middle of the feet the correction is
// a common force and, as from a rigid body of unit masses at the feet, a
// moment: f += a + b×p with Σp = 0. Not ok for feet in a line.
func (e *Estimator) balance(p *contact.Problem, mid r3.Vec) bool {
	n := len(e.feet)
	lack := p.Force
	twist := r3.Add(p.Moment, r3.Cross(r3.Sub(p.Point, mid), p.Force))
	var in kin.Inertia
	for i := range n {
		r, f := r3.Sub(e.feet[i].P, mid), e.force[i]
		lack, twist = r3.Sub(lack, f), r3.Sub(twist, r3.Cross(r, f))
		in.XX += r.Y*r.Y + r.Z*r.Z
		in.YY += r.X*r.X + r.Z*r.Z
		in.ZZ += r.X*r.X + r.Y*r.Y
		in.XY -= r.X * r.Y
		in.XZ -= r.X * r.Z
		in.YZ -= r.Y * r.Z
	}
	b, ok := in.Solve(twist)
	if !ok {
		return false
	}
	a := r3.Scale(1/float64(n), lack)
	for i := range n {
		e.force[i] = r3.Add(e.force[i], r3.Add(a, r3.Cross(b, r3.Sub(e.feet[i].P, mid))))
	}
	return true
}

// inside tells whether every force pushes and lies inside its cone.
func (e *Estimator) inside(p *contact.Problem) bool {
	mu := e.robot.Friction
	for _, f := range e.force[:len(e.feet)] {
		push := r3.Dot(p.Normal, f)
		if !(push >= 0) || r3.Norm(r3.Sub(f, r3.Scale(push, p.Normal))) > mu*push {
			return false
		}
	}
	return true
}

// write puts forces and the torques under them into the loads.
func (e *Estimator) write(t *motion.Trajectory, l *Loads, k int, st contact.Status, force []r3.Vec) {
	w := t.Legs * kin.Joints
	switch st {
	case contact.Balanced, contact.Overloaded:
		l.State[k] = Carried
	case contact.NeedsFriction:
		l.State[k] = Slipping
	default:
		l.State[k] = Pulled
	}
	for n, i := range e.legs {
		f, tau := l.Force[k*w+i*3:k*w+i*3+3], l.Torque[k*w+i*3:k*w+i*3+3]
		if l.State[k] != Carried {
			fill(f)
			fill(tau)
			continue
		}
		put(f, force[n])
		foot := &e.feet[n]
		for j := range kin.Joints {
			tau[j] = foot.Free[j] - r3.Dot(vec(foot.JT[:], 3*j), force[n])
		}
	}
}

// draw fills current and voltage of sample k.
func (l *Loads) draw(t *motion.Trajectory, k int) {
	w := l.Legs * kin.Joints
	sum := 0.0
	for o := range w {
		sum += l.Lines[o].Amperes(l.Torque[k*w+o], t.V[k*w+o])
	}
	l.Current[k] = sum
	l.Voltage[k] = 0
	if l.Supply.Voltage > 0 {
		l.Voltage[k] = l.Supply.Voltage - l.Supply.Resistance*sum
	}
}
