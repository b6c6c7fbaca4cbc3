// SPDX-License-Identifier: MIT

package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"time"

	"gaitwright/link"
	"gaitwright/link/follow"
	"gaitwright/motion/record"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/review"
)

type linkCmd struct {
	fileArg         `embed:""`
	Port            string  `help:"Serial port that the robot is on, such as /dev/ttyUSB0 or COM3; without it the ports are listed." placeholder:"NAME"`
	Baud            int     `help:"Speed of the port, bit/s." default:"${baud}" placeholder:"N"`
	From            float64 `help:"Instant of the motion to begin at, s." placeholder:"SECONDS"`
	Speed           float64 `help:"Play the motion at this share of its speed." default:"1" placeholder:"SHARE"`
	Bound           float64 `help:"Greatest speed of a joint, degrees per second." default:"200" placeholder:"DEG_S"`
	Hold            float64 `help:"When the line is silent the robot holds this long, then its pulses are cut, s." default:"5" placeholder:"SECONDS"`
	Log             string  `help:"Write what the robot reports of foot switches and joints into this file (CSV)." placeholder:"F.csv"`
	DespiteFindings bool    `help:"Send poses that the review stops as well."`
}

// Run lets the robot on a serial port follow the motion. It is armed in two
// acts; a line of input that is no command stops it.
func (c *linkCmd) Run(e *env) (err error) {
	if c.Port == "" {
		return c.list(e)
	}
	switch {
	case !(c.Speed > 0 && c.Speed <= 2):
		return fmt.Errorf("--speed must lie above 0 and up to 2, got %v", c.Speed)
	case !(c.Bound >= 1 && c.Bound <= 1000):
		return fmt.Errorf("--bound must lie from 1 to 1000 degrees per second, got %v", c.Bound)
	case !(c.Hold >= 0 && c.Hold <= 60):
		return fmt.Errorf("--hold must lie from 0 to 60 s, got %v", c.Hold)
	case c.Baud < 1200 || c.Baud > 4000000:
		return fmt.Errorf("--baud must lie from 1200 to 4000000, got %v", c.Baud)
	}
	if err := spared(c.Log, "--log", c.File); err != nil {
		return err
	}
	s, err := c.load()
	if err != nil {
		return err
	}
	r, err := s.rehearse(e, 0)
	if err != nil {
		return err
	}
	f, err := follow.New(r)
	if err != nil {
		return fmt.Errorf("%s: %w", s.name, err)
	}
	if !(c.From >= 0 && c.From <= r.Trajectory.Duration()) {
		return fmt.Errorf("--from must lie from 0 to %.3f s, the length of the motion, got %v", r.Trajectory.Duration(), c.From)
	}
	if n := review.Stops(r.Findings); n > 0 && !c.DespiteFindings {
		for _, f := range r.Findings {
			if f.Level == review.Stop {
				fmt.Fprintf(e.stderr, "%.3f s: %s: %s\n", f.Worst, f.Word, f.Why)
			}
		}
		fmt.Fprintf(e.stderr, "gaitwright: %d stops forbid running this on the robot; mend them, or add --despite-findings\n", n)
		return errStop
	}
	p, err := e.port(c.Port, c.Baud)
	if err != nil {
		return err
	}
	x := &linked{
		env: e, cmd: c, run: r, follower: f, at: c.From,
		session: link.Start(p, link.Config{
			Channels: len(f.Lines), Speed: f.Speed(c.Bound),
			Hold: time.Duration(c.Hold * float64(time.Second)),
		}, e.now),
	}
	defer func() {
		switch bad := x.close(); {
		case bad != nil && err != nil:
			e.complain(bad)
		case bad != nil:
			err = bad
		}
	}()
	if c.Log == "" {
		return x.talk()
	}
	file, err := os.Create(c.Log)
	if err != nil {
		return fmt.Errorf("cannot write the log: %w", err)
	}
	to := bufio.NewWriter(file)
	x.log = record.NewWriter(to, r.Built)
	err = x.talk()
	if bad := errors.Join(to.Flush(), file.Close()); bad != nil {
		err = errors.Join(err, fmt.Errorf("cannot write the log: %w", bad))
	}
	return err
}

func (c *linkCmd) list(e *env) error {
	names, err := e.ports()
	if err != nil {
		return err
	}
	if len(names) == 0 {
		return errors.New("no serial port is there; is the cable in? Then give its name with --port")
	}
	for _, n := range names {
		if _, err := fmt.Fprintln(e.stdout, n); err != nil {
			return fmt.Errorf("cannot write the ports: %w", err)
		}
	}
	return nil
}

// linked is a link under way.
type linked struct {
	env      *env
	cmd      *linkCmd
	run      *rehearsal.Rehearsal
	follower *follow.Follower
	session  *link.Session
	log      *record.Writer

	at      float64 // of the motion, s
	playing bool
	away    bool // the robot plays a table of its own, or has, and is not back
	silent  bool
	last    time.Time
	state   link.State
	fault   link.Fault
	blocked string
}

// step is how often the pose is looked up.
const step = 10 * time.Millisecond

// talk talks with the person until the end. An interrupt (Ctrl+C) stops the
// robot and ends, and what was logged stays.
func (x *linked) talk() error {
	out := x.env.stdout
	ctx, stop := context.WithCancel(context.Background())
	if x.env.interrupted != nil {
		ctx, stop = x.env.interrupted(ctx)
	}
	defer stop()
	context.AfterFunc(ctx, stop) // a second time it ends the program
	typed := make(chan string)
	end := make(chan struct{})
	defer close(end)
	go func() {
		in := bufio.NewScanner(x.env.stdin)
		for in.Scan() {
			select {
			case typed <- strings.TrimSpace(in.Text()):
			case <-end:
				return
			}
		}
		close(typed)
	}()
	if x.log != nil {
		_ = x.session.Do(func(h *link.Host, _ time.Time) error { h.Watch(20 * time.Millisecond); return nil })
	}
	if err := x.find(ctx); err != nil {
		return err
	}
	fmt.Fprintln(out, "The robot is about to move by itself.")
	for _, s := range follow.Cautions() {
		fmt.Fprintln(out, "- "+s)
	}
	fmt.Fprintf(out, "Commands: ask, then arm; play, wait, table N, limp, quit. An empty line, or any other, stops the robot at once.\n")
	t := time.NewTicker(step)
	defer t.Stop()
	for {
		select {
		case <-ctx.Done():
			return x.interrupt()
		case s, ok := <-typed:
			if !ok || s == "quit" {
				return x.leave()
			}
			if err := x.command(ctx, s); err != nil {
				fmt.Fprintln(out, strings.TrimPrefix(err.Error(), "link: "))
			}
		case <-t.C:
			if err := x.follow(); err != nil {
				return err
			}
		}
	}
}

// find waits for the robot to answer.
func (x *linked) find(ctx context.Context) error {
	fmt.Fprintf(x.env.stdout, "Looking for the robot on %s …\n", x.cmd.Port)
	for began := x.env.now(); x.env.now().Sub(began) < 5*time.Second; time.Sleep(step) {
		if ctx.Err() != nil {
			return x.interrupt()
		}
		v, err := x.session.View()
		if err != nil {
			return err
		}
		if v.There && v.Info.Version != 0 {
			fmt.Fprintf(x.env.stdout, "It answers: %d channels, at most %.0f us a ms, %s.\n", v.Info.Channels, v.Info.Speed/1000, v.State)
			x.state = v.State
			return nil
		}
	}
	return link.ErrAway
}

// command does what the person typed.
func (x *linked) command(ctx context.Context, s string) error {
	out := x.env.stdout
	switch s {
	case "ask":
		x.playing, x.away = false, false
		if err := x.aim(); err != nil {
			return err
		}
		ask := func() error {
			return x.session.Do(func(h *link.Host, now time.Time) error { return h.Ask(now) })
		}
		if err := ask(); err != nil {
			return err
		}
		asked := x.env.now()
		for began := asked; ctx.Err() == nil && x.env.now().Sub(began) < 3*time.Second; time.Sleep(step) {
			if v, err := x.session.View(); err != nil {
				return err
			} else if v.Ready {
				fmt.Fprintln(out, "The robot is ready to be armed. Look once more that nobody is near it, then type arm within ten seconds: its joints wake one after another and go slowly to the pose.")
				return nil
			}
			if now := x.env.now(); now.Sub(asked) > 300*time.Millisecond {
				asked = now
				_ = ask() // it may have been lost; what stands against it was told the first time
			}
		}
		return errors.New("the robot gave no key: ask again")
	case "arm":
		return x.session.Do(func(h *link.Host, now time.Time) error {
			if x.cmd.DespiteFindings {
				h.Override()
			}
			return h.Arm(now)
		})
	case "play":
		if x.state != link.Follow {
			return fmt.Errorf("not now: the robot %s", x.state)
		}
		if x.at >= x.run.Trajectory.Duration() {
			x.at = x.cmd.From
		}
		if x.away {
			x.away = false
			fmt.Fprintf(out, "First it goes from the end of the table to the pose at %.3f s. Type play again when it is there.\n", x.at)
			return x.aim()
		}
		x.playing, x.last = true, x.env.now()
		fmt.Fprintf(out, "Playing from %.3f s.\n", x.at)
		return nil
	case "wait":
		x.playing = false
		fmt.Fprintf(out, "Waiting at %.3f s.\n", x.at)
		return nil
	}
	x.playing = false
	mode := (*link.Host).Stop
	if word, number, ok := strings.Cut(s, " "); ok && word == "table" {
		if n, err := strconv.Atoi(strings.TrimSpace(number)); err == nil {
			return x.table(n)
		}
		fmt.Fprintf(out, "Stopped: a table has a number, not %q.\n", number)
	}
	if s == "limp" {
		mode = (*link.Host).Limp
	}
	return x.session.Do(func(h *link.Host, now time.Time) error { mode(h, now); return nil })
}

// table lets the robot play one of its own tables, once.
func (x *linked) table(n int) error {
	if err := x.session.Do(func(h *link.Host, now time.Time) error { return h.Play(n, x.cmd.Speed, 1, now) }); err != nil {
		return err
	}
	x.away = true
	fmt.Fprintf(x.env.stdout, "The robot is asked to play its table %d, counted from 0 in its gait_tables.h. What is in it was reviewed when it was exported, not now.\n", n)
	return nil
}

// aim tells the host the pose of the present instant.
func (x *linked) aim() error {
	p := x.follower.Pose(x.at, nil)
	return x.session.Do(func(h *link.Host, _ time.Time) error {
		if err := h.Aim(p); err != nil {
			return err
		}
		if x.cmd.DespiteFindings {
			h.Override()
		}
		return nil
	})
}

// follow lets time go on and tells what has changed.
func (x *linked) follow() error {
	v, err := x.session.View()
	if err != nil {
		return err
	}
	x.record(&v)
	out := x.env.stdout
	if silent := !v.There; silent != x.silent {
		if x.silent = silent; silent {
			x.playing = false
			fmt.Fprintf(out, "The robot does not answer any more, at %.3f s. By itself it holds, and goes limp %v s later. If in doubt cut the servos' power.\n", x.at, x.cmd.Hold)
		} else {
			fmt.Fprintf(out, "It answers again: it %s.\n", v.State)
		}
	}
	if v.State != x.state {
		fmt.Fprintf(out, "The robot %s.\n", v.State)
		x.state = v.State
		if v.State == link.Follow && !x.playing && !x.away {
			fmt.Fprintln(out, "It is in the pose. Type play, or an empty line to stop it.")
		}
		if v.State == link.Follow && x.away {
			fmt.Fprintln(out, "The table is over. Type play to go back to the motion, or an empty line to stop it.")
		}
	}
	if v.Fault != x.fault {
		if x.fault = v.Fault; v.Fault != 0 {
			fmt.Fprintf(out, "It says: %s.\n", v.Fault)
		}
	}
	if v.Blocked != x.blocked {
		if x.blocked = v.Blocked; v.Blocked != "" {
			fmt.Fprintf(out, "Held back at %.3f s, the review stops this pose: %s.\n", x.at, v.Blocked)
			x.playing = false
		}
	}
	if !x.playing {
		return nil
	}
	if x.state != link.Follow {
		x.playing = false
		fmt.Fprintf(out, "No longer playing, at %.3f s.\n", x.at)
		return nil
	}
	now := x.env.now()
	if v.Behind <= follow.Late {
		x.at += x.cmd.Speed * min(now.Sub(x.last), 5*step).Seconds()
	}
	x.last = now
	if end := x.run.Trajectory.Duration(); x.at >= end {
		x.at, x.playing = end, false
		fmt.Fprintln(out, "The end of the motion. Type play for once more, limp to cut the pulses, quit to end.")
	}
	return x.aim()
}

// interrupt stops the robot and ends in haste.
func (x *linked) interrupt() error {
	fmt.Fprintln(x.env.stderr, "gaitwright: interrupted, the robot is told to stop")
	return errors.Join(x.leave(), errInterrupted)
}

// errStuck is what a person has to know when the line does not end.
var errStuck = errors.New("the port takes nothing any more, so the robot was not told to stop: by itself it holds, and goes limp later. If in doubt cut the servos' power")

// close ends the session. An adapter that takes no more bytes would hold that up
// for ever: then the person has to know that the stop did not get through.
func (x *linked) close() error {
	if errors.Is(x.session.Close(), link.ErrStuck) {
		return errStuck
	}
	return nil // what else closing tells is known already
}

// leave stops the robot and ends.
func (x *linked) leave() error {
	return x.session.Do(func(h *link.Host, now time.Time) error { h.Stop(now); return nil })
}

// record writes what the robot has reported since the last look.
func (x *linked) record(v *link.View) {
	if x.log == nil {
		return
	}
	for i := range v.Seen {
		at := math.NaN()
		if x.playing {
			at = x.at
		}
		_ = x.log.Add(x.follower.Row(&v.Seen[i], at, v.Info.Switches)) // told by the flush at the end
	}
}
