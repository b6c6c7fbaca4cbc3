// SPDX-License-Identifier: MIT

package load

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/contact"
	"gaitwright/kin/dynamics"
	"gaitwright/kin/servo"
	"gaitwright/kin/support"
	"gaitwright/motion"
)

// Estimator turns trajectories into loads. It may be used again and again.
type Estimator struct {
	robot *kin.Robot
	model *dynamics.Model
	xBH   []kin.Rot

	solver contact.Solver
	feet   []contact.Foot
	legs   []int // of the feet
	force  []r3.Vec
	last   knot
	next   knot
}

// knot is a sample at which forces were sought.
type knot struct {
	k     int // -1: none
	state contact.Status
	force []r3.Vec // of the planted feet, in order of legs
}

// New prepares for a robot that has passed its Check.
func New(r *kin.Robot) *Estimator {
	e := &Estimator{robot: r, model: dynamics.New(r)}
	for i := range r.Legs {
		e.xBH = append(e.xBH, r.Legs[i].XBH().R)
	}
	n := len(r.Legs)
	e.feet, e.legs, e.force = make([]contact.Foot, 0, n), make([]int, 0, n), make([]r3.Vec, n)
	e.last.force, e.next.force = make([]r3.Vec, n), make([]r3.Vec, n)
	return e
}

// Model gives the weight model in use.
func (e *Estimator) Model() *dynamics.Model { return e.model }

// Options change how loads are estimated. The zero value stands the robot on
// the ground and seeks forces often enough for anything a servo can do.
type Options struct {
	OnStand bool    // the body is held by a stand, no foot carries
	Every   float64 // longest time between samples at which the forces are sought, s; 0: 4 ms
	Contact float64 // time in which a foot comes to rest, s; 0: 10 ms
	Reuse   *Loads  // arrays to take over, nil for none
}

// every is how often the forces are sought, s. Between, they change smoothly:
// nothing a hobby servo does changes in less.
const every = 0.004

// contactTime is how long a foot takes to come to rest, s: common practice for
// a rubber foot of some millimetres.
const contactTime = 0.010

// slackened is the share of the friction that forces are sought with, so that
// forces taken from samples beside stay inside the cones.
const slackened = 0.999

// Run estimates the loads of a trajectory that was sampled from the robot.
//
// At samples where a contact begins or ends, and at least every few
// milliseconds, the forces are those of contact.Solver. Between two such
// samples they are the average of both, weighted by time, which stays inside
// the cones, plus the least correction that makes the balance exact; should
// that leave a cone, they are sought there too. No allocation per sample.
func (e *Estimator) Run(t *motion.Trajectory, o Options) *Loads {
	l := o.Reuse
	if l == nil {
		l = &Loads{}
	}
	legs := len(e.robot.Legs)
	if t.Legs != legs {
		panic("load: the trajectory was sampled from another robot")
	}
	n, w := t.N, legs*kin.Joints
	l.N, l.Legs, l.Mass, l.Supply, l.Solved = n, legs, e.model.Total, e.robot.Supply, 0
	l.State = sized(l.State, n)
	l.Acc, l.Spin = sized(l.Acc, 3*n), sized(l.Spin, 3*n)
	l.ZMP, l.Dynamic, l.Energy = sized(l.ZMP, 3*n), sized(l.Dynamic, n), sized(l.Energy, n)
	l.Force, l.Torque = sized(l.Force, n*w), sized(l.Torque, n*w)
	l.Current, l.Voltage = sized(l.Current, n), sized(l.Voltage, n)
	l.RMS, l.Lines = sized(l.RMS, w), sized(l.Lines, w)
	for i := range l.Lines {
		l.Lines[i] = servo.At(&e.robot.Legs[i/kin.Joints].Servos[i%kin.Joints], l.Supply.Voltage)
	}
	stride := o.Every
	if !(stride > 0) {
		stride = every
	}
	for k := range n {
		e.motion(t, l, k, o.OnStand)
	}
	if !o.OnStand {
		e.carry(t, l, max(1, int(stride*t.Rate+1e-6)))
	}
	for k := range n {
		l.draw(t, k)
	}
	e.rock(t, l)
	e.slip(t, l)
	l.rms()
	l.Blows = l.Blows[:0]
	if !o.OnStand {
		rest := o.Contact
		if !(rest > 0) {
			rest = contactTime
		}
		l.Blows = e.Blows(t, rest)
	}
	l.least = func(k int) (float64, bool) {
		p := e.pose(t, l, k)
		for i := range e.feet {
			e.feet[i].Free = [kin.Joints]float64{} // not known where no forces are, and of no matter here
		}
		return e.solver.LeastFriction(&p, e.feet)
	}
	return l
}

func sized[T any](a []T, n int) []T {
	if cap(a) < n {
		return make([]T, n)
	}
	return a[:n]
}

// fill writes NaN.
func fill(a []float64) {
	for i := range a {
		a[i] = math.NaN()
	}
}

func put(a []float64, v r3.Vec) { a[0], a[1], a[2] = v.X, v.Y, v.Z }

// motion fills what needs no forces: the torques with the feet free, the
// zero-moment point and the margins.
func (e *Estimator) motion(t *motion.Trajectory, l *Loads, k int, onStand bool) {
	w := t.Legs * kin.Joints
	force, torque := l.Force[k*w:(k+1)*w], l.Torque[k*w:(k+1)*w]
	qdd := t.A[k*w : (k+1)*w]
	clear(force)
	fill(l.ZMP[k*3 : k*3+3])
	l.Dynamic[k], l.Energy[k] = math.NaN(), math.NaN()

	var planted [kin.MaxLegs]r3.Vec
	var flat [kin.MaxLegs]support.Point
	down := 0
	for i := range t.Legs {
		if t.Planted[k*t.Legs+i] && !onStand {
			p := t.FootAt(k, i)
			planted[down], flat[down] = p, support.Point{X: p.X, Y: p.Y}
			down++
		}
	}
	if down > 0 {
		l.Energy[k] = dynamics.EnergyMargin(motion.Vec(t.COM, k*3), planted[:down])
	}
	for _, v := range qdd {
		if v != v {
			l.State[k] = Unknown
			fill(l.Acc[k*3 : k*3+3])
			fill(l.Spin[k*3 : k*3+3])
			fill(torque)
			fill(force)
			return
		}
	}
	b := bodyMotion(t, k)
	o := e.model.Sweep(torque, &b, t.Q[k*w:(k+1)*w], t.V[k*w:(k+1)*w], qdd)
	put(l.Acc[k*3:], o.Acc)
	put(l.Spin[k*3:], o.DL)
	switch {
	case onStand:
		l.State[k] = Hung
		return
	case down == 0:
		l.State[k] = Flying
		return
	}
	l.State[k] = Pulled // until forces are found
	ground := dynamics.Plane{N: r3.Vec{X: t.RWG[2], Y: t.RWG[5], Z: t.RWG[8]}}
	if p, f := dynamics.ZeroMoment(e.model.Demand(&o), o.COM, ground); f == dynamics.Loaded {
		put(l.ZMP[k*3:], p)
		hull := support.Hull(flat[:down])
		l.Dynamic[k] = hull.Margin(support.Point{X: p.X, Y: p.Y})
	}
}

func bodyMotion(t *motion.Trajectory, k int) dynamics.BodyMotion {
	return dynamics.BodyMotion{
		XWB: t.BodyPose(k),
		Vel: motion.Vec(t.BodyV, k*6), Omega: motion.Vec(t.BodyV, k*6+3),
		Acc: motion.Vec(t.BodyA, k*6), Alpha: motion.Vec(t.BodyA, k*6+3),
	}
}

// carry shares the demand out over the planted feet.
func (e *Estimator) carry(t *motion.Trajectory, l *Loads, stride int) {
	e.last.k = -1
	for k := 0; k < t.N; {
		if l.State[k] == Unknown || l.State[k] == Flying {
			e.last.k = -1
			k++
			continue
		}
		if e.last.k < 0 {
			e.seek(t, l, k, &e.last)
			k++
			continue
		}
		// The next knot: a stride on, or the last sample of this footing.
		to := e.last.k
		for to+1 < t.N && to < e.last.k+stride && e.same(t, l, e.last.k, to+1) {
			to++
		}
		if to == e.last.k { // the footing ends here
			e.last.k = -1
			continue
		}
		e.seek(t, l, to, &e.next)
		for m := e.last.k + 1; m < to; m++ {
			e.between(t, l, m)
		}
		e.last, e.next = e.next, e.last
		k = to + 1
	}
}

// same tells whether two samples have the same feet on the ground.
func (e *Estimator) same(t *motion.Trajectory, l *Loads, a, b int) bool {
	if s := l.State[b]; s == Unknown || s == Flying {
		return false
	}
	for i := range t.Legs {
		if t.Planted[a*t.Legs+i] != t.Planted[b*t.Legs+i] {
			return false
		}
	}
	return true
}

// pose fills feet with what the solver needs at sample k, and gives the demand
// about the centre of mass.
func (e *Estimator) pose(t *motion.Trajectory, l *Loads, k int) contact.Problem {
	w := t.Legs * kin.Joints
	x := t.BodyPose(k)
	e.feet, e.legs = e.feet[:0], e.legs[:0]
	for i := range t.Legs {
		if !t.Planted[k*t.Legs+i] {
			continue
		}
		f := contact.Foot{P: t.FootAt(k, i), Free: [kin.Joints]float64(l.Torque[k*w+i*kin.Joints:])}
		jac := e.robot.Legs[i].Jacobian(t.JointsAt(k, i))
		r := x.R.Dot(e.xBH[i])
		for j := range kin.Joints {
			c := r.Mul(r3.Vec{X: jac[j], Y: jac[3+j], Z: jac[6+j]})
			put(f.JT[3*j:], c)
			o := i*kin.Joints + j
			f.Limit[j] = bearable(&l.Lines[o], t.V[k*w+o])
		}
		e.feet, e.legs = append(e.feet, f), append(e.legs, i)
	}
	m := e.model.Total
	acc := vec(l.Acc, k*3)
	return contact.Problem{
		Force:    r3.Scale(m, r3.Add(acc, r3.Vec{Z: e.robot.Gravity})),
		Moment:   vec(l.Spin, k*3),
		Point:    motion.Vec(t.COM, k*3),
		Normal:   r3.Vec{X: t.RWG[2], Y: t.RWG[5], Z: t.RWG[8]},
		Friction: e.robot.Friction * slackened,
	}
}
