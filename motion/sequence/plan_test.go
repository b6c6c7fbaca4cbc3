// SPDX-License-Identifier: MIT

package sequence_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"gaitwright/motion"
	"gaitwright/motion/gait"
	"gaitwright/motion/move"
	"gaitwright/motion/sequence"
)

func wave(pairs int, period, duty float64) gait.Gait {
	return gait.Gait{Name: "wave", Period: period, Duty: duty, Phase: gait.Wave(pairs, duty), StepHeight: 0.03, Swing: gait.PlainSwing, Timing: ease}
}

// Whatever is asked: no gaps, no jumps, no sliding, no NaN.
func TestAnyScript(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyScript(t)
		p := mustPlan(t, s)
		verify(t, s.Robot, p)
		tr := mustSample(t, s.Robot, p, 50)
		for _, a := range [][]float64{tr.Body, tr.COM, tr.Q, tr.V, tr.Foot, tr.Points} {
			for k, v := range a {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					t.Fatalf("number %d is %v", k, v)
				}
			}
		}
		for _, m := range tr.Margin {
			if math.IsNaN(m) || math.IsInf(m, 1) {
				t.Fatalf("margin %v", m)
			}
		}
	})
}

// After a walk or a recovery every foot is on its standing point.
func TestWalkAndRecoverEndStanding(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyScript(t)
		last := sequence.Entry{Name: "last", Kind: rapid.SampledFrom([]sequence.Kind{sequence.Walk, sequence.Change, sequence.Recover}).Draw(t, "last"),
			Cycles: rapid.Float64Range(0.01, 5).Draw(t, "cycles"), Command: motion.Twist{Forward: 0.07, Side: -0.02, Turn: 0.3}}
		if last.Kind == sequence.Recover && rapid.Bool().Draw(t, "one by one") {
			last.Gait = -1
		}
		s.Seq = append(s.Seq, last)
		p := mustPlan(t, s)
		verify(t, s.Robot, p)
		b := p.BodyAt(p.Duration)
		shift, lean := b.Offset(p.Duration)
		if far(shift, r3.Vec{Z: s.Height}) > 1e-12 || r3.Norm(lean) > 1e-12 {
			t.Fatalf("the body ends at %v, %v", shift, lean)
		}
		c := b.CourseAt(p.Duration)
		for i := range s.Robot.Legs {
			f := p.FootAt(i, p.Duration)
			want := s.Robot.Legs[i].Stand
			want.Z = s.Robot.Legs[i].FootRadius
			// The last of a chain may be a swing that lands there. No foot
			// steps for less than a micrometre.
			x, _ := b.Pose(p.Duration)
			end := f.At(p.Duration, &x)
			if f.Hold == motion.WithBody || far(end, c.At(want)) > 1e-6 {
				t.Fatalf("foot %d ends at %v, hold %v, want %v", i, end, f.Hold, c.At(want))
			}
		}
	})
}

// A leg lifts only when its gait says so, stands for exactly the duty factor
// of a period, and lands where the body passes its standing point in the
// middle of the stance. Stride relations (Song and Waldron, Machines That
// Walk, 1989, ch. 2; from memory): stroke R = v·β·T, stride λ = v·T.
func TestStrideRelations(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pairs := rapid.IntRange(2, 4).Draw(t, "pairs")
		g := anyGait(t, pairs)
		g.Sway = 0
		v := rapid.Float64Range(0.01, 0.2).Draw(t, "speed")
		r := legged(pairs)
		const full = 5 // cycles at full speed, after one of speeding up and before half of one of slowing down
		s := script(r, g, sequence.Entry{Kind: sequence.Walk, Cycles: full + 1.5, Command: motion.Twist{Forward: v}})
		p := mustPlan(t, s)
		if d := course(p, g.Period*(1+full)).X - course(p, g.Period).X; math.Abs(d-v*g.Period*full) > 1e-12 {
			t.Fatalf("stride: got=%v, want=%v", d/full, v*g.Period)
		}
		lo, hi := g.Period, g.Period*(full+1)
		for i, c := range p.Feet {
			seen := 0
			for _, f := range stances(c) {
				// Only stances that are full ones at full speed, with their
				// landing's middle too, and swings of a walk that is not stopping.
				if f.From < lo || f.To > hi {
					continue
				}
				seen++
				if math.Abs(f.To-f.From-g.Duty*g.Period) > 1e-9 {
					t.Fatalf("leg %d stands for %v s, want %v s", i, f.To-f.From, g.Duty*g.Period)
				}
				if air := p.FootAt(i, f.From-1e-6); f.From > 2*g.Period && math.Abs(f.From-air.From-(1-g.Duty)*g.Period) > 1e-9 {
					t.Fatalf("leg %d swings for %v s, want %v s", i, f.From-air.From, (1-g.Duty)*g.Period)
				}
				at := f.Span.Path.P0
				a, z := course(p, f.From).Into(at), course(p, f.To).Into(at)
				stroke := v * g.Duty * g.Period
				if math.Abs(a.X-z.X-stroke) > 1e-9 || math.Abs((a.X+z.X)/2-r.Legs[i].Stand.X) > 1e-9 || math.Abs(a.Y-r.Legs[i].Stand.Y) > 1e-9 {
					t.Fatalf("leg %d strokes from %v to %v, want %v about %v", i, a, z, stroke, r.Legs[i].Stand)
				}
				// Lifts and lands where its phase says.
				ph := f.From/g.Period + g.First() - g.Phase[i]
				if math.Abs(ph-math.Round(ph)) > 1e-6 {
					t.Fatalf("leg %d lands at phase %v, want %v", i, gait.Frac(ph+g.Phase[i]), g.Phase[i])
				}
			}
			if seen < full-2 {
				t.Fatalf("leg %d: %d full stances in %d cycles", i, seen, full)
			}
		}
	})
}

// Turning: every foot stays where it was put while the body goes on a circle
// of radius v/ω.
func TestTurnIsAnArc(t *testing.T) {
	r := legged(3)
	g := wave(3, 1, 0.75)
	w := motion.Twist{Forward: 0.08, Turn: 0.4}
	p := mustPlan(t, script(r, g, sequence.Entry{Kind: sequence.Walk, Cycles: 8, Command: w}))
	verify(t, r, p)
	tr := mustSample(t, r, p, 200)
	radius := w.Forward / w.Turn
	var at [6]r3.Vec
	for k := range tr.N {
		if d := math.Hypot(tr.Body[k*6], tr.Body[k*6+1]-radius); math.Abs(d-radius) > 1e-12 {
			t.Fatalf("%v m from the centre at %v s, want %v", d, tr.Time(k), radius)
		}
		for i := range 6 {
			f := tr.FootAt(k, i)
			if tr.Planted[k*6+i] && k > 0 && tr.Planted[(k-1)*6+i] && f != at[i] {
				t.Fatalf("foot %d slides at %v s", i, tr.Time(k))
			}
			at[i] = f
		}
	}
	// Half a cycle's worth in the first, 6.5 at full speed, a quarter in the last half.
	if yaw := tr.Body[(tr.N-1)*6+5]; math.Abs(yaw-w.Turn*7.25) > 1e-12 {
		t.Errorf("yaw at the end: got=%v, want=%v", yaw, w.Turn*7.25)
	}
}

// Walking the mirrored command with the mirrored gait mirrors the motion.
func TestMirroredCommand(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pairs := rapid.IntRange(2, 4).Draw(t, "pairs")
		r := legged(pairs)
		g := anyGait(t, pairs)
		h := g
		h.Phase = append(append([]float64{}, g.Phase[pairs:]...), g.Phase[:pairs]...)
		v := rapid.Float64Range(-0.1, 0.1)
		w := motion.Twist{Forward: v.Draw(t, "forward"), Side: v.Draw(t, "side"), Turn: 4 * v.Draw(t, "turn")}
		cycles := rapid.Float64Range(1, 4).Draw(t, "cycles")
		a := mustSample(t, r, mustPlan(t, script(r, g, sequence.Entry{Kind: sequence.Walk, Cycles: cycles, Command: w})), 50)
		w.Side, w.Turn = -w.Side, -w.Turn
		b := mustSample(t, r, mustPlan(t, script(r, h, sequence.Entry{Kind: sequence.Walk, Cycles: cycles, Command: w})), 50)
		if a.N != b.N {
			t.Fatalf("%d samples, mirrored %d", a.N, b.N)
		}
		for k := range a.N {
			if math.Abs(a.Margin[k]-b.Margin[k]) > 1e-9 && a.Margin[k] != b.Margin[k] {
				t.Fatalf("margin %v, mirrored %v", a.Margin[k], b.Margin[k])
			}
			for i := range r.Legs {
				o := r.Legs[i].Mirror
				if d := far(move.Flip(a.FootAt(k, i)), b.FootAt(k, o)); d > 1e-12 {
					t.Fatalf("feet differ by %v m", d)
				}
				if !a.Reached(k, i) {
					continue
				}
				p, q := a.JointsAt(k, i), b.JointsAt(k, o)
				if math.Abs(p[0]+q[0]) > 1e-8 || math.Abs(p[1]-q[1]) > 1e-8 || math.Abs(p[2]-q[2]) > 1e-8 {
					t.Fatalf("angles %v, mirrored %v", p, q)
				}
			}
		}
	})
}

func TestPlanErrors(t *testing.T) {
	g := wave(3, 1, 0.5)
	mark := []move.Mark{{Name: "end", At: 1}}
	floor := func(f ...move.FootTrack) []move.Move { return []move.Move{{Name: "m", Marks: mark, Feet: f}} }
	up := []move.FootSpan{{To: 1, Hold: move.OverGround, End: r3.Vec{Z: 0.02}}}
	for _, c := range []struct {
		name  string
		e     sequence.Entry
		moves []move.Move
		want  string
	}{
		{"stand without a duration", sequence.Entry{Kind: sequence.Stand}, nil, "positive"},
		{"wait for NaN", sequence.Entry{Kind: sequence.Wait, Duration: math.NaN()}, nil, "positive"},
		{"wait for ever", sequence.Entry{Kind: sequence.Wait, Duration: math.Inf(1)}, nil, "longer"},
		{"unknown gait", sequence.Entry{Kind: sequence.Walk, Gait: 1, Cycles: 2}, nil, "no such gait"},
		{"negative gait", sequence.Entry{Kind: sequence.Walk, Gait: -1, Cycles: 2}, nil, "no such gait"},
		{"recover in an unknown gait", sequence.Entry{Kind: sequence.Recover, Gait: 3}, nil, "no such gait"},
		{"no cycles", sequence.Entry{Kind: sequence.Walk}, nil, "more than 0"},
		{"fewer than none", sequence.Entry{Kind: sequence.Walk, Cycles: -0.5}, nil, "more than 0"},
		{"cycles NaN", sequence.Entry{Kind: sequence.Walk, Cycles: math.NaN()}, nil, "more than 0"},
		{"a million cycles", sequence.Entry{Kind: sequence.Walk, Cycles: 1e6}, nil, "600 s"},
		{"command NaN", sequence.Entry{Kind: sequence.Walk, Cycles: 2, Command: motion.Twist{Turn: math.NaN()}}, nil, "finite"},
		{"unknown move", sequence.Entry{Kind: sequence.Move, Speed: 1}, nil, "no such move"},
		{"no speed", sequence.Entry{Kind: sequence.Move}, floor(), "speed"},
		{"endless speed", sequence.Entry{Kind: sequence.Move, Speed: math.Inf(1)}, floor(), "speed"},
		{"unknown kind", sequence.Entry{Kind: 99}, nil, "unknown kind"},
		{"empty move", sequence.Entry{Kind: sequence.Move, Speed: 1}, []move.Move{{}}, "no duration"},
		{"unknown leg", sequence.Entry{Kind: sequence.Move, Speed: 1}, floor(move.FootTrack{Leg: 6, Spans: up}), "no such leg"},
		{"two tracks for a leg", sequence.Entry{Kind: sequence.Move, Speed: 1}, floor(move.FootTrack{Spans: up, Pair: true}, move.FootTrack{Leg: 3, Spans: up}), "already"},
		{"unknown hold", sequence.Entry{Kind: sequence.Move, Speed: 1}, floor(move.FootTrack{Spans: []move.FootSpan{{To: 1, Hold: 7}}}), "unknown hold"},
		{"span that ends at once", sequence.Entry{Kind: sequence.Move, Speed: 1}, floor(move.FootTrack{Spans: append([]move.FootSpan{{To: 1}}, up...)}), "does not end after"},
		{"body span that ends at once", sequence.Entry{Kind: sequence.Move, Speed: 1}, []move.Move{{Marks: mark, Body: []move.BodySpan{{To: 0}}}}, "does not end after"},
		{"body NaN", sequence.Entry{Kind: sequence.Move, Speed: 1}, []move.Move{{Marks: mark, Body: []move.BodySpan{{To: 1, Shift: r3.Vec{X: math.NaN()}}}}}, "finite"},
		{"foot NaN", sequence.Entry{Kind: sequence.Move, Speed: 1}, floor(move.FootTrack{Spans: []move.FootSpan{{To: 1, Hold: move.WithBody, In: r3.Vec{Z: math.Inf(1)}}}}), "finite"},
		{"bad timing", sequence.Entry{Kind: sequence.Move, Speed: 1}, floor(move.FootTrack{Spans: []move.FootSpan{{To: 1, Hold: move.WithBody, Timing: badTiming}}}), "timing"},
	} {
		c.e.Name = "culprit"
		s := script(legged(3), g, sequence.Entry{Kind: sequence.Stand, Duration: 1}, c.e)
		s.Moves = c.moves
		p, err := sequence.Plan(s)
		if !errors.Is(err, sequence.ErrScript) || p != nil {
			t.Errorf("%s: err %v, plan %v", c.name, err, p)
			continue
		}
		for _, w := range []string{"entry 2", "culprit", c.want} {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%s: %q does not tell %q", c.name, err, w)
			}
		}
	}
	lonely := legged(3)
	for i := range lonely.Legs {
		lonely.Legs[i].Mirror = -1
	}
	s := script(lonely, g, sequence.Entry{Kind: sequence.Move, Speed: 1})
	s.Moves = floor(move.FootTrack{Pair: true, Spans: up})
	if _, err := sequence.Plan(s); err == nil || !strings.Contains(err.Error(), "no mirrored leg") {
		t.Errorf("a pair without a mirrored leg: %v", err)
	}
	s = script(legged(3), gait.Gait{Name: "none"}, sequence.Entry{Kind: sequence.Walk, Cycles: 2})
	if _, err := sequence.Plan(s); !errors.Is(err, gait.ErrGait) || !errors.Is(err, sequence.ErrScript) {
		t.Errorf("a gait without a period: %v", err)
	}
	s = script(legged(3), g)
	s.Height = math.NaN()
	if _, err := sequence.Plan(s); !errors.Is(err, sequence.ErrScript) {
		t.Errorf("height NaN: %v", err)
	}
	s = script(legged(3), g)
	s.Robot.Legs = s.Robot.Legs[:3]
	if _, err := sequence.Plan(s); err == nil {
		t.Error("a robot of three legs passes")
	}
}

func TestEmptySequenceStands(t *testing.T) {
	r := legged(3)
	p := mustPlan(t, script(r, wave(3, 1, 0.5)))
	verify(t, r, p)
	if p.Duration != 0.5 || len(p.Parts) != 1 || p.Parts[0].Kind != "stand" {
		t.Errorf("%+v", p.Parts)
	}
}

func TestKindWords(t *testing.T) {
	for k := sequence.Stand; k <= sequence.Wait; k++ {
		if got, ok := sequence.ParseKind(k.String()); !ok || got != k {
			t.Errorf("%v reads back as %v", k, got)
		}
	}
	if _, ok := sequence.ParseKind("dance"); ok || sequence.Kind(-1).String() != "" || sequence.Kind(9).String() != "" {
		t.Error("an unknown kind has a word")
	}
}
