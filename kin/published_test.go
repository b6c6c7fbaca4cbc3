// SPDX-License-Identifier: MIT

package kin

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

const deg = math.Pi / 180

// example is the leg of the check tables below, lengths in metres.
func example() *Leg { return &Leg{Length: [Joints]float64{0.03, 0.06, 0.09}} }

func near(a, b r3.Vec, tol float64) bool { return r3.Norm(r3.Sub(a, b)) <= tol }

// Feet computed with 17 digits, and again by the Orocos Kinematics and
// Dynamics Library (PyKDL 1.5.1), which agrees to 1e-17.
func TestForwardTable(t *testing.T) {
	for _, c := range []struct {
		q    [Joints]float64 // degrees
		want r3.Vec
	}{
		{[Joints]float64{0, 0, 0}, r3.Vec{X: 0.18}},
		{[Joints]float64{0, 30, -120}, r3.Vec{X: 0.08196152422706632, Z: -0.06}},
		{[Joints]float64{30, 20, -100}, r3.Vec{X: 0.08834315898073476, Y: 0.05100494661858911, Z: -0.0681114891715586}},
		{[Joints]float64{-45, 45, -135}, r3.Vec{X: 0.05121320343559643, Y: -0.05121320343559642, Z: -0.04757359312880715}},
		{[Joints]float64{10, -20, -70}, r3.Vec{X: 0.08506922729426564, Y: 0.015, Z: -0.11052120859954012}},
		{[Joints]float64{90, 0, -90}, r3.Vec{Y: 0.09, Z: -0.09}},
	} {
		q := [Joints]float64{c.q[0] * deg, c.q[1] * deg, c.q[2] * deg}
		if got := example().Forward(q); !near(got, c.want, 1e-15) {
			t.Errorf("Forward(%v deg) = %v, want %v", c.q, got, c.want)
		}
		if got := example().Chain(q).PHF; !near(got, c.want, 1e-15) {
			t.Errorf("Chain(%v deg).PHF = %v, want %v", c.q, got, c.want)
		}
	}
}

// Inverse solutions computed with 17 digits for the same leg.
func TestInverseTable(t *testing.T) {
	for _, c := range []struct {
		p     r3.Vec
		count int
		up    [Joints]float64 // the knee-up solution, rad
	}{
		{r3.Vec{X: 0.09, Z: -0.06}, 4, [Joints]float64{0, 0.5170230747830926, -2.0005717580994244}},
		{r3.Vec{X: 0.10, Y: 0.05, Z: -0.05}, 2, [Joints]float64{0.4636476090008061, 0.6021124429316598, -1.8051774813154071}},
		{r3.Vec{X: 0.12, Y: -0.04, Z: -0.08}, 2, [Joints]float64{-0.3217505543966422, 0.037534209670411656, -1.1903383846848998}},
		{r3.Vec{X: 0.02, Y: 0.01, Z: -0.07}, 4, [Joints]float64{0.4636476090008061, -0.1629740952503851, -2.244936737683858}},
		{r3.Vec{X: 0.18}, 1, [Joints]float64{}}, // full reach: cos t = 1+2e-16 in floating point
		{r3.Vec{X: 0.06}, 3, [Joints]float64{0, math.Pi, -math.Pi}},
		{r3.Vec{X: 0.181}, 0, [Joints]float64{}},
	} {
		all := example().All(c.p)
		if len(all) != c.count {
			t.Errorf("All(%v) = %v, want %d of them", c.p, all, c.count)
		}
		s := example().Solve(c.p)
		if c.count == 0 {
			if s.Status != Missed || math.Abs(s.Miss-0.001) > 1e-15 || s.Margin != -s.Miss {
				t.Errorf("Solve(%v) = %+v, want a miss of 0.001 m", c.p, s)
			}
			continue
		}
		if turns(s.Q, c.up) > 1e-12 {
			t.Errorf("Solve(%v) = %v, want %v", c.p, s.Q, c.up)
		}
		want := Reached
		if c.count%2 == 1 {
			want = Singular
		}
		if s.Status != want || s.Miss != 0 {
			t.Errorf("Solve(%v): status %v, miss %g", c.p, s.Status, s.Miss)
		}
	}
	want := [][Joints]float64{
		{0, 0.5170230747830926, -2.0005717580994244},
		{0, -2.087819401577989, 2.0005717580994244},
		{math.Pi, -2.1017200744132727, -0.9479697413828937},
		{math.Pi, 3.0290152924148845, 0.9479697413828937},
	}
	all := example().All(r3.Vec{X: 0.09, Z: -0.06})
	for i := range want {
		if i >= len(all) || turns(all[i], want[i]) > 1e-12 {
			t.Errorf("All(0.09, 0, -0.06) = %v, want %v", all, want)
			break
		}
	}
}

// The whole chain from world to leg, computed with PyKDL 1.5.1: a body at p,
// rpy fixed-axis, a hip yawed by 45 degrees, a foot on the ground.
func TestWholeBody(t *testing.T) {
	xWB := Pose{P: r3.Vec{X: 0.01, Y: -0.005, Z: 0.08}, R: RPY(3*deg, -2*deg, 5*deg)}
	l := example()
	l.PBH = r3.Vec{X: 0.12, Y: 0.06}
	l.Heading = 45 * deg
	xWH := xWB.Dot(l.XBH())
	pWF := r3.Vec{X: 0.20, Y: 0.14}
	pHF := xWH.Into(pWF)
	want := r3.Vec{X: 0.10052220470799986, Y: -0.011200121817186076, Z: -0.09357192977753431}
	if !near(pHF, want, 1e-15) {
		t.Errorf("pHF = %v, want %v", pHF, want)
	}
	s := l.Solve(pHF)
	if d := turns(s.Q, [Joints]float64{-0.11096172128194193, -0.07145749721189887, -1.3734806487842444}); d > 1e-12 {
		t.Errorf("q = %v, %g rad off", s.Q, d)
	}
	if got := xWH.At(s.Chain.PHF); !near(got, pWF, 1e-15) {
		t.Errorf("pWF = %v, want %v", got, pWF)
	}
}

// Jacobian and its numbers at (30, 20, -100) degrees, PyKDL 1.5.1.
func TestJacobianTable(t *testing.T) {
	q := [Joints]float64{30 * deg, 20 * deg, -100 * deg}
	got := example().Jacobian(q)
	want := [9]float64{
		-0.051004946618589106, 0.05898627991215846, 0.0767581678757199,
		0.08834315898073476, 0.0340557445857793, 0.044316348885549355,
		0, 0.07200989323717823, 0.015628335990023733,
	}
	for i := range want {
		if math.Abs(got[i]-want[i]) > 1e-15 {
			t.Errorf("J[%d] = %v, want %v", i, got[i], want[i])
		}
	}
	j := mat.NewDense(3, 3, got[:])
	if det := mat.Det(j); math.Abs(det-0.0005424847222171719) > 1e-16 {
		t.Errorf("det = %v", det)
	}
	var svd mat.SVD
	if !svd.Factorize(j, mat.SVDNone) {
		t.Fatal("no singular values")
	}
	for i, want := range []float64{0.12718616635552635, 0.10200989323717824, 0.04181242362003825} {
		if got := svd.Values(nil)[i]; math.Abs(got-want) > 1e-15 {
			t.Errorf("singular value %d = %v, want %v", i, got, want)
		}
	}
	if got := svd.Cond(); math.Abs(got-3.041827173456969) > 1e-13 {
		t.Errorf("condition number %v", got)
	}
}

// A leg with no coxa and no offsets is the planar two-link arm in (s, z).
func twoLink(l1, l2 float64) *Leg { return &Leg{Length: [Joints]float64{0, l1, l2}} }

// Two-link arm: the law of cosines of Lynch and Park, Modern Robotics, 2017,
// ch. 6 (formula from memory, numbers computed from it). Righty has the elbow
// angle positive, which is the knee down here.
func TestTwoLinkArm(t *testing.T) {
	for _, c := range []struct {
		l1, l2, x, y  float64
		righty, lefty [2]float64
	}{
		{1, 1, 1, 1, [2]float64{0, 1.5707963267948966}, [2]float64{1.5707963267948966, -1.5707963267948966}},
		{2, 1, 1.5, 1.5, [2]float64{0.29870320832267516, 1.6961241579629618}, [2]float64{1.2720931184722213, -1.6961241579629618}},
		{0.06, 0.09, 0.08, -0.05, [2]float64{-1.7302124427181744, 1.833051485670753}, [2]float64{0.6130138120310495, -1.833051485670753}},
	} {
		l := twoLink(c.l1, c.l2)
		for knee, want := range map[Knee][2]float64{KneeDown: c.righty, KneeUp: c.lefty} {
			l.Knee = knee
			s := l.Solve(r3.Vec{X: c.x, Z: c.y})
			if turns(s.Q, [Joints]float64{0, want[0], want[1]}) > 1e-12 {
				t.Errorf("%v knee %v: %v, want %v", c, knee, s.Q, want)
			}
		}
	}
	// The workspace is an annulus: none outside, one on its edges, two inside
	// (the same chapter). The yaw doubles the count for a leg.
	for _, c := range []struct {
		x     float64
		count int
	}{{3.001, 0}, {3, 2}, {2, 4}, {1, 2}, {0.999, 0}} {
		if got := len(twoLink(2, 1).All(r3.Vec{X: c.x})); got != c.count {
			t.Errorf("%d solutions at %g, want %d", got, c.x, c.count)
		}
	}
	// Jacobians of the arm with links of 1 (Modern Robotics, ch. 5, from memory).
	for t2, want := range map[float64][4]float64{
		math.Pi / 4:     {-math.Sqrt2 / 2, -math.Sqrt2 / 2, 1 + math.Sqrt2/2, math.Sqrt2 / 2},
		3 * math.Pi / 4: {-math.Sqrt2 / 2, -math.Sqrt2 / 2, 1 - math.Sqrt2/2, -math.Sqrt2 / 2},
	} {
		j := twoLink(1, 1).Jacobian([Joints]float64{0, 0, t2})
		for i, got := range [4]float64{j[1], j[2], j[7], j[8]} {
			if math.Abs(got-want[i]) > 1e-15 {
				t.Errorf("J(0, %g)[%d] = %v, want %v", t2, i, got, want[i])
			}
		}
	}
	// Manipulability l1·l2·|sin q2| and the condition number, 1 for the
	// isotropic arm (Yoshikawa, IJRR 4(2), 1985; Salisbury and Craig, IJRR
	// 1(1), 1982; formulas from memory).
	for _, c := range []struct{ l1, l2, q2, w, cond float64 }{
		{1, 1, 90, 1, 2.618033988749895},
		{1, 1, 120, 0.8660254037844386, 1.7320508075688772},
		{math.Sqrt2, 1, 135, 1, 1},
		{0.06, 0.09, 60, 0.004676537180435968, 5.196152422706632},
		{0.06, 0.09, -100, 0.005317961866265923, 3.041827173456968},
	} {
		j := twoLink(c.l1, c.l2).Jacobian([Joints]float64{0, 0.4, c.q2 * deg})
		// At coxa 0 the arm's own rows are x and z.
		arm := mat.NewDense(2, 2, []float64{j[1], j[2], j[7], j[8]})
		if w := math.Abs(mat.Det(arm)); math.Abs(w-c.w) > 1e-15 {
			t.Errorf("%v: manipulability %v", c, w)
		}
		if cond := mat.Cond(arm, 2); math.Abs(cond-c.cond) > 1e-7 {
			t.Errorf("%v: condition %v", c, cond)
		}
	}
}

// Planar three-link arm with L = 4, 3, 2: the exercises of Craig,
// Introduction to Robotics, 3rd ed. 2005, ch. 3 and 4 (from memory). The wrist
// is the foot of a two-link leg; the hand is 2 further along its direction.
func TestThreeLinkArm(t *testing.T) {
	l := twoLink(4, 3)
	for _, c := range []struct{ t1, t2, t3, x, y float64 }{
		{0, 0, 0, 9, 0},
		{10, 20, 30, 7.5373072234021485, 3.9266435182365984},
		{90, 90, 90, -3, 2},
	} {
		p := l.Forward([Joints]float64{0, c.t1 * deg, c.t2 * deg})
		phi := (c.t1 + c.t2 + c.t3) * deg
		if x, y := p.X+2*math.Cos(phi), p.Z+2*math.Sin(phi); math.Hypot(x-c.x, y-c.y) > 1e-14 {
			t.Errorf("%v: hand at %v, %v", c, x, y)
		}
	}
	wrist := func(x, y, phi float64) r3.Vec {
		return r3.Vec{X: x - 2*math.Cos(phi*deg), Z: y - 2*math.Sin(phi*deg)}
	}
	for _, c := range []struct {
		wrist    r3.Vec
		down, up [2]float64 // degrees
		tol      float64    // degrees
	}{
		{wrist(9, 0, 0), [2]float64{0, 0}, [2]float64{0, 0}, 1e-5}, // the edge: an angle there is the root of a rounding
		{wrist(7.5373, 3.9266, 60), [2]float64{9.9988, 20.0020}, [2]float64{27.1146, -20.0020}, 1e-4},
	} {
		for knee, want := range map[Knee][2]float64{KneeDown: c.down, KneeUp: c.up} {
			l.Knee = knee
			q := l.Solve(c.wrist).Q
			if math.Abs(q[Femur]/deg-want[0]) > c.tol || math.Abs(q[Tibia]/deg-want[1]) > c.tol {
				t.Errorf("wrist %v: %v, want %v deg", c.wrist, q, want)
			}
		}
	}
	// (-3, 2, -90): the wrist is at x = -3, behind the yaw axis, so the plane
	// arm's two solutions are those of All with the coxa turned away, at yaw 0.
	var found int
	for _, q := range l.All(wrist(-3, 2, -90)) {
		for _, want := range [][Joints]float64{{0, 90, 90}, {0, 163.7398, -90}} {
			if turns(q, [Joints]float64{0, want[1] * deg, want[2] * deg}) < 1e-5 {
				found++
			}
		}
	}
	if found != 2 {
		t.Errorf("%d of the two solutions of (-3, 2, -90)", found)
	}
	// (-3.1245, 9.1674, -30): the wrist is 11.2677 out, 7 is the reach.
	if s := l.Solve(wrist(-3.1245, 9.1674, -30)); s.Status != Missed || math.Abs(s.Miss-4.2677) > 5e-5 {
		t.Errorf("status %v, miss %v, want 4.2677", s.Status, s.Miss)
	}
}

// Rotations of the Unified Robot Description Format's rpy (fixed axes roll,
// pitch, yaw), computed with PyKDL 1.5.1.
func TestRPYTable(t *testing.T) {
	got := RPY(0.1, 0.2, 0.3)
	want := Rot{
		0.9362933635841992, -0.2750958473182437, 0.21835066314633444,
		0.28962947762551555, 0.9564250858492325, -0.03695701352462508,
		-0.19866933079506122, 0.09784339500725571, 0.975170327201816,
	}
	for i := range want {
		if math.Abs(got[i]-want[i]) > 1e-15 {
			t.Errorf("RPY(0.1, 0.2, 0.3)[%d] = %v, want %v", i, got[i], want[i])
		}
	}
	got = RPY(0.5, -0.4, 1.2)
	for i, want := range []float64{0.3337535935229384, -0.8855923902261839, 0.32300875713206234} {
		if math.Abs(got[i]-want) > 1e-15 {
			t.Errorf("RPY(0.5, -0.4, 1.2)[%d] = %v, want %v", i, got[i], want)
		}
	}
}
