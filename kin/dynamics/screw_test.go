// SPDX-License-Identifier: MIT

package dynamics

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

// chain is the slow reference: the Newton-Euler recursion over screws with
// matrices of gonum, as Lynch and Park, Modern Robotics (Cambridge 2017, ch.
// 8; from memory) write it. A twist is (angular, linear).
type chain struct {
	home   []*mat.Dense // frame i in frame i-1 at zero angles; the last is the tip
	spatG  []*mat.Dense // 6x6 inertia in frame i, origin at the centre of mass
	screws [][]float64  // joint axes in frame 0 at zero angles
}

func eye(n int) *mat.Dense {
	m := mat.NewDense(n, n, nil)
	for i := range n {
		m.Set(i, i, 1)
	}
	return m
}

func place(r []float64, x, y, z float64) *mat.Dense {
	return mat.NewDense(4, 4, []float64{r[0], r[1], r[2], x, r[3], r[4], r[5], y, r[6], r[7], r[8], z, 0, 0, 0, 1})
}

func mul(a, b mat.Matrix) *mat.Dense {
	var m mat.Dense
	m.Mul(a, b)
	return &m
}

func inv(a mat.Matrix) *mat.Dense {
	var m mat.Dense
	if err := m.Inverse(a); err != nil {
		panic(err)
	}
	return &m
}

func skew(v []float64) *mat.Dense {
	return mat.NewDense(3, 3, []float64{0, -v[2], v[1], v[2], 0, -v[0], -v[1], v[0], 0})
}

func block(a, b, c, d mat.Matrix) *mat.Dense {
	m := mat.NewDense(6, 6, nil)
	m.Slice(0, 3, 0, 3).(*mat.Dense).Copy(a)
	m.Slice(0, 3, 3, 6).(*mat.Dense).Copy(b)
	m.Slice(3, 6, 0, 3).(*mat.Dense).Copy(c)
	m.Slice(3, 6, 3, 6).(*mat.Dense).Copy(d)
	return m
}

// adjoint of a 4x4 pose, and ad of a twist.
func adjoint(t *mat.Dense) *mat.Dense {
	r := t.Slice(0, 3, 0, 3)
	p := []float64{t.At(0, 3), t.At(1, 3), t.At(2, 3)}
	return block(r, mat.NewDense(3, 3, nil), mul(skew(p), r), r)
}

func ad(v []float64) *mat.Dense {
	return block(skew(v[:3]), mat.NewDense(3, 3, nil), skew(v[3:]), skew(v[:3]))
}

func apply(m mat.Matrix, v []float64) []float64 {
	var out mat.VecDense
	out.MulVec(m, mat.NewVecDense(len(v), v))
	return out.RawVector().Data
}

func plus(vs ...[]float64) []float64 {
	out := make([]float64, len(vs[0]))
	for _, v := range vs {
		for i := range v {
			out[i] += v[i]
		}
	}
	return out
}

func times(s float64, v []float64) []float64 {
	out := make([]float64, len(v))
	for i := range v {
		out[i] = s * v[i]
	}
	return out
}

// torque for a base with twist v0 and spatial acceleration a0 (gravity taken
// from it); tip is the wrench that the tip exerts on the outside, in its frame.
func (c *chain) torque(q, qd, qdd, v0, a0, tip []float64) []float64 {
	n := len(q)
	axes, steps := make([][]float64, n), make([]*mat.Dense, n+1)
	vs, as := make([][]float64, n), make([][]float64, n)
	at := eye(4)
	v, a := v0, a0
	for i := range n {
		at = mul(at, c.home[i])
		axes[i] = apply(adjoint(inv(at)), c.screws[i])
		arg := mat.NewDense(4, 4, nil)
		arg.Slice(0, 3, 0, 3).(*mat.Dense).Scale(-q[i], skew(axes[i][:3]))
		for k := range 3 {
			arg.Set(k, 3, -q[i]*axes[i][3+k])
		}
		var turn mat.Dense
		turn.Exp(arg)
		steps[i] = adjoint(mul(&turn, inv(c.home[i])))
		v = plus(apply(steps[i], v), times(qd[i], axes[i]))
		a = plus(apply(steps[i], a), times(qd[i], apply(ad(v), axes[i])), times(qdd[i], axes[i]))
		vs[i], as[i] = v, a
	}
	steps[n] = adjoint(inv(c.home[n]))
	tau := make([]float64, n)
	f := tip
	for i := n - 1; i >= 0; i-- {
		f = plus(apply(steps[i+1].T(), f), apply(c.spatG[i], as[i]), times(-1, apply(ad(vs[i]).T(), apply(c.spatG[i], vs[i]))))
		for k := range 6 {
			tau[i] += f[k] * axes[i][k]
		}
	}
	return tau
}

func inertia6(i kin.Inertia, m float64) *mat.Dense {
	rows := i.Rows()
	e := eye(3)
	e.Scale(m, e)
	return block(mat.NewDense(3, 3, rows[:]), mat.NewDense(3, 3, nil), mat.NewDense(3, 3, nil), e)
}

// The three-link arm of the docstrings in Modern Robotics' own library
// (packages/Python/modern_robotics/core.py, commit 20aeea8), eight digits
// printed: what the reference is worth.
func TestReferenceAgainstModernRobotics(t *testing.T) {
	id := []float64{1, 0, 0, 0, 1, 0, 0, 0, 1}
	c := chain{
		home: []*mat.Dense{
			place(id, 0, 0, 0.089159), place([]float64{0, 0, 1, 0, 1, 0, -1, 0, 0}, 0.28, 0.13585, 0),
			place(id, 0, -0.1197, 0.395), place(id, 0, 0, 0.14225),
		},
		spatG: []*mat.Dense{
			inertia6(kin.Inertia{XX: 0.010267, YY: 0.010267, ZZ: 0.00666}, 3.7),
			inertia6(kin.Inertia{XX: 0.22689, YY: 0.22689, ZZ: 0.0151074}, 8.393),
			inertia6(kin.Inertia{XX: 0.0494433, YY: 0.0494433, ZZ: 0.004095}, 2.275),
		},
		screws: [][]float64{{1, 0, 1, 0, 1, 0}, {0, 1, 0, -0.089, 0, 0}, {0, 1, 0, -0.089, 0, 0.425}},
	}
	q, qd, qdd := []float64{0.1, 0.1, 0.1}, []float64{0.1, 0.2, 0.3}, []float64{2, 1.5, 1}
	none, rest := make([]float64, 3), make([]float64, 6)
	g := []float64{0, 0, 0, 0, 0, 9.8}
	for _, c2 := range []struct {
		name      string
		got, want []float64
	}{
		{"inverse dynamics", c.torque(q, qd, qdd, rest, g, []float64{1, 1, 1, 1, 1, 1}), []float64{74.69616155, -33.06766016, -3.23057314}},
		{"mass matrix, column 1", c.torque(q, none, []float64{1, 0, 0}, rest, rest, rest), []float64{22.543338, -0.307146754, -0.00718426391}},
		{"mass matrix, column 2", c.torque(q, none, []float64{0, 1, 0}, rest, rest, rest), []float64{-0.307146754, 1.96850717, 0.432157368}},
		{"mass matrix, column 3", c.torque(q, none, []float64{0, 0, 1}, rest, rest, rest), []float64{-0.00718426391, 0.432157368, 0.191630858}},
		{"velocity terms", c.torque(q, qd, none, rest, rest, rest), []float64{0.26453118, -0.05505157, -0.00689132}},
		{"gravity", c.torque(q, none, none, rest, g, rest), []float64{28.40331262, -37.64094817, -5.4415892}},
		{"tip force", c.torque(q, none, none, rest, rest, []float64{1, 1, 1, 1, 1, 1}), []float64{1.40954608, 1.85771497, 1.392409}},
	} {
		for k := range c2.want {
			if math.Abs(c2.got[k]-c2.want[k]) > 1e-7 {
				t.Errorf("%s = %v, want %v", c2.name, c2.got, c2.want)
				break
			}
		}
	}
}

// screwsOf writes a leg as a chain with its frames in the centres of mass.
func screwsOf(l *Leg) chain {
	id := []float64{1, 0, 0, 0, 1, 0, 0, 0, 1}
	var c chain
	at := [4]r3.Vec{{}, l.root(), r3.Add(l.root(), l.knee()), r3.Add(r3.Add(l.root(), l.knee()), l.foot())}
	last := r3.Vec{}
	for j := range l.Links {
		com := r3.Add(at[j], l.Links[j].COM)
		d := r3.Sub(com, last)
		c.home = append(c.home, place(id, d.X, d.Y, d.Z))
		c.spatG = append(c.spatG, inertia6(l.Links[j].Inertia, l.Links[j].Mass))
		w := r3.Vec{Y: -1}
		if j == kin.Coxa {
			w = r3.Vec{Z: 1}
		}
		v := r3.Cross(at[j], w)
		c.screws = append(c.screws, []float64{w.X, w.Y, w.Z, v.X, v.Y, v.Z})
		last = com
	}
	d := r3.Sub(at[3], last)
	c.home = append(c.home, place(id, d.X, d.Y, d.Z))
	return c
}

// The fast recursion equals the slow one, which shares no line with it.
func TestInverseDynamicsAgainstReference(t *testing.T) {
	for i, r := range kdlRows(t)[:60] {
		base := r.base()
		c := screwsOf(&r.leg)
		lift := r3.Sub(base.Acc, base.Gravity)
		tt, tf, tc := sincos(r.q[2]), sincos(r.q[1]), sincos(r.q[0])
		f := tt.pitchIn(tf.pitchIn(tc.yawIn(r.f)))
		want := c.torque(r.q[:], r.qd[:], r.qdd[:],
			[]float64{base.Omega.X, base.Omega.Y, base.Omega.Z, 0, 0, 0},
			[]float64{base.Alpha.X, base.Alpha.Y, base.Alpha.Z, lift.X, lift.Y, lift.Z},
			[]float64{0, 0, 0, -f.X, -f.Y, -f.Z})
		got, _ := r.leg.InverseDynamics(r.q, r.qd, r.qdd, &base, r.f)
		if !closeTo(got[:], want, 1e-10) {
			t.Errorf("row %d: %v, want %v", i+2, got, want)
		}
	}
}
