// SPDX-License-Identifier: MIT

package sequence_test

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"gaitwright/motion"
	"gaitwright/motion/curve"
	"gaitwright/motion/move"
	"gaitwright/motion/sequence"
)

// strike shifts the body back and moves both front feet up, forward and down.
func strike() move.Move {
	floor := 0.02
	return move.Move{
		Name:  "strike",
		Marks: []move.Mark{{Name: "back", At: 0.5}, {Name: "up", At: 1}, {Name: "hit", At: 1.25}, {Name: "down", At: 2}},
		Body: []move.BodySpan{
			{To: 0.5, Shift: r3.Vec{X: -0.03, Z: 0.005}, Timing: ease},
			{To: 2, Shift: r3.Vec{X: -0.03}, Lean: r3.Vec{Y: -0.05}, Timing: ease},
		},
		Feet: []move.FootTrack{{Leg: 0, Pair: true, Spans: []move.FootSpan{
			{To: 0.5, Timing: ease},
			{To: 1, Hold: move.OverGround, End: r3.Vec{X: 0.01, Y: -0.02, Z: 0.05}, Out: r3.Vec{Z: 0.03}, Timing: ease},
			{To: 1.25, Hold: move.WithBody, End: r3.Vec{X: 0.02, Y: -0.03, Z: 0.03}, In: r3.Vec{Z: 0.02}, Timing: ease, Even: true, Floor: &floor},
			{To: 2, Hold: move.OverGround, End: r3.Vec{}, In: r3.Vec{Z: 0.03}, Timing: ease},
		}}},
	}
}

func playing(m move.Move, speed float64, before ...sequence.Entry) *sequence.Script {
	s := script(legged(3), wave(3, 1, 0.5), append(before, sequence.Entry{Name: m.Name, Kind: sequence.Move, Speed: speed})...)
	s.Moves = []move.Move{m}
	return s
}

// Twice as fast at twice the rate gives the same angles and twice the speeds.
func TestSpeedScalesSpeeds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := strike()
		f := rapid.Float64Range(0.25, 4).Draw(t, "speed")
		s := playing(m, 1)
		a := mustSample(t, s.Robot, mustPlan(t, s), 100)
		s = playing(m, f)
		b := mustSample(t, s.Robot, mustPlan(t, s), 100*f)
		if a.N != b.N || math.Abs(b.Duration()*f-a.Duration()) > 1e-9 {
			t.Fatalf("%d samples in %v s, at speed %v %d in %v s", a.N, a.Duration(), f, b.N, b.Duration())
		}
		for k := range a.Q {
			if math.Abs(a.Q[k]-b.Q[k]) > 1e-9 || math.Abs(a.V[k]*f-b.V[k]) > 1e-6 {
				t.Fatalf("angle %v and %v, speed %v and %v at %v times", a.Q[k], b.Q[k], a.V[k], b.V[k], f)
			}
		}
		for k := range a.Marks {
			if math.Abs(a.Marks[k].At-b.Marks[k].At*f) > 1e-12 {
				t.Fatalf("mark %v at %v", a.Marks[k], b.Marks[k])
			}
		}
	})
}

// The other side of a pair does the same joint by joint; the coxa turns the
// other way.
func TestPairMirrorsJointByJoint(t *testing.T) {
	s := playing(strike(), 1, sequence.Entry{Kind: sequence.Walk, Cycles: 2, Command: motion.Twist{Forward: 0.06, Side: 0.02, Turn: 0.5}})
	p := mustPlan(t, s)
	verify(t, s.Robot, p)
	if len(p.Mirrored) != 1 || p.Mirrored[0].Leg != 0 || p.Mirrored[0].Other != 3 {
		t.Errorf("mirrored: %+v", p.Mirrored)
	}
	tr := mustSample(t, s.Robot, p, 200)
	moved := 0.0
	for k := tr.Index(p.Parts[1].From + 1e-9); k < tr.N; k++ {
		for i := range 3 {
			a, b := tr.JointsAt(k, i), tr.JointsAt(k, i+3)
			if math.Abs(a[0]+b[0]) > 1e-9 || math.Abs(a[1]-b[1]) > 1e-9 || math.Abs(a[2]-b[2]) > 1e-9 {
				t.Fatalf("leg %d at %v s: %v and %v", i, tr.Time(k), a, b)
			}
			moved = max(moved, math.Abs(tr.V[(k*6+i)*3+1]))
		}
	}
	if moved < 0.1 {
		t.Error("nothing moves")
	}
	// All pairs at once are told once each.
	m := strike()
	m.Mirrored = true
	if p := mustPlan(t, playing(m, 1)); len(p.Mirrored) != 3 {
		t.Errorf("mirrored: %+v", p.Mirrored)
	}
}

// A floor is in force for its span and no other, on both sides.
func TestFloorIsOfItsSpan(t *testing.T) {
	p := mustPlan(t, playing(strike(), 2, sequence.Entry{Kind: sequence.Stand, Duration: 1}))
	if len(p.Floors) != 2 {
		t.Fatalf("floors: %+v", p.Floors)
	}
	for n, leg := range []int{0, 3} {
		f := p.Floors[n]
		if f.Leg != leg || math.Abs(f.From-1.5) > 1e-12 || math.Abs(f.To-1.625) > 1e-12 || f.Height != 0.02 {
			t.Errorf("floor: %+v", f)
		}
	}
}

// A target is struck in its span and no other, on both sides. The way down to
// it and up again share one.
func TestTargetIsOfItsSpan(t *testing.T) {
	low, high := 0.015, 0.03
	m := strike()
	spans := m.Feet[0].Spans
	spans[1].Target, spans[2].Target, spans[3].Target = &high, &low, &low
	p := mustPlan(t, playing(m, 2, sequence.Entry{Kind: sequence.Stand, Duration: 1}))
	var want []motion.Stretch
	for _, leg := range []int{0, 3} {
		want = append(want,
			motion.Stretch{Leg: leg, Other: -1, From: 1.25, To: 1.5, Height: high},
			motion.Stretch{Leg: leg, Other: -1, From: 1.5, To: 2, Height: low})
	}
	if diff := cmp.Diff(want, p.Targets, cmpopts.EquateApprox(0, 1e-12)); diff != "" {
		t.Error(diff)
	}
	if len(p.Floors) != 2 {
		t.Errorf("floors: %+v", p.Floors)
	}
}

// A foot said to be planted in the air is told, carries nothing and stays
// where it is.
func TestFloating(t *testing.T) {
	m := strike()
	m.Feet[0].Spans[3] = move.FootSpan{To: 2}
	s := playing(m, 1)
	p := mustPlan(t, s)
	verify(t, s.Robot, p)
	if len(p.Floating) != 2 || p.Floating[0].Height < 0.02 || p.Floating[0].From != 1.25 || p.Floating[0].To != 2 {
		t.Fatalf("floating: %+v", p.Floating)
	}
	if f := p.FootAt(0, 1.9); f.Hold == motion.Planted {
		t.Errorf("it carries: %+v", f)
	}
}

// A foot left in the air travels with the body, or stays over the ground,
// until it is put down by a recovery; nothing is dragged.
func TestLeftInTheAir(t *testing.T) {
	for _, hold := range []move.Hold{move.OverGround, move.WithBody} {
		m := strike()
		m.Feet[0].Spans = m.Feet[0].Spans[:2]
		m.Feet[0].Spans[1].Hold = hold
		m.CoolDown = 0.3
		s := playing(m, 1)
		s.Seq = append(s.Seq, sequence.Entry{Kind: sequence.Stand, Duration: 0.5}, sequence.Entry{Kind: sequence.Wait, Duration: 0.5},
			sequence.Entry{Kind: sequence.Recover, Gait: -1})
		p := mustPlan(t, s)
		verify(t, s.Robot, p)
		if end := p.Parts[0].To; math.Abs(end-2.3) > 1e-12 {
			t.Errorf("with the cool-down it takes %v s", end)
		}
		tr := mustSample(t, s.Robot, p, 100)
		k := tr.Index(3)
		if tr.Planted[k*6] || tr.Planted[k*6+3] || !tr.Planted[k*6+1] {
			t.Error("the lifted feet are planted")
		}
		for i := range 6 {
			if !tr.Planted[(tr.N-1)*6+i] && p.FootAt(i, p.Duration).To < p.Duration {
				t.Errorf("foot %d is not down at the end", i)
			}
		}
	}
}

// Feet that stand elsewhere step back, in the order of a gait or as many at
// once as leave the robot standing; those that stand right are not lifted.
func TestRecoverStepsOnlyWhatStandsElsewhere(t *testing.T) {
	m := strike()
	m.Feet[0].Spans[3].End = r3.Vec{X: 0.02}
	for _, g := range []int{-1, 0} {
		s := playing(m, 1)
		s.Seq = append(s.Seq, sequence.Entry{Kind: sequence.Recover, Gait: g})
		s.Margin = 0.01
		p := mustPlan(t, s)
		verify(t, s.Robot, p)
		from := p.Parts[1].From
		for i, c := range p.Feet {
			lifts := 0
			for k := range c {
				if c[k].Hold != motion.Planted && c[k].From >= from {
					lifts++
					if apex, _, _ := c[k].Span.At(0.5); apex.Z < footRadius+0.02 {
						t.Errorf("gait %d: leg %d steps back only %v m high", g, i, apex.Z)
					}
				}
			}
			if want := map[bool]int{true: 1}[i == 0 || i == 3]; lifts != want {
				t.Errorf("gait %d: leg %d is lifted %d times, want %d", g, i, lifts, want)
			}
		}
		if g < 0 {
			// The four others would stand with the centre of mass over an edge:
			// one after another.
			tr := mustSample(t, s.Robot, p, 100)
			for k := tr.Index(from); k < tr.N; k++ {
				if !tr.Planted[k*6] && !tr.Planted[k*6+3] {
					t.Fatalf("both lifted at %v s", tr.Time(k))
				}
				if tr.Margin[k] < s.Margin {
					t.Fatalf("margin %v m at %v s", tr.Margin[k], tr.Time(k))
				}
			}
		}
	}
}

// A track cannot jump: whatever its numbers are, a span begins where the one
// before ended.
func TestTrackCannotJump(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := anyMove(t, 3)
		p := mustPlan(t, playing(m, 1))
		for _, c := range p.Feet {
			for k := 1; k < len(c); k++ {
				x, _ := p.BodyAt(c[k].From).Pose(c[k].From)
				if d := far(c[k-1].At(c[k].From, &x), c[k].At(c[k].From, &x)); d > 1e-12 {
					t.Fatalf("a gap of %v m at %v s", d, c[k].From)
				}
			}
		}
	})
}

// Clicks lead back from a piece to its track and span.
func TestSources(t *testing.T) {
	p := mustPlan(t, playing(strike(), 1, sequence.Entry{Kind: sequence.Stand, Duration: 1}))
	for _, leg := range []int{0, 3} {
		var got []motion.Source
		for _, f := range p.Feet[leg] {
			if f.Source != (motion.Source{}) {
				got = append(got, f.Source)
			}
		}
		if len(got) != 4 || got[0] != (motion.Source{Track: 1, Span: 1}) || got[3] != (motion.Source{Track: 1, Span: 4}) {
			t.Errorf("leg %d: %v", leg, got)
		}
	}
}

// A span that is held jumps where it ends, as a review must see.
func TestHeldSpanShowsAsAStep(t *testing.T) {
	m := strike()
	m.Feet[0].Spans[1].Timing = curve.Timing{Kind: curve.Hold}
	s := playing(m, 1)
	tr := mustSample(t, s.Robot, mustPlan(t, s), 200)
	most := 0.0
	for _, x := range tr.Seams {
		if math.Abs(x.At-1) < 1e-9 && x.Leg == 0 {
			most = max(most, math.Abs(x.Step[1]))
		}
	}
	if most < 0.1 {
		t.Errorf("step of %v rad", most)
	}
}
