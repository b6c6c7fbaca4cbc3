// SPDX-License-Identifier: MIT

package chip

import (
	"encoding/binary"
	"fmt"
	"math"
	"testing"

	"gaitwright/link"
	"gaitwright/link/line"
)

// sentPose is a pose that the program has sent.
type sentPose struct {
	at uint64
	us [pins]float64
}

// told state of the robot.
type saidState struct {
	at    uint64
	state link.State
}

// exchange is what went over the line, read from its bytes before any damage,
// and the pulses.
type exchange struct {
	*record
	poses  []sentPose // as sent
	taken  []sentPose // as they reached the part, whole
	said   []saidState
	states map[link.State]int
	fault  map[byte]int
	speed  float64 // µs/s, as the robot says of itself
	slow   float64 // on the way to a pose
}

// decode reads a record's bytes.
func decode(t *testing.T, r *record) *exchange {
	t.Helper()
	x := &exchange{record: r, states: map[link.State]int{}, fault: map[byte]int{}}
	type session struct {
		at  uint64
		key uint16
	}
	var sessions []session
	le := binary.LittleEndian
	each(r.robot, func(at uint64, b []byte) {
		f, _, err := line.Decode(nil, b, 0)
		if err != nil {
			t.Fatalf("the part sends a frame that is none: %x: %v", b, err)
		}
		switch f.Kind {
		case line.Key:
			sessions = append(sessions, session{at, le.Uint16(f.Body)})
		case line.Status:
			x.said = append(x.said, saidState{at, link.State(f.Body[0])})
			x.states[link.State(f.Body[0])]++
			x.fault[f.Body[1]]++
		case line.Info:
			x.speed, x.slow = float64(le.Uint16(f.Body[3:]))*125, float64(le.Uint16(f.Body[5:]))*125
		}
	})
	pose := func(at uint64, f line.Frame) sentPose {
		p := sentPose{at: at}
		for i := range p.us {
			p.us[i] = float64(le.Uint16(f.Body[2*i:])) / 8
		}
		return p
	}
	each(r.program, func(at uint64, b []byte) {
		for _, s := range sessions {
			if f, _, err := line.Decode(nil, b, s.key); err == nil && f.Kind == line.Pose && len(f.Body) == 2*pins {
				x.poses = append(x.poses, pose(at, f))
				return
			}
		}
	})
	// As PROTOCOL.md has it: the key is that of the session, and the number is
	// 1 to 127 ahead of the last one that was taken; ask begins anew.
	var now session
	var number byte
	each(r.came, func(at uint64, b []byte) {
		for len(sessions) > 0 && sessions[0].at <= at {
			now, sessions = sessions[0], sessions[1:]
		}
		f, _, err := line.Decode(nil, b, now.key)
		switch ahead := f.Number - number; {
		case err != nil:
		case f.Kind == line.Ask:
			if s, _ := x.state(at); s == link.Off || s == link.Stopped {
				number = f.Number
			}
		case f.Kind >= line.Beat && f.Kind <= line.Play && ahead >= 1 && ahead < 128:
			number = f.Number
			if f.Kind == line.Pose && len(f.Body) == 2*pins {
				x.taken = append(x.taken, pose(at, f))
			}
		}
	})
	sent := map[[pins]float64]bool{}
	for i := range x.poses {
		sent[x.poses[i].us] = true
	}
	for i := range x.taken {
		if !sent[x.taken[i].us] {
			t.Errorf("a pose passes both checks that was never sent: %v", x.taken[i].us)
		}
	}
	return x
}

// each goes through the frames of a stream.
func each(all []stamped, do func(at uint64, b []byte)) {
	var b []byte
	for _, s := range all {
		if s.b != 0 {
			b = append(b, s.b)
			continue
		}
		if len(b) > 0 {
			do(s.at, b)
		}
		b = nil
	}
}

// pulse gives the last pulse of a pin that has begun at a cycle.
func (x *exchange) pulse(pin int, at uint64) *pulse {
	n := sortedAt(x.pulses[pin], at, func(p *pulse) uint64 { return p.from })
	if n < 0 {
		return nil
	}
	return &x.pulses[pin][n]
}

// state gives what the robot had said before a cycle, and for how long.
func (x *exchange) state(at uint64) (s link.State, since uint64) {
	n := sortedAt(x.said, at, func(s *saidState) uint64 { return s.at })
	if n < 0 {
		return link.Off, at
	}
	k := n
	for k > 0 && x.said[k-1].state == x.said[n].state {
		k--
	}
	return x.said[n].state, at - x.said[k].at
}

// equalAt tells whether all pulses at an instant are those of the pose that came
// last.
func (x *exchange) equalAt(at uint64, allowed float64) bool {
	n := sortedAt(x.taken, at-3*frame, func(p *sentPose) uint64 { return p.at })
	if n < 0 {
		return false
	}
	for pin := range pins {
		if q := x.pulse(pin, at); q == nil || at-q.from > 2*frame || math.Abs(q.us-x.taken[n].us[pin]) > allowed {
			return false
		}
	}
	return true
}

// standsStill asserts that there are pulses and that they do not change.
func (x *exchange) standsStill(t *testing.T, when string, from, to uint64) {
	t.Helper()
	for pin := range pins {
		var first *pulse
		n := 0
		for i := range x.pulses[pin] {
			q := &x.pulses[pin][i]
			if q.from < from || q.from > to {
				continue
			}
			if n++; first == nil {
				first = q
			}
			if math.Abs(q.us-first.us) > 2*jitter {
				t.Errorf("%s: pin %d goes from %.2f to %.2f µs", when, pin, first.us, q.us)
				break
			}
		}
		if want := int((to - from) / frame); n < want-1 {
			t.Errorf("%s: pin %d has %d pulses, of %d", when, pin, n, want)
		}
	}
}

// verify holds every pulse against what was sent: never past the bounds of
// speed, never outside of what lies between poses that were sent, and, where
// the robot follows, between those of the last moments.
func (x *exchange) verify(t *testing.T, d *demo) error {
	t.Helper()
	const slack = 0.5 + 2*jitter // half a tick each, and the waiting loop
	first := d.sheet(t, "to_the_drum")
	strike := d.sheet(t, "strike")
	var least, most [pins]float64 // of everything sent so far, and the rest pose
	for i := range pins {
		least[i] = first.Value(first.Row(0)[i])
		most[i] = least[i]
	}
	follow, same, all := 0, 0, 0
	for pin := range pins {
		sent, taken, played := 0, 0, false
		for k, q := range x.pulses[pin] {
			all++
			for sent < len(x.poses) && x.poses[sent].at <= q.from {
				least[pin] = min(least[pin], x.poses[sent].us[pin])
				most[pin] = max(most[pin], x.poses[sent].us[pin])
				sent++
			}
			state, since := x.state(q.from)
			if state == link.Playing && !played { // from here on it may stand within its own table
				played = true
				for f := range strike.Frames {
					v := strike.Value(strike.Row(f)[pin])
					least[pin], most[pin] = min(least[pin], v-1), max(most[pin], v+1)
				}
			}
			if q.us < least[pin]-slack || q.us > most[pin]+slack {
				return fmt.Errorf("pin %d at %.3f s (%v): %.2f µs, though nothing outside %.2f to %.2f was sent", pin, float64(q.from)/clock, state, q.us, least[pin], most[pin])
			}
			if k > 0 && q.from-x.pulses[pin][k-1].from < 2*frame {
				by := math.Abs(q.us-x.pulses[pin][k-1].us) - slack
				// The frame in which the state changes may have either bound.
				bound := x.speed
				if since > 3*frame && (state == link.Waking || state == link.Approach) {
					bound = x.slow
				}
				if state == link.Playing || state != link.Playing && since < 3*frame {
					bound = 8 * x.speed // the table's own: see table()
				}
				if by > bound*0.02 {
					return fmt.Errorf("pin %d at %.3f s (%v): by %.2f µs in a frame, at most %.2f", pin, float64(q.from)/clock, state, by, bound*0.02)
				}
			}
			for taken < len(x.taken) && x.taken[taken].at <= q.from {
				taken++
			}
			if state != link.Follow || since < 6*frame || taken == 0 || played && x.taken[taken-1].at+30*frame < q.from {
				continue
			}
			// What was taken within the last frames, and the pose before; more of
			// it where the part's time was slow, and the program's poses came
			// faster than they could be followed.
			window := uint64(6 * frame)
			from := taken - 1
			for from > 0 && x.taken[from].at+window+x.way(from) > q.from {
				from--
			}
			if taken-from > 15 {
				for from > 0 && x.taken[from].at+5*window > q.from {
					from--
				}
			}
			// Where it stood when it began to follow: after a silence it stays
			// there until a pose comes.
			lo, hi, equal := math.Inf(1), math.Inf(-1), false
			if began := q.from - since; x.taken[from].at < began {
				if p := x.pulse(pin, began+2*frame); p != nil {
					lo, hi = p.us, p.us
				}
			}
			for i := from; i < taken; i++ {
				v := x.taken[i].us[pin]
				lo, hi = min(lo, v), max(hi, v)
				equal = equal || math.Abs(v-q.us) <= slack
			}
			if q.us < lo-slack || q.us > hi+slack {
				return fmt.Errorf("pin %d at %.3f s: %.2f µs, lately taken were %.2f to %.2f", pin, float64(q.from)/clock, q.us, lo, hi)
			}
			follow++
			if equal {
				same++
			}
		}
	}
	t.Logf("%d pulses, %d of them while it followed, %d of these equal one pose", all, follow, same)
	return nil
}

// way is how long the robot takes at its bound from the pose before to a pose,
// cycles.
func (x *exchange) way(i int) uint64 {
	far := 0.0
	for pin := range pins {
		far = max(far, math.Abs(x.taken[i].us[pin]-x.taken[i-1].us[pin]))
	}
	return uint64(far / x.speed * clock)
}

// table holds what the robot played by itself, first, against the motion.
func (x *exchange) table(t *testing.T, d *demo, name string) {
	t.Helper()
	s := d.sheet(t, name)
	e := d.exact(t, s)
	// The pins woke one after another: counted from the frame in which the last
	// one did, each has one pulse in a frame.
	var all [pins][]pulse
	awake := x.pulses[pins-1][0].from
	n0 := sortedAt(x.pulses[0], awake, func(p *pulse) uint64 { return p.from })
	for pin := range pins {
		n := sortedAt(x.pulses[pin], x.pulses[0][n0].from-100, func(p *pulse) uint64 { return p.from }) + 1
		all[pin] = x.pulses[pin][n:]
	}
	begin, end := -1, -1
	for k, q := range all[0] {
		state, _ := x.state(q.from)
		if state == link.Playing && begin < 0 {
			begin = k
		}
		if begin >= 0 && state != link.Playing && end < 0 {
			end = k
		}
	}
	// The player goes to the first pose first; its cool-down is the end.
	n := frames(s)
	from := end - n - int(s.CoolDown/0.02) - 3
	if begin < 0 || end < 0 || from < begin-2 {
		t.Fatalf("the table plays from frame %d to %d, and has %d", begin, end, n)
	}
	from += 12
	at := fitted(all, from, from+n-20, e, 0, 0.5)
	worst, faults := equal(all, from, from+n-20, e, at, min(within, s.WorstUs+0.25+jitter+0.1))
	told(t, "the robot's own table", faults)
	t.Logf("table %s by the link: %d frames, off by %.3f µs at the most", name, n-19, worst)
}
