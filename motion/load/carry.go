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

const (
	// every is the longest time between knots, s. Longer ones save nothing:
	// while the robot moves, near decides.
	every = 0.128
	// near is how far a force in the middle between two knots may be from the
	// average of theirs, as a share of the demand, for the knots to be near
	// enough. On the demos at 100 to 1000 Hz it keeps every force within 0.8 %
	// of the weight of what is sought there.
	near = 0.0025
	// brief is the longest time, s, that a change of state and back may last
	// unseen while no forces carry the robot.
	brief = 0.008
	// slackened is the share of the friction that forces are sought with, so
	// that forces taken from samples beside stay inside the cones.
	slackened = 0.999
	// leastShare is the share of its stall torque that a servo is given in the
	// sharing out of forces however fast it turns, so that one joint past its
	// speed does not take the others' part in the measure.
	leastShare = 0.05
	// knots is how many knots may be open at a time: motion.MaxSamples halved
	// again and again, and the two ends.
	knots = 24
)

// knot is a sample at which forces were sought.
type knot struct {
	k     int
	state State
	force [kin.MaxLegs]r3.Vec // on the planted feet, in order of legs, W, N
}

// carry shares the demand out over the planted feet, which are the same from
// one sample to another; stride is the most samples between knots.
//
// Two knots are near enough where the forces sought in the middle between them
// are, to a small share of the weight, the average of theirs, and so in the
// middle of the first half, since forces that bend to and fro can meet their
// average in the middle; else the middle becomes a knot of two halves. Two
// knots without forces are near enough where they lack the same, and nothing
// but a brief change can hide between them.
func (e *Estimator) carry(t *motion.Trajectory, l *Loads, from, to, stride int) {
	for k := from; k <= to; k++ {
		if l.State[k] == Unknown {
			continue
		}
		// The demand may step where the plan breaks.
		end, most := k, t.Unbroken(k, to)
		for end < most && l.State[end+1] != Unknown {
			end++
		}
		e.inParts(t, l, k, end, stride)
		k = end
	}
}

// inParts carries from one sample to another, over which nothing steps. A part
// that was carried in the same way before is left as it is.
func (e *Estimator) inParts(t *motion.Trajectory, l *Loads, from, to, stride int) {
	n, parts := to-from, (to-from+stride-1)/stride
	bound := func(i int) int { return from + n*i/max(parts, 1) }
	known := func(i int) (solved int, ok bool) { // of the part before bound i
		if i < 1 || i > parts {
			return 0, false
		}
		return e.keep.known(bound(i-1), bound(i))
	}
	a, b := &e.knots[0], &e.knots[1]
	solved, before := 0, false
	for i := range parts + 1 {
		k := bound(i)
		more, after := known(i + 1)
		if (before || i == 0) && (after || i == parts) && parts > 0 {
			e.solved++ // a knot of known parts only
		} else {
			e.wake(t, l, k)
			e.seek(t, l, k, b)
		}
		switch {
		case i == 0:
		case before:
			e.solved += solved
			e.parts = append(e.parts, part{bound(i - 1), k, solved})
		default:
			for k := bound(i-1) + 1; k < bound(i); k++ {
				e.wake(t, l, k)
			}
			solved = e.solved
			e.halve(t, l, a, b, 2, false)
			e.parts = append(e.parts, part{bound(i - 1), k, e.solved - solved})
		}
		a, b = b, a
		solved, before = more, after
	}
}

// wake works a sample out again that was to be left as it is.
func (e *Estimator) wake(t *motion.Trajectory, l *Loads, k int) {
	if e.keep.asIs(k) {
		e.keep.mark[k] = woken
		e.motion(t, l, k, false)
	}
}

// halve fills the samples between two knots. depth is the first knot that is
// free, or it is sought already as the middle.
func (e *Estimator) halve(t *motion.Trajectory, l *Loads, a, b *knot, depth int, sought bool) {
	if b.k-a.k < 2 {
		return
	}
	if a.state != Carried && a.state == b.state && float64(b.k-a.k) <= brief*t.Rate+1e-6 {
		for k := a.k + 1; k < b.k; k++ {
			e.write(t, l, k, a.state, nil)
		}
		return
	}
	m := &e.knots[depth]
	if !sought {
		e.seek(t, l, (a.k+b.k)/2, m)
	}
	straight := e.straight(t, l, a, m, b)
	again := straight && m.k-a.k > 2
	if q := &e.knots[depth+1]; again {
		e.seek(t, l, (a.k+m.k)/2, q)
		if e.straight(t, l, a, q, m) {
			e.between(t, l, a, q)
			e.between(t, l, q, m)
			e.between(t, l, m, b)
			return
		}
	} else if straight {
		e.between(t, l, a, m)
		e.between(t, l, m, b)
		return
	}
	e.halve(t, l, a, m, depth+1, again)
	e.halve(t, l, m, b, depth+1, false)
}

// straight tells whether the forces at m are the average of those at a and b.
func (e *Estimator) straight(t *motion.Trajectory, l *Loads, a, m, b *knot) bool {
	if a.state != Carried || m.state != Carried || b.state != Carried {
		return false
	}
	var f [kin.MaxLegs]r3.Vec
	p := e.demand(t, l, m.k)
	if !e.average(&p, m.k, a, b, &f) {
		return false
	}
	far := near * r3.Norm(p.Force)
	for i := range e.stand.n {
		if !(r3.Norm2(r3.Sub(f[i], m.force[i])) <= far*far) {
			return false
		}
	}
	return true
}

// between fills the samples between two knots with forces.
func (e *Estimator) between(t *motion.Trajectory, l *Loads, a, b *knot) {
	var f [kin.MaxLegs]r3.Vec
	for k := a.k + 1; k < b.k; k++ {
		p := e.demand(t, l, k)
		if !e.average(&p, k, a, b, &f) {
			e.seek(t, l, k, &e.knots[knots-1])
			continue
		}
		e.write(t, l, k, Carried, f[:])
	}
}

// average gives the forces at sample k from those at the knots before and
// after it; not ok where they leave a cone.
func (e *Estimator) average(p *contact.Problem, k int, a, b *knot, f *[kin.MaxLegs]r3.Vec) bool {
	s := &e.stand
	u := float64(k-a.k) / float64(b.k-a.k)
	for i := range s.n {
		f[i] = r3.Add(r3.Scale(1-u, a.force[i]), r3.Scale(u, b.force[i]))
	}
	if !s.balance(p.Force, r3.Add(p.Moment, r3.Cross(r3.Sub(p.Point, s.mid), p.Force)), f) {
		return false
	}
	mu2 := e.robot.Friction * e.robot.Friction
	for i := range s.n {
		push := r3.Dot(p.Normal, f[i])
		if !(push >= 0) || r3.Norm2(r3.Sub(f[i], r3.Scale(push, p.Normal))) > mu2*push*push {
			return false
		}
	}
	return true
}

// seek finds the forces at sample k and writes them.
func (e *Estimator) seek(t *motion.Trajectory, l *Loads, k int, to *knot) {
	p := e.pose(t, l, k)
	n := e.stand.n
	to.k, to.state = k, Pulled
	st, known := e.recall.answer(k, &p, e.feet[:n], to.force[:n])
	if !known {
		asked := p
		_, st = e.solver.Solve(&p, e.feet[:n], to.force[:n])
		if st == contact.NeedsFriction { // all of the friction may just do
			p.Friction = e.robot.Friction
			_, st = e.solver.Solve(&p, e.feet[:n], to.force[:n])
		}
		e.recall.keep(k, &asked, e.feet[:n], to.force[:n], st)
	}
	switch st {
	case contact.Balanced, contact.Overloaded:
		to.state = Carried
	case contact.NeedsFriction:
		to.state = Slipping
	}
	e.solved++
	e.write(t, l, k, to.state, to.force[:])
}

// demand gives what the ground must exert at sample k, about the centre of
// mass.
func (e *Estimator) demand(t *motion.Trajectory, l *Loads, k int) contact.Problem {
	return contact.Problem{
		Force:    r3.Scale(e.model.Total, r3.Add(vec(l.Acc, k*3), r3.Vec{Z: e.robot.Gravity})),
		Moment:   vec(l.Spin, k*3),
		Point:    motion.Vec(t.COM, k*3),
		Normal:   normal(t),
		Friction: e.robot.Friction * slackened,
	}
}

// pose fills feet with what the solver needs at sample k beside the demand.
// The torques must be those with the feet free.
func (e *Estimator) pose(t *motion.Trajectory, l *Loads, k int) contact.Problem {
	w := t.Legs * kin.Joints
	x := t.BodyPose(k)
	for n := range e.stand.n {
		i, f := e.stand.leg[n], &e.feet[n]
		f.P = e.stand.foot[n]
		col := e.columns(t, k, i)
		for j := range kin.Joints {
			o := i*kin.Joints + j
			f.Free[j] = l.Torque[k*w+o]
			put(f.JT[3*j:], x.R.Mul(col[j]))
			f.Limit[j] = bearable(&l.Lines[o], t.V[k*w+o])
		}
	}
	return e.demand(t, l, k)
}

// columns gives the columns of the Jacobian of a foot at sample k in B's axes,
// m/rad: each joint's axis times the way from the joint to the foot.
func (e *Estimator) columns(t *motion.Trajectory, k, leg int) [kin.Joints]r3.Vec {
	p := t.Points[(k*t.Legs+leg)*9:]
	l := &e.robot.Legs[leg]
	foot := vec(p, 6)
	r := r3.Sub(foot, l.PBH)
	s, c := math.Sincos(l.Heading + t.Q[(k*t.Legs+leg)*kin.Joints+kin.Coxa])
	// The axes of femur and tibia are (s, -c, 0).
	pitch := func(joint r3.Vec) r3.Vec {
		r := r3.Sub(foot, joint)
		return r3.Vec{X: -c * r.Z, Y: -s * r.Z, Z: s*r.Y + c*r.X}
	}
	return [kin.Joints]r3.Vec{{X: -r.Y, Y: r.X}, pitch(vec(p, 0)), pitch(vec(p, 3))}
}

// bearable gives what the load of a joint is measured against, N·m.
func bearable(line *servo.Line, speed float64) float64 {
	if !(line.Stall > 0) {
		return math.Inf(1)
	}
	return max(line.Torque(speed), leastShare*line.Stall)
}

// write puts forces and the torques under them into the loads.
func (e *Estimator) write(t *motion.Trajectory, l *Loads, k int, st State, force []r3.Vec) {
	w := t.Legs * kin.Joints
	l.State[k] = st
	if st != Carried {
		// Not those of swinging legs either: they hang on a body that goes
		// elsewhere.
		fill(l.Force[k*w : (k+1)*w])
		fill(l.Torque[k*w : (k+1)*w])
		return
	}
	x := t.BodyPose(k)
	for n := range e.stand.n {
		i := e.stand.leg[n]
		f, tau := l.Force[k*w+i*3:k*w+i*3+3], l.Torque[k*w+i*3:k*w+i*3+3]
		put(f, force[n])
		fB := x.R.TMul(force[n])
		col := e.columns(t, k, i)
		for j := range kin.Joints {
			tau[j] -= r3.Dot(col[j], fB)
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
