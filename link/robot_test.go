// SPDX-License-Identifier: MIT

package link

import (
	"bufio"
	"encoding/hex"
	"fmt"
	"io"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

const channels = 18

// robot is gait_link.c, compiled for this machine with every check that the
// compiler has, on a line that may be bad.
type robot struct {
	t   *testing.T
	in  io.WriteCloser
	out *bufio.Scanner
	cmd *exec.Cmd

	host  *Host
	now   time.Time
	start time.Time
	spoil func(to bool, p []byte) []byte // what the line does to bytes; nil: nothing

	at       [channels]int
	driven   [channels]bool
	offs     int
	plays    []string
	halts    int
	poses    map[string]bool // that the host sent
	goals    int
	greatest int // change of a pulse within a millisecond, eighths of µs
}

// compile builds the robot once for a test.
func compile(t *testing.T) string {
	t.Helper()
	bin := filepath.Join(t.TempDir(), "robot")
	out, err := exec.Command("cc", "-std=c99", "-O1", "-g", "-Wall", "-Wextra", "-Werror", "-pedantic",
		"-fsanitize=address,undefined", "-fno-sanitize-recover=all", "-o", bin,
		"testdata/robot.c", "../assets/firmware/gait_link.c").CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	return bin
}

func start(t *testing.T, bin string, c Config) *robot {
	t.Helper()
	r := &robot{t: t, cmd: exec.Command(bin), host: New(c), poses: map[string]bool{}}
	r.start = time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	r.now = r.start
	in, err := r.cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := r.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	var said strings.Builder
	r.cmd.Stderr = &said
	if err := r.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	r.in, r.out = in, bufio.NewScanner(out)
	r.out.Buffer(nil, 1<<20)
	t.Cleanup(func() {
		in.Close()
		if err := r.cmd.Wait(); err != nil {
			t.Errorf("the robot: %v\n%s", err, said.String())
		}
	})
	return r
}

// do gives the robot a command and hears what happens.
func (r *robot) do(format string, args ...any) {
	r.t.Helper()
	if _, err := fmt.Fprintf(r.in, format+"\n", args...); err != nil {
		r.t.Fatalf("the robot has died: %v", err)
	}
	for r.out.Scan() {
		f := strings.Fields(r.out.Text())
		switch f[0] {
		case ".":
			return
		case "set":
			var c, v int
			fmt.Sscan(f[1], &c)
			fmt.Sscan(f[2], &v)
			if r.driven[c] {
				r.greatest = max(r.greatest, v-r.at[c], r.at[c]-v)
			}
			r.at[c], r.driven[c] = v, true
		case "off":
			r.offs++
			r.driven = [channels]bool{}
		case "send":
			p, err := hex.DecodeString(f[1])
			if err != nil {
				r.t.Fatal(err)
			}
			if r.spoil != nil {
				p = r.spoil(false, p)
			}
			r.host.Receive(p, r.now)
		case "goal":
			r.goals++
			if g := strings.Join(f[1:], " "); !r.poses[g] {
				r.t.Errorf("%v: the robot goes to a pose that was never sent: %s", r.now.Sub(r.start), g)
			}
		case "play":
			r.plays = append(r.plays, r.out.Text())
		case "halt":
			r.halts++
		}
	}
}

// run lets time go on, a millisecond at a time.
func (r *robot) run(d time.Duration) {
	r.t.Helper()
	for end := r.now.Add(d); r.now.Before(end); {
		r.step(true)
	}
}

// step lets a millisecond pass; with the program or without it.
func (r *robot) step(program bool) {
	r.t.Helper()
	r.now = r.now.Add(time.Millisecond)
	if program {
		p := append([]byte(nil), r.host.Tick(r.now)...)
		if r.host.sent != nil {
			var b []string
			for _, v := range r.host.sent {
				b = append(b, fmt.Sprint(int(8*v+0.5)))
			}
			r.poses[strings.Join(b, " ")] = true
		}
		if r.spoil != nil {
			p = r.spoil(true, p)
		}
		if len(p) > 0 {
			r.do("b %x", p)
		}
	}
	r.do("t %d", r.now.Sub(r.start).Milliseconds())
}

// until lets time go on until something holds.
func (r *robot) until(what string, limit time.Duration, holds func() bool) {
	r.t.Helper()
	for end := r.now.Add(limit); !holds(); {
		if !r.now.Before(end) {
			r.t.Fatalf("%v: still not %s; the robot %v, host %+v", r.now.Sub(r.start), what, r.host.view.State, r.host.View(r.now))
		}
		r.step(true)
	}
}

func (r *robot) view() View { return r.host.View(r.now) }

// is tells whether the robot has said that it is in a state.
func (r *robot) is(s State) func() bool { return func() bool { return r.host.view.State == s } }

// flat is a pose with all pulses alike, µs.
func flat(v float64) Pose {
	p := Pose{Pulses: make([]float64, channels)}
	for i := range p.Pulses {
		p.Pulses[i] = v
	}
	return p
}

// arm brings the robot to follow a pose. On a bad line a person asks again.
func (r *robot) arm(p Pose) {
	r.t.Helper()
	r.until("there", 20*time.Second, func() bool { return r.view().There && r.view().Info.Version == 1 })
	if err := r.host.Aim(p); err != nil {
		r.t.Fatal(err)
	}
	for tries := 0; !r.host.view.State.Live(); tries++ {
		if tries > 50 {
			r.t.Fatalf("not armed: %+v", r.view())
		}
		if err := r.host.Ask(r.now); err != nil {
			r.run(100 * time.Millisecond)
			continue
		}
		for range 300 {
			if r.step(true); r.view().Ready {
				break
			}
		}
		if !r.view().Ready || r.host.Arm(r.now) != nil {
			continue
		}
		for range 2500 {
			if r.step(true); r.host.view.State.Live() || !r.host.armed {
				break
			}
		}
	}
}
