// SPDX-License-Identifier: MIT

package load_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/dynamics"
	"gaitwright/motion"
	"gaitwright/motion/curve"
	"gaitwright/motion/load"
)

const g = 9.80665 // m/s²

// tester is what tests and rapid's checks have in common.
type tester interface {
	Helper()
	Fatalf(string, ...any)
	Errorf(string, ...any)
}

// The leg of Modern Robotics' kind of examples: 30, 60 and 90 mm, standing at
// 0°, 20°, -100°, where a push of 1 N from below asks the torques of pushed
// (Jᵀ·f; the Jacobian by KDL 1.5.1).
var (
	bent   = [kin.Joints]float64{0, 20 * math.Pi / 180, -100 * math.Pi / 180}
	pushed = [kin.Joints]float64{0, 0.07200989323717823, 0.015628335990023733}
)

// onFeet is a robot without any mass in its legs that stands so on feet at the
// given places (z is not looked at), B's origin above that of the world.
func onFeet(mass float64, com r3.Vec, feet ...r3.Vec) *kin.Robot {
	r := &kin.Robot{
		Name: "tester", Gravity: g, Friction: 0.8,
		Body: kin.Body{Mass: mass, COM: com, Inertia: kin.Box(mass, 0.3, 0.2, 0.05)},
	}
	for i, p := range feet {
		l := kin.Leg{
			Name: string(rune('a' + i)), Mirror: -1, Length: [kin.Joints]float64{0.03, 0.06, 0.09},
			Heading: math.Copysign(math.Pi/2, p.Y), Stand: p,
		}
		x := l.XBH()
		out := x.R.Mul(l.Forward(bent))
		l.PBH = r3.Vec{X: p.X - out.X, Y: p.Y - out.Y}
		for j := range kin.Joints {
			l.Limits[j] = kin.Range{Lo: -3, Hi: 3}
			l.Servos[j] = kin.Servo{StallTorque: 2, NoLoadSpeed: 8, Voltage: 7.4, StallCurrent: 2.4, IdleCurrent: 0.1, Efficiency: 0.7}
		}
		r.Legs = append(r.Legs, l)
	}
	return r
}

// height is that of the body over the feet, m.
func height(r *kin.Robot) float64 { return -r.Legs[0].Forward(bent).Z }

// walker is a symmetric robot with six legs that weigh something; leg i+3 is
// the mirror image of leg i.
func walker() *kin.Robot {
	var feet []r3.Vec
	for i := range 6 {
		p := r3.Vec{X: 0.14 * float64(1-i%3), Y: []float64{0.12, 0.15, 0.12}[i%3]}
		if i >= 3 {
			p.Y = -p.Y
		}
		feet = append(feet, p)
	}
	r := onFeet(1, r3.Vec{X: 0.004, Z: 0.02}, feet...)
	r.Payload = kin.Link{Mass: 0.2, COM: r3.Vec{X: -0.02, Z: 0.05}}
	for i := range r.Legs {
		l := &r.Legs[i]
		l.Mirror = (i + 3) % 6
		for j := range kin.Joints {
			m := 0.03 - 0.008*float64(j)
			l.Links[j] = kin.Link{Mass: m, COM: r3.Vec{X: l.Length[j] / 2}, Inertia: kin.Rod(m, l.Length[j], 0.008)}
			l.Servos[j].Mass = 0.04
		}
	}
	return r
}

// eased begins and ends at rest.
var eased = curve.Timing{Kind: curve.CubicBezier, X1: 0.42, Y1: 0, X2: 0.58, Y2: 1}

// standing is a plan in which r stands as it was made for, for some seconds.
func standing(r *kin.Robot, seconds float64) *motion.Plan {
	at := r3.Vec{Z: height(r)}
	p := &motion.Plan{
		Duration: seconds, RWG: kin.Identity,
		Body: []motion.BodyPiece{{To: seconds, Shift: curve.Span{Path: curve.Line(at, at)}}},
	}
	for i := range r.Legs {
		s := r.Legs[i].Stand
		s.Z = 0
		p.Feet = append(p.Feet, []motion.FootPiece{{To: seconds, Hold: motion.Planted, Span: curve.Span{Path: curve.Line(s, s)}}})
	}
	return p
}

// lift holds the foot of a leg off the ground.
func lift(p *motion.Plan, leg int) {
	f := &p.Feet[leg][0]
	s := f.Span.Path.P0
	s.Z += 0.02
	f.Hold, f.Span.Path = motion.OverGround, curve.Line(s, s)
}

func slower(w motion.Twist, c float64) motion.Twist {
	return motion.Twist{Forward: w.Forward / c, Side: w.Side / c, Turn: w.Turn / c}
}

func slowEase(e motion.Ease, c float64) motion.Ease {
	e.From, e.Duration, e.V, e.A = e.From*c, e.Duration*c, r3.Scale(1/c, e.V), r3.Scale(1/(c*c), e.A)
	return e
}

// slowed gives the plan with every time c times as long.
func slowed(p *motion.Plan, c float64) *motion.Plan {
	q := *p
	q.Duration *= c
	q.Body = append([]motion.BodyPiece(nil), p.Body...)
	for i := range q.Body {
		b := &q.Body[i]
		b.From, b.To = b.From*c, b.To*c
		if d := b.Drive; d != nil {
			b.Drive = &motion.Drive{Start: d.Start, From: d.From * c, Duration: d.Duration * c,
				W0: slower(d.W0, c), A0: slower(d.A0, c*c), W1: slower(d.W1, c)}
		}
		if k := b.Carriage; k != nil {
			n := motion.Carriage{Shift: slowEase(k.Shift, c), Lean: slowEase(k.Lean, c)}
			for _, u := range k.Bumps {
				n.Bumps = append(n.Bumps, motion.Bump{Mid: u.Mid * c, Half: u.Half * c, By: u.By})
			}
			b.Carriage = &n
		}
	}
	q.Feet = nil
	for _, chain := range p.Feet {
		chain = append([]motion.FootPiece(nil), chain...)
		for k := range chain {
			f := &chain[k]
			f.From, f.To = f.From*c, f.To*c
			f.Clock[0], f.Clock[1] = f.Clock[0]*c, f.Clock[1]*c
			if a := f.Aim; a != nil {
				f.Aim = &motion.Aim{From: a.From * c, To: a.To * c, Path: a.Path}
			}
		}
		q.Feet = append(q.Feet, chain)
	}
	return &q
}

func mustSample(t testing.TB, r *kin.Robot, p *motion.Plan, rate float64) *motion.Trajectory {
	t.Helper()
	tr, err := sample(r, p, rate)
	if err != nil {
		t.Fatal(err)
	}
	return tr
}

func sample(r *kin.Robot, p *motion.Plan, rate float64) (*motion.Trajectory, error) {
	return motion.NewSampler(r).Sample(p, rate, nil)
}

// counts tells how many samples are in each state.
type counts [load.Unknown + 1]int

// verify checks what holds for all loads: forces balance, push and stay inside
// their cones to 1e-9 of the demand; torques are those of the recursion of
// Newton and Euler with the feet's forces, to 1e-9; where there are no forces
// there are no numbers, nor anything that follows from them.
func verify(t tester, r *kin.Robot, tr *motion.Trajectory, l *load.Loads) (n counts) {
	t.Helper()
	m := dynamics.New(r)
	w := tr.Legs * kin.Joints
	want := make([]float64, w)
	force := make([]r3.Vec, tr.Legs)
	normal := r3.Vec{X: tr.RWG[2], Y: tr.RWG[5], Z: tr.RWG[8]}
	for k := range tr.N {
		st := l.State[k]
		n[st]++
		planted := 0
		for i := range tr.Legs {
			force[i] = l.ForceAt(k, i)
			lost := force[i] != force[i]
			for _, v := range l.Torque[k*w+3*i : k*w+3*i+3] {
				if v != v != lost {
					t.Fatalf("%.3f s, leg %d: force %v, torque %v", tr.Time(k), i, force[i], v)
				}
			}
			down := tr.Planted[k*tr.Legs+i]
			if down {
				planted++
			}
			if nothing := st != load.Carried && st != load.Flying && st != load.Hung; nothing != lost {
				t.Fatalf("%.3f s, leg %d: %v with force %v", tr.Time(k), i, st, force[i])
			}
			if !lost && force[i] != (r3.Vec{}) && (!down || st != load.Carried) {
				t.Fatalf("%.3f s, leg %d: %v with force %v", tr.Time(k), i, st, force[i])
			}
		}
		none := st != load.Carried && st != load.Flying && st != load.Hung
		if c, v := l.Current[k], l.Voltage[k]; c != c != none || r.Supply.Voltage > 0 && v != v != none {
			t.Fatalf("%.3f s: %v with %v A, %v V", tr.Time(k), st, c, v)
		}
		if (st == load.Flying || st == load.Unsupported) != (planted == 0) && st != load.Hung && st != load.Unknown {
			t.Fatalf("%.3f s: %v on %d feet", tr.Time(k), st, planted)
		}
		if p, ok := l.ZMPAt(k); ok != (l.Dynamic[k] == l.Dynamic[k]) || !ok && st == load.Carried {
			t.Fatalf("%.3f s: %v with point %v, margin %v", tr.Time(k), st, p, l.Dynamic[k])
		}
		if st == load.Unknown {
			if !math.IsNaN(l.Acc[3*k]) || !math.IsNaN(l.Spin[3*k]) {
				t.Fatalf("%.3f s: %v with acceleration %v", tr.Time(k), st, l.Acc[3*k])
			}
			continue
		}
		if st != load.Carried {
			continue
		}
		b := dynamics.BodyMotion{
			XWB: tr.BodyPose(k), Vel: motion.Vec(tr.BodyV, k*6), Omega: motion.Vec(tr.BodyV, k*6+3),
			Acc: motion.Vec(tr.BodyA, k*6), Alpha: motion.Vec(tr.BodyA, k*6+3),
		}
		q, qd, qdd := tr.Q[k*w:(k+1)*w], tr.V[k*w:(k+1)*w], tr.A[k*w:(k+1)*w]
		o := m.Motion(&b, q, qd, qdd)
		d := m.Demand(&o)
		size := r3.Norm(d.Force)
		lack, twist := d.Force, d.Moment
		for i := range tr.Legs {
			f := force[i]
			arm := r3.Sub(tr.FootAt(k, i), o.COM)
			lack, twist = r3.Sub(lack, f), r3.Sub(twist, r3.Cross(arm, f))
			push := r3.Dot(normal, f)
			along := r3.Norm(r3.Sub(f, r3.Scale(push, normal)))
			if !(push >= -1e-9*size && along <= r.Friction*push+2e-9*size) {
				t.Fatalf("%.3f s, leg %d: %v pushes %v N with %v N along the ground, of %v", tr.Time(k), i, f, push, along, d)
			}
		}
		if !(r3.Norm(lack) <= 1e-9*size && r3.Norm(twist) <= 1e-9*size*0.25) { // 0.25 m: the spread of the feet
			t.Fatalf("%.3f s: %v N and %v N·m are missing from %v", tr.Time(k), lack, twist, d)
		}
		m.Torques(want, &b, q, qd, qdd, force)
		most := 0.0
		for _, v := range want {
			most = max(most, math.Abs(v))
		}
		for j, v := range want {
			if !(math.Abs(l.Torque[k*w+j]-v) <= 1e-9*most) {
				t.Fatalf("%.3f s, joint %d: %v N·m, by the recursion %v", tr.Time(k), j, l.Torque[k*w+j], v)
			}
		}
	}
	return n
}
