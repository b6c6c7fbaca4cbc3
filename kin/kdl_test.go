// SPDX-License-Identifier: MIT

package kin

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// A row of testdata/kdl/kdl_legs.csv: what the Orocos Kinematics and Dynamics
// Library 1.5.1 says of a leg (see the README there).
type kdlRow struct {
	leg  Leg
	q    [Joints]float64
	pHF  r3.Vec
	jac  [9]float64
	ik   [Joints]float64
	isIK bool // its iterative solver converged
}

func kdlRows(tb testing.TB) []kdlRow {
	tb.Helper()
	file, err := os.Open("../testdata/kdl/kdl_legs.csv")
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
		var v [23]float64
		isIK := c[20] != ""
		for k := range v {
			if k >= 20 && !isIK {
				continue
			}
			if v[k], err = strconv.ParseFloat(c[k], 64); err != nil {
				tb.Fatalf("row %d: %v", i+2, err)
			}
		}
		rows = append(rows, kdlRow{
			leg:  Leg{Length: [Joints]float64(v[:3]), Lateral: v[3], Vertical: v[4]},
			q:    [Joints]float64(v[5:8]),
			pHF:  r3.Vec{X: v[8], Y: v[9], Z: v[10]},
			jac:  [9]float64(v[11:20]),
			ik:   [Joints]float64(v[20:23]),
			isIK: isIK,
		})
	}
	return rows
}

// turn gives the difference of two angles, the short way round.
func turn(a, b float64) float64 { return math.Remainder(a-b, 2*math.Pi) }

// turns gives the largest difference of two sets of angles.
func turns(a, b [Joints]float64) float64 {
	m := 0.0
	for j := range a {
		m = max(m, math.Abs(turn(a[j], b[j])))
	}
	return m
}

func TestAgainstKDL(t *testing.T) {
	const tol = 1e-9 // m, m/rad
	rows := kdlRows(t)
	if len(rows) < 600 {
		t.Fatalf("%d rows, want at least 600", len(rows))
	}
	solved, toward, listed, offset := 0, 0, 0, 0
	for i := range rows {
		r := &rows[i]
		if d := r3.Norm(r3.Sub(r.leg.Forward(r.q), r.pHF)); d > tol {
			t.Errorf("row %d: Forward is %g m off", i+2, d)
		}
		for k, got := range r.leg.Jacobian(r.q) {
			if math.Abs(got-r.jac[k]) > tol {
				t.Errorf("row %d: Jacobian[%d] = %v, want %v", i+2, k, got, r.jac[k])
			}
		}
		if r.leg.Lateral != 0 {
			offset++
		}
		// The pose's own angles must be among All, and KDL's found ones too.
		all := r.leg.All(r.pHF)
		if !among(all, r.q) {
			t.Errorf("row %d: All(%v) = %v lacks %v", i+2, r.pHF, all, r.q)
		}
		if r.isIK {
			listed++
			if !among(all, r.ik) {
				t.Errorf("row %d: All(%v) = %v lacks KDL's %v", i+2, r.pHF, all, r.ik)
			}
		}
		for _, q := range all {
			if d := r3.Norm(r3.Sub(r.leg.Forward(q), r.pHF)); d > tol {
				t.Errorf("row %d: All has %v, %g m off", i+2, q, d)
			}
		}
		outward := r.leg.Length[Coxa] + r.leg.Length[Femur]*math.Cos(r.q[Femur]) + r.leg.Length[Tibia]*math.Cos(r.q[Femur]+r.q[Tibia])
		for _, knee := range []Knee{KneeUp, KneeDown} {
			r.leg.Knee = knee
			s := r.leg.Solve(r.pHF)
			if s.Status == Missed {
				if outward >= 0 {
					t.Errorf("row %d: %v is missed by %g m", i+2, r.pHF, s.Miss)
				}
				continue // reached only with the coxa turned away
			}
			solved++
			// KDL's own forward map agrees with Forward (above), so its foot is the judge here.
			if d := r3.Norm(r3.Sub(r.leg.Forward(s.Q), r.pHF)); d > tol {
				t.Errorf("row %d: Solve is %g m off", i+2, d)
			}
			if outward >= 0 && (r.q[Tibia] < 0) == (knee == KneeUp) {
				toward++
				if turns(s.Q, r.q) > 1e-6 { // loose: near the axis and the edges angles are ill conditioned
					t.Errorf("row %d: Solve = %v, want %v", i+2, s.Q, r.q)
				}
			}
		}
	}
	if solved < 800 || toward < 400 || listed < 600 || offset < 400 {
		t.Errorf("compared too little: %d solved, %d towards the foot, %d by KDL's solver, %d with a lateral offset", solved, toward, listed, offset)
	}
}

// among tells whether q is in all, to 1e-6 rad: KDL's solver stops at a foot
// 1e-12 m off, which near a straight knee is 1e-6 rad.
func among(all [][Joints]float64, q [Joints]float64) bool {
	for _, a := range all {
		if turns(a, q) < 1e-6 {
			return true
		}
	}
	return false
}
