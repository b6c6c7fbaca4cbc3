// SPDX-License-Identifier: MIT

package kin

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// A foot on a known path: the joints' speeds and accelerations are the
// differences in time of the angles that Solve gives, and satisfy v = J·q̇
// (gonum's solver of linear equations).
func TestRatesAgainstDifferences(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	u := func(lo, hi float64) float64 { return lo + (hi-lo)*rnd.Float64() }
	for range 200 {
		l := Leg{
			Length: [Joints]float64{u(0, 0.05), u(0.05, 0.1), u(0.08, 0.15)}, Lateral: u(-0.02, 0.02), Vertical: u(-0.02, 0.02),
		}
		q := [Joints]float64{u(-1, 1), u(-0.5, 1), u(-2.2, -0.5)}
		if s := l.Length[Coxa] + l.Length[Femur]*math.Cos(q[1]) + l.Length[Tibia]*math.Cos(q[1]+q[2]); s < 0.03 {
			continue // nearly on the coxa axis, or behind it
		}
		p0 := l.Forward(q)
		v := r3.Vec{X: u(-1, 1), Y: u(-1, 1), Z: u(-1, 1)}
		a := r3.Vec{X: u(-9, 9), Y: u(-9, 9), Z: u(-9, 9)}
		c := l.Chain(q)
		qd, qdd, ok := l.Rates(&c, v, a)
		if !ok {
			t.Fatalf("not determined at %v", q)
		}
		for j := range Joints {
			angle := func(t float64) float64 {
				return l.Solve(r3.Add(p0, r3.Add(r3.Scale(t, v), r3.Scale(t*t/2, a)))).Q[j]
			}
			speed := fd.Derivative(angle, 0, &fd.Settings{Formula: fd.Central, Step: 1e-5})
			if math.Abs(qd[j]-speed) > 1e-5*(1+math.Abs(speed)) {
				t.Errorf("joint %d of %v: speed %v, differences say %v", j, q, qd[j], speed)
			}
			h := 2e-4
			acc := (angle(h) - 2*angle(0) + angle(-h)) / (h * h)
			if size := 1 + r3.Norm(r3.Vec{X: qdd[0], Y: qdd[1], Z: qdd[2]}); math.Abs(qdd[j]-acc) > 1e-3*size {
				t.Errorf("joint %d of %v: acceleration %v, differences say %v", j, q, qdd[j], acc)
			}
		}
		jac := l.Jacobian(q)
		var got mat.VecDense
		got.MulVec(mat.NewDense(3, 3, jac[:]), mat.NewVecDense(3, qd[:]))
		if d := r3.Norm(r3.Sub(r3.Vec{X: got.AtVec(0), Y: got.AtVec(1), Z: got.AtVec(2)}, v)); d > 1e-11 {
			t.Errorf("J·q̇ is off by %v m/s at %v", d, q)
		}
	}
}

func TestRatesWhereUndetermined(t *testing.T) {
	l := Leg{Length: [Joints]float64{0.03, 0.06, 0.09}}
	straight := l.Chain([Joints]float64{0.3, 0.2, 0})
	if _, _, ok := l.Rates(&straight, r3.Vec{X: 0.1}, r3.Vec{}); ok {
		t.Error("a straight leg that has to go on is said to have joint speeds")
	}
	if qd, qdd, ok := l.Rates(&straight, r3.Vec{}, r3.Vec{}); !ok || qd != [Joints]float64{} || qdd != [Joints]float64{} {
		t.Errorf("a straight leg that stands still: %v %v %v", qd, qdd, ok)
	}
	bent := l.Chain([Joints]float64{0.3, 0.2, -1})
	if _, _, ok := l.Rates(&bent, r3.Vec{X: math.NaN()}, r3.Vec{}); ok {
		t.Error("NaN passes")
	}
	if _, _, ok := l.Rates(&bent, r3.Vec{}, r3.Vec{X: 1e18}); ok {
		t.Error("an endless acceleration passes")
	}
}

// Spin against the rotation matrix: Ṙ·Rᵀ is the angular velocity's cross
// product (textbook), by differences.
func TestSpin(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	u := func() float64 { return 2*rnd.Float64() - 1 }
	for range 50 {
		p, v, a := r3.Vec{X: u(), Y: u(), Z: 3 * u()}, r3.Vec{X: u(), Y: u(), Z: u()}, r3.Vec{X: u(), Y: u(), Z: u()}
		at := func(t float64) r3.Vec { return r3.Add(p, r3.Add(r3.Scale(t, v), r3.Scale(t*t/2, a))) }
		omega := func(t float64) r3.Vec {
			const h = 1e-6
			x, y, z := at(t), at(t-h), at(t+h)
			r, b, f := RPY(x.X, x.Y, x.Z), RPY(y.X, y.Y, y.Z), RPY(z.X, z.Y, z.Z)
			var d Rot
			for k := range d {
				d[k] = (f[k] - b[k]) / (2 * h)
			}
			w := d.Dot(Rot{r[0], r[3], r[6], r[1], r[4], r[7], r[2], r[5], r[8]})
			return r3.Vec{X: w[7], Y: w[2], Z: w[3]}
		}
		w, al := Spin(p, v, a)
		if d := r3.Norm(r3.Sub(w, omega(0))); d > 1e-8 {
			t.Errorf("angular velocity off by %v", d)
		}
		const h = 1e-3
		diff := r3.Scale(1/(2*h), r3.Sub(omega(h), omega(-h)))
		if d := r3.Norm(r3.Sub(al, diff)); d > 1e-5 {
			t.Errorf("angular acceleration off by %v", d)
		}
	}
}
