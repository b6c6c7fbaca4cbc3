// SPDX-License-Identifier: MIT

package dynamics

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
)

// A row of testdata/kdl_dynamics/kdl_dynamics.csv: what the Orocos Kinematics
// and Dynamics Library 1.5.1 says of a leg with mass (see the README there).
type kdlRow struct {
	leg        Leg
	q, qd, qdd [kin.Joints]float64
	rpy        [3]float64
	body       BodyMotion // of the hip
	f          r3.Vec     // H's axes
	tau        [9]float64
	mom        [6]float64
	mass       [6]float64
	gravity    [3]float64
}

func vec(v []float64) r3.Vec { return r3.Vec{X: v[0], Y: v[1], Z: v[2]} }

func kdlRows(tb testing.TB) []kdlRow {
	tb.Helper()
	file, err := os.Open("../../testdata/kdl_dynamics/kdl_dynamics.csv")
	if err != nil {
		tb.Fatal(err)
	}
	defer file.Close()
	cells, err := csv.NewReader(file).ReadAll()
	if err != nil {
		tb.Fatal(err)
	}
	var rows []kdlRow
	for i, c := range cells[1:] {
		v := make([]float64, len(c))
		for k := range v {
			if v[k], err = strconv.ParseFloat(c[k], 64); err != nil {
				tb.Fatalf("row %d: %v", i+2, err)
			}
		}
		take := func(n int) []float64 {
			head := v[:n]
			v = v[n:]
			return head
		}
		var r kdlRow
		r.leg.Length = [kin.Joints]float64(take(3))
		r.leg.Lateral, r.leg.Vertical = take(1)[0], take(1)[0]
		for j := range r.leg.Links {
			r.leg.Links[j].Mass = take(1)[0]
			r.leg.Links[j].COM = vec(take(3))
			in := take(6)
			r.leg.Links[j].Inertia = kin.Inertia{XX: in[0], YY: in[1], ZZ: in[2], XY: in[3], XZ: in[4], YZ: in[5]}
		}
		r.q, r.qd, r.qdd = [3]float64(take(3)), [3]float64(take(3)), [3]float64(take(3))
		r.rpy = [3]float64(take(3))
		vel, rd, acc, rdd := take(3), take(3), take(3), take(3)
		var x, xd, xdd [6]float64
		copy(x[3:], r.rpy[:])
		copy(xd[:], vel)
		copy(xd[3:], rd)
		copy(xdd[:], acc)
		copy(xdd[3:], rdd)
		r.body = Rows(x, xd, xdd)
		r.f = vec(take(3))
		r.tau = [9]float64(take(9))
		r.mom = [6]float64(take(6))
		r.mass = [6]float64(take(6))
		r.gravity = [3]float64(take(3))
		if len(v) != 0 {
			tb.Fatalf("row %d: %d cells left over", i+2, len(v))
		}
		rows = append(rows, r)
	}
	return rows
}

const gravity = 9.80665 // m/s², standard

// base is the motion of the row's hip in its own axes.
func (r *kdlRow) base() Base {
	b := &r.body
	return Base{
		Vel: b.XWB.R.TMul(b.Vel), Omega: b.XWB.R.TMul(b.Omega), Acc: b.XWB.R.TMul(b.Acc), Alpha: b.XWB.R.TMul(b.Alpha),
		Gravity: b.XWB.R.TMul(r3.Vec{Z: -gravity}),
	}
}

// closeTo compares sets of numbers, relative to the largest of want.
func closeTo(got, want []float64, rel float64) bool {
	size := 0.0
	for _, w := range want {
		size = max(size, math.Abs(w))
	}
	for k := range want {
		if !(math.Abs(got[k]-want[k]) <= rel*size) {
			return false
		}
	}
	return len(got) == len(want)
}

// carry projects a dual (H's axes) on the joints that carry the row's hip.
func (r *kdlRow) carry(f, n r3.Vec) []float64 {
	rot := &r.body.XWB.R
	f, n = rot.Mul(f), rot.Mul(n)
	yaw, both := kin.RPY(0, 0, r.rpy[2]), kin.RPY(0, r.rpy[1], r.rpy[2])
	return []float64{f.X, f.Y, f.Z, n.Z, r3.Dot(n, yaw.Mul(r3.Vec{Y: 1})), r3.Dot(n, both.Mul(r3.Vec{X: 1}))}
}

func TestAgainstKDL(t *testing.T) {
	const rel = 1e-8 // of the largest number of the same kind and unit; 1e-12 is met
	rows := kdlRows(t)
	if len(rows) < 300 {
		t.Fatalf("%d rows, want at least 300", len(rows))
	}
	worst := 0.0
	check := func(row int, what string, got, want []float64) {
		t.Helper()
		if !closeTo(got, want, rel) {
			t.Errorf("row %d: %s = %v, want %v", row+2, what, got, want)
		}
		size, off := 0.0, 0.0
		for k := range want {
			size, off = max(size, math.Abs(want[k])), max(off, math.Abs(got[k]-want[k]))
		}
		worst = max(worst, off/size)
	}
	still, free, offset := 0, 0, 0
	for i := range rows {
		r := &rows[i]
		base := r.base()
		if base.Omega == (r3.Vec{}) {
			still++
		}
		if r.f == (r3.Vec{}) {
			free++
		}
		if r.leg.Lateral != 0 && r.leg.Vertical != 0 {
			offset++
		}
		tau, w := r.leg.InverseDynamics(r.q, r.qd, r.qdd, &base, r.f)
		check(i, "torque", tau[:], r.tau[6:])
		hip := r.carry(r3.Scale(-1, w.Force), r3.Scale(-1, w.Moment))
		check(i, "force on the hip", hip[:3], r.tau[:3])
		check(i, "moment on the hip", hip[3:], r.tau[3:6])
		m := r.leg.Momentum(r.q, r.qd, &base)
		mom := r.carry(m.P, m.L)
		check(i, "linear momentum", mom[:3], r.mom[:3])
		check(i, "angular momentum", mom[3:], r.mom[3:])
		mass := r.leg.MassMatrix(r.q)
		check(i, "mass matrix", []float64{mass[0], mass[1], mass[2], mass[4], mass[5], mass[8]}, r.mass[:])
		g := r.leg.GravityTorque(r.q, base.Gravity)
		check(i, "gravity torque", g[:], r.gravity[:])
	}
	if still < 50 || free < 50 || offset < 100 {
		t.Errorf("compared too little: %d at rest, %d with a free foot, %d with both offsets", still, free, offset)
	}
	t.Logf("%d rows, worst %.1e relative", len(rows), worst)
}
