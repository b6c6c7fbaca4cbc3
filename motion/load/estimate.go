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
	qdd   []float64 // scratch, legs x 3

	solver contact.Solver
	recall *Recall
	feet   [kin.MaxLegs]contact.Foot
	stand  stance
	knots  [knots]knot
	keep   keeping
	parts  []part // carried in this run
	solved int    // samples at which forces were sought in this run
}

// New prepares for a robot that has passed its Check.
func New(r *kin.Robot) *Estimator {
	e := &Estimator{robot: r, model: dynamics.New(r)}
	for i := range r.Legs {
		e.xBH = append(e.xBH, r.Legs[i].XBH().R)
	}
	return e
}

// Model gives the weight model in use.
func (e *Estimator) Model() *dynamics.Model { return e.model }

// Options change how loads are estimated. The zero value stands the robot on
// the ground and seeks forces often enough for anything a servo can do.
type Options struct {
	OnStand bool    // the body is held by a stand, no foot carries
	Every   float64 // longest time between samples at which the forces are sought, s; 0: 128 ms
	Contact float64 // time in which a foot comes to rest, s; 0: 10 ms
	Reuse   *Loads  // arrays to take over, nil for none
	Recall  *Recall // what earlier runs worked out, nil for nothing
	Workers int     // stretches of time that may be worked out at a time; 0 and 1: one after another. The loads are the same
	Before  *Loads  // of what the trajectory was sampled again from (motion.Resample), nil for none; may be Reuse
}

// contactTime is how long a foot takes to come to rest, s: common practice for
// a rubber foot of some millimetres.
const contactTime = 0.010

// outrun is how many times its no-load speed a joint may be asked to turn
// before nothing is said of the loads: near a stretched leg speeds grow without
// bound, and what no servo does anything like loads nothing. Common practice.
const outrun = 3

// Run estimates the loads of a trajectory that was sampled from the robot.
//
// The forces of the ground are those of contact.Solver at the knots of each
// stretch over which the same feet stand, which are as near to one another as
// it takes (see carry). Between two knots they are the average of both,
// weighted by time, which stays inside the cones, plus the least correction
// that makes the balance exact; should that leave a cone, they are sought
// there too. No allocation per sample; what ran before changes nothing: what is
// taken over from it is the same to the last bit.
func (e *Estimator) Run(t *motion.Trajectory, o Options) *Loads {
	l := o.Reuse
	if l == nil {
		l = &Loads{}
	} else if l == o.Before { // still read
		now := *l
		now.footings, now.parts, now.Kept, now.Blows = nil, nil, nil, nil
		l = &now
	}
	legs := len(e.robot.Legs)
	if t.Legs != legs {
		panic("load: the trajectory was sampled from another robot")
	}
	e.recall = o.Recall
	n, w := t.N, legs*kin.Joints
	l.N, l.Legs, l.Mass, l.Gravity, l.Supply, l.Solved = n, legs, e.model.Total, e.robot.Gravity, e.robot.Supply, 0
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
	l.how = how{e.robot, t.Rate, stride, o.OnStand, t.Jolts}
	e.keep.begin(t, l, o.Before)
	for from := 0; from < n; {
		to := from
		for to+1 < n && (o.OnStand || stays(t, from, to+1)) {
			to++
		}
		e.keep.footing(t, from, to, o.OnStand)
		from = to + 1
	}
	e.footings(t, l, max(1, int(min(stride*t.Rate+1e-6, motion.MaxSamples))), o.OnStand, o.Workers)
	e.keep.end(l)
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
	onStand := o.OnStand // nothing else: the loads before are let go
	l.least = func(k int) (float64, bool) {
		e.stand.set(t, k, onStand)
		p := e.pose(t, l, k)
		for i := range e.feet {
			e.feet[i].Free = [kin.Joints]float64{} // they change nothing, and may be unknown
		}
		return e.solver.LeastFriction(&p, e.feet[:e.stand.n])
	}
	return l
}

// sized gives a list n elements, the first of which are those it has.
func sized[T any](a []T, n int) []T {
	if cap(a) < n {
		b := make([]T, n)
		copy(b, a)
		return b
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
	com := motion.Vec(t.COM, k*3)
	clear(force)
	fill(l.ZMP[k*3 : k*3+3])
	l.Dynamic[k], l.Energy[k] = math.NaN(), math.NaN()
	if e.stand.n > 0 {
		l.Energy[k] = e.stand.edges.Margin(com)
	}
	qd, qdd := t.V[k*w:(k+1)*w], t.A[k*w:(k+1)*w]
	b := bodyMotion(t, k)
	// In the air nothing takes up a step; that one is drawn is told as a jump.
	if j := e.jolts(t, k); len(j) > 0 && (onStand || e.stand.n > 0) {
		qdd = e.taken(j, &b, qdd, t.Rate)
	}
	for o, a := range qdd {
		if a != a || math.Abs(qd[o]) > outrun*l.Lines[o].NoLoad {
			l.State[k] = Unknown
			fill(l.Acc[k*3 : k*3+3])
			fill(l.Spin[k*3 : k*3+3])
			fill(torque)
			fill(force)
			return
		}
	}
	d := e.model.Sweep(torque, &b, t.Q[k*w:(k+1)*w], qd, qdd, com)
	put(l.Acc[k*3:], r3.Sub(r3.Scale(1/e.model.Total, d.Force), r3.Vec{Z: e.robot.Gravity}))
	put(l.Spin[k*3:], d.Moment)
	switch {
	case onStand:
		l.State[k] = Hung
		return
	case e.stand.n == 0:
		l.State[k] = Flying
		if a, lever := l.OffFall(k); a > FallsFreely || lever > DriftsFreely {
			l.State[k] = Unsupported
			fill(torque)
			fill(force)
		}
		return
	}
	l.State[k] = Pulled // until forces are found
	if p, f := dynamics.ZeroMoment(d, com, dynamics.Plane{N: normal(t)}); f == dynamics.Loaded {
		put(l.ZMP[k*3:], p)
		l.Dynamic[k] = e.stand.edges.Hull.Margin(support.Point{X: p.X, Y: p.Y})
	}
}

func normal(t *motion.Trajectory) r3.Vec { return r3.Vec{X: t.RWG[2], Y: t.RWG[5], Z: t.RWG[8]} }

func bodyMotion(t *motion.Trajectory, k int) dynamics.BodyMotion {
	return dynamics.BodyMotion{
		XWB: t.BodyPose(k),
		Vel: motion.Vec(t.BodyV, k*6), Omega: motion.Vec(t.BodyV, k*6+3),
		Acc: motion.Vec(t.BodyA, k*6), Alpha: motion.Vec(t.BodyA, k*6+3),
	}
}

// same tells whether two samples have the same feet on the ground, both of a
// robot whose loads are known.
func (e *Estimator) same(t *motion.Trajectory, l *Loads, a, b int) bool {
	if s := l.State[b]; s == Unknown || s == Flying || s == Unsupported {
		return false
	}
	return stays(t, a, b)
}
