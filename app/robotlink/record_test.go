// SPDX-License-Identifier: MIT

package robotlink_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"gioui.org/io/key"

	"gaitwright/app"
	"gaitwright/app/drive"
	"gaitwright/assets"
	"gaitwright/kin"
	"gaitwright/motion/output"
	"gaitwright/motion/record"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/workfile"
)

// poses writes the file that feet.c reads.
func poses(t *testing.T) string {
	t.Helper()
	f, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	run, err := rehearsal.Run(f, rehearsal.Options{})
	if err != nil {
		t.Fatal(err)
	}
	lines, err := output.Lines(run.Built)
	if err != nil {
		t.Fatal(err)
	}
	m := run.Trajectory
	var b strings.Builder
	var us []float64
	for s := 0.; s < m.Duration(); s += 0.01 {
		us = output.Pose(us, lines, m, s)
		for _, v := range us {
			fmt.Fprintf(&b, "%d ", int(math.Round(8*v)))
		}
		mask := 0
		for i := range m.Legs {
			if m.Planted[m.Index(s)*m.Legs+i] {
				mask |= 1 << i
			}
		}
		fmt.Fprintln(&b, mask)
	}
	name := filepath.Join(t.TempDir(), "poses")
	if err := os.WriteFile(name, []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	return name
}

// play plays in real time until a time of the motion and gives the usual and the
// longest time between two frames.
func play(t *testing.T, r *drive.Tester, w *app.Workbench, to float64) (usual, longest time.Duration) {
	t.Helper()
	w.Place().Playing = true
	start, base := time.Now(), r.Now
	last := start
	var all []time.Duration
	for w.Place().Playing && w.Place().Time < to {
		now := time.Now()
		all = append(all, now.Sub(last))
		last = now
		r.Now = base.Add(now.Sub(start))
		r.Frame()
		if now.Sub(start) > 2*time.Minute {
			t.Fatalf("after two minutes it is at %v s", w.Place().Time)
		}
		time.Sleep(8 * time.Millisecond)
	}
	slices.Sort(all)
	return all[len(all)/2], all[len(all)-1]
}

// TestRecord records a robot that does as it is told, foot switches and all, as
// it plays the first steps of the demo: what it did is what is drawn, but for
// the time between frames, poses and looks.
func TestRecord(t *testing.T) {
	r, w, _ := rigWith(t, assets.Demo, "testdata/feet.c", poses(t))
	r.Click("greatest speed of a joint")
	r.Press("A", key.ModShortcut)
	r.Type("1000")
	r.Press(key.NameReturn, 0)
	r.Settle()
	arm(t, r)
	r.MustFind("Foot switches: LF down, LM down, LR down, RF down, RM down, RR down")
	r.Click("Record")
	usual, longest := play(t, r, w, 4.4)
	w.Place().Playing = false
	r.Frame()
	r.Click("End the recording")
	r.Frame()
	r.Press(key.NameEscape, 0)
	until(t, r, "The robot: stopped, stands still.")

	run := w.Document().Result()
	rec, err := record.Read(strings.NewReader(string(w.Recording())), run.Built)
	if err != nil {
		t.Fatal(err)
	}
	c, err := record.Compare(rec, run.Trajectory, math.NaN())
	if err != nil {
		t.Fatal(err)
	}
	// A pose is sent each 20 ms and reached by the next, a look comes each 20 ms.
	// A frame that took long makes the steps in it late, but not the usual one.
	const looks = 0.060
	least, most := usual.Seconds()+looks, longest.Seconds()+looks
	t.Logf("%d looks; frames of usually %v, at most %v", len(rec.Time), usual, longest)
	if len(c.Touch) != 6 || len(c.Follow) != 18 {
		t.Fatalf("%d feet, %d joints", len(c.Touch), len(c.Follow))
	}
	steps := 0
	for _, f := range c.Touch {
		steps += f.Steps
		if f.Missed != 0 || f.Extra != 0 || f.Steps > 0 && !(math.Abs(f.Worst) <= most) {
			t.Errorf("leg %d: %+v", f.Leg, f)
		}
	}
	if steps < 15 || steps != len(c.Steps) {
		t.Fatalf("only %d steps", steps)
	}
	var late []float64
	for i := range c.Steps {
		late = append(late, math.Abs(c.Steps[i].Late()))
	}
	slices.Sort(late)
	t.Logf("half of %d steps are within %.1f ms, all within %.1f ms", steps, 1000*late[steps/2], 1000*late[steps-1])
	if late[steps/2] > least {
		t.Errorf("half of the steps are later than %v s, %v s allowed", late[steps/2], least)
	}
	lags, worst := 0, 0.
	for _, f := range c.Follow {
		if f.Lag == f.Lag {
			lags++
			worst = max(worst, f.Lag)
			if !(f.Lag >= -0.005 && f.Lag <= most) {
				t.Errorf("leg %d %s: lag %v s", f.Leg, kin.JointName(f.Joint), f.Lag)
			}
		}
		if !(math.Abs(f.Mean) < 2*math.Pi/180) {
			t.Errorf("leg %d %s: mean %v rad", f.Leg, kin.JointName(f.Joint), f.Mean)
		}
	}
	if lags < 12 {
		t.Errorf("only %d joints show a lag", lags)
	}
	t.Logf("joints are up to %.1f ms behind", 1000*worst)
}

// TestRecordEnds: where the motion begins anew the recording ends by itself and
// is of use; one that never played is not kept.
func TestRecordEnds(t *testing.T) {
	r, w, _ := rig(t)
	arm(t, r)
	r.Click("Record")
	frames(r, 100*time.Millisecond)
	r.Click("End the recording")
	r.Frame()
	r.MustFind("Nothing was recorded: the robot did not follow the motion as it played.")
	if w.Recording() != nil {
		t.Error("it was kept")
	}
	length := w.Document().Result().Trajectory.Duration()
	w.Place().GoTo(w.Document(), length-0.6)
	frames(r, 500*time.Millisecond)
	r.Click("Record")
	w.Place().Loop = true
	play(t, r, w, length-0.05)
	start, base := time.Now(), r.Now
	for w.Place().Time > 1 && time.Since(start) < 20*time.Second {
		r.Now = base.Add(time.Since(start))
		r.Frame()
		time.Sleep(8 * time.Millisecond)
	}
	w.Place().Playing = false
	frames(r, 50*time.Millisecond)
	if !strings.Contains(r.Dump(), "The recording ended where the motion began anew.") {
		t.Errorf("not told:\n%s", r.Dump())
	}
	if _, err := record.Read(strings.NewReader(string(w.Recording())), w.Document().Result().Built); err != nil {
		t.Error(err)
	}
}
