// SPDX-License-Identifier: MIT

package sequence_test

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/curve"
	"gaitwright/motion/gait"
	"gaitwright/motion/move"
	"gaitwright/motion/sequence"
)

// badTiming runs back in time.
var badTiming = curve.Timing{Kind: curve.CubicBezier, X1: 2}

const (
	footRadius = 0.008 // m
	bodyHeight = 0.09  // m
)

// ease begins and ends at rest.
var ease = curve.Timing{Kind: curve.CubicBezier, X1: 0.42, X2: 0.58, Y2: 1}

// legged is a symmetric robot of invented measures: left legs front to rear,
// then right legs front to rear.
func legged(pairs int) *kin.Robot {
	r := &kin.Robot{Name: "tester", Gravity: 9.80665, Friction: 0.7, Body: kin.Body{Mass: 1.2, Top: 0.03, Bottom: -0.02}}
	for i := range 2 * pairs {
		m := i % pairs
		l := kin.Leg{
			Name: fmt.Sprint("leg", i), Mirror: (i + pairs) % (2 * pairs),
			Length: [kin.Joints]float64{0.05, 0.08, 0.12}, FootRadius: footRadius, LinkRadius: 0.008,
			PBH:     r3.Vec{X: 0.1 * (float64(pairs-1)/2 - float64(m)), Y: 0.06},
			Heading: math.Pi/2 - 0.3*(float64(pairs-1)/2-float64(m)),
		}
		if i >= pairs {
			l.PBH.Y, l.Heading = -l.PBH.Y, -l.Heading
		}
		sn, cs := math.Sincos(l.Heading)
		l.Stand = r3.Vec{X: l.PBH.X + 0.14*cs, Y: l.PBH.Y + 0.14*sn}
		for j := range l.Limits {
			l.Limits[j] = kin.Range{Lo: -3, Hi: 3}
			l.Links[j] = kin.Link{Mass: 0.02, COM: r3.Vec{X: l.Length[j] / 2}}
			l.Servos[j] = kin.Servo{StallTorque: 1.9, NoLoadSpeed: 6, Voltage: 7.4, Mass: 0.05}
		}
		r.Legs = append(r.Legs, l)
	}
	return r
}

func script(r *kin.Robot, g gait.Gait, seq ...sequence.Entry) *sequence.Script {
	return &sequence.Script{Robot: r, Height: bodyHeight, Gaits: []gait.Gait{g}, Seq: seq}
}

func mustPlan(t rapid.TB, s *sequence.Script) *motion.Plan {
	t.Helper()
	p, err := sequence.Plan(s)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func mustSample(t rapid.TB, r *kin.Robot, p *motion.Plan, rate float64) *motion.Trajectory {
	t.Helper()
	tr, err := motion.NewSampler(r).Sample(p, rate, nil)
	if err != nil {
		t.Fatal(err)
	}
	return tr
}

// course gives where the robot is on the ground.
func course(p *motion.Plan, at float64) motion.Course { return p.BodyAt(at).CourseAt(at) }

// stances gives the stretches of a chain in which the foot stands on one spot,
// each as one piece.
func stances(c []motion.FootPiece) (out []motion.FootPiece) {
	for k := range c {
		n := len(out) - 1
		switch {
		case c[k].Hold != motion.Planted:
		case k > 0 && c[k-1].Hold == motion.Planted:
			out[n].To = c[k].To
		default:
			out = append(out, c[k])
		}
	}
	return out
}

func far(a, b r3.Vec) float64 { return r3.Norm(r3.Sub(a, b)) }

func finite(v r3.Vec) bool {
	s := v.X + v.Y + v.Z
	return !math.IsNaN(s) && !math.IsInf(s, 0)
}

// verify holds for every plan whose timings all get to their ends: chains
// without gaps in time or place, feet that stand still while planted, no
// number that is none, parts one after another.
func verify(t rapid.TB, r *kin.Robot, p *motion.Plan) {
	t.Helper()
	const hair, apart = 1e-12, 1e-9
	at, pose := 0.0, kin.Pose{}
	for i := range p.Body {
		b := &p.Body[i]
		if math.Abs(b.From-at) > hair || !(b.To > b.From) {
			t.Fatalf("body piece %d from %v to %v, the one before ends at %v", i, b.From, b.To, at)
		}
		x, rpy := b.Pose(b.From)
		if !finite(x.P) || !finite(rpy) {
			t.Fatalf("body piece %d begins at %v, %v", i, x.P, rpy)
		}
		// A sample may be a hair before the piece that it is taken from.
		if y, _ := b.Pose(b.From - 1e-9); far(x.P, y.P) > 1e-6 {
			t.Fatalf("body piece %d begins at %v, a hair before it is at %v", i, x.P, y.P)
		}
		if i > 0 {
			if d := far(x.P, pose.P); d > apart {
				t.Fatalf("body jumps by %v m at %v s", d, b.From)
			}
			for n := range x.R {
				if math.Abs(x.R[n]-pose.R[n]) > apart {
					t.Fatalf("body turns at once at %v s", b.From)
				}
			}
		}
		at = b.To
		pose, _ = b.Pose(b.To)
	}
	if len(p.Body) == 0 || math.Abs(at-p.Duration) > hair {
		t.Fatalf("the body's chain ends at %v of %v s", at, p.Duration)
	}
	for i, c := range p.Feet {
		at := 0.0
		var end r3.Vec
		for k := range c {
			f := &c[k]
			if math.Abs(f.From-at) > hair || !(f.To > f.From) {
				t.Fatalf("foot %d, piece %d from %v to %v, the one before ends at %v", i, k, f.From, f.To, at)
			}
			x, _ := p.BodyAt(f.From).Pose(f.From)
			a := f.At(f.From, &x)
			if !finite(a) {
				t.Fatalf("foot %d, piece %d begins at %v", i, k, a)
			}
			if z := f.At(f.From-1e-9, &x); far(a, z) > 1e-6 {
				t.Fatalf("foot %d, piece %d begins at %v, a hair before it is at %v", i, k, a, z)
			}
			if k > 0 && far(a, end) > apart {
				t.Fatalf("foot %d jumps by %v m at %v s", i, far(a, end), f.From)
			}
			if f.Hold == motion.Planted {
				mid := (f.From + f.To) / 2
				x, _ = p.BodyAt(mid).Pose(mid)
				if d := far(f.At(mid, &x), a); d > 1e-12 {
					t.Fatalf("foot %d is planted and moves by %v m", i, d)
				}
				if k > 0 && c[k-1].Hold == motion.Planted && far(a, end) > 1e-12 {
					t.Fatalf("foot %d is planted elsewhere at %v s", i, f.From)
				}
				if math.Abs(a.Z-r.Legs[i].FootRadius) > 2e-6 {
					t.Fatalf("foot %d is planted at height %v m", i, a.Z)
				}
			}
			at = f.To
			// The end by the body's piece that ends there.
			b := p.BodyAt(math.Nextafter(f.To, 0))
			x, _ = b.Pose(f.To)
			end = f.At(f.To, &x)
		}
		if math.Abs(at-p.Duration) > hair {
			t.Fatalf("the chain of foot %d ends at %v of %v s", i, at, p.Duration)
		}
	}
	at = 0
	for _, part := range p.Parts {
		if part.From != at || !(part.To > part.From) {
			t.Fatalf("part %s from %v to %v, the one before ends at %v", part.Name, part.From, part.To, at)
		}
		at = part.To
	}
	if at != p.Duration {
		t.Fatalf("the parts end at %v of %v s", at, p.Duration)
	}
	for _, list := range [][]motion.Stretch{p.Floors, p.Targets, p.Mirrored, p.Floating} {
		for _, s := range list {
			if s.From < 0 || !(s.To > s.From) || s.To > p.Duration+hair {
				t.Fatalf("stretch %+v of %v s", s, p.Duration)
			}
		}
	}
}

func anyVec(t *rapid.T, most float64, name string) r3.Vec {
	v := rapid.Float64Range(-most, most)
	return r3.Vec{X: v.Draw(t, name+" x"), Y: v.Draw(t, name+" y"), Z: v.Draw(t, name+" z")}
}

func anyTiming(t *rapid.T) curve.Timing {
	v := rapid.Float64Range(0, 1)
	return rapid.SampledFrom([]curve.Timing{{}, ease, {
		Kind: curve.CubicBezier, X1: v.Draw(t, "x1"), Y1: v.Draw(t, "y1"), X2: v.Draw(t, "x2"), Y2: v.Draw(t, "y2"),
	}}).Draw(t, "timing")
}

func anyGait(t *rapid.T, pairs int) gait.Gait {
	g := gait.Gait{
		Name: "any", Period: rapid.Float64Range(0.3, 3).Draw(t, "period"), Duty: rapid.Float64Range(0.2, 0.95).Draw(t, "duty"),
		StepHeight: 0.03, Swing: gait.PlainSwing, Timing: ease,
		Sway: rapid.SampledFrom([]float64{0, 0, 0.03}).Draw(t, "sway"),
	}
	if rapid.Bool().Draw(t, "wave") {
		g.Phase = gait.Wave(pairs, max(0.5, g.Duty))
	} else {
		g.Phase = rapid.SliceOfN(rapid.Float64Range(0, 0.9999), 2*pairs, 2*pairs).Draw(t, "phase")
	}
	return g
}

func anyMove(t *rapid.T, pairs int) move.Move {
	n := rapid.IntRange(1, 4).Draw(t, "marks")
	m := move.Move{Name: "any", CoolDown: rapid.SampledFrom([]float64{0, 0.2}).Draw(t, "cool-down"), Mirrored: rapid.Bool().Draw(t, "mirrored")}
	at := 0.0
	for k := range n {
		at += rapid.Float64Range(0.05, 1).Draw(t, "step")
		m.Marks = append(m.Marks, move.Mark{Name: fmt.Sprint("mark", k), At: at})
	}
	for _, k := range m.Marks {
		if rapid.Bool().Draw(t, "body") {
			m.Body = append(m.Body, move.BodySpan{
				To: k.At, Shift: anyVec(t, 0.03, "shift"), Lean: anyVec(t, 0.2, "lean"), ShiftOut: anyVec(t, 0.02, "out"), LeanIn: anyVec(t, 0.1, "in"),
				Timing: anyTiming(t), Even: rapid.Bool().Draw(t, "even"),
			})
		}
	}
	for leg := range 2 * pairs {
		pair := rapid.Bool().Draw(t, "pair")
		if !rapid.Bool().Draw(t, "moves") || leg >= pairs && pair {
			continue
		}
		if leg >= pairs { // a left leg's pair may have it
			taken := false
			for _, f := range m.Feet {
				taken = taken || f.Pair && f.Leg == leg-pairs
			}
			if taken {
				continue
			}
		}
		f := move.FootTrack{Leg: leg, Pair: pair}
		for _, k := range m.Marks {
			s := move.FootSpan{
				To: k.At, Hold: rapid.SampledFrom([]move.Hold{move.Planted, move.OverGround, move.WithBody}).Draw(t, "hold"),
				End: anyVec(t, 0.05, "end"), Out: anyVec(t, 0.03, "out"), In: anyVec(t, 0.03, "in"), Timing: anyTiming(t), Even: rapid.Bool().Draw(t, "even"),
			}
			if rapid.Bool().Draw(t, "ground") {
				s.End.Z = 0
			}
			if rapid.Bool().Draw(t, "floor") {
				h := 0.01
				s.Floor = &h
			}
			if s.Hold != move.Planted && rapid.Bool().Draw(t, "target") {
				h := 0.02
				s.Target = &h
			}
			f.Spans = append(f.Spans, s)
		}
		m.Feet = append(m.Feet, f)
	}
	return m
}

func anyScript(t *rapid.T) *sequence.Script {
	pairs := rapid.IntRange(2, 4).Draw(t, "pairs")
	s := &sequence.Script{Robot: legged(pairs), Height: bodyHeight}
	for range rapid.IntRange(1, 2).Draw(t, "gaits") {
		s.Gaits = append(s.Gaits, anyGait(t, pairs))
	}
	for range rapid.IntRange(1, 2).Draw(t, "moves") {
		s.Moves = append(s.Moves, anyMove(t, pairs))
	}
	v := rapid.Float64Range(-0.1, 0.1)
	for k := range rapid.IntRange(0, 6).Draw(t, "entries") {
		s.Seq = append(s.Seq, sequence.Entry{
			Name: fmt.Sprint("entry", k), Kind: sequence.Kind(rapid.IntRange(0, int(sequence.Wait)).Draw(t, "kind")),
			Duration: rapid.Float64Range(0.05, 2).Draw(t, "duration"),
			Gait:     rapid.IntRange(0, len(s.Gaits)-1).Draw(t, "gait"), Cycles: rapid.Float64Range(0.01, 4).Draw(t, "cycles"),
			Command: motion.Twist{Forward: v.Draw(t, "forward"), Side: v.Draw(t, "side"), Turn: 5 * v.Draw(t, "turn")},
			Move:    rapid.IntRange(0, len(s.Moves)-1).Draw(t, "move"), Speed: rapid.Float64Range(0.5, 2).Draw(t, "speed"),
		})
		if e := &s.Seq[k]; e.Kind == sequence.Recover && rapid.Bool().Draw(t, "one by one") {
			e.Gait = -1
		}
	}
	return s
}
