// SPDX-License-Identifier: MIT

package sequence_test

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/gait"
	"gaitwright/motion/load"
	"gaitwright/motion/move"
	"gaitwright/motion/review"
	"gaitwright/motion/sequence"
)

// smooth fails if the review finds a jump, or a foot that slides, and gives
// the trajectory.
func smooth(t *testing.T, what string, r *kin.Robot, p *motion.Plan) *motion.Trajectory {
	t.Helper()
	verify(t, r, p)
	tr := mustSample(t, r, p, 200)
	for _, j := range tr.Jolts {
		if k := tr.PartAt(j.At); tr.Parts[k].Kind != "move" || j.At < tr.Parts[k].From+1e-9 {
			t.Errorf("%s: jolt %+v", what, j)
		}
	}
	l := review.Defaults()
	for _, f := range review.Run(r, tr, load.New(r).Run(tr, load.Options{Contact: l.Contact}), l) {
		if f.Word == "jump" || f.Word == "foot-slides" {
			t.Errorf("%s: %s at %v s: %s", what, f.Word, f.From, f.Why)
		}
	}
	return tr
}

// Gaits of the textbooks, in the order of legged: tripod, ripple, wave, and a
// tripod that lifts early and touches down late; crawl (with and without
// sway), trot.
func textbook(pairs int) []gait.Gait {
	named := func(g gait.Gait, name string, sway float64, phase ...float64) gait.Gait {
		g.Name, g.Sway, g.Phase = name, sway, phase
		return g
	}
	if pairs == 2 {
		return []gait.Gait{
			named(wave(2, 2.4, 0.86), "crawl", 0, 0, 0.75, 0.5, 0.25),
			named(wave(2, 2, 0.86), "swaying crawl", 0.03, 0, 0.75, 0.5, 0.25),
			named(wave(2, 0.8, 0.5), "trot", 0, 0, 0.5, 0.5, 0),
		}
	}
	quick := named(wave(3, 0.7, 0.55), "quick tripod", 0, 0, 0.5, 0, 0.5, 0, 0.5)
	quick.EarlyLift, quick.LateTouch = 0.1, 0.15
	return []gait.Gait{
		named(wave(3, 1, 0.5), "tripod", 0, 0, 0.5, 0, 0.5, 0, 0.5),
		named(wave(3, 1.5, 0.75), "ripple", 0, 0, 0.75, 0.5, 0.5, 0.25, 0),
		wave(3, 2.4, 5./6),
		quick,
	}
}

// From each gait to each other, at twenty instants of the cycle: nothing jumps
// or slides, and the body never comes to rest between start and stop.
func TestChangeNeverStops(t *testing.T) {
	for _, pairs := range []int{2, 3} {
		r := legged(pairs)
		all := textbook(pairs)
		slowest := math.Inf(1)
		for a := range all {
			for b := range all {
				for n := range 20 {
					cycles := 1.2 + float64(n)/20
					v := 0.03 / max(all[a].Period, all[b].Period)
					s := script(r, all[a],
						sequence.Entry{Name: "first", Kind: sequence.Walk, Cycles: cycles, Command: motion.Twist{Forward: v}},
						sequence.Entry{Name: "then", Kind: sequence.Change, Gait: 1, Cycles: 2.3})
					s.Gaits, s.Margin = append(s.Gaits, all[b]), 0.01
					p := mustPlan(t, s)
					what := fmt.Sprintf("%s to %s after %v cycles", all[a].Name, all[b].Name, cycles)
					smooth(t, what, r, p)
					seam := p.Parts[0].To
					begun := seam - cycles*all[a].Period
					if lead := all[a].Sway > 0; begun < -1e-9 || !lead && begun > 1e-9 || lead && math.Abs(begun-all[a].Period/4) > 1e-9 {
						t.Fatalf("%s: the first entry lasts %v s", what, seam)
					}
					from, to := begun+all[a].Period, seam+1.8*all[b].Period
					for at := from; at < to; at += 0.01 {
						d := p.BodyAt(at).Drive
						w, _ := d.Speed(at)
						slowest = min(slowest, w.Forward/v)
						if w.Forward < 0.099*v {
							t.Fatalf("%s: goes at %v of %v m/s at %v s", what, w.Forward, v, at)
						}
					}
				}
			}
		}
		t.Logf("%d legs: never slower than %.2f of the command", 2*pairs, slowest)
	}
}

// A new command in the same gait, and walks that last a small part of a cycle.
func TestCommandsFollowOneAnother(t *testing.T) {
	r := legged(3)
	all := textbook(3)
	for n := range 20 {
		f := 0.05 + float64(n)/20
		s := script(r, all[0],
			sequence.Entry{Kind: sequence.Walk, Cycles: 1 + f, Command: motion.Twist{Forward: 0.03}},
			sequence.Entry{Kind: sequence.Walk, Cycles: f, Command: motion.Twist{Side: 0.03, Turn: 0.2}},
			sequence.Entry{Kind: sequence.Change, Gait: 1, Cycles: f / 2},
			sequence.Entry{Kind: sequence.Change, Gait: 0, Cycles: f / 3},
			sequence.Entry{Kind: sequence.Walk, Cycles: f, Command: motion.Twist{Forward: -0.03}})
		s.Gaits, s.Margin = append(s.Gaits, all[1]), 0.01
		smooth(t, fmt.Sprintf("%v cycles", f), r, mustPlan(t, s))
	}
}

// A move asked for anywhere in a stride begins from where it is drawn, every
// foot on its standing point and the body in its stand pose, soon; and a walk
// goes on from what it leaves.
func TestMoveFromMidWalk(t *testing.T) {
	astray := strike()
	astray.Name = "astray"
	astray.Feet[0].Spans = astray.Feet[0].Spans[:2] // left in the air, the body shifted
	floor := strike()
	floor.Name = "put elsewhere"
	floor.Feet[0].Spans[3].End = r3.Vec{X: 0.015, Y: 0.01}
	r := legged(3)
	for g, first := range textbook(3) {
		for _, m := range []move.Move{strike(), astray, floor} {
			for n := range 10 {
				cycles := 1.3 + float64(n)/10
				v := motion.Twist{Forward: 0.03, Turn: 0.1}
				s := script(r, first,
					sequence.Entry{Kind: sequence.Walk, Cycles: cycles, Command: v},
					sequence.Entry{Kind: sequence.Move, Speed: 0.7},
					sequence.Entry{Kind: sequence.Walk, Cycles: 1.5, Command: v})
				s.Moves, s.Margin = []move.Move{m}, 0.01
				p := mustPlan(t, s)
				what := fmt.Sprintf("gait %d, %s after %v cycles", g, m.Name, cycles)
				smooth(t, what, r, p)
				at := p.Parts[1].From
				if late := at - cycles*first.Period; late > 1.5*first.Period {
					t.Errorf("%s: the move begins %v s late", what, late)
				}
				c := course(p, at)
				for i := range r.Legs {
					want := r.Legs[i].Stand
					want.Z = footRadius
					f := p.FootAt(i, at-1e-6)
					x, _ := p.BodyAt(at - 1e-6).Pose(at)
					if d := far(f.At(at, &x), c.At(want)); d > 1e-6 {
						t.Errorf("%s: foot %d is %v m off as the move begins", what, i, d)
					}
				}
				if shift, lean := p.BodyAt(at - 1e-6).Offset(at); far(shift, r3.Vec{Z: bodyHeight}) > 1e-9 || r3.Norm(lean) > 1e-9 {
					t.Errorf("%s: the body is at %v, %v as the move begins", what, shift, lean)
				}
				if far(r3.Vec{X: course(p, p.Duration).X}, r3.Vec{X: c.X}) < 0.5*1.5*first.Period*v.Forward/2 {
					t.Errorf("%s: no walk after the move", what)
				}
			}
		}
	}
}
