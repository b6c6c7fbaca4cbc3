// SPDX-License-Identifier: MIT

package main

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"gaitwright/assets"
	"gaitwright/motion/output"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/workfile"
)

// wire is a line to a process.
type wire struct {
	io.Reader
	io.WriteCloser
	cmd *exec.Cmd
}

func (w *wire) Close() error { return w.WriteCloser.Close() }

// person types when she reads something.
type person struct {
	mu   sync.Mutex
	seen bytes.Buffer
	news chan struct{}
}

func (p *person) Write(b []byte) (int, error) {
	p.mu.Lock()
	p.seen.Write(b)
	p.mu.Unlock()
	select {
	case p.news <- struct{}{}:
	default:
	}
	return len(b), nil
}

// reads waits until a text was written, and forgets what was before.
func (p *person) reads(t *testing.T, text string) {
	t.Helper()
	limit := time.After(30 * time.Second)
	for {
		p.mu.Lock()
		all := p.seen.String()
		i := strings.Index(all, text)
		if i >= 0 {
			p.seen.Next(i + len(text))
		}
		p.mu.Unlock()
		if i >= 0 {
			return
		}
		select {
		case <-p.news:
		case <-limit:
			t.Fatalf("never read %q; there was:\n%s", text, all)
		}
	}
}

// TestLink lets a robot in another process follow the end of the demo: gait_link.c
// on one end, the command on the other.
func TestLink(t *testing.T) {
	dir := t.TempDir()
	bin := filepath.Join(dir, "robot")
	if out, err := exec.Command("cc", "-std=c99", "-O1", "-g", "-Wall", "-Wextra", "-Werror", "-fsanitize=address,undefined", "-fno-sanitize-recover=all",
		"-o", bin, "../../link/testdata/live.c", "../../assets/firmware/gait_link.c").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	told := filepath.Join(dir, "told")
	robot := exec.Command(bin, told)
	in, err := robot.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := robot.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	robot.Stderr = os.Stderr
	if err := robot.Start(); err != nil {
		t.Fatal(err)
	}

	keys, typing := io.Pipe()
	p := &person{news: make(chan struct{}, 1)}
	log := filepath.Join(dir, "log.csv")
	done := make(chan int)
	go func() {
		done <- run([]string{"link", "--port", "robot", "--from", "12.4", "--speed", "0.5", "--log", log}, &env{
			stdin: keys, stdout: p, stderr: p, now: time.Now,
			port: func(name string, baud int) (io.ReadWriteCloser, error) {
				if name != "robot" || baud != 115200 {
					t.Errorf("port %q at %d", name, baud)
				}
				return &wire{out, in, robot}, nil
			},
		})
	}()
	says := func(s string) { fmt.Fprintln(typing, s) }
	p.reads(t, "18 channels")
	p.reads(t, "feet in the air")
	says("arm")
	p.reads(t, "ask first")
	says("ask")
	p.reads(t, "type arm within ten seconds")
	says("arm")
	p.reads(t, "It is in the pose")
	says("play")
	p.reads(t, "The end of the motion")
	time.Sleep(100 * time.Millisecond)
	says("quit")
	if code := <-done; code != exitFine {
		t.Errorf("status %d", code)
	}
	if err := robot.Wait(); err != nil {
		t.Error(err)
	}

	// The servos are where the motion ends.
	f, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	r, err := rehearsal.Run(f, rehearsal.Options{})
	if err != nil {
		t.Fatal(err)
	}
	lines, err := output.Lines(r.Built)
	if err != nil {
		t.Fatal(err)
	}
	want := output.Pose(nil, lines, r.Trajectory, math.Inf(1))
	var at [18]float64
	var last [18]int
	file, err := os.Open(told)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	moved := 0
	for s := bufio.NewScanner(file); s.Scan(); {
		var ms, c, v int
		if n, _ := fmt.Sscan(s.Text(), &ms, &c, &v); n != 3 {
			continue
		}
		at[c] = float64(v) / 8
		if ms-last[c] < 0 {
			t.Fatalf("%s after %d ms", s.Text(), last[c])
		}
		last[c] = ms
		moved++
	}
	for c := range want {
		if math.Abs(at[c]-want[c]) > 1./16+1e-9 {
			t.Errorf("channel %d ends at %v us, want %v", c, at[c], want[c])
		}
	}
	text, err := os.ReadFile(log)
	if err != nil {
		t.Fatal(err)
	}
	rows := strings.Split(strings.TrimSpace(string(text)), "\n")
	if len(rows) < 50 || !strings.HasPrefix(rows[0], "robot_s,motion_s,LF_down,") || strings.Count(rows[40], ",") != strings.Count(rows[0], ",") ||
		!strings.Contains(rows[40], ",1,0,1,0,0,0,") {
		t.Errorf("%d rows, such as\n%s\n%s", len(rows), rows[0], rows[min(40, len(rows)-1)])
	}
	if moved < 1000 {
		t.Errorf("only %d changes", moved)
	}
}

// TestLinkInterrupted: Ctrl+C while the robot follows stops it at once and keeps
// what was logged.
func TestLinkInterrupted(t *testing.T) {
	dir := t.TempDir()
	bin, told, log := filepath.Join(dir, "robot"), filepath.Join(dir, "told"), filepath.Join(dir, "log.csv")
	if out, err := exec.Command("cc", "-std=c99", "-O1", "-o", bin, "../../link/testdata/live.c", "../../assets/firmware/gait_link.c").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	robot := exec.Command(bin, told)
	in, err := robot.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := robot.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := robot.Start(); err != nil {
		t.Fatal(err)
	}
	keys, typing := io.Pipe()
	p := &person{news: make(chan struct{}, 1)}
	done := make(chan int)
	var interrupt context.CancelFunc
	began := make(chan struct{})
	go func() {
		done <- run([]string{"link", "--port", "robot", "--log", log}, &env{
			stdin: keys, stdout: p, stderr: p, now: time.Now,
			port: func(string, int) (io.ReadWriteCloser, error) { return &wire{out, in, robot}, nil },
			interrupted: func(ctx context.Context) (context.Context, context.CancelFunc) {
				defer close(began)
				ctx, interrupt = context.WithCancel(ctx)
				return ctx, interrupt
			},
		})
	}()
	p.reads(t, "feet in the air")
	fmt.Fprintln(typing, "ask")
	p.reads(t, "type arm within ten seconds")
	fmt.Fprintln(typing, "arm")
	p.reads(t, "It is in the pose")
	<-began
	interrupt()
	p.reads(t, "the robot is told to stop")
	if code := <-done; code != exitInterrupted {
		t.Errorf("status %d", code)
	}
	if err := robot.Wait(); err != nil {
		t.Error(err)
	}
	text, err := os.ReadFile(log)
	if err != nil || strings.Count(string(text), "\n") < 3 {
		t.Errorf("%v, the log is %q", err, text)
	}
}

// stuck is a line that answers and takes bytes until it does neither, as an
// adapter that hangs: a write never returns.
type stuck struct {
	wire
	now chan struct{}
}

func (s *stuck) Write(p []byte) (int, error) {
	select {
	case <-s.now:
		select {}
	default:
		return s.wire.Write(p)
	}
}

func (s *stuck) Read(p []byte) (int, error) {
	n, err := s.wire.Read(p)
	select {
	case <-s.now:
		select {}
	default:
		return n, err
	}
}

// TestLinkStuck: a robot that falls silent while it follows is told of, nothing
// is played on, and a line that takes nothing any more does not keep the
// program: it says that the stop did not get through.
func TestLinkStuck(t *testing.T) {
	dir := t.TempDir()
	bin := filepath.Join(dir, "robot")
	if out, err := exec.Command("cc", "-std=c99", "-O1", "-o", bin, "../../link/testdata/live.c", "../../assets/firmware/gait_link.c").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	robot := exec.Command(bin, filepath.Join(dir, "told"))
	in, err := robot.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := robot.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := robot.Start(); err != nil {
		t.Fatal(err)
	}
	line := &stuck{wire: wire{out, in, robot}, now: make(chan struct{})}
	keys, typing := io.Pipe()
	p := &person{news: make(chan struct{}, 1)}
	done := make(chan int)
	go func() {
		done <- run([]string{"link", "--port", "robot"}, &env{
			stdin: keys, stdout: p, stderr: p, now: time.Now,
			port: func(string, int) (io.ReadWriteCloser, error) { return line, nil },
		})
	}()
	p.reads(t, "feet in the air")
	fmt.Fprintln(typing, "ask")
	p.reads(t, "type arm within ten seconds")
	fmt.Fprintln(typing, "arm")
	p.reads(t, "It is in the pose")
	fmt.Fprintln(typing, "play")
	p.reads(t, "Playing from")
	close(line.now)
	p.reads(t, "does not answer any more")
	fmt.Fprintln(typing, "quit")
	p.reads(t, "was not told to stop")
	if code := <-done; code != exitUnable {
		t.Errorf("status %d", code)
	}
	in.Close()
	if err := robot.Wait(); err != nil {
		t.Error(err)
	}
}

// TestLinkRefuses has no robot, no port, a motion with stops.
func TestLinkRefuses(t *testing.T) {
	gone := func(string, int) (io.ReadWriteCloser, error) { return nil, fmt.Errorf("cannot open port x") }
	for _, c := range []struct {
		args []string
		code int
		want string
	}{
		{[]string{"link", "--port", "x"}, exitUnable, "cannot open port"},
		{[]string{"link", "../../assets/faults/low-strike.toml", "--port", "x"}, exitStop, "low-strike"},
		{[]string{"link", "--port", "x", "--speed", "9"}, exitUnable, "--speed"},
		{[]string{"link", "--port", "x", "--from", "99"}, exitUnable, "--from"},
		{[]string{"link", "--port", "x", "--bound", "0"}, exitUnable, "--bound"},
		{[]string{"link", "--port", "x", "--hold", "-1"}, exitUnable, "--hold"},
		{[]string{"link", "--port", "x", "--baud", "7"}, exitUnable, "--baud"},
		{[]string{"link"}, exitUnable, "no serial port"},
	} {
		var out, bad bytes.Buffer
		code := run(c.args, &env{stdin: strings.NewReader(""), stdout: &out, stderr: &bad, now: time.Now, port: gone,
			ports: func() ([]string, error) { return nil, nil }})
		if code != c.code || !strings.Contains(bad.String(), c.want) {
			t.Errorf("%v: status %d, %s", c.args, code, bad.String())
		}
	}
}
