// SPDX-License-Identifier: MIT

package link

import (
	"errors"
	"fmt"
	"io"
	"sync"
	"time"
)

// Session drives a Host on a line: it reads what comes, sends what is due, and
// notes when the line goes away. It is for use from several goroutines.
type Session struct {
	port  io.ReadWriteCloser
	clock func() time.Time

	mu   sync.Mutex
	host *Host
	err  error
	done chan struct{}
	quit chan struct{}
	once sync.Once
	wg   sync.WaitGroup
}

// ErrGone is what a session's error wraps when the line went away.
var ErrGone = errors.New("link: the line is gone: was the cable pulled, or does another program use the port?")

// tick is how often a session looks what is to be sent.
const tick = 4 * time.Millisecond

// Start begins a session on a line, which it closes at its end.
func Start(port io.ReadWriteCloser, c Config, clock func() time.Time) *Session {
	s := &Session{port: port, clock: clock, host: New(c), done: make(chan struct{}), quit: make(chan struct{})}
	s.wg.Add(2)
	go s.read()
	go s.write()
	return s
}

// Do lets f work with the host, and gives its error, or why the line is gone.
func (s *Session) Do(f func(h *Host, now time.Time) error) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.err != nil {
		return s.err
	}
	return f(s.host, s.clock())
}

// View tells what is known of the robot; the error is why the line is gone.
func (s *Session) View() (View, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.host.View(s.clock()), s.err
}

// fail notes why the line is gone; the first reason stays.
func (s *Session) fail(err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.err == nil {
		s.err = fmt.Errorf("%w (%v)", ErrGone, err)
		close(s.done)
	}
}

// Gone is closed when the line is gone.
func (s *Session) Gone() <-chan struct{} { return s.done }

func (s *Session) read() {
	defer s.wg.Done()
	buf := make([]byte, 512)
	for {
		n, err := s.port.Read(buf)
		if n > 0 {
			s.mu.Lock()
			s.host.Receive(buf[:n], s.clock())
			s.mu.Unlock()
		}
		if err != nil {
			s.fail(err)
			return
		}
		select {
		case <-s.quit:
			return
		default:
		}
	}
}

func (s *Session) write() {
	defer s.wg.Done()
	t := time.NewTicker(tick)
	defer t.Stop()
	for {
		select {
		case <-s.quit:
			return
		case <-s.done:
			return
		case <-t.C:
		}
		if err := s.flush(); err != nil {
			s.fail(err)
			return
		}
	}
}

// flush sends what is due. The line may be slow: nobody waits for it meanwhile.
func (s *Session) flush() error {
	s.mu.Lock()
	p := append([]byte(nil), s.host.Tick(s.clock())...)
	s.mu.Unlock()
	if len(p) == 0 {
		return nil
	}
	_, err := s.port.Write(p)
	return err
}

// patience is how long Close waits for a line that takes nothing, in all some
// two times this.
const patience = 400 * time.Millisecond

// ErrStuck is what Close gives when the line took no more: a robot that was
// armed has not heard that it is to stop.
var ErrStuck = errors.New("link: the line takes nothing any more: the stop did not get through; cut the servos' power if it moves")

// Close ends the session. A robot that is armed is stopped first: it stands
// still, and goes limp when the time to hold is over. A line that is stuck is
// left to itself after some time.
func (s *Session) Close() error {
	var err error
	s.once.Do(func() {
		s.mu.Lock()
		gone := s.err != nil
		live := s.host.view.State.Live()
		if !gone && live {
			s.host.Stop(s.clock())
		}
		s.mu.Unlock()
		close(s.quit)
		through := gone || within(patience, func() { _ = s.flush() }) // closing tells what is wrong with the line
		shut := within(patience, func() {
			err = s.port.Close()
			s.wg.Wait()
		})
		switch {
		case !through && live:
			err = ErrStuck
		case !shut:
			err = ErrGone
		}
	})
	return err
}

// within tells whether f ended in time; else it goes on by itself.
func within(limit time.Duration, f func()) bool {
	done := make(chan struct{})
	go func() { defer close(done); f() }()
	t := time.NewTimer(limit)
	defer t.Stop()
	select {
	case <-done:
		return true
	case <-t.C:
		return false
	}
}
