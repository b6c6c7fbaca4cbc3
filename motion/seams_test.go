// SPDX-License-Identifier: MIT

package motion_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/curve"
)

// rising is a plan in which one foot stands, then goes up and forward at a
// steady speed from a time on, on several pieces of one path cut at the times
// given.
func rising(r *kin.Robot, from float64, v r3.Vec, cuts ...float64) *motion.Plan {
	const end = 0.5
	height := r3.Vec{Z: 0.09}
	p := &motion.Plan{Duration: end, RWG: kin.Identity, Body: []motion.BodyPiece{{To: end, Shift: curve.Span{Path: curve.Line(height, height)}}}}
	for i := range r.Legs {
		l := &r.Legs[i]
		a := r3.Vec{X: l.Stand.X, Y: l.Stand.Y, Z: l.FootRadius}
		rest := motion.FootPiece{To: end, Span: curve.Span{Path: curve.Line(a, a)}}
		if i > 0 {
			p.Feet = append(p.Feet, []motion.FootPiece{rest})
			continue
		}
		rest.To = from
		chain := []motion.FootPiece{rest}
		way := curve.Span{Path: curve.Line(a, r3.Add(a, r3.Scale(end-from, v)))}
		at := from
		for _, t := range append(cuts, end) {
			chain = append(chain, motion.FootPiece{From: at, To: t, Hold: motion.OverGround, Span: way, Clock: [2]float64{from, end}})
			at = t
		}
		p.Feet = append(p.Feet, chain)
	}
	return p
}

// A foot that starts at once kicks its joints by the inverse of the Jacobian
// times its speed, however near the next seam is; and a seam at which nothing
// changes, half a microsecond after another one, shows no kick.
func TestSeamsThatAreNear(t *testing.T) {
	r := fourLegged()
	const from = 0.2
	v := r3.Vec{X: 0.05, Y: 0.01, Z: 0.08}
	p := rising(r, from, v, from+5e-7, from+1e-6, from+0.1)
	tr := mustSample(t, r, p, 100, nil)
	if len(tr.Breaks) != 4 || len(tr.Jolts) != 1 {
		t.Fatalf("breaks at %v, jolts %+v", tr.Breaks, tr.Jolts)
	}
	l := &r.Legs[0]
	xBH := l.XBH()
	q := tr.JointsAt(0, 0)
	j := l.Jacobian(q)
	vH := r3.Sub(xBH.Into(v), xBH.Into(r3.Vec{}))
	var want mat.VecDense
	if err := want.SolveVec(mat.NewDense(3, 3, j[:]), mat.NewVecDense(3, []float64{vH.X, vH.Y, vH.Z})); err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, s := range tr.Seams {
		for n := range kin.Joints {
			kick := 0.0
			if math.Abs(s.At-from) < 1e-9 {
				kick = want.AtVec(n)
				seen++
			}
			if s.Leg != 0 || math.Abs(s.Kick[n]-kick) > 1e-9 || math.Abs(s.Step[n]) > 1e-9 {
				t.Errorf("leg %d, joint %d at %v s: kick %v, step %v, want a kick of %v", s.Leg, n, s.At, s.Kick[n], s.Step[n], kick)
			}
		}
	}
	if seen != kin.Joints || math.Abs(want.AtVec(1)) < 0.1 {
		t.Errorf("%d joints kick, the femur by %v", seen, want.AtVec(1))
	}
	if k := tr.Jolts[0]; math.Abs(k.Joints[1]-want.AtVec(1)) > 1e-9 || k.Vel != (r3.Vec{}) {
		t.Errorf("jolt %+v", k)
	}
}

// A sample before a break and one from it on are of different pieces.
func TestUnbroken(t *testing.T) {
	r := fourLegged()
	tr := mustSample(t, r, rising(r, 0.2, r3.Vec{Z: 0.05}, 0.235), 100, nil)
	for _, c := range [][3]int{{0, 50, 19}, {19, 50, 19}, {20, 50, 23}, {20, 22, 22}, {23, 50, 23}, {24, 50, 50}} {
		if got := tr.Unbroken(c[0], c[1]); got != c[2] {
			t.Errorf("from sample %d, at most %d: got=%d, want=%d", c[0], c[1], got, c[2])
		}
	}
}
