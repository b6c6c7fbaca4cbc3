// SPDX-License-Identifier: MIT

package link

import (
	"errors"
	"math/rand/v2"
	"testing"
	"time"

	"gaitwright/link/line"
)

var usual = Config{Channels: channels, Speed: 4000, Hold: 3 * time.Second}

// TestFollow arms in two acts, follows poses within the bounds, and is
// stopped.
func TestFollow(t *testing.T) {
	r := start(t, compile(t), usual)
	if err := r.host.Ask(r.now); !errors.Is(err, ErrAway) {
		t.Errorf("asking nobody: %v", err)
	}
	r.until("there", time.Second, func() bool { return r.view().There })
	if v := r.view(); v.Info != (Info{Version: 1, Channels: channels, Switches: true, Positions: true, Tables: true, Speed: 4000, Approach: 500}) || v.State != Off {
		t.Errorf("%+v", v)
	}
	if err := r.host.Arm(r.now); !errors.Is(err, ErrKey) {
		t.Errorf("arming unasked: %v", err)
	}
	if err := r.host.Ask(r.now); err != nil {
		t.Fatal(err)
	}
	r.until("ready", time.Second, func() bool { return r.view().Ready })
	if err := r.host.Arm(r.now); !errors.Is(err, ErrState) {
		t.Errorf("arming without a pose: %v", err)
	}
	if err := r.host.Aim(flat(1700)); err != nil {
		t.Fatal(err)
	}
	if r.driven[0] {
		t.Error("pulses before arming")
	}
	if err := r.host.Arm(r.now); err != nil {
		t.Fatal(err)
	}
	r.until("waking", time.Second, r.is(Waking))
	r.run(50 * time.Millisecond)
	if !r.driven[0] || r.driven[channels-1] {
		t.Errorf("not woken one after another: %v", r.driven)
	}
	r.until("approach", 5*time.Second, r.is(Approach))
	r.greatest = 0
	r.until("follow", 5*time.Second, r.is(Follow))
	if r.greatest != 4 {
		t.Errorf("on the way to the first pose a pulse changes by %d/8 µs in a ms, want 4", r.greatest)
	}
	if r.at[7] != 1700*8 {
		t.Errorf("at %d", r.at[7])
	}

	r.greatest = 0
	p := flat(1700)
	p.Pulses[2], p.Pulses[5] = 2300, 1400
	if err := r.host.Aim(p); err != nil {
		t.Fatal(err)
	}
	r.run(75 * time.Millisecond)
	if a, b := r.at[2]-1700*8, 1700*8-r.at[5]; a < 1000 || a > 3000 || b < a/2-8 || b > a/2+8 { // half as far
		t.Errorf("not in step: %d and %d", a, b)
	}
	r.run(200 * time.Millisecond)
	if r.at[2] != 2300*8 || r.at[5] != 1400*8 || r.greatest > 32 {
		t.Errorf("at %d and %d, at most %d/8 µs in a ms, want 32", r.at[2], r.at[5], r.greatest)
	}

	if err := r.host.Aim(flat(1000)); err != nil {
		t.Fatal(err)
	}
	r.run(30 * time.Millisecond)
	r.host.Stop(r.now)
	r.run(5 * time.Millisecond)
	was := r.at
	r.run(4 * time.Second) // the program is there: it stands
	if r.at != was || r.view().State != Stopped || r.offs != 1 {
		t.Errorf("stopped: %v, offs %d", r.view().State, r.offs)
	}
	if err := r.host.Arm(r.now); !errors.Is(err, ErrKey) {
		t.Errorf("arming after a stop without asking: %v", err)
	}
	r.arm(flat(1500))
	r.until("follow", 5*time.Second, r.is(Follow))
	r.host.Limp(r.now)
	r.run(20 * time.Millisecond)
	if r.offs < 2 || r.driven[0] || r.view().State != Off {
		t.Errorf("limp: %v, offs %d", r.view().State, r.offs)
	}
}

// TestSilence takes the program away: the robot holds within 200 ms and goes
// limp when the time is over; or the program comes back before that.
func TestSilence(t *testing.T) {
	bin := compile(t)
	t.Run("for good", func(t *testing.T) {
		r := start(t, bin, usual)
		r.arm(flat(1600))
		r.until("follow", 5*time.Second, r.is(Follow))
		if err := r.host.Aim(flat(2400)); err != nil {
			t.Fatal(err)
		}
		r.run(40 * time.Millisecond)
		for range 202 + 22 { // the last frame is at most 20 ms old
			r.step(false)
		}
		if r.view().State != Holding {
			t.Fatalf("%v", r.view().State)
		}
		was := r.at
		for range 2950 {
			r.step(false)
		}
		if r.at != was || r.offs != 1 {
			t.Errorf("it moves, or went limp too early")
		}
		for range 100 {
			r.step(false)
		}
		if r.offs != 2 || r.view().State != Off {
			t.Errorf("offs %d, %v", r.offs, r.view().State)
		}
		r.run(3 * time.Second) // the program is back, and must not arm by itself
		if r.driven[0] || r.host.armed {
			t.Error("armed again by itself")
		}
	})
	t.Run("for a while", func(t *testing.T) {
		r := start(t, bin, usual)
		r.arm(flat(1600))
		r.until("follow", 5*time.Second, r.is(Follow))
		for range 400 {
			r.step(false)
		}
		r.greatest = 0
		if err := r.host.Aim(flat(1650)); err != nil {
			t.Fatal(err)
		}
		r.until("follow again", 5*time.Second, func() bool { return r.at[0] == 1650*8 })
		if r.greatest > 4 || r.offs != 1 {
			t.Errorf("back by %d/8 µs in a ms", r.greatest)
		}
	})
	t.Run("the controller starts anew", func(t *testing.T) {
		r := start(t, bin, usual)
		r.arm(flat(1600))
		r.until("follow", 5*time.Second, r.is(Follow))
		s := start(t, bin, usual) // another robot in its place
		s.host, s.now, s.start = r.host, r.now, r.start
		s.run(3 * time.Second)
		if s.driven[0] || s.host.armed || s.view().State != Off {
			t.Errorf("armed %v, %v", s.host.armed, s.view().State)
		}
	})
}

// TestRefused aims at what must not be sent, and sends past the host what the
// robot must not take.
func TestRefused(t *testing.T) {
	r := start(t, compile(t), usual)
	r.arm(flat(1500))
	r.until("follow", 5*time.Second, r.is(Follow))

	p := flat(1600)
	p.Stop = "tips-slow: it falls"
	if err := r.host.Aim(p); err != nil {
		t.Fatal(err)
	}
	r.run(200 * time.Millisecond)
	if r.at[0] != 1500*8 || r.view().Blocked != p.Stop || r.view().State != Follow {
		t.Errorf("at %d, %+v", r.at[0], r.view())
	}
	r.host.Override()
	r.run(200 * time.Millisecond)
	if r.at[0] != 1600*8 {
		t.Errorf("at %d after an override", r.at[0])
	}
	p.Pulses[0]++
	if err := r.host.Aim(p); err != nil {
		t.Fatal(err)
	}
	r.run(200 * time.Millisecond)
	if r.at[0] != 1600*8 {
		t.Error("the override went on to another pose")
	}
	if err := r.host.Aim(Pose{Pulses: make([]float64, 3)}); !errors.Is(err, ErrPose) {
		t.Error(err)
	}
	nan := flat(0)
	nan.Pulses[3] /= 0 * nan.Pulses[3]
	if err := r.host.Aim(nan); !errors.Is(err, ErrNumber) {
		t.Error(err)
	}

	// Outside the servo's range: the whole pose is refused, and nothing is cut off.
	if err := r.host.Aim(flat(2600)); err != nil {
		t.Fatal(err)
	}
	r.run(500 * time.Millisecond)
	if r.view().Fault != 1 || r.at[0] > 2500*8 {
		t.Errorf("fault %v, at %d", r.view().Fault, r.at[0])
	}
	r.host.Stop(r.now)
	r.run(20 * time.Millisecond)

	// A stop blocks arming.
	q := flat(1500)
	q.Stop = "tips-slow: it falls"
	if err := r.host.Aim(q); err != nil {
		t.Fatal(err)
	}
	if err := r.host.Ask(r.now); err != nil {
		t.Fatal(err)
	}
	r.until("ready", time.Second, func() bool { return r.view().Ready })
	if err := r.host.Arm(r.now); !errors.Is(err, ErrStopped) {
		t.Errorf("armed in a pose that the review stops: %v", err)
	}
	r.run(11 * time.Second)
	r.host.Override()
	if err := r.host.Arm(r.now); !errors.Is(err, ErrKey) {
		t.Errorf("armed with an old key: %v", err)
	}
	// A frame of an earlier session, recorded and sent again.
	r.do("b %x", line.Encode(nil, line.Frame{Kind: line.Arm, Number: 200}, 12345))
	r.run(50 * time.Millisecond)
	if r.view().State != Stopped {
		t.Errorf("%v", r.view().State)
	}
}

// TestPlay lets the robot play a table of its own.
func TestPlay(t *testing.T) {
	r := start(t, compile(t), usual)
	if err := r.host.Play(0, 1, 1, r.now); !errors.Is(err, ErrState) {
		t.Error(err)
	}
	r.arm(flat(1500))
	r.until("follow", 5*time.Second, r.is(Follow))
	if err := r.host.Play(1, 0.5, 2, r.now); err != nil {
		t.Fatal(err)
	}
	r.until("playing", time.Second, r.is(Playing))
	r.until("done", time.Second, r.is(Follow))
	r.run(time.Second)
	if len(r.plays) != 1 || r.plays[0] != "play 1 128 2" {
		t.Errorf("%v", r.plays)
	}
	if err := r.host.Play(1, 1, 1, r.now); err != nil {
		t.Fatal(err)
	}
	r.until("playing", time.Second, r.is(Playing))
	r.host.Stop(r.now)
	r.run(20 * time.Millisecond)
	if r.halts == 0 || r.view().State != Stopped {
		t.Errorf("halts %d, %v", r.halts, r.view().State)
	}
	r.arm(flat(1500))
	r.until("follow", 5*time.Second, r.is(Follow))
	if err := r.host.Play(9, 1, 1, r.now); err != nil {
		t.Fatal(err)
	}
	r.run(300 * time.Millisecond)
	if r.view().Fault != 3 || r.view().State != Follow {
		t.Errorf("%v, fault %v", r.view().State, r.view().Fault)
	}
}

// TestSeen reads foot switches and positions back.
func TestSeen(t *testing.T) {
	r := start(t, compile(t), usual)
	r.host.Watch(10 * time.Millisecond)
	r.arm(flat(1600))
	r.do("w 37")
	r.until("follow", 5*time.Second, r.is(Follow))
	r.view()
	r.run(100 * time.Millisecond)
	v := r.view()
	if len(v.Seen) < 9 || len(v.Seen) > 11 || v.Switches != 37 {
		t.Fatalf("%d looks, switches %d", len(v.Seen), v.Switches)
	}
	s := v.Seen[len(v.Seen)-1]
	if s.Switches != 37 || s.Table != -1 || len(s.Positions) != channels || s.Positions[0] != 1600 || s.Positions[3] == s.Positions[3] {
		t.Errorf("%+v", s)
	}
}

// TestBadLine sends for minutes over a line that loses one byte in a hundred,
// or damages one bit in a hundred, or both, both ways: the robot never goes to
// a pose that was not sent, never faster than allowed, holds rather than
// guesses, and comes along when the line lets it.
func TestBadLine(t *testing.T) {
	bin := compile(t)
	for _, c := range []struct {
		name       string
		lose, flip float64
		least      int // poses that have to arrive
	}{
		{"one byte in a hundred lost", 0.01, 0, 500},
		{"one bit in a hundred damaged", 0, 0.01, 20},
		{"both", 0.01, 0.01, 10},
	} {
		t.Run(c.name, func(t *testing.T) {
			rnd := rand.New(rand.NewPCG(5, 6))
			r := start(t, bin, usual)
			r.spoil = func(_ bool, p []byte) []byte {
				var out []byte
				for _, b := range p {
					if rnd.Float64() < c.lose {
						continue
					}
					for i := range 8 {
						if rnd.Float64() < c.flip {
							b ^= 1 << i
						}
					}
					out = append(out, b)
				}
				return out
			}
			r.arm(flat(1500))
			seconds := 120
			if testing.Short() {
				seconds = 20
				c.least /= 6
			}
			p := flat(1500)
			for range seconds * 10 {
				if !r.host.view.State.Live() { // it held until it was limp: a person arms again
					r.arm(p)
				}
				for i := range p.Pulses {
					p.Pulses[i] = min(max(p.Pulses[i]+30*(rnd.Float64()-0.5), 600), 2400)
				}
				if err := r.host.Aim(p); err != nil {
					t.Fatal(err)
				}
				r.run(100 * time.Millisecond)
			}
			if r.goals < c.least || r.greatest > 32 {
				t.Errorf("%d poses taken, want %d; at most %d/8 µs in a ms, want 32", r.goals, c.least, r.greatest)
			}
			t.Logf("%d poses taken in %d s, frames dropped by the robot %d, by the program %d", r.goals, seconds, r.view().Dropped, r.view().Bad)
			r.host.Stop(r.now)
			r.until("stopped", 2*time.Second, func() bool { s := r.view().State; return s == Stopped || s == Off })
		})
	}
}
