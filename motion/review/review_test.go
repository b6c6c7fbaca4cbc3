// SPDX-License-Identifier: MIT

package review

import (
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/curve"
	"gaitwright/motion/load"
)

// The legs of the test robot.
const (
	LF = iota
	LM
	LH
	RF
	RM
	RH
)

const (
	bodyHeight = 0.09 // m
	footRadius = 0.01 // m
	reachOut   = 0.14 // standing distance of a foot from its mount, m
)

// sixLegged is a symmetric robot of invented measures.
func sixLegged() *kin.Robot {
	r := &kin.Robot{
		Name: "tester", Gravity: 9.80665, Friction: 0.8,
		Supply: kin.Supply{Voltage: 7.4, Limit: 15, Resistance: 0.02},
		Body: kin.Body{
			Mass: 1.2, COM: r3.Vec{Z: 0.01},
			Outline: []r3.Vec{{X: -0.12, Y: -0.05}, {X: 0.12, Y: -0.05}, {X: 0.12, Y: 0.05}, {X: -0.12, Y: 0.05}},
			Top:     0.03, Bottom: -0.02,
		},
	}
	for i, name := range []string{"LF", "LM", "LH", "RF", "RM", "RH"} {
		l := kin.Leg{
			Name: name, Mirror: (i + 3) % 6,
			Length: [kin.Joints]float64{0.05, 0.08, 0.12},
			Limits: [kin.Joints]kin.Range{{Lo: -1, Hi: 1}, {Lo: -1.6, Hi: 1.6}, {Lo: -2.7, Hi: 0.2}},
			Knee:   kin.KneeUp, FootRadius: footRadius, LinkRadius: 0.012,
			PBH:     r3.Vec{X: 0.12 * float64(1-i%3), Y: []float64{0.06, 0.08, 0.06}[i%3]},
			Heading: math.Pi / 4 * float64(1+i%3),
		}
		if i >= RF {
			l.PBH.Y, l.Heading = -l.PBH.Y, -l.Heading
		}
		sn, cs := math.Sincos(l.Heading)
		l.Stand = r3.Vec{X: l.PBH.X + reachOut*cs, Y: l.PBH.Y + reachOut*sn}
		for j := range kin.Joints {
			l.Links[j] = kin.Link{Mass: 0.02, COM: r3.Vec{X: l.Length[j] / 2}}
			l.Servos[j] = kin.Servo{StallTorque: 1.9, NoLoadSpeed: 6, Voltage: 7.4, Mass: 0.05, StallCurrent: 2.5, IdleCurrent: 0.02, Efficiency: 0.7}
		}
		r.Legs = append(r.Legs, l)
	}
	return r
}

// eased begins and ends at rest.
var eased = curve.Timing{Kind: curve.CubicBezier, X1: 0.42, Y1: 0, X2: 0.58, Y2: 1}

func stand(r *kin.Robot, leg int) r3.Vec {
	p := r.Legs[leg].Stand
	p.Z = footRadius
	return p
}

func still(p r3.Vec) curve.Span { return curve.Span{Path: curve.Bezier{P0: p, P1: p, P2: p, P3: p}} }

func planted(from, to float64, p r3.Vec) motion.FootPiece {
	return motion.FootPiece{From: from, To: to, Hold: motion.Planted, Span: still(p)}
}

// swing goes straight up from a, over to b, which it meets straight from above.
func swing(from, to float64, a, b r3.Vec, up float64) motion.FootPiece {
	c, d := a, b
	c.Z += up
	d.Z += up
	return motion.FootPiece{From: from, To: to, Hold: motion.OverGround,
		Span: curve.Span{Path: curve.Bezier{P0: a, P1: c, P2: d, P3: b}, Timing: eased}}
}

func line(from, to float64, a, b r3.Vec) motion.FootPiece {
	return motion.FootPiece{From: from, To: to, Hold: motion.OverGround,
		Span: curve.Span{Path: curve.Line(a, b), Timing: eased}}
}

func body(from, to float64, a, b r3.Vec) motion.BodyPiece {
	a.Z += bodyHeight
	b.Z += bodyHeight
	return motion.BodyPiece{From: from, To: to, Shift: curve.Span{Path: curve.Line(a, b), Timing: eased}}
}

// raised is where the front feet of the clean motion go.
var raised = r3.Vec{X: 0.03, Z: 0.06}

// clean shifts the weight back, raises both front feet together, lowers them
// and comes forward again: 4 s.
func clean(r *kin.Robot) *motion.Plan {
	back := r3.Vec{X: -0.04}
	p := &motion.Plan{
		Duration: 4, RWG: kin.Identity,
		Body: []motion.BodyPiece{
			body(0, 1, r3.Vec{}, back), body(1, 3, back, back), body(3, 4, back, r3.Vec{}),
		},
		Parts: []motion.Part{
			{Name: "lean", Kind: "move", From: 0, To: 1, Index: 0},
			{Name: "strike", Kind: "move", From: 1, To: 3, Index: 1},
			{Name: "return", Kind: "move", From: 3, To: 4, Index: 2},
		},
		Mirrored: []motion.Stretch{{Leg: LF, Other: RF, From: 0, To: 4}},
		Floors:   []motion.Stretch{{Leg: LF, From: 1.9, To: 2.1, Height: 0.04}, {Leg: RF, From: 1.9, To: 2.1, Height: 0.04}},
	}
	for i := range r.Legs {
		p.Feet = append(p.Feet, []motion.FootPiece{planted(0, 4, stand(r, i))})
	}
	for _, i := range []int{LF, RF} {
		front(p, r, i, raised)
	}
	return p
}

// front makes leg i go to stand + to at 2 s and come back at 3 s.
func front(p *motion.Plan, r *kin.Robot, i int, to r3.Vec) {
	s := stand(r, i)
	top := r3.Add(s, to)
	out := line(1, 2, s, top)
	out.Span.Path.P1 = r3.Add(s, r3.Vec{Z: 0.03})
	back := line(2, 3, top, s)
	back.Span.Path = out.Span.Path.Reverse()
	p.Feet[i] = []motion.FootPiece{planted(0, 1, s), out, back, planted(3, 4, s)}
}

const rate = 500 // Hz

func mustSample(t testing.TB, r *kin.Robot, p *motion.Plan, rate float64) *motion.Trajectory {
	t.Helper()
	if err := r.Check(); err != nil {
		t.Fatal(err)
	}
	tr, err := motion.NewSampler(r).Sample(p, rate, nil)
	if err != nil {
		t.Fatal(err)
	}
	return tr
}

// loads are the loads of a trajectory, as the limits ask for them.
func loads(r *kin.Robot, t *motion.Trajectory, l Limits) *load.Loads {
	return load.New(r).Run(t, load.Options{OnStand: l.OnStand, Contact: l.Contact})
}

// judge works out the loads of a trajectory and runs the checks.
func judge(r *kin.Robot, t *motion.Trajectory, l Limits) []Finding {
	return Run(r, t, loads(r, t, l), l)
}

func TestCleanMotionGivesNoFinding(t *testing.T) {
	r := sixLegged()
	for _, rate := range []float64{50, 100, 333, 500, 1000} {
		for _, f := range judge(r, mustSample(t, r, clean(r), rate), Defaults()) {
			t.Errorf("at %v Hz: %+v", rate, f)
		}
	}
}

// verify holds for every list of findings.
func verify(t rapid.TB, r *kin.Robot, tr *motion.Trajectory, found []Finding) {
	t.Helper()
	for n, f := range found {
		for _, v := range []float64{f.From, f.To, f.Worst, f.Value, f.Limit} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("not finite: %+v", f)
			}
		}
		if f.Worst < f.From || f.Worst > f.To || f.From < 0 || f.To > tr.Duration()+1/tr.Rate {
			t.Fatalf("times out of order: %+v", f)
		}
		if Meaning(f.Word) == "" || f.Why == "" || f.Mend == "" || f.Unit == "" && f.Word != "foot-slides" { // a coefficient has none
			t.Fatalf("incomplete: %+v", f)
		}
		for _, s := range []string{"NaN", "Inf", "%!"} {
			if strings.Contains(f.Why+f.Mend, s) {
				t.Fatalf("words: %+v", f)
			}
		}
		if f.Leg >= len(r.Legs) || f.Other >= len(r.Legs) || f.Joint >= kin.Joints || f.Part >= len(tr.Parts) {
			t.Fatalf("index out of range: %+v", f)
		}
		if f.Part >= 0 && f.Entry != tr.Parts[f.Part].Name {
			t.Fatalf("entry: %+v", f)
		}
		if n > 0 {
			a := found[n-1]
			rank := func(f *Finding) int { return slices.Index(Words(), f.Word) }
			if a.Level < f.Level || a.Level == f.Level && (rank(&a) > rank(&f) || rank(&a) == rank(&f) && a.From > f.From) {
				t.Fatalf("order: %+v before %+v", a, f)
			}
		}
	}
}
