// SPDX-License-Identifier: MIT

package record_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gaitwright/assets"
	"gaitwright/kin"
	"gaitwright/motion/record"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/workfile"
)

func demo(t *testing.T) *rehearsal.Rehearsal {
	t.Helper()
	f, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	r, err := rehearsal.Run(f, rehearsal.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// robot makes the log of a robot that plays a motion: each leg's feet come down
// late by its own time and scatter, its joints lag and sit off by an angle.
type robot struct {
	late, scatter, lag, off float64 // s, s, s, rad
	clock                   float64 // of the robot when the motion begins, s
	own                     bool    // only the robot's clock is in the log
	bounce                  bool
}

func (x robot) log(r *rehearsal.Rehearsal) string {
	rnd := rand.New(rand.NewPCG(7, 8))
	t := r.Trajectory
	var b strings.Builder
	b.WriteString("robot_s")
	if !x.own {
		b.WriteString(",motion_s")
	}
	for i := range t.Legs {
		fmt.Fprintf(&b, ",%s_down", r.Built.Robot.Legs[i].Name)
	}
	for i := range t.Legs {
		for j := range kin.Joints {
			fmt.Fprintf(&b, ",%s_%s_us", r.Built.Robot.Legs[i].Name, kin.JointName(j))
		}
	}
	b.WriteString("\n")
	delay := make([]float64, t.Legs) // of the step under way
	was := make([]bool, t.Legs)
	for s := -0.5; s < t.Duration()+0.5; s += 0.002 {
		fmt.Fprintf(&b, "%.4f", s+x.clock)
		in := s >= 0 && s <= t.Duration()
		if !x.own {
			b.WriteString(",")
			if in {
				fmt.Fprintf(&b, "%.4f", s)
			}
		}
		k := t.Index(max(0, s))
		for i := range t.Legs {
			now := t.Planted[k*t.Legs+i]
			if now && !was[i] {
				delay[i] = x.late + x.scatter*rnd.NormFloat64()
			}
			was[i] = now
			down := t.Planted[t.Index(max(0, min(s-delay[i], t.Duration())))*t.Legs+i] && now || s <= 0
			if x.bounce && down && !t.Planted[t.Index(max(0, s-delay[i]-0.004))*t.Legs+i] && int(s*500)%2 == 0 {
				down = false
			}
			fmt.Fprintf(&b, ",%d", map[bool]int{true: 1}[down])
		}
		for i := range t.Legs {
			for j := range kin.Joints {
				at := max(0, min(s-x.lag, t.Duration())) * t.Rate
				n := min(int(at), t.N-2)
				a, c := t.JointsAt(n, i)[j], t.JointsAt(n+1, i)[j]
				q := a + (at-float64(n))*(c-a) + x.off
				fmt.Fprintf(&b, ",%.3f", r.Built.Channels[i][j].Pulse(q))
			}
		}
		b.WriteString("\n")
	}
	return b.String()
}

// TestCompare finds back what the logs were made with.
func TestCompare(t *testing.T) {
	r := demo(t)
	for _, c := range []struct {
		name string
		robot
		mean, spread float64 // allowances, s
	}{
		{"a perfect robot", robot{}, 0.0025, 0.001},
		{"late and lagging", robot{late: 0.040, lag: 0.060, off: 0.03}, 0.0025, 0.001},
		{"scattered", robot{late: 0.050, scatter: 0.010, lag: 0.02}, 0.008, 0.006},
		{"bouncing", robot{late: 0.030, bounce: true}, 0.006, 0.002},
		{"its own clock", robot{late: 0.030, lag: 0.030, clock: 1234.5, own: true}, 0.003, 0.002},
	} {
		t.Run(c.name, func(t *testing.T) {
			rec, err := record.Read(strings.NewReader(c.log(r)), r.Built)
			if err != nil {
				t.Fatal(err)
			}
			cmp, err := record.Compare(rec, r.Trajectory, math.NaN())
			if err != nil {
				t.Fatal(err)
			}
			if c.own && math.Abs(cmp.Offset+c.clock) > 0.06 {
				t.Errorf("offset %v, want about %v", cmp.Offset, -c.clock)
			}
			if cmp.Fitted != c.own || cmp.Doubt {
				t.Errorf("fitted %v, in doubt %v", cmp.Fitted, cmp.Doubt)
			}
			if len(cmp.Touch) != 6 || len(cmp.Follow) != 18 {
				t.Fatalf("%d feet, %d joints", len(cmp.Touch), len(cmp.Follow))
			}
			steps := 0
			for _, f := range cmp.Touch {
				steps += f.Steps
				if f.Steps != len(record.Planned(r.Trajectory, f.Leg)) || f.Missed != 0 || f.Extra != 0 {
					t.Errorf("leg %d: %+v", f.Leg, f)
				}
				shift := 0.
				if c.own { // the alignment may take a part of it
					shift = cmp.Offset + c.clock
				}
				if math.Abs(f.Mean-shift-c.late) > c.mean || math.Abs(f.Spread-c.scatter) > c.spread+0.001 {
					t.Errorf("leg %d: mean %v, spread %v, want %v and %v", f.Leg, f.Mean, f.Spread, c.late, c.scatter)
				}
			}
			if steps != len(cmp.Steps) || steps < 20 {
				t.Errorf("%d steps", steps)
			}
			seen := 0
			for _, f := range cmp.Follow {
				if f.Lag != f.Lag {
					continue
				}
				seen++
				shift := 0.
				if c.own {
					shift = cmp.Offset + c.clock
				}
				if math.Abs(f.Lag-shift-c.lag) > 1e-4 || math.Abs(f.Mean-c.off) > 0.01 {
					t.Errorf("leg %d joint %d: %+v, want lag %v", f.Leg, f.Joint, f, c.lag)
				}
			}
			if seen < 12 {
				t.Errorf("only %d joints show a lag", seen)
			}
		})
	}
}

// TestMissedAndExtra: a step that is not there, and one too many.
func TestMissedAndExtra(t *testing.T) {
	r := demo(t)
	at := record.Planned(r.Trajectory, 1)
	var b strings.Builder
	b.WriteString("motion_s,LM_down,battery\n")
	for s := 0.; s < r.Trajectory.Duration(); s += 0.005 {
		down := s < 0.3 || s > at[1] // the first step is missing
		if s > at[2]+0.2 && s < at[2]+0.3 && s < at[3]-0.6 {
			down = false
		}
		fmt.Fprintf(&b, "%.3f,%d,7.4\n", s, map[bool]int{true: 1}[down])
	}
	rec, err := record.Read(strings.NewReader(b.String()), r.Built)
	if err != nil {
		t.Fatal(err)
	}
	c, err := record.Compare(rec, r.Trajectory, math.NaN())
	if err != nil {
		t.Fatal(err)
	}
	if len(rec.Ignored) != 1 || rec.Ignored[0] != "battery" || len(c.Touch) != 1 || len(c.Follow) != 0 {
		t.Fatalf("%+v, %+v", rec.Ignored, c.Touch)
	}
	if f := c.Touch[0]; f.Leg != 1 || f.Missed < 1 || c.Steps[0].Seen == c.Steps[0].Seen {
		t.Errorf("%+v, first step %+v", f, c.Steps[0])
	}
}

func TestReadRefuses(t *testing.T) {
	r := demo(t)
	for log, want := range map[string]string{
		"":                                         "it is empty",
		"LF_down\n1\n":                             "no column of time",
		"motion_s,LF_down\n0,1\n":                  "1 rows with a time",
		"motion_s,LF_down\n0,1\n1\n":               "line 3: 1 cells",
		"motion_s,LF_down\n0,2\n":                  "line 2, column LF_down",
		"motion_s,LF_down\nx,1\n":                  "line 2, column motion_s",
		"motion_s,LF_down\nNaN,1\n":                "no time in seconds",
		"motion_s\n1\n0.5\n":                       "in order of time",
		"motion_s,LF_coxa_us\n0,no\n":              "is no number",
		"motion_s,LF_coxa_us,LF_coxa_deg\n0,1,1\n": "say the same",
		"motion_s,motion_s\n0,1\n":                 "say the same",
		"motion_s,\"LF\n":                          "record: unusable log",
		"motion_s;LF_down\n0;1\n1;0\n":             "separated by commas",
		"motion_s\tLF_down\n0\t1\n1\t0\n":          "separated by commas",
	} {
		if _, err := record.Read(strings.NewReader(log), r.Built); !errors.Is(err, record.ErrRecord) || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: want %q, got %v", log, want, err)
		}
	}
	still, err := record.Read(strings.NewReader("robot_s,LF_down\n0,1\n1,1\n"), r.Built)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := record.Compare(still, r.Trajectory, math.NaN()); !errors.Is(err, record.ErrAlign) {
		t.Errorf("%v", err)
	}
	if _, err := record.Compare(still, r.Trajectory, 1e5); !errors.Is(err, record.ErrApart) {
		t.Errorf("%v", err)
	}
}

// TestEnds: a step that may have come down before the log began or after it
// ended is not counted as missed, nor its touchdown as one too many.
func TestEnds(t *testing.T) {
	r := demo(t)
	const leg = 1
	at := record.Planned(r.Trajectory, leg)
	for _, c := range []struct {
		name                       string
		from, to                   float64 // of the log, s
		late                       float64 // s
		steps, missed, extra, seen int
	}{
		{"ends before the late foot is down", at[1] - 0.3, at[2] + 0.02, 0.04, 1, 0, 0, 1},
		{"ends after it", at[1] - 0.3, at[2] + 0.06, 0.04, 2, 0, 0, 2},
		{"begins after the early foot is down", at[1] - 0.02, at[2] + 0.3, -0.04, 1, 0, 0, 1},
		{"begins between plan and late foot", at[1] + 0.02, at[2] + 0.3, 0.04, 2, 0, 0, 2},
	} {
		var b strings.Builder
		b.WriteString("motion_s,LM_down\n")
		for s := c.from; s <= c.to; s += 0.002 {
			k := r.Trajectory.Index(s - c.late)
			fmt.Fprintf(&b, "%.4f,%d\n", s, map[bool]int{true: 1}[r.Trajectory.Planted[k*r.Trajectory.Legs+leg]])
		}
		rec, err := record.Read(strings.NewReader(b.String()), r.Built)
		if err != nil {
			t.Fatal(err)
		}
		cmp, err := record.Compare(rec, r.Trajectory, math.NaN())
		if err != nil {
			t.Fatal(err)
		}
		f := cmp.Touch[0]
		if f.Steps != c.steps || f.Missed != c.missed || f.Extra != c.extra || len(cmp.Steps) != c.steps || len(cmp.Extra) != c.extra {
			t.Errorf("%s: %+v, %d steps", c.name, f, len(cmp.Steps))
		}
		if math.Abs(f.Mean-c.late) > 0.004 || f.At != f.At {
			t.Errorf("%s: mean %v at %v", c.name, f.Mean, f.At)
		}
	}
}

// TestHoles: where the log says nothing of a switch for a while, nothing is said
// of a step then: neither that it was missed, nor that it was as late as the
// first look after it.
func TestHoles(t *testing.T) {
	r := demo(t)
	const leg = 1
	at := record.Planned(r.Trajectory, leg)
	for name, known := range map[string]func(s float64) bool{
		"rows are missing":   func(s float64) bool { return math.Abs(s-at[1]) > 0.2 },
		"a second of them":   func(s float64) bool { return math.Abs(s-at[1]) > 0.5 },
		"begins late":        func(s float64) bool { return s > at[0]+0.2 },
		"ends early":         func(s float64) bool { return s < at[len(at)-1]-0.2 },
		"only one look more": func(s float64) bool { return math.Abs(s-at[1]) > 0.3 || math.Abs(s-at[1]) < 0.004 },
	} {
		for _, empty := range []bool{false, true} {
			var b strings.Builder
			b.WriteString("motion_s,LM_down,LF_coxa_deg\n")
			for s := 0.; s < r.Trajectory.Duration(); s += 0.005 {
				down := fmt.Sprint(map[bool]int{true: 1}[r.Trajectory.Planted[r.Trajectory.Index(s)*r.Trajectory.Legs+leg]])
				if !known(s) {
					if down = ""; !empty {
						continue
					}
				}
				fmt.Fprintf(&b, "%.4f,%s,0\n", s, down)
			}
			rec, err := record.Read(strings.NewReader(b.String()), r.Built)
			if err != nil {
				t.Fatal(err)
			}
			cmp, err := record.Compare(rec, r.Trajectory, math.NaN())
			if err != nil {
				t.Fatal(err)
			}
			f := cmp.Touch[0]
			if f.Steps != len(at)-1 || f.Missed != 0 || f.Extra != 0 || math.Abs(f.Worst) > 0.006 {
				t.Errorf("%s, empty cells %v: %+v, want %d steps", name, empty, f, len(at)-1)
			}
		}
	}
	// A log that looks five times a second all along still tells.
	var b strings.Builder
	b.WriteString("motion_s,LM_down\n")
	for s := 0.; s < r.Trajectory.Duration(); s += 0.2 {
		fmt.Fprintf(&b, "%.4f,%d\n", s, map[bool]int{true: 1}[r.Trajectory.Planted[r.Trajectory.Index(s)*r.Trajectory.Legs+leg]])
	}
	rec, err := record.Read(strings.NewReader(b.String()), r.Built)
	if err != nil {
		t.Fatal(err)
	}
	if cmp, err := record.Compare(rec, r.Trajectory, math.NaN()); err != nil || cmp.Touch[0].Steps < len(at)-1 {
		t.Errorf("%v, %+v", err, cmp.Touch)
	}
}

// TestDoubt: a log of the robot's own clock that holds only some strides of a
// walk fits at any stride, and that is said; the whole motion fits once.
func TestDoubt(t *testing.T) {
	f, err := workfile.Read("walker", assets.Walker)
	if err != nil {
		t.Fatal(err)
	}
	many := 10.
	f.Sequence[1].Cycles = &many
	r, err := rehearsal.Run(f, rehearsal.Options{Rate: 200})
	if err != nil {
		t.Fatal(err)
	}
	all := strings.SplitAfter(robot{late: 0.03, lag: 0.03, clock: 100, own: true}.log(r), "\n")
	for _, c := range []struct {
		from, to int // rows
		doubt    bool
	}{{1, len(all), false}, {3000, 6000, true}} {
		rec, err := record.Read(strings.NewReader(all[0]+strings.Join(all[c.from:c.to], "")), r.Built)
		if err != nil {
			t.Fatal(err)
		}
		cmp, err := record.Compare(rec, r.Trajectory, math.NaN())
		if err != nil {
			t.Fatal(err)
		}
		if !cmp.Fitted || cmp.Doubt != c.doubt || !c.doubt && math.Abs(cmp.Offset+100) > 0.06 {
			t.Errorf("rows %d to %d: %v, %v, offset %v", c.from, c.to, cmp.Fitted, cmp.Doubt, cmp.Offset)
		}
		if given, err := record.Compare(rec, r.Trajectory, -100); err != nil || given.Fitted || given.Doubt {
			t.Errorf("%v, %+v", err, given)
		}
	}
}

// TestOtherRobot: a log none of whose columns is of this robot is refused in
// words that name both; one foreign column is told.
func TestOtherRobot(t *testing.T) {
	r := demo(t)
	_, err := record.Read(strings.NewReader("motion_s,A1_down,A1_femur_us,volts\n0,1,1500,7\n1,1,1500,7\n"), r.Built)
	if !errors.Is(err, record.ErrOther) || !strings.Contains(err.Error(), "A1_down, A1_femur_us") || !strings.Contains(err.Error(), "LF, LM, LR") {
		t.Errorf("%v", err)
	}
	rec, err := record.Read(strings.NewReader("motion_s,A1_down,LF_down,volts\n0,1,1,7\n1,1,1,7\n"), r.Built)
	if err != nil || len(rec.Foreign) != 1 || rec.Foreign[0] != "A1_down" || len(rec.Ignored) != 2 {
		t.Errorf("%v, %+v", err, rec)
	}
	short := &record.Record{Legs: 4}
	if _, err := record.Compare(short, r.Trajectory, math.NaN()); !errors.Is(err, record.ErrOther) {
		t.Errorf("%v", err)
	}
	if _, err := record.Compare(rec, r.Trajectory, math.Inf(1)); !errors.Is(err, record.ErrSpan) {
		t.Errorf("%v", err)
	}
}

// BenchmarkCompare holds a log of 500 looks a second against the demo: by the
// motion's time, and aligned from the robot's clock.
func BenchmarkCompare(b *testing.B) {
	f, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		b.Fatal(err)
	}
	r, err := rehearsal.Run(f, rehearsal.Options{})
	if err != nil {
		b.Fatal(err)
	}
	for name, own := range map[string]bool{"motion": false, "own-clock": true} {
		text := robot{late: 0.03, lag: 0.03, clock: 100, own: own}.log(r)
		b.Run(name+"/read", func(b *testing.B) {
			for b.Loop() {
				if _, err := record.Read(strings.NewReader(text), r.Built); err != nil {
					b.Fatal(err)
				}
			}
		})
		rec, err := record.Read(strings.NewReader(text), r.Built)
		if err != nil {
			b.Fatal(err)
		}
		b.Run(name+"/compare", func(b *testing.B) {
			b.ReportMetric(float64(len(rec.Time)), "rows")
			for b.Loop() {
				if _, err := record.Compare(rec, r.Trajectory, math.NaN()); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// FuzzRead: no log brings a panic or a number that is none.
func FuzzRead(f *testing.F) {
	for _, s := range []string{"motion_s,LF_down\n0,1\n1,0\n", "robot_s,LF_coxa_us\n0,1500\n1,\n2,1600\n", "# note\nmotion_s,LF_tibia_deg,x\n0,-90,1\n1,-80,2\n"} {
		f.Add(s)
	}
	file, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		f.Fatal(err)
	}
	r, err := rehearsal.Run(file, rehearsal.Options{Rate: 50})
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, s string) {
		rec, err := record.Read(strings.NewReader(s), r.Built)
		if err != nil {
			return
		}
		c, err := record.Compare(rec, r.Trajectory, math.NaN())
		if err != nil {
			return
		}
		for _, x := range c.Follow {
			if x.Mean != x.Mean || x.RMS != x.RMS || x.Worst != x.Worst {
				t.Errorf("%+v", x)
			}
		}
	})
}
