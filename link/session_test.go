// SPDX-License-Identifier: MIT

package link

import (
	"errors"
	"io"
	"strings"
	"sync"
	"testing"
	"time"

	"gaitwright/link/line"
)

// fake is a line whose robot is made of frames.
type fake struct {
	*io.PipeReader // what the robot says
	say            *io.PipeWriter
	mu             sync.Mutex
	heard          []byte
	closed         int
	refuse         error
}

func newFake() *fake {
	r, w := io.Pipe()
	return &fake{PipeReader: r, say: w}
}

func (f *fake) Write(p []byte) (int, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.heard = append(f.heard, p...)
	return len(p), f.refuse
}

func (f *fake) Close() error {
	f.mu.Lock()
	f.closed++
	f.mu.Unlock()
	return f.PipeReader.Close()
}

func (f *fake) kinds() (out []line.Kind) {
	f.mu.Lock()
	defer f.mu.Unlock()
	var s line.Splitter
	for p := f.heard; ; {
		stretch, rest, ok := s.Take(p)
		if !ok {
			return out
		}
		p = rest
		b, _ := line.Unstuff(nil, stretch)
		out = append(out, line.Kind(b[0]))
	}
}

func eventually(t *testing.T, what string, holds func() bool) {
	t.Helper()
	for range 2000 {
		if holds() {
			return
		}
		time.Sleep(5 * time.Millisecond)
	}
	t.Fatalf("never: %s", what)
}

// TestGone pulls the cable, in either direction.
func TestGone(t *testing.T) {
	for name, pull := range map[string]func(*fake){
		"reading": func(f *fake) { f.say.CloseWithError(errors.New("device not configured")) },
		"writing": func(f *fake) { f.mu.Lock(); f.refuse = errors.New("device not configured"); f.mu.Unlock() },
	} {
		t.Run(name, func(t *testing.T) {
			f := newFake()
			s := Start(f, usual, time.Now)
			eventually(t, "hello", func() bool { return len(f.kinds()) > 0 })
			pull(f)
			<-s.Gone()
			_, err := s.View()
			if !errors.Is(err, ErrGone) || !strings.Contains(err.Error(), "not configured") {
				t.Errorf("%v", err)
			}
			if err := s.Do(func(*Host, time.Time) error { return nil }); !errors.Is(err, ErrGone) {
				t.Errorf("%v", err)
			}
			s.Close()
			s.Close()
			if f.closed != 1 {
				t.Errorf("closed %d times", f.closed)
			}
		})
	}
}

// TestCloseStops: closing the session of a robot that may move stops it.
func TestCloseStops(t *testing.T) {
	f := newFake()
	s := Start(f, usual, time.Now)
	status := make([]byte, 13)
	status[0] = byte(Follow)
	f.say.Write(line.Encode(nil, line.Frame{Kind: line.Status, Body: status}, 0))
	eventually(t, "state", func() bool { v, _ := s.View(); return v.State == Follow })
	eventually(t, "hello", func() bool { return len(f.kinds()) > 0 }) // which is due before anything else
	s.Close()
	all := f.kinds()
	if n := len(all); n < 3 || all[n-1] != line.Stop || all[n-3] != line.Stop {
		t.Errorf("%v", all)
	}
}
