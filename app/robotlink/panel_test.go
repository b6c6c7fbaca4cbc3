// SPDX-License-Identifier: MIT

package robotlink_test

import (
	"errors"
	"fmt"
	"image"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"gioui.org/io/key"

	"gaitwright/app"
	"gaitwright/app/drive"
	"gaitwright/app/robotlink"
	"gaitwright/assets"
	"gaitwright/link/line"
	"gaitwright/motion/output"
)

// robot is gait_link.c in a process of its own, as a serial port.
type robot struct {
	io.Reader
	io.WriteCloser
	wait func() error
	sent *sent
}

// Write notes what goes to the robot.
func (r robot) Write(p []byte) (int, error) {
	r.sent.add(p)
	return r.WriteCloser.Write(p)
}

// sent is the kinds of the frames that went to a robot.
type sent struct {
	mu    sync.Mutex
	split line.Splitter
	kinds []line.Kind
}

func (s *sent) add(p []byte) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for {
		stretch, rest, ok := s.split.Take(p)
		if !ok {
			return
		}
		if f, err := line.Unstuff(nil, stretch); err == nil && len(f) > 0 {
			s.kinds = append(s.kinds, line.Kind(f[0]))
		}
		p = rest
	}
}

// stopped tells whether nothing that moves went to the robot after a stop.
func (s *sent) stopped() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, k := range slices.Backward(s.kinds) {
		switch k {
		case line.Stop:
			return true
		case line.Arm, line.Beat, line.Pose, line.Play:
			return false
		}
	}
	return false
}

// Close pulls the cable; the robot ends by itself.
func (r robot) Close() error { return errors.Join(r.WriteCloser.Close(), r.wait()) }

// rig is a window with a robot on the port "bench".
func rig(t *testing.T) (*drive.Tester, *app.Workbench, string) {
	t.Helper()
	return rigOf(t, assets.Demo)
}

func rigOf(t *testing.T, text []byte) (*drive.Tester, *app.Workbench, string) {
	t.Helper()
	return rigWith(t, text, "../../link/testdata/live.c")
}

// rigWith has a robot of its own, which gets more arguments.
func rigWith(t *testing.T, text []byte, source string, args ...string) (*drive.Tester, *app.Workbench, string) {
	t.Helper()
	return rigSent(t, new(sent), text, source, args...)
}

// rigSent is rigWith that notes what goes to the robot.
func rigSent(t *testing.T, went *sent, text []byte, source string, args ...string) (*drive.Tester, *app.Workbench, string) {
	t.Helper()
	dir := t.TempDir()
	bin, told := filepath.Join(dir, "robot"), filepath.Join(dir, "told")
	if out, err := exec.Command("cc", "-std=c99", "-O1", "-g", "-Wall", "-Wextra", "-Werror", "-fsanitize=address,undefined", "-fno-sanitize-recover=all",
		"-o", bin, source, "../../assets/firmware/gait_link.c").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	w, err := app.New(app.Config{Name: "demo", Text: text, Ports: robotlink.Ports{
		List: func() ([]string, error) { return []string{"gone", "bench"}, nil },
		Open: func(name string, baud int) (io.ReadWriteCloser, error) {
			if name == "gone" {
				return nil, errors.New("cannot open port gone: there is no such port")
			}
			c := exec.Command(bin, append([]string{told}, args...)...)
			in, err := c.StdinPipe()
			if err != nil {
				return nil, err
			}
			out, err := c.StdoutPipe()
			if err != nil {
				return nil, err
			}
			c.Stderr = os.Stderr
			if err := c.Start(); err != nil {
				return nil, err
			}
			return robot{out, in, c.Wait, went}, nil
		},
	}})
	if err != nil {
		t.Fatal(err)
	}
	r := drive.For(t, drive.New(image.Pt(1280, 800), w.Layout))
	t.Cleanup(w.Close)
	r.Settle()
	r.Click("link")
	r.Settle()
	return r, w, told
}

// until draws frames until a text shows.
func until(t *testing.T, r *drive.Tester, text string) {
	t.Helper()
	for end := time.Now().Add(30 * time.Second); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		r.Frame()
		if _, ok := r.Find(text); ok {
			return
		}
	}
	t.Fatalf("%q never shows:\n%s", text, r.Dump())
}

// frames draws frames for a while; a window with a robot on it never rests.
func frames(r *drive.Tester, d time.Duration) {
	for end := time.Now().Add(d); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		r.Frame()
	}
}

// arm goes the whole way from a closed port to a robot that follows.
func arm(t *testing.T, r *drive.Tester) {
	t.Helper()
	r.Click("Open the port")
	until(t, r, "The robot: off, no pulses.")
	r.Click("all of this is so")
	r.Frame()
	r.Click("1. Ask the robot")
	frames(r, 300*time.Millisecond)
	r.Click("2. Arm")
	until(t, r, "The robot: follows.")
}

// TestArmAndStop goes the whole way by mouse, moves to another time, and stops
// by the one key, from within a number field.
func TestArmAndStop(t *testing.T) {
	r, w, told := rig(t)
	arm(t, r)
	w.Place().GoTo(w.Document(), 1)
	frames(r, 500*time.Millisecond)
	r.Press(key.NameEscape, 0)
	r.Frame()
	until(t, r, "The robot: stopped, stands still.")
	w.Close()
	text, err := os.ReadFile(told)
	if err != nil {
		t.Fatal(err)
	}
	lines, err := output.Lines(w.Document().Result().Built)
	if err != nil {
		t.Fatal(err)
	}
	want := output.Pose(nil, lines, w.Document().Result().Trajectory, 1)
	at := make([]float64, len(want))
	for _, l := range strings.Split(string(text), "\n") {
		var ms, c, v int
		if n, _ := fmt.Sscan(l, &ms, &c, &v); n == 3 {
			at[c] = float64(v) / 8
		}
	}
	for c := range want {
		if math.Abs(at[c]-want[c]) > 1./16+1e-9 {
			t.Errorf("channel %d ends at %v us, want %v", c, at[c], want[c])
		}
	}
}

// TestBlocked arms at an instant that the review stops: it is said, and only by
// a further act possible.
func TestBlocked(t *testing.T) {
	text, err := assets.Faults.ReadFile("faults/tips-slow.toml")
	if err != nil {
		t.Fatal(err)
	}
	r, w, _ := rigOf(t, text)
	w.Place().GoTo(w.Document(), w.Document().Result().Findings[0].Worst)
	r.Click("Open the port")
	until(t, r, "all of this is so")
	frames(r, 300*time.Millisecond)
	if !strings.Contains(r.Dump(), "The review stops the pose at the present time: tips-slow") {
		t.Errorf("not told:\n%s", r.Dump())
	}
	if n, ok := r.Find("2. Arm"); !ok || !n.Desc.Disabled {
		t.Error("it can be armed")
	}
}

// TestRefused picks a port that cannot be opened.
func TestRefused(t *testing.T) {
	r, _, _ := rig(t)
	r.Click("bench")
	r.Settle()
	r.Click("gone")
	r.Settle()
	if _, ok := r.Find("Open the port"); !ok {
		t.Fatal("no button")
	}
	r.Click("Open the port")
	r.Settle()
	r.MustFind("Cannot open port gone: there is no such port.")
}

// TestLog takes a log: its numbers show, and a bad one says why it is bad.
func TestLog(t *testing.T) {
	r, w, _ := rig(t)
	var b strings.Builder
	b.WriteString("motion_s,LF_down,LF_femur_deg\n")
	tr := w.Document().Result().Trajectory
	for k := 0; k < tr.N; k += 5 {
		down := 0
		if tr.Planted[k*tr.Legs] {
			down = 1
		}
		fmt.Fprintf(&b, "%.4f,%d,%.3f\n", tr.Time(k), down, tr.JointsAt(k, 0)[1]*180/math.Pi+3)
	}
	w.TakeLog("walk.csv", []byte(b.String()))
	r.Settle()
	r.MustFind("LF femur")
	r.MustFind("3.0")
	r.MustFind("walk.csv: 1340 looks, from 0.00 to 13.39 s of the motion.")
	w.TakeLog("walk.csv", []byte("time,LF\n1,2\n"))
	r.Settle()
	if !strings.Contains(r.Dump(), "call it motion_s") {
		t.Errorf("not told:\n%s", r.Dump())
	}
}
