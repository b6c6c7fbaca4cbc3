// SPDX-License-Identifier: MIT

package dynamics

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

func deg(a, b, c float64) [kin.Joints]float64 {
	return [kin.Joints]float64{a * math.Pi / 180, b * math.Pi / 180, c * math.Pi / 180}
}

// rods is a leg of slender uniform rods, 40, 50 and 30 g on 30, 60 and 90 mm.
func rods() *Leg {
	l := &Leg{Length: [kin.Joints]float64{0.030, 0.060, 0.090}}
	for j, m := range []float64{0.04, 0.05, 0.03} {
		l.Links[j] = kin.Link{Mass: m, COM: r3.Vec{X: l.Length[j] / 2}, Inertia: kin.Rod(m, l.Length[j], 0)}
	}
	return l
}

var level = Base{Gravity: r3.Vec{Z: -gravity}}

// Numbers of KDL 1.5.1 (ChainDynParam, ChainIdSolver_RNE) for the leg of rods.
func TestLegOfRods(t *testing.T) {
	l := rods()
	for _, c := range []struct {
		q      [kin.Joints]float64
		m      []float64 // 11, 22, 23, 33; 12 and 13 are 0
		g      []float64 // femur, tibia
		effect float64   // mass along z, NaN for none
	}{
		{deg(0, 0, 0), []float64{7.74e-4, 4.11e-4, 1.62e-4, 8.1e-5}, []float64{0.0456009225, 0.0132389775}, math.NaN()},
		{
			deg(30, 20, -100), []float64{4.6134932099577478e-4, 2.2086899521795727e-4, 6.6934497608978633e-5, 8.1e-5},
			[]float64{0.03270920522782793, 0.0022989243170484946}, 0.04147771313593871,
		},
		{
			deg(0, 30, -120), []float64{3.8147302994931886e-4, 1.68e-4, 4.05e-5, 8.1e-5},
			[]float64{0.028026266485874793, 0}, 0.05472222222222222,
		},
	} {
		m := l.MassMatrix(c.q)
		if got := []float64{m[0], m[4], m[5], m[8]}; !closeTo(got, c.m, 1e-12) || math.Abs(m[1])+math.Abs(m[2]) > 1e-18 {
			t.Errorf("mass matrix at %v = %v, want %v", c.q, m, c.m)
		}
		g := l.GravityTorque(c.q, level.Gravity)
		if !closeTo(g[:], []float64{0, c.g[0], c.g[1]}, 1e-12) {
			t.Errorf("gravity torque at %v = %v, want %v", c.q, g, c.g)
		}
		if math.IsNaN(c.effect) {
			continue
		}
		if e, ok := l.EffectiveMass(c.q, r3.Vec{Z: -3}); !ok || math.Abs(e-c.effect) > 1e-13 {
			t.Errorf("effective mass at %v = %v %v, want %v", c.q, e, ok, c.effect)
		}
	}
	q, qd, qdd := deg(30, 20, -100), [kin.Joints]float64{0.5, 1, -2}, [kin.Joints]float64{2, -3, 4}
	tau, _ := l.InverseDynamics(q, qd, qdd, &level, r3.Vec{})
	if want := []float64{0.0007013385307929662, 0.03230532862408364, 0.002310177578064582}; !closeTo(tau[:], want, 1e-12) {
		t.Errorf("inverse dynamics %v, want %v", tau, want)
	}
	tau, _ = l.InverseDynamics(q, qd, [kin.Joints]float64{}, &Base{}, r3.Vec{})
	if want := []float64{-0.0002213601111985833, -9.007608526328262e-06, -0.00011194324615697586}; !closeTo(tau[:], want, 1e-12) {
		t.Errorf("velocity terms %v, want %v", tau, want)
	}
}

// τ = Jᵀ·F for F that a weightless leg's foot exerts, so -F on the foot
// (worked with exact arithmetic; the formula is a textbook's, e.g. Lynch and
// Park, Modern Robotics, ch. 5).
func TestStaticTorque(t *testing.T) {
	leg := &Leg{Length: [kin.Joints]float64{0.030, 0.060, 0.090}}
	arm := func(a, b float64) *Leg { return &Leg{Length: [kin.Joints]float64{0, a, b}} }
	for _, c := range []struct {
		leg  *Leg
		q    [kin.Joints]float64
		f    r3.Vec
		want []float64
	}{
		{arm(1, 1), deg(0, 0, 90), r3.Vec{Z: -10}, []float64{0, -10, 0}},
		{arm(1, 1), deg(0, 0, 90), r3.Vec{X: 10}, []float64{0, -10, -10}},
		{arm(0.5, 0.5), deg(0, 30, 60), r3.Vec{Z: -10}, []float64{0, -4.330127018922194, 0}},
		{arm(0.06, 0.09), deg(0, 30, -100), r3.Vec{Z: -5}, []float64{0, -0.4137166856318826, -0.15390906449655098}},
		{leg, deg(30, 20, -100), r3.Vec{Z: -5}, []float64{0, -0.3600494661858911, -0.07814167995011867}},
		{leg, deg(30, 20, -100), r3.Vec{X: 1, Y: -0.5, Z: 5}, []float64{-0.0951765261089565, 0.40200787380515995, 0.1327416733830639}},
		{leg, deg(0, 20, -100), r3.Vec{Z: -8.527521739130433}, []float64{0, -0.6140659300124989, -0.13327097490136194}},
	} {
		got, body := c.leg.InverseDynamics(c.q, [kin.Joints]float64{}, [kin.Joints]float64{}, &level, r3.Scale(-1, c.f))
		if !closeTo(got[:], c.want, 1e-12) {
			t.Errorf("%v, foot pushes %v: %v, want %v", c.q, c.f, got, c.want)
		}
		if d := r3.Norm(r3.Add(body.Force, c.f)); d > 1e-14*r3.Norm(c.f)+1e-14 {
			t.Errorf("the body gets %v, want the foot's reaction %v", body.Force, r3.Scale(-1, c.f))
		}
	}
}

// A two-link arm with points of mass at elbow and tip: Λ in its plane has the
// eigenvalues m2 across the second link and m2 + m1/sin² along it (closed form).
func TestEffectiveMassClosedForm(t *testing.T) {
	const m1, m2 = 0.05, 0.02
	l := &Leg{Length: [kin.Joints]float64{0, 0.06, 0.09}}
	l.Links[kin.Femur] = kin.Link{Mass: m1, COM: l.knee()}
	l.Links[kin.Tibia] = kin.Link{Mass: m2, COM: l.foot()}
	for _, c := range []struct {
		femur, tibia, along float64
	}{{0, 90, 0.07}, {20, 90, 0.07}, {30, -100, 0.07155456020628816}} {
		q := deg(0, c.femur, c.tibia)
		s, o := math.Sincos(q[1] + q[2])
		lam, ok := l.FootInertia(q)
		if !ok {
			t.Fatalf("no Λ at %v", q)
		}
		r := kin.Rot(lam)
		for _, e := range []struct {
			u    r3.Vec
			want float64
		}{{r3.Vec{X: -s, Z: o}, m2}, {r3.Vec{X: o, Z: s}, c.along}} {
			if d := r3.Sub(r.Mul(e.u), r3.Scale(e.want, e.u)); r3.Norm(d) > 1e-13 {
				t.Errorf("Λ at %v along %v is off %v by %v", q, e.u, e.want, d)
			}
			if got, ok := l.EffectiveMass(q, e.u); !ok || math.Abs(got-e.want) > 1e-13 {
				t.Errorf("effective mass at %v along %v = %v %v, want %v", q, e.u, got, ok, e.want)
			}
		}
	}
	if got, ok := l.EffectiveMass(deg(0, 45, -90), r3.Vec{Z: 1}); !ok || math.Abs(got-14.0/450) > 1e-14 {
		t.Errorf("effective mass %v %v, want 14/450", got, ok)
	}
	// Slender rods in a plane, q = (30°, -100°).
	r := rods()
	r.Length[kin.Coxa], r.Links[kin.Coxa] = 0, kin.Link{Mass: 0.01, Inertia: kin.Rod(0.01, 0.01, 0.01)}
	if got, ok := r.EffectiveMass(deg(0, 30, -100), r3.Vec{Z: 1}); !ok || math.Abs(got-0.03171165168670135) > 1e-13 {
		t.Errorf("effective mass of rods %v %v", got, ok)
	}
}

func TestEffectiveMassSingular(t *testing.T) {
	l := rods()
	straight := deg(10, 0, 0)
	if lam, ok := l.FootInertia(straight); ok {
		t.Errorf("a straight leg has Λ %v", lam)
	}
	if m, ok := l.EffectiveMass(straight, (&kin.Leg{Length: l.Length}).Forward(straight)); ok {
		t.Errorf("a straight leg moves along itself with %v kg", m)
	}
	// Up it still moves: rods of 60 and 90 mm, 1/(Jz·M⁻¹·Jzᵀ) by gonum.
	m := l.MassMatrix(straight)
	var x mat.VecDense
	jz := mat.NewVecDense(3, []float64{0, 0.15, 0.09})
	if err := x.SolveVec(mat.NewDense(3, 3, m[:]), jz); err != nil {
		t.Fatal(err)
	}
	if got, ok := l.EffectiveMass(straight, r3.Vec{Z: 1}); !ok || math.Abs(got*mat.Dot(jz, &x)-1) > 1e-12 {
		t.Errorf("a straight leg moves up with %v kg %v, want %v", got, ok, 1/mat.Dot(jz, &x))
	}
	if m, ok := (&Leg{Length: l.Length}).EffectiveMass(deg(0, 30, -100), r3.Vec{Z: 1}); ok {
		t.Errorf("a leg without mass has %v kg", m)
	}
	for _, u := range []r3.Vec{{}, {X: math.NaN()}, {X: math.Inf(1)}} {
		if m, ok := l.EffectiveMass(deg(0, 30, -100), u); ok {
			t.Errorf("along %v: %v kg", u, m)
		}
	}
}

// A 2 kg box of 0.3, 0.2 and 0.05 m struck at a foot (closed form, exact
// arithmetic).
func TestRigidMass(t *testing.T) {
	k := kin.Link{Mass: 2, Inertia: kin.Box(2, 0.3, 0.2, 0.05)}
	if math.Abs(k.Inertia.XX-0.007083333333333335) > 1e-17 || math.Abs(k.Inertia.YY-0.015416666666666667) > 1e-17 {
		t.Fatalf("box %v", k.Inertia)
	}
	p := r3.Vec{X: 0.12, Y: 0.10, Z: -0.08}
	if got, ok := RigidMass(&k, p, r3.Vec{Z: 2}); !ok || math.Abs(got-0.35139272186902937) > 1e-15 {
		t.Errorf("%v %v kg", got, ok)
	}
	if got, ok := RigidMass(&kin.Link{Mass: 2}, p, r3.Vec{Z: 1}); ok {
		t.Errorf("a point: %v kg", got)
	}
}

// M is symmetric by construction; all of its eigenvalues are positive, and its
// columns are what unit accelerations cost.
func TestMassMatrix(t *testing.T) {
	for i, r := range kdlRows(t) {
		m := r.leg.MassMatrix(r.q)
		var e mat.EigenSym
		if !e.Factorize(mat.NewSymDense(3, append([]float64(nil), m[:]...)), false) || e.Values(nil)[0] <= 0 {
			t.Errorf("row %d: eigenvalues %v", i+2, e.Values(nil))
		}
		for j := range kin.Joints {
			var unit [kin.Joints]float64
			unit[j] = 1
			tau, _ := r.leg.InverseDynamics(r.q, [kin.Joints]float64{}, unit, &Base{}, r3.Vec{})
			if !closeTo(tau[:], []float64{m[j], m[3+j], m[6+j]}, 1e-12) {
				t.Errorf("row %d: column %d is %v of %v", i+2, j, tau, m)
			}
		}
	}
}

// Λ by gonum's general inverse.
func TestFootInertiaAgainstInverse(t *testing.T) {
	for i, r := range kdlRows(t) {
		m := r.leg.MassMatrix(r.q)
		g := kin.Leg{Length: r.leg.Length, Lateral: r.leg.Lateral, Vertical: r.leg.Vertical}
		j := g.Jacobian(r.q)
		jac := mat.NewDense(3, 3, j[:])
		if mat.Cond(jac, 2) > 100 {
			continue // then the general inverse is what loses the digits
		}
		want := inv(mul(jac, mul(inv(mat.NewDense(3, 3, m[:])), jac.T())))
		got, ok := r.leg.FootInertia(r.q)
		if !ok || !closeTo(got[:], want.RawMatrix().Data, 1e-9) {
			t.Errorf("row %d: %v %v, want %v", i+2, got, ok, want)
		}
	}
}
