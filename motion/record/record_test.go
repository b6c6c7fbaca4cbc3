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
