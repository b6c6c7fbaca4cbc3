// SPDX-License-Identifier: MIT

package chip

import (
	"fmt"
	"io"
	"math"
	"os/exec"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"gaitwright/link"
)

// session is the real program in a process of its own, on the pseudo-terminal
// of a simulated part, and a person who reads and types.
type session struct {
	*part
	cmd  *exec.Cmd
	keys io.WriteCloser
	done chan error

	mu   sync.Mutex
	text strings.Builder
	read int
}

// Write is where the program writes to.
func (s *session) Write(b []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.text.Write(b)
}

// news gives what was written since it was asked last.
func (s *session) news() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	all := s.text.String()
	n := all[s.read:]
	s.read = len(all)
	return n
}

// open starts the program on the part's terminal.
func (b *bench) open(t *testing.T, p *part, terminal string, args ...string) *session {
	t.Helper()
	s := &session{part: p, done: make(chan error, 1)}
	s.cmd = exec.Command(b.program, append([]string{"link", "--port", terminal}, args...)...)
	s.cmd.Stdout, s.cmd.Stderr = s, s
	var err error
	if s.keys, err = s.cmd.StdinPipe(); err != nil {
		t.Fatal(err)
	}
	if err := s.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	go func() { s.done <- s.cmd.Wait() }()
	t.Cleanup(func() { _ = s.cmd.Process.Kill() }) // where the test has failed
	return s
}

func (s *session) types(line string) { fmt.Fprintln(s.keys, line) }

// until lets time go on until the program has written one of some texts, and
// tells which; what was written before it is forgotten.
func (s *session) until(texts ...string) int {
	s.t.Helper()
	for began := time.Now(); ; {
		s.do("live 40")
		s.mu.Lock()
		all := s.text.String()
		first, which := len(all), -1
		for n, text := range texts {
			if i := strings.Index(all[s.read:], text); i >= 0 && s.read+i < first {
				first, which = s.read+i, n
			}
		}
		if which >= 0 {
			s.read = first + len(texts[which])
		}
		s.mu.Unlock()
		if which >= 0 {
			return which
		}
		if time.Since(began) > 3*time.Minute {
			s.t.Fatalf("never read %q; there was:\n%s", texts, all)
		}
	}
}

// arms asks, again where a busy machine lost the robot for a moment, and arms.
// While nothing is armed the program says but hello, twice a second.
func (s *session) arms() {
	s.t.Helper()
	s.do("ahead 600")
	for again := true; again; {
		s.types("ask")
		again = s.until("type arm within ten seconds", "ask again", "no robot answers") > 0
	}
	s.do("ahead 60")
	s.types("arm")
	s.until("It is in the pose")
}

// leaves waits for the program's end.
func (s *session) leaves() {
	s.t.Helper()
	for began := time.Now(); time.Since(began) < time.Minute; time.Sleep(5 * time.Millisecond) {
		s.do("run 5")
		select {
		case err := <-s.done:
			if err != nil {
				s.t.Fatalf("the program: %v\n%s", err, s.text.String())
			}
			return
		default:
		}
	}
	s.t.Fatal("the program does not end")
}

var robot = []string{"example_avr/link.c", "example_avr/pulses.c", "gait_robot.c", "gait_link.c", "gait_player.c"}

// live: the real program leads the simulated part through the demo's strike,
// lets it play its own table, is silent, comes back, stops, and arms again.
func live(t *testing.T, b *bench, d *demo) {
	p := b.start(t, b.firmware(t, b.tables, []string{"to_the_drum", "strike"}, robot...))
	_, terminal := p.do("pty")
	p.do("ahead 600")
	s := b.open(t, p, terminal, "--from", "9.0", "--hold", "1.5", "--bound", "300")
	s.until("18 channels")
	s.types("arm") // without asking
	s.until("ask first")
	s.arms()
	arrived, _ := s.do("live 100")
	s.types("play")
	s.until("Playing from")
	s.do("live 1500")
	s.types("wait")
	s.until("Waiting at")
	s.do("live 300")
	waited, _ := s.do("live 100")

	// The robot's own table.
	s.types("table 7")
	s.until("no such table")
	s.types("table 1")
	s.until("plays a table")
	s.until("The table is over")
	over, _ := s.do("live 60")

	// Silence while it plays again: nothing is taken off the line.
	s.types("table 1")
	s.until("plays a table")
	s.do("live 1000")
	silent, _ := s.do("run 400")
	s.until("holds, the line was silent")
	s.until("The table is over") // of which it knows no more than that it follows again
	s.types("play")
	s.until("Type play again")
	s.until("It is in the pose")
	s.types("play")
	s.do("live 300")

	// One key.
	s.types("")
	s.until("stopped, stands still")
	stopped, _ := s.do("live 60")
	still, _ := s.do("live 300")
	s.arms()
	s.types("play")
	s.do("live 300")

	// Silence until it is limp.
	s.do("run 300")
	held, _ := s.do("run 1200")
	limp, _ := s.do("run 400")
	s.do("ahead 600")
	s.until("off, no pulses")
	s.types("quit")
	s.leaves()
	r := p.end()

	x := decode(t, r)
	if err := x.verify(t, d); err != nil {
		t.Error(err)
	}
	if !x.equalAt(arrived, 0.6) || !x.equalAt(waited, 0.6) {
		t.Error("the pulses are not those of the pose that was sent")
	}
	last := d.sheet(t, "strike")
	row := last.Row(last.Frames - 1)
	for pin := range pins {
		if q := x.pulse(pin, over); q == nil || math.Abs(q.us-last.Value(row[pin])) > 0.6 {
			t.Errorf("pin %d after the table: %v, want %.2f µs", pin, q, last.Value(row[pin]))
		}
	}
	x.standsStill(t, "silence", silent-100*16000, silent)
	x.standsStill(t, "stopped", stopped, still)
	x.standsStill(t, "held", held-1000*16000, held)
	for pin := range pins {
		if q := x.pulse(pin, limp); q == nil || limp-q.from < 5*frame || q.from < held-frame*2 {
			t.Errorf("pin %d: limp at %d, its last pulse at %v, held until %d", pin, limp, q, held)
		}
	}
	x.table(t, d, "strike")
	// A pulse that is wrong while it follows does not pass.
	q := x.pulse(9, waited)
	q.us += 100
	if err := x.verify(t, d); err == nil || !strings.HasPrefix(err.Error(), "pin 9 at ") {
		t.Errorf("a wrong pulse is told as %v", err)
	}
	t.Logf("interrupts: edges run %d cycles at the most, receiving %d, sending %d", r.longest[17], r.longest[25], r.longest[26])
	if most := r.longest[17] + r.longest[26]; most > 2*16000000*10/115200 {
		t.Errorf("a byte waits for %d cycles: the receiver keeps two", most)
	}
}

// badLine: one byte in a hundred gets lost, one bit in a hundred is wrong, in
// both directions; the person asks and arms again and again.
func badLine(t *testing.T, b *bench, d *demo) {
	p := b.start(t, b.firmware(t, b.tables, []string{"to_the_drum", "strike"}, robot...))
	_, terminal := p.do("pty")
	p.do("spoil 10 10 7")
	p.do("ahead 600") // of a program that says hello twice a second
	var s *session
	follows, holds := 0, 0
	free := uint64(0) // when the person types again, if nothing else happens
	for began, cycle := time.Now(), uint64(0); (cycle < 20*16e6 || follows == 0) && time.Since(began) < 3*time.Minute; {
		if s == nil {
			s = b.open(t, p, terminal, "--from", "9.0", "--bound", "300", "--hold", "2")
			free = math.MaxUint64
		}
		cycle, _ = s.do("live 40")
		select {
		case <-s.done: // it found no robot: a person starts it again
			s = nil
			continue
		default:
		}
		text := s.news()
		says := func(line string) { s.types(line); free = cycle + 5*16e6 }
		switch {
		case strings.Contains(text, "type arm within"):
			says("arm")
		case strings.Contains(text, "It is in the pose"), strings.Contains(text, "The robot follows"):
			follows++
			says("play")
		case strings.Contains(text, "Commands:"), strings.Contains(text, "ask again"), strings.Contains(text, "ask first"),
			strings.Contains(text, "no robot answers"), strings.Contains(text, "off, no pulses"), strings.Contains(text, "not now"), cycle > free:
			says("ask")
		}
		holds += strings.Count(text, "holds, the line was silent")
	}
	if s != nil {
		s.types("quit")
		s.leaves()
	}
	r := p.end()
	x := decode(t, r)
	if err := x.verify(t, d); err != nil {
		t.Error(err)
	}
	t.Logf("bad line: %d times it followed, %d times it held; %d bytes sent, %d came; %d poses sent, %d came whole", follows, holds, len(r.program), len(r.came), len(x.poses), len(x.taken))
	if x.states[link.Follow] == 0 {
		if s != nil {
			t.Log(s.text.String())
		}
		t.Error("it has never followed: this proves nothing")
	}
}

// sortedAt gives the index of the last stamp at or before a cycle.
func sortedAt[T any](all []T, cycle uint64, at func(*T) uint64) int {
	n, _ := slices.BinarySearchFunc(all, cycle, func(x T, c uint64) int {
		if at(&x) <= c {
			return -1
		}
		return 1
	})
	return n - 1
}
