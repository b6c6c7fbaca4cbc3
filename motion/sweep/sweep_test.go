// SPDX-License-Identifier: MIT

package sweep_test

import (
	"context"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"gaitwright/assets"
	"gaitwright/motion"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/review"
	"gaitwright/motion/stride"
	"gaitwright/motion/sweep"
	"gaitwright/motion/workfile"
)

func read(t testing.TB, name string, text []byte) *workfile.File {
	t.Helper()
	f, err := workfile.Read(name, text)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func drummer(t testing.TB) *workfile.File { return read(t, "drummer", assets.Demo) }

func mustRun(t testing.TB, f *workfile.File, o sweep.Options) *sweep.Result {
	t.Helper()
	r, err := sweep.Run(context.Background(), f, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// clean wants no stop, nothing that slides, and each change in force within
// the time that stride states.
func clean(t *testing.T, f *workfile.File, r *sweep.Result, rows int) {
	t.Helper()
	b, err := f.Build()
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Rows) != rows || r.Total != rows*r.Instants || r.Runs != r.Total || r.Partial {
		t.Fatalf("%d rows, %d of %d runs", len(r.Rows), r.Runs, r.Total)
	}
	for i := range r.Gaits {
		if g := &r.Gaits[i]; !g.Walks() || !(g.Dynamic > 0) || !(g.Static > 0) {
			t.Errorf("%+v", g)
		}
	}
	for i := range r.Rows {
		row := &r.Rows[i]
		from := &b.Gaits[row.From]
		into, back := 2*from.Period, stride.Bound(nil, from)
		if row.To >= 0 {
			into = stride.Bound(from, &b.Gaits[row.To])
		}
		for k := range row.Cells {
			c := &row.Cells[k]
			if !c.Run || c.Bad() || !(c.Slip < 1e-9) || !(c.Static > 0) || !(c.Dynamic > 0) || !(c.Speed > 0 && c.Speed < 1) {
				t.Errorf("%s: %+v", row.Name, c)
			}
			if !(c.Time >= 0 && c.Time <= into+1e-9) || (row.To < 0) != (c.Back > 0 && c.Back <= back+1e-9) {
				t.Errorf("%s at %v: in force after %v s, back after %v s; bounds %v s, %v s", row.Name, c.Phase, c.Time, c.Back, into, back)
			}
		}
	}
	if runs, gaits := r.Stops(); runs != 0 || gaits != 0 {
		t.Errorf("%d runs and %d gaits with a stop", runs, gaits)
	}
}

// The demo's gaits change at any instant, and go into the strike and back.
func TestDrummer(t *testing.T) {
	f := drummer(t)
	r := mustRun(t, f, sweep.Options{Instants: 12})
	clean(t, f, r, 9)
	want := []sweep.Command{{Forward: 80, Entry: "to the drum"}, {Forward: 80, Entry: "last steps"}, {Forward: r.Gaits[2].Command.Forward}}
	for i, w := range want {
		if r.Gaits[i].Command != w {
			t.Errorf("%s is walked at %+v, want %+v", r.Gaits[i].Name, r.Gaits[i].Command, w)
		}
	}
	if r.Rows[1].Name != "tripod to wave" || r.Rows[8].Name != "wave, move strike" {
		t.Errorf("rows %q and %q", r.Rows[1].Name, r.Rows[8].Name)
	}
}

// So does the four-legged walker, which sways.
func TestWalker(t *testing.T) {
	f := read(t, "walker", assets.Walker)
	clean(t, f, mustRun(t, f, sweep.Options{Instants: 12}), 1)
}

// The same comes out whatever the number of workers, to the last digit.
func TestSameWithAnyWorkers(t *testing.T) {
	f := drummer(t)
	one := mustRun(t, f, sweep.Options{Instants: 5, Workers: 1})
	for _, n := range []int{2, 7} {
		if d := cmp.Diff(one, mustRun(t, f, sweep.Options{Instants: 5, Workers: n}), cmpopts.EquateNaNs()); d != "" {
			t.Errorf("%d workers:\n%s", n, d)
		}
	}
}

// played is a cell's script on its own, in a workfile.
func played(t *testing.T, f *workfile.File, c sweep.Cell, rate float64) *rehearsal.Rehearsal {
	t.Helper()
	f = f.Clone()
	f.Sequence = sweep.Script(f, c)
	r, err := rehearsal.Run(f, rehearsal.Options{Rate: rate})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// The script of a cell, played whole by the way of every workfile, shows what
// the sweep has measured: at the request the legs stand as the gait says at
// that phase, the margins are those of the samples, and a clean run is clean.
func TestScript(t *testing.T) {
	f := drummer(t)
	r := mustRun(t, f, sweep.Options{Instants: 10})
	for i := range r.Rows {
		for k := 1; k < 10; k += 4 {
			c := r.Rows[i].Cells[k]
			p := played(t, f, c, sweep.Rate)
			asked := p.Plan.Parts[1].To
			spans := [][2]float64{{asked, asked + c.Time}}
			if c.Move >= 0 {
				begins, ends := p.Plan.Parts[2].From, p.Plan.Parts[2].To
				asked = begins - c.Time
				spans = [][2]float64{{asked, begins}, {ends, ends + c.Back}}
			}
			g := &p.Built.Gaits[c.From]
			for leg := range g.Phase {
				const just = 1e-3 // before; what comes after is the change's
				stands := p.Plan.FootAt(leg, asked-just).Hold == motion.Planted
				if stands != g.Down(leg, c.Phase-just/g.Period) {
					t.Errorf("%s at %v: leg %d stands=%v", r.Rows[i].Name, c.Phase, leg, stands)
				}
			}
			static, dynamic := math.Inf(1), math.Inf(1)
			for n := range p.Trajectory.N {
				for _, s := range spans {
					if now := p.Trajectory.Time(n); now > s[0]+1e-6 && now < s[1]-1e-6 {
						static, dynamic = min(static, p.Trajectory.Margin[n]), min(dynamic, p.Loads.Dynamic[n])
					}
				}
			}
			close := 1e-9
			if n := asked * sweep.Rate; math.Abs(n-math.Round(n)) > 1e-6 {
				close = 0.002 // other samples of the same, up to 5 ms apart
			}
			if !(math.Abs(c.Static-static) < close) || !(math.Abs(c.Dynamic-dynamic) < close) {
				t.Errorf("%s at %v: margins %v and %v, played %v and %v", r.Rows[i].Name, c.Phase, c.Static, c.Dynamic, static, dynamic)
			}
			if n := review.Stops(p.Findings); n != 0 {
				t.Errorf("%s at %v: %d stops, %+v", r.Rows[i].Name, c.Phase, n, p.Findings[0])
			}
		}
	}
}

func TestScriptOfNothing(t *testing.T) {
	f := drummer(t)
	for _, c := range []sweep.Cell{
		{From: 3, To: 0, Move: -1}, {From: -1, To: 0, Move: -1}, {From: 0, To: 3, Move: -1}, {From: 0, To: -1, Move: 1},
		{From: 0, To: -1, Move: -1}, {From: 0, To: 1, Move: -1, Phase: 1}, {From: 0, To: 1, Move: -1, Phase: math.NaN()},
	} {
		if s := sweep.Script(f, c); s != nil {
			t.Errorf("%+v: %v", c, s)
		}
	}
	if s := sweep.Script(f, sweep.Cell{From: 0, To: 1, Move: -1}); len(s) != 3 || s[2].Kind != "change" {
		t.Errorf("tripod to ripple, at the same command: %+v", s)
	}
	if s := sweep.Script(f, sweep.Cell{From: 0, To: 2, Move: -1}); len(s) != 3 || s[2].Kind != "walk" {
		t.Errorf("tripod to wave, at another command: %+v", s)
	}
}

// gaitOf gives a copy of the file's first gait under another name.
func gaitOf(f *workfile.File, name string) workfile.Gait {
	g := f.Clone().Gaits[0]
	g.Name = name
	return g
}

// A gait that cannot be walked is told by itself, and the rest is swept.
func TestGaitThatCannotBeWalked(t *testing.T) {
	f := drummer(t)
	hasty := gaitOf(f, "hasty") // by the sequence
	hasty.Period = 150
	hopeless := gaitOf(f, "hopeless") // even on the spot
	hopeless.StepHeight = 400
	f.Gaits = append(f.Gaits, hasty, hopeless)
	cycles, forward := 2.0, 80.0
	f.Sequence = append(f.Sequence, workfile.Entry{Kind: "walk", Gait: "hasty", Cycles: &cycles, Forward: &forward})
	r := mustRun(t, f, sweep.Options{Instants: 3})
	if len(r.Rows) != 9 || r.Runs != 27 {
		t.Errorf("%d rows, %d runs", len(r.Rows), r.Runs)
	}
	for i, want := range []string{"", "", "", "joint-speed", "joint-limit"} {
		g := &r.Gaits[i]
		if g.Walks() != (want == "") || g.Word != want || (g.Why == "") != g.Walks() {
			t.Errorf("%+v, want %q", g, want)
		}
	}
	if runs, gaits := r.Stops(); runs != 0 || gaits != 2 {
		t.Errorf("stops of %d runs and %d gaits", runs, gaits)
	}
}

// slippery is a workfile in which each gait can be walked and to turn about
// from one to the other cannot: on ice there is the friction to speed up in a
// second, and not to reverse in a quarter of one. Speeding up to v over a
// period T by 3x²-2x³ takes 1.5·v/T at most (0.18 m/s², friction 0.02); from v
// to -v in T/4 takes 12·v/T (1.44 m/s², friction 0.15).
func slippery(t testing.TB) *workfile.File {
	f := drummer(t)
	back := gaitOf(f, "back")
	f.Gaits = []workfile.Gait{f.Gaits[0], back}
	f.Moves = nil
	mu, cycles, ahead, astern := 0.06, 2.0, 120.0, -120.0
	f.Ground.Friction = &mu
	f.Gaits[1].Period = 1001 // another gait, if hardly
	f.Sequence = []workfile.Entry{
		{Kind: "walk", Gait: "tripod", Cycles: &cycles, Forward: &ahead},
		{Kind: "walk", Gait: "back", Cycles: &cycles, Forward: &astern},
	}
	return f
}

func TestBadPair(t *testing.T) {
	r := mustRun(t, slippery(t), sweep.Options{Instants: 8})
	if len(r.Rows) != 2 {
		t.Fatalf("%d rows: %+v", len(r.Rows), r.Gaits)
	}
	for i := range r.Rows {
		w := r.Rows[i].Worst()
		if w.Bad == 0 || w.Word != "foot-slides" || !strings.Contains(w.Why, "friction") || !(w.Slip > 0.001) {
			t.Errorf("%s: %+v", r.Rows[i].Name, w)
		}
	}
	if runs, gaits := r.Stops(); runs == 0 || gaits != 0 {
		t.Errorf("stops of %d runs and %d gaits", runs, gaits)
	}
}

// Interrupted, a sweep gives what it has.
func TestInterrupted(t *testing.T) {
	f := drummer(t)
	whole := mustRun(t, f, sweep.Options{Instants: 4})
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	last := 0
	r, err := sweep.Run(ctx, f, sweep.Options{Instants: 4, Workers: 2, Progress: func(done, total int) {
		if done != last+1 || total != 36 {
			t.Errorf("%d of %d after %d", done, total, last)
		}
		if last = done; done == 10 {
			stop()
		}
	}})
	if !errors.Is(err, context.Canceled) || r == nil || !r.Partial || r.Runs < 10 || r.Runs > 12 || r.Total != 36 {
		t.Fatalf("%v: %+v", err, r)
	}
	done := 0
	for i := range r.Rows {
		for k, c := range r.Rows[i].Cells {
			if !c.Run {
				if c.Bad() || c.Static == c.Static || c.Time == c.Time {
					t.Errorf("not run: %+v", c)
				}
				continue
			}
			done++
			if d := cmp.Diff(whole.Rows[i].Cells[k], c, cmpopts.EquateNaNs()); d != "" {
				t.Error(d)
			}
		}
	}
	if done != r.Runs {
		t.Errorf("%d cells run, %d told", done, r.Runs)
	}
	r, err = sweep.Run(ctx, f, sweep.Options{})
	if !errors.Is(err, context.Canceled) || r == nil || !r.Partial || r.Runs != 0 || len(r.Rows) != 0 {
		t.Errorf("interrupted before: %v, %+v", err, r)
	}
}

func TestUnusable(t *testing.T) {
	f := drummer(t)
	for _, o := range []sweep.Options{
		{Instants: -1}, {Instants: sweep.MostInstants + 1}, {Rate: -1}, {Rate: 5}, {Rate: math.NaN()}, {Rate: math.Inf(1)},
	} {
		if r, err := sweep.Run(context.Background(), f, o); !errors.Is(err, sweep.ErrOptions) || r != nil {
			t.Errorf("%+v: %v", o, err)
		}
	}
	f.Robot.StandHeight = -1
	if r, err := sweep.Run(context.Background(), f, sweep.Options{}); err == nil || r != nil {
		t.Errorf("a file that fails its check: %v", err)
	}
}

// Without a gait, or with one and no move, nothing changes.
func TestNothingToChange(t *testing.T) {
	f := drummer(t)
	f.Moves = nil
	f.Gaits = slices.Clone(f.Gaits[:1])
	f.Sequence = nil
	r := mustRun(t, f, sweep.Options{})
	if len(r.Gaits) != 1 || len(r.Rows) != 0 || r.Partial || r.Gaits[0].Command.Entry != "" || !(r.Gaits[0].Command.Forward > 0) {
		t.Errorf("%+v", r)
	}
	f.Gaits = nil
	if r = mustRun(t, f, sweep.Options{}); len(r.Gaits) != 0 || len(r.Rows) != 0 || r.Partial {
		t.Errorf("%+v", r)
	}
}

// BenchmarkSixGaits is a full sweep of six gaits: 3,000 changes at 100 Hz with
// all checks. Wanted in under 60 s on two cores.
func BenchmarkSixGaits(b *testing.B) {
	f := drummer(b)
	f.Moves, f.Sequence = nil, nil
	brisk := gaitOf(f, "brisk")
	brisk.Period = 800
	slow := gaitOf(f, "slow ripple")
	slow.Phase, slow.Duty, slow.Period = f.Gaits[1].Phase, 0.75, 2000
	tetrapod := gaitOf(f, "tetrapod")
	tetrapod.Duty, tetrapod.Period = 2./3, 1200
	tetrapod.Phase = map[string]float64{"LF": 0, "LM": 2. / 3, "LR": 1. / 3, "RF": 1. / 3, "RM": 0, "RR": 2. / 3}
	f.Gaits = append(f.Gaits, brisk, slow, tetrapod)
	n := 0
	for b.Loop() {
		r := mustRun(b, f, sweep.Options{})
		if len(r.Rows) != 30 {
			b.Fatalf("%d rows: %+v", len(r.Rows), r.Gaits)
		}
		n += r.Runs
	}
	b.ReportMetric(float64(n)/b.Elapsed().Seconds(), "changes/s")
}
