// SPDX-License-Identifier: MIT

package dynamics

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/kin/mass"
)

// mirror flips y: of a place, and of what turns.
func mirror(p r3.Vec) r3.Vec { return r3.Vec{X: p.X, Y: -p.Y, Z: p.Z} }
func spin(w r3.Vec) r3.Vec   { return r3.Vec{X: -w.X, Y: w.Y, Z: -w.Z} }

// walker is a lopsided robot of three pairs; legs 0 to 2 are on the left, leg
// i+3 is built like the mirror image of leg i only when even is set.
func walker(rnd *rand.Rand, even bool) *kin.Robot {
	u := func(lo, hi float64) float64 { return lo + (hi-lo)*rnd.Float64() }
	at := func() r3.Vec { return r3.Vec{X: u(0, 0.05), Y: u(-0.01, 0.01), Z: u(-0.01, 0.01)} }
	r := &kin.Robot{Name: "w", Gravity: gravity, Body: kin.Body{Mass: u(0.5, 1.5), COM: r3.Vec{X: u(-0.02, 0.02), Z: u(-0.01, 0.02)}}}
	r.Body.Inertia = kin.Box(r.Body.Mass, 0.25, 0.12, 0.05)
	r.Body.Inertia.XZ = 1e-4
	if !even {
		r.Body.COM.Y, r.Body.Inertia.XY = 0.01, 2e-4
	}
	for i := range 6 {
		side := 1.0
		if i >= 3 {
			side = -1
		}
		l := kin.Leg{
			Name: string(rune('a' + i)), Mirror: -1,
			PBH: r3.Vec{X: 0.12 * float64(1-i%3), Y: 0.06 * side, Z: u(-0.01, 0.01)}, Heading: side * u(0.5, 2),
			Length: [kin.Joints]float64{u(0.01, 0.05), u(0.05, 0.1), u(0.08, 0.15)}, Lateral: u(-0.02, 0.02), Vertical: u(-0.02, 0.02),
		}
		for j := range l.Links {
			m := u(0.01, 0.08)
			l.Links[j] = kin.Link{Mass: m, COM: at()}
			l.Servos[j].Mass = u(0.01, 0.05)
			parts := kin.Combine(kin.Link{Mass: m / 2, COM: at(), Inertia: kin.Box(m/2, 0.03, 0.02, 0.01)}, kin.Link{Mass: m / 2, COM: at()})
			l.Links[j].Inertia = parts.Inertia
		}
		if even && i >= 3 {
			l = r.Legs[i-3]
			l.Name = string(rune('a' + i))
			l.PBH, l.Heading, l.Lateral = mirror(l.PBH), -l.Heading, -l.Lateral
			for j := range l.Links {
				k := &l.Links[j]
				k.COM = mirror(k.COM)
				k.Inertia.XY, k.Inertia.YZ = -k.Inertia.XY, -k.Inertia.YZ
			}
		}
		r.Legs = append(r.Legs, l)
	}
	return r
}

func mustNew(tb testing.TB, r *kin.Robot) *Model {
	tb.Helper()
	if err := r.Check(); err != nil {
		tb.Fatal(err)
	}
	return New(r)
}

// path is a smooth motion: sines of body and joints, with their derivatives.
type path struct{ mid, amp, rate, phase [24]float64 }

func newPath(rnd *rand.Rand) *path {
	var p path
	for i := range p.mid {
		p.mid[i], p.amp[i], p.rate[i], p.phase[i] = rnd.Float64()-0.5, 0.3*rnd.Float64(), 4+8*rnd.Float64(), 6*rnd.Float64()
	}
	return &p
}

type state struct {
	x, xd, xdd [6]float64
	q, qd, qdd []float64
}

func (p *path) at(t float64) state {
	var s state
	var y, yd, ydd [24]float64
	for i := range y {
		sn, c := math.Sincos(p.rate[i]*t + p.phase[i])
		w := p.rate[i]
		y[i], yd[i], ydd[i] = p.mid[i]+p.amp[i]*sn, p.amp[i]*w*c, -p.amp[i]*w*w*sn
	}
	copy(s.x[:], y[:])
	copy(s.xd[:], yd[:])
	copy(s.xdd[:], ydd[:])
	s.q, s.qd, s.qdd = y[6:], yd[6:], ydd[6:]
	return s
}

func (s *state) of(m *Model) Motion {
	b := Rows(s.x, s.xd, s.xdd)
	return m.Motion(&b, s.q, s.qd, s.qdd)
}

func away(a, b r3.Vec) float64 { return r3.Norm(r3.Sub(a, b)) / (1e-3 + r3.Norm(b)) }

// Velocity, acceleration and the rates of both momenta are the central
// differences of place and momenta; the place is package mass's.
func TestMotionRates(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	for range 20 {
		r := walker(rnd, false)
		m := mustNew(t, r)
		lump := mass.Lump(r)
		if math.Abs(m.Total-lump.Total) > 1e-14 || r3.Norm(r3.Sub(m.Body.COM, lump.Body.COM)) > 1e-15 {
			t.Fatalf("total %v kg, body %v; want %v, %v", m.Total, m.Body.COM, lump.Total, lump.Body.COM)
		}
		p := newPath(rnd)
		const h = 1e-5 // s
		s, s0, s1 := p.at(0.3), p.at(0.3-h), p.at(0.3+h)
		o, o0, o1 := s.of(m), s0.of(m), s1.of(m)
		diff := func(a, b r3.Vec) r3.Vec { return r3.Scale(1/(2*h), r3.Sub(b, a)) }
		for _, c := range []struct {
			name      string
			got, want r3.Vec
		}{
			{"velocity", o.Vel, diff(o0.COM, o1.COM)},
			{"acceleration", o.Acc, diff(o0.Vel, o1.Vel)},
			{"rate of linear momentum", o.DP, diff(o0.P, o1.P)},
			{"rate of angular momentum", o.DL, diff(o0.L, o1.L)},
		} {
			if away(c.got, c.want) > 1e-7 {
				t.Errorf("%s %v, differences give %v", c.name, c.got, c.want)
			}
		}
		var chains []kin.Chain
		for i := range r.Legs {
			chains = append(chains, r.Legs[i].Chain(joints(s.q, i)))
		}
		b := Rows(s.x, s.xd, s.xdd)
		if d := r3.Norm(r3.Sub(o.COM, b.XWB.At(lump.Centre(chains)))); d > 1e-14 {
			t.Errorf("centre of mass is %g m off package mass's", d)
		}
	}
}

// Stiff as one part the robot's angular momentum is its inertia times its turn.
func TestRigid(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	for range 20 {
		r := walker(rnd, false)
		m := mustNew(t, r)
		s := newPath(rnd).at(0)
		still := make([]float64, len(s.q))
		b := Rows(s.x, s.xd, s.xdd)
		o := m.Motion(&b, s.q, still, still)
		k := m.Rigid(s.q)
		k = k.In(&b.XWB)
		if r3.Norm(r3.Sub(k.COM, o.COM)) > 1e-14 || math.Abs(k.Mass-m.Total) > 1e-14 || away(k.Inertia.Mul(b.Omega), o.L) > 1e-12 {
			t.Errorf("%v kg at %v with %v, want %v kg at %v with %v", k.Mass, k.COM, k.Inertia.Mul(b.Omega), m.Total, o.COM, o.L)
		}
		if err := k.Check(); err != nil {
			t.Error(err)
		}
	}
}

// What the legs exert on the body, with the forces on their feet, gravity and
// the body's own rate, balances; so the sum over the legs needs no second look.
func TestWholeBalance(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	r := walker(rnd, false)
	m := mustNew(t, r)
	s := newPath(rnd).at(0.1)
	b := Rows(s.x, s.xd, s.xdd)
	o := m.Motion(&b, s.q, s.qd, s.qdd)
	demand := m.Demand(&o)
	// Seen from the body: its rate less the weight is what the legs must give beyond their feet.
	pb := b.inBody()
	pb.a = r3.Add(pb.a, b.XWB.R.TMul(r3.Vec{Z: gravity}))
	need := rate(&m.Body, &pb)
	for i := range m.Legs {
		base := m.Base(i, &b)
		_, w := m.Legs[i].InverseDynamics(joints(s.q, i), joints(s.qd, i), joints(s.qdd, i), &base, r3.Vec{})
		x := &m.xBH[i]
		need = need.plus(dual{x.R.Mul(r3.Scale(-1, w.Force)), x.R.Mul(r3.Scale(-1, w.Moment))}.about(x.P))
	}
	need = need.about(r3.Scale(-1, b.XWB.Into(o.COM)))
	if away(b.XWB.R.Mul(need.f), demand.Force) > 1e-12 || away(b.XWB.R.Mul(need.n), demand.Moment) > 1e-12 {
		t.Errorf("legs and body ask for %v, the whole for %v", need, demand)
	}
}

func TestDoubleMass(t *testing.T) {
	rnd := rand.New(rand.NewPCG(9, 10))
	r := walker(rnd, false)
	m := mustNew(t, r)
	s := newPath(rnd).at(0.2)
	b := Rows(s.x, s.xd, s.xdd)
	force := make([]r3.Vec, 6)
	for i := range force {
		force[i] = r3.Vec{X: rnd.Float64(), Y: rnd.Float64(), Z: 5 * rnd.Float64()}
	}
	tau, twice := make([]float64, 18), make([]float64, 18)
	m.Torques(tau, &b, s.q, s.qd, s.qdd, force)
	// One pass gives the torques with the feet free; the Jacobian does the rest.
	free := make([]float64, 18)
	o := m.Motion(&b, s.q, s.qd, s.qdd)
	want := m.Demand(&o)
	if got := m.Sweep(free, &b, s.q, s.qd, s.qdd, o.COM); away(got.Force, want.Force) > 1e-13 || away(got.Moment, want.Moment) > 1e-12 {
		t.Errorf("Sweep asks for %v, Motion for %v", got, want)
	}
	// About another point the force has a moment.
	at := r3.Vec{X: 0.3, Y: -0.2, Z: 0.1}
	want.Moment = r3.Add(want.Moment, r3.Cross(r3.Sub(o.COM, at), want.Force))
	if got := m.Sweep(free, &b, s.q, s.qd, s.qdd, at); away(got.Moment, want.Moment) > 1e-12 {
		t.Errorf("Sweep asks for %v, Motion for %v", got, want)
	}
	for i := range force {
		j := r.Legs[i].Jacobian(joints(s.q, i))
		xWH := b.XWB.Dot(r.Legs[i].XBH())
		f := xWH.R.TMul(force[i])
		for k := range kin.Joints {
			free[3*i+k] -= j[k]*f.X + j[3+k]*f.Y + j[6+k]*f.Z
		}
	}
	if !closeTo(free, tau, 1e-13) {
		t.Errorf("Sweep's torques less Jᵀ·f %v, Torques %v", free, tau)
	}
	double := func(i *kin.Inertia) {
		*i = kin.Inertia{XX: 2 * i.XX, YY: 2 * i.YY, ZZ: 2 * i.ZZ, XY: 2 * i.XY, XZ: 2 * i.XZ, YZ: 2 * i.YZ}
	}
	r.Body.Mass *= 2
	double(&r.Body.Inertia)
	for i := range r.Legs {
		for j := range kin.Joints {
			r.Legs[i].Links[j].Mass *= 2
			r.Legs[i].Servos[j].Mass *= 2
			double(&r.Legs[i].Links[j].Inertia)
		}
		force[i] = r3.Scale(2, force[i])
	}
	mustNew(t, r).Torques(twice, &b, s.q, s.qd, s.qdd, force)
	for k := range tau {
		if tau[k] == 0 || math.Abs(twice[k]-2*tau[k]) > 1e-15*math.Abs(twice[k]) {
			t.Errorf("joint %d: %v N·m, with twice the mass %v", k, tau[k], twice[k])
		}
	}
}

func TestMirroredMotion(t *testing.T) {
	rnd := rand.New(rand.NewPCG(11, 12))
	for range 10 {
		r := walker(rnd, true)
		m := mustNew(t, r)
		s := newPath(rnd).at(0.2)
		var force, forceM [6]r3.Vec
		for i := range force {
			force[i] = r3.Vec{X: rnd.Float64(), Y: rnd.Float64(), Z: 5 * rnd.Float64()}
			forceM[(i+3)%6] = mirror(force[i])
		}
		z := s
		flip := func(v [6]float64) [6]float64 { return [6]float64{v[0], -v[1], v[2], -v[3], v[4], -v[5]} }
		z.x, z.xd, z.xdd = flip(s.x), flip(s.xd), flip(s.xdd)
		swap := func(a []float64) []float64 {
			out := make([]float64, len(a))
			for i := range 6 {
				copy(out[(i+3)%6*3:], a[3*i:3*i+3])
				out[(i+3)%6*3] *= -1
			}
			return out
		}
		z.q, z.qd, z.qdd = swap(s.q), swap(s.qd), swap(s.qdd)
		o, p := s.of(m), z.of(m)
		for _, c := range []struct {
			name      string
			got, want r3.Vec
		}{
			{"centre", p.COM, mirror(o.COM)},
			{"momentum", p.P, mirror(o.P)},
			{"angular momentum", p.L, spin(o.L)},
			{"force", p.DP, mirror(o.DP)},
			{"moment", p.DL, spin(o.DL)},
		} {
			if away(c.got, c.want) > 1e-12 {
				t.Errorf("%s %v, want %v", c.name, c.got, c.want)
			}
		}
		a, _ := ZeroMoment(m.Demand(&o), o.COM, flat)
		b, _ := ZeroMoment(m.Demand(&p), p.COM, flat)
		if away(b, mirror(a)) > 1e-12 {
			t.Errorf("zero-moment point %v, want %v", b, mirror(a))
		}
		tau, tauM := make([]float64, 18), make([]float64, 18)
		bs, bz := Rows(s.x, s.xd, s.xdd), Rows(z.x, z.xd, z.xdd)
		m.Torques(tau, &bs, s.q, s.qd, s.qdd, force[:])
		m.Torques(tauM, &bz, z.q, z.qd, z.qdd, forceM[:])
		if !closeTo(tauM, swap(tau), 1e-12) {
			t.Errorf("torques %v, want %v", tauM, swap(tau))
		}
	}
}

func TestNoAllocation(t *testing.T) {
	rnd := rand.New(rand.NewPCG(15, 16))
	r := walker(rnd, false)
	m := mustNew(t, r)
	s := newPath(rnd).at(0)
	force, tau := make([]r3.Vec, 6), make([]float64, 18)
	feet := []r3.Vec{{X: 1}, {Y: 1}, {X: -1}, {Y: -1}}
	if n := testing.AllocsPerRun(10, func() {
		b := Rows(s.x, s.xd, s.xdd)
		o := m.Motion(&b, s.q, s.qd, s.qdd)
		ZeroMoment(m.Demand(&o), o.COM, flat)
		EnergyMargin(o.COM, feet)
		m.Torques(tau, &b, s.q, s.qd, s.qdd, force)
		m.Sweep(tau, &b, s.q, s.qd, s.qdd, o.COM)
		m.Legs[0].EffectiveMass(joints(s.q, 0), r3.Vec{Z: 1})
		k := m.Rigid(s.q)
		RigidMass(&k, r3.Vec{X: 1}, r3.Vec{Z: 1})
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}
