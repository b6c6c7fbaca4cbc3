// SPDX-License-Identifier: MIT

package motion_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"gaitwright/kin"
	"gaitwright/kin/mass"
	"gaitwright/motion"
	"gaitwright/motion/curve"
	"gaitwright/motion/gait"
	"gaitwright/motion/move"
	"gaitwright/motion/sequence"
)

var ease = curve.Timing{Kind: curve.CubicBezier, X1: 0.42, X2: 0.58, Y2: 1}

// fourLegged is a symmetric robot of invented measures, with offsets.
func fourLegged() *kin.Robot {
	r := &kin.Robot{Name: "tester", Gravity: 9.80665, Body: kin.Body{Mass: 1.2, COM: r3.Vec{X: 0.01, Z: 0.02}, Top: 0.03, Bottom: -0.02}}
	for i, name := range []string{"LF", "LR", "RF", "RR"} {
		l := kin.Leg{
			Name: name, Mirror: (i + 2) % 4,
			Length: [kin.Joints]float64{0.05, 0.08, 0.12}, Lateral: 0.006, Vertical: 0.004, FootRadius: 0.008, LinkRadius: 0.008,
			PBH: r3.Vec{X: 0.08 * float64(1-2*(i%2)), Y: 0.06}, Heading: math.Pi/4 + math.Pi/2*float64(i%2),
		}
		if i >= 2 {
			l.PBH.Y, l.Heading, l.Lateral = -l.PBH.Y, -l.Heading, -l.Lateral
		}
		sn, cs := math.Sincos(l.Heading)
		l.Stand = r3.Vec{X: l.PBH.X + 0.14*cs, Y: l.PBH.Y + 0.14*sn}
		for j := range l.Limits {
			l.Limits[j] = kin.Range{Lo: -3, Hi: 3}
			l.Links[j] = kin.Link{Mass: 0.02 + 0.01*float64(j), COM: r3.Vec{X: l.Length[j] / 2}}
			l.Servos[j] = kin.Servo{StallTorque: 1.9, NoLoadSpeed: 6, Voltage: 7.4, Mass: 0.05}
		}
		r.Legs = append(r.Legs, l)
	}
	return r
}

// lively walks on an arc and then waves a foot while the body leans.
func lively(r *kin.Robot, tilt kin.Rot) *sequence.Script {
	return &sequence.Script{
		Robot: r, Height: 0.09, Tilt: tilt,
		Gaits: []gait.Gait{{Name: "crawl", Period: 1.3, Duty: 0.8, Phase: gait.Wave(2, 0.8), StepHeight: 0.03, Swing: gait.PlainSwing, Timing: ease, Sway: 0.02}},
		Moves: []move.Move{{
			Name: "wave", Marks: []move.Mark{{Name: "up", At: 0.7}, {Name: "end", At: 1.5}},
			Body: []move.BodySpan{
				{To: 0.7, Shift: r3.Vec{X: -0.02, Y: -0.01, Z: 0.01}, Timing: ease},
				{To: 1.5, Shift: r3.Vec{X: -0.02}, Lean: r3.Vec{X: 0.05, Y: -0.1, Z: 0.08}, Timing: ease},
			},
			Feet: []move.FootTrack{{Leg: 0, Spans: []move.FootSpan{
				{To: 0.7, Hold: move.OverGround, End: r3.Vec{X: 0.02, Z: 0.05}, Out: r3.Vec{Z: 0.02}, Timing: ease},
				{To: 1.5, Hold: move.WithBody, End: r3.Vec{Y: 0.03, Z: 0.06}, Timing: ease, Even: true},
			}}},
		}},
		Seq: []sequence.Entry{
			{Name: "stand", Kind: sequence.Stand, Duration: 0.2},
			{Name: "walk", Kind: sequence.Walk, Cycles: 2, Command: motion.Twist{Forward: 0.04, Side: 0.01, Turn: 0.2}},
			{Name: "wave", Kind: sequence.Move, Speed: 1},
		},
	}
}

func mustPlan(t testing.TB, s *sequence.Script) *motion.Plan {
	t.Helper()
	p, err := sequence.Plan(s)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func mustSample(t testing.TB, r *kin.Robot, p *motion.Plan, rate float64, reuse *motion.Trajectory) *motion.Trajectory {
	t.Helper()
	tr, err := motion.NewSampler(r).Sample(p, rate, reuse)
	if err != nil {
		t.Fatal(err)
	}
	return tr
}

// Joint speeds against the inverse of the Jacobian times the foot's speed in
// the hip frame, where no piece ends within the two samples beside.
func TestSpeedsAgainstJacobian(t *testing.T) {
	r := fourLegged()
	p := mustPlan(t, lively(r, kin.Rot{}))
	const rate = 1000.0
	tr := mustSample(t, r, p, rate, nil)
	seams := p.Seams()
	compared, most := 0, 0.0
	for k := 1; k < tr.N-1; k++ {
		now := tr.Time(k)
		if slices.ContainsFunc(seams, func(s float64) bool { return math.Abs(s-now) < 1.5/rate }) {
			continue
		}
		for i := range r.Legs {
			l := &r.Legs[i]
			xBH := l.XBH()
			at := func(t float64) r3.Vec {
				x, _ := p.BodyAt(now).Pose(t)
				return xBH.Into(x.Into(p.FootAt(i, now).At(t, &x)))
			}
			const h = 1e-5
			v := r3.Scale(1/(2*h), r3.Sub(at(now+h), at(now-h)))
			q := tr.JointsAt(k, i)
			j := l.Jacobian(q)
			var want mat.VecDense
			if err := want.SolveVec(mat.NewDense(3, 3, j[:]), mat.NewVecDense(3, []float64{v.X, v.Y, v.Z})); err != nil {
				t.Fatal(err)
			}
			for n := range kin.Joints {
				got := tr.V[(k*4+i)*3+n]
				// Central differences are off by h²/6 of the third derivative.
				if math.Abs(got-want.AtVec(n)) > 5e-3 {
					t.Fatalf("leg %d joint %d at %v s: got=%v, want=%v rad/s", i, n, now, got, want.AtVec(n))
				}
				compared++
				most = max(most, math.Abs(got))
			}
		}
	}
	if compared < 20_000 || most < 1 {
		t.Errorf("only %d compared, of at most %v rad/s", compared, most)
	}
}

// Every row says the same thing in all its arrays: angles put the foot where
// the points say, and that is where the path is; the centre of mass is that of
// the pose.
func TestRowsAgree(t *testing.T) {
	r := fourLegged()
	for _, tilt := range []kin.Rot{kin.Identity, kin.RPY(0.1, -0.2, 0)} {
		tr := mustSample(t, r, mustPlan(t, lively(r, tilt)), 100, nil)
		m := mass.Lump(r)
		chains := make([]kin.Chain, 4)
		for k := range tr.N {
			x := tr.BodyPose(k)
			for i := range r.Legs {
				l := &r.Legs[i]
				q := tr.JointsAt(k, i)
				chains[i] = l.Chain(q)
				xBH := l.XBH()
				pBF := xBH.At(l.Forward(q))
				if d := r3.Norm(r3.Sub(x.At(pBF), tr.FootAt(k, i))); d > 1e-12 || !tr.Reached(k, i) {
					t.Fatalf("leg %d at %v s: %v m from its path", i, tr.Time(k), d)
				}
				want := [3]r3.Vec{xBH.At(chains[i].PHK0), xBH.At(chains[i].PHK), pBF}
				for n, p := range tr.LinkPoints(k, i) {
					if r3.Norm(r3.Sub(p, want[n])) > 1e-12 {
						t.Fatalf("leg %d at %v s, point %d: got=%v, want=%v", i, tr.Time(k), n, p, want[n])
					}
				}
			}
			if c := x.At(m.Centre(chains)); r3.Norm(r3.Sub(c, motion.Vec(tr.COM, k*3))) > 1e-12 {
				t.Fatalf("centre of mass at %v s: got=%v, want=%v", tr.Time(k), motion.Vec(tr.COM, k*3), c)
			}
		}
	}
}

// On tilted ground the whole motion is the level one turned, angles and all,
// but the margin is taken straight down.
func TestTiltedGround(t *testing.T) {
	r := fourLegged()
	level := mustSample(t, r, mustPlan(t, lively(r, kin.Identity)), 100, nil)
	rWG := kin.RPY(0.12, -0.2, 0)
	tilted := mustSample(t, r, mustPlan(t, lively(r, rWG)), 100, nil)
	if level.N != tilted.N {
		t.Fatal("not the same number of samples")
	}
	for k := range level.N {
		a, b := level.BodyPose(k), tilted.BodyPose(k)
		want := kin.Pose{P: rWG.Mul(a.P), R: rWG.Dot(a.R)}
		if r3.Norm(r3.Sub(b.P, want.P)) > 1e-12 {
			t.Fatalf("body at %v s: got=%v, want=%v", level.Time(k), b.P, want.P)
		}
		for n := range want.R {
			if math.Abs(b.R[n]-want.R[n]) > 1e-12 {
				t.Fatalf("body turned at %v s: got=%v, want=%v", level.Time(k), b.R, want.R)
			}
		}
		if d := r3.Norm(r3.Sub(rWG.Mul(motion.Vec(level.COM, k*3)), motion.Vec(tilted.COM, k*3))); d > 1e-12 {
			t.Fatalf("centre of mass is %v m off", d)
		}
		for i := range 4 {
			if d := r3.Norm(r3.Sub(rWG.Mul(level.FootAt(k, i)), tilted.FootAt(k, i))); d > 1e-12 {
				t.Fatalf("foot %d is %v m off", i, d)
			}
			if level.Planted[k*4+i] != tilted.Planted[k*4+i] {
				t.Fatal("other feet planted")
			}
		}
	}
	for k := range level.Q {
		if math.Abs(level.Q[k]-tilted.Q[k]) > 1e-9 {
			t.Fatalf("angle %d: %v and %v", k, level.Q[k], tilted.Q[k])
		}
	}
	// Standing, all four feet down: the margin by hand, from every edge of the
	// quadrangle straight below.
	c := motion.Vec(tilted.COM, 0)
	order := []int{0, 1, 3, 2} // counter-clockwise
	want := math.Inf(1)
	for n, i := range order {
		a, b := tilted.FootAt(0, i), tilted.FootAt(0, order[(n+1)%4])
		ux, uy := b.X-a.X, b.Y-a.Y
		want = min(want, (ux*(c.Y-a.Y)-uy*(c.X-a.X))/math.Hypot(ux, uy))
	}
	if got := tilted.Margin[0]; math.Abs(got-want) > 1e-12 {
		t.Errorf("margin: got=%v, want=%v", got, want)
	}
	if math.Abs(tilted.Margin[0]-level.Margin[0]) < 0.005 {
		t.Error("the tilt does not show in the margin")
	}
}

func TestReuseGivesTheSame(t *testing.T) {
	r := fourLegged()
	p := mustPlan(t, lively(r, kin.Identity))
	s := motion.NewSampler(r)
	a := mustSample(t, r, p, 200, nil)
	b, err := s.Sample(p, 900, nil)
	if err != nil {
		t.Fatal(err)
	}
	q := &b.Q[0]
	if b, err = s.Sample(p, 200, b); err != nil {
		t.Fatal(err)
	}
	if &b.Q[0] != q {
		t.Error("the arrays were not taken over")
	}
	for _, x := range [][2][]float64{{a.Body, b.Body}, {a.COM, b.COM}, {a.Margin, b.Margin}, {a.Q, b.Q}, {a.V, b.V}, {a.Foot, b.Foot}, {a.Points, b.Points}, {a.Reach, b.Reach}} {
		if !slices.Equal(x[0], x[1]) {
			t.Fatal("other numbers in reused arrays")
		}
	}
	if !slices.Equal(a.Planted, b.Planted) || !slices.Equal(a.Seams, b.Seams) || a.N != b.N {
		t.Fatal("other flags or seams in reused arrays")
	}
}

// Rows do not allocate: what is allocated does not grow with their number.
func TestRowsDoNotAllocate(t *testing.T) {
	r := fourLegged()
	p := mustPlan(t, lively(r, kin.Identity))
	s := motion.NewSampler(r)
	var tr *motion.Trajectory
	count := func(rate float64) float64 {
		return testing.AllocsPerRun(5, func() {
			var err error
			if tr, err = s.Sample(p, rate, tr); err != nil {
				t.Fatal(err)
			}
		})
	}
	count(1000)
	if slow, fast := count(50), count(1000); fast > slow {
		t.Errorf("%v allocations at 50 Hz, %v at 1 kHz", slow, fast)
	}
}

func TestSampleErrors(t *testing.T) {
	r := fourLegged()
	p := mustPlan(t, lively(r, kin.Identity))
	for _, c := range []struct {
		rate float64
		want string
	}{{0, "not positive"}, {-5, "not positive"}, {math.NaN(), "not positive"}, {math.Inf(1), "not positive"}, {1e6, "more than"}, {1e300, "more than"}} {
		if tr, err := motion.NewSampler(r).Sample(p, c.rate, nil); err == nil || tr != nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v Hz: %v", c.rate, err)
		}
	}
}

// Both ends are sampled where the rate divides the duration, and the seams of
// a smooth motion have no steps.
func TestTimesAndSeams(t *testing.T) {
	r := fourLegged()
	s := lively(r, kin.Identity)
	p := mustPlan(t, s)
	tr := mustSample(t, r, p, 10/p.Duration, nil)
	if tr.N != 11 || math.Abs(tr.Duration()-p.Duration) > 1e-12 {
		t.Errorf("%d samples until %v of %v s", tr.N, tr.Duration(), p.Duration)
	}
	for k := range tr.N {
		if tr.Index(tr.Time(k)) != k {
			t.Errorf("sample %d is found as %d", k, tr.Index(tr.Time(k)))
		}
	}
	if tr.Index(-1) != 0 || tr.Index(1e9) != tr.N-1 || tr.Index(math.NaN()) != 0 || (&motion.Trajectory{Rate: 1}).Index(3) != 0 {
		t.Error("index out of the trajectory")
	}
	for i, part := range tr.Parts {
		if tr.PartAt(part.From) != i || tr.PartAt((part.From+part.To)/2) != i {
			t.Errorf("part %d is found as %d", i, tr.PartAt(part.From))
		}
	}
	if (&motion.Trajectory{}).PartAt(1) != -1 || (&motion.Trajectory{}).Duration() != 0 {
		t.Error("the empty trajectory has a part or a duration")
	}
	for _, x := range tr.Seams {
		for j := range x.Step {
			if math.Abs(x.Step[j]) > 1e-9 || math.Abs(x.Kick[j]) > 0.01 {
				t.Errorf("seam %+v", x)
			}
		}
	}
	seams := p.Seams()
	if !slices.IsSorted(seams) || len(seams) == 0 || seams[0] <= 0 || seams[len(seams)-1] >= p.Duration {
		t.Errorf("seams %v", seams)
	}
}

// A span that begins at full speed kicks by its own speed: a linear timing of
// length L in T seconds moves the foot at L/T.
func TestKickOfALinearSpan(t *testing.T) {
	r := fourLegged()
	s := lively(r, kin.Identity)
	s.Seq = s.Seq[2:]
	s.Moves[0].Body = nil
	s.Moves[0].Feet[0].Spans[0] = move.FootSpan{To: 0.7, Hold: move.OverGround, End: r3.Vec{Z: 0.05}, Out: r3.Vec{Z: 0.05 / 3}, In: r3.Vec{Z: -0.05 / 3}}
	s.Seq = append([]sequence.Entry{{Name: "stand", Kind: sequence.Stand, Duration: 0.5}}, s.Seq...)
	p := mustPlan(t, s)
	tr := mustSample(t, r, p, 500, nil)
	l := &r.Legs[0]
	j := l.Jacobian(tr.JointsAt(0, 0))
	var want mat.VecDense
	if err := want.SolveVec(mat.NewDense(3, 3, j[:]), mat.NewVecDense(3, []float64{0, 0, 0.05 / 0.7})); err != nil {
		t.Fatal(err)
	}
	found := false
	for _, x := range tr.Seams {
		if x.Leg == 0 && math.Abs(x.At-0.5) < 1e-9 {
			found = true
			for n := range kin.Joints {
				if math.Abs(x.Kick[n]-want.AtVec(n)) > 1e-4 {
					t.Errorf("joint %d kicks: got=%v, want=%v rad/s", n, x.Kick[n], want.AtVec(n))
				}
			}
		}
	}
	if !found {
		t.Error("no kick at all")
	}
}

// Without a planted foot there is no polygon and no margin.
func TestMarginWithoutFeet(t *testing.T) {
	r := fourLegged()
	p := mustPlan(t, lively(r, kin.Identity))
	for i := range p.Feet {
		for k := range p.Feet[i] {
			p.Feet[i][k].Hold = motion.OverGround
		}
	}
	tr := mustSample(t, r, p, 20, nil)
	for _, m := range tr.Margin {
		if !math.IsInf(m, -1) {
			t.Fatalf("margin %v", m)
		}
	}
}

// A target out of reach is told by a negative reach, with the leg at its
// closest pose and the foot where the path is.
func TestOutOfReach(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := fourLegged()
		s := lively(r, kin.Identity)
		s.Height = rapid.Float64Range(0.25, 1).Draw(t, "height")
		p, err := sequence.Plan(s)
		if err != nil {
			t.Fatal(err)
		}
		tr, err := motion.NewSampler(r).Sample(p, 20, nil)
		if err != nil {
			t.Fatal(err)
		}
		x := tr.BodyPose(0)
		for i := range r.Legs {
			gap := r3.Norm(r3.Sub(x.At(tr.LinkPoints(0, i)[2]), tr.FootAt(0, i)))
			if tr.Reached(0, i) || math.Abs(tr.Reach[i]+gap) > 1e-9 {
				t.Fatalf("leg %d: reach %v, gap %v", i, tr.Reach[i], gap)
			}
		}
	})
}

// A plan made by hand is sampled: the feet stand while the body sinks.
func Example() {
	r := fourLegged()
	down := curve.Line(r3.Vec{Z: 0.09}, r3.Vec{Z: 0.07})
	p := &motion.Plan{
		Duration: 1, RWG: kin.Identity,
		Body: []motion.BodyPiece{{From: 0, To: 1, Shift: curve.Span{Path: down}}},
	}
	for i := range r.Legs {
		at := r.Legs[i].Stand
		at.Z = r.Legs[i].FootRadius
		p.Feet = append(p.Feet, []motion.FootPiece{{From: 0, To: 1, Hold: motion.Planted, Span: curve.Span{Path: curve.Line(at, at)}}})
	}
	t, err := motion.NewSampler(r).Sample(p, 2, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	for k := range t.N {
		q := t.JointsAt(k, 0)
		fmt.Printf("%.1f s: body at %.3f m, femur %.1f deg, tibia %.1f deg, margin %.3f m\n",
			t.Time(k), t.Body[k*6+2], q[kin.Femur]*180/math.Pi, q[kin.Tibia]*180/math.Pi, t.Margin[k])
	}
	// Output:
	// 0.0 s: body at 0.090 m, femur 24.2 deg, tibia -106.1 deg, margin 0.159 m
	// 0.5 s: body at 0.080 m, femur 31.7 deg, tibia -111.2 deg, margin 0.159 m
	// 1.0 s: body at 0.070 m, femur 39.3 deg, tibia -115.8 deg, margin 0.159 m
}
