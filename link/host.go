// SPDX-License-Identifier: MIT

package link

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"time"

	"gaitwright/link/line"
)

// State is what the robot says it does.
type State byte

// The states of the robot, as in PROTOCOL.md.
const (
	Off State = iota
	Armed
	Waking
	Approach
	Follow
	Playing
	Holding
	Stopped
)

// String says a state in words.
func (s State) String() string {
	words := [...]string{"off, no pulses", "armed, waits for a pose", "waking, one joint after another", "goes to the pose, slowly",
		"follows", "plays a table", "holds, the line was silent", "stopped, stands still"}
	if int(s) < len(words) {
		return words[s]
	}
	return fmt.Sprintf("state %d", byte(s))
}

// Live tells whether the robot moves, or may at any moment.
func (s State) Live() bool { return s >= Armed && s <= Holding }

// Fault is what the robot refused last.
type Fault byte

// String says a fault in words, "" for none.
func (f Fault) String() string {
	words := [...]string{"", "a pose outside the pulse range of a channel was refused", "a pose for another number of channels was refused",
		"there is no such table, or it cannot be played now", "something that does not fit the robot's state was refused",
		"the robot's player held while it played a table: a foot, a late tick or a damaged table"}
	if int(f) < len(words) {
		return words[f]
	}
	return fmt.Sprintf("fault %d", byte(f))
}

// Times of the protocol.
const (
	Silence   = 200 * time.Millisecond // after which the robot holds
	poseEvery = 20 * time.Millisecond
	beatEvery = 25 * time.Millisecond
	helloTime = 500 * time.Millisecond
	keyTime   = 10 * time.Second // for which a key may be used
	lostTime  = time.Second      // without a word from the robot, it is not there
)

// Config is what a host needs to know.
type Config struct {
	Channels int           // poses have this many pulses
	Speed    float64       // greatest change of a pulse, µs/s; the robot's own bound holds besides
	Hold     time.Duration // for which the robot holds when the line is silent, before it goes limp
}

// Pose is where the servos are to be.
type Pose struct {
	Pulses []float64 // a channel, µs
	Stop   string    // why the review stops it, "" when it does not
}

// Info is what the robot says of itself.
type Info struct {
	Version   int
	Channels  int
	Switches  bool
	Positions bool
	Tables    bool
	Speed     float64 // µs/s
	Approach  float64 // µs/s
}

// View is what is known of the robot.
type View struct {
	There    bool // it has answered lately
	Info     Info // zero before it has
	State    State
	Fault    Fault
	Switches uint16    // foot switches, bit 0 the first leg
	Taken    int       // frames that the robot took, as it counts, modulo 65536
	Dropped  int       // frames that came damaged there, the same
	Bad      int       // frames that came damaged here
	Ready    bool      // Arm may be called now
	Sent     []float64 // pulses sent last, µs; nil for none
	Behind   float64   // how far they are from where they should be, µs
	Blocked  string    // why nothing is sent although armed, "" for no reason
	Seen     []Seen    // since the last call of View
}

// Seen is a look at the robot.
type Seen struct {
	Time      time.Duration // since the controller's start
	Came      time.Time     // when the report came, by the clock of the host
	Switches  uint16
	Table     int // being played, -1 for none
	Frame     int
	Positions []float64 // a channel, µs, NaN where the servo does not say; nil for none
}

// The errors of what a person asks for.
var (
	ErrAway    = errors.New("link: no robot answers: check port, speed and cable, and whether the firmware runs")
	ErrVersion = errors.New("link: the robot speaks another version of the protocol")
	ErrState   = errors.New("link: not now")
	ErrKey     = errors.New("link: ask first, then arm within ten seconds")
	ErrPose    = errors.New("link: the pose has another number of channels than the robot")
	ErrNumber  = errors.New("link: the pose has a pulse that is no number")
	ErrStopped = errors.New("link: the review stops this pose")
)

// Host is the program's end of a link. Make one with New. It is not for use
// from several goroutines at once.
type Host struct {
	cfg Config

	split  line.Splitter
	buf    []byte
	out    []byte
	number byte

	view   View
	heard  time.Time
	key    uint16
	keyed  time.Time
	asked  bool
	armed  bool // Arm was called, and nothing has ended it
	arming time.Time
	over   string // the stop that was overridden

	aim     Pose
	aims    bool
	sent    []float64
	pose    time.Time
	beat    time.Time
	hello   time.Time
	log     time.Duration
	logSet  time.Time
	playing bool // the aim waits for another one
	play    []byte
	ticket  byte
	played  time.Time // Play was sent last
	begun   time.Time // Play was asked for; zero once the robot plays
	quit    time.Time // a stop was asked for; zero once the robot has heard it
	mode    byte      // of that stop
	halted  time.Time // it was sent last
}

// New makes a host. A speed that is no positive number is a programmer's
// error.
func New(c Config) *Host {
	if !(c.Speed > 0) || c.Channels < 1 || 2*c.Channels > line.Most {
		panic("link: config without a speed, or with too few or too many channels")
	}
	return &Host{cfg: c}
}

func (h *Host) send(k line.Kind, body ...byte) {
	h.number++
	h.out = line.Encode(h.out, line.Frame{Kind: k, Number: h.number, Body: body}, h.key)
}

// View tells what is known of the robot.
func (h *Host) View(now time.Time) View {
	v := h.view
	h.view.Seen = nil
	v.There = h.there(now)
	v.Ready = v.There && h.ready(now)
	v.Sent = append([]float64(nil), h.sent...)
	if h.armed {
		v.Blocked = h.blocked()
		v.Behind = h.behind()
	}
	return v
}

func (h *Host) there(now time.Time) bool { return !h.heard.IsZero() && now.Sub(h.heard) <= lostTime }

func (h *Host) ready(now time.Time) bool {
	return h.key != 0 && !h.armed && now.Sub(h.keyed) <= keyTime-time.Second
}

// Ask is the first of the two acts that arm: the robot gives a key.
func (h *Host) Ask(now time.Time) error {
	switch {
	case !h.there(now):
		return ErrAway
	case h.view.Info.Version != line.Version:
		return fmt.Errorf("%w: it has %d, this program %d", ErrVersion, h.view.Info.Version, line.Version)
	case h.view.Info.Channels != h.cfg.Channels:
		return fmt.Errorf("%w: it has %d, the workfile %d", ErrPose, h.view.Info.Channels, h.cfg.Channels)
	case h.view.State != Off && h.view.State != Stopped:
		return fmt.Errorf("%w: the robot %s", ErrState, h.view.State)
	}
	h.key, h.asked = 0, true
	h.send(line.Ask, binary.LittleEndian.AppendUint16(nil, uint16(min(h.cfg.Hold.Milliseconds(), math.MaxUint16)))...)
	return nil
}

// Arm is the second act. The pose that was aimed at must be there, and not be
// stopped by the review.
func (h *Host) Arm(now time.Time) error {
	switch {
	case !h.there(now):
		return ErrAway
	case !h.ready(now):
		return ErrKey
	case !h.aims:
		return fmt.Errorf("%w: there is no pose to go to yet", ErrState)
	case h.blocked() != "":
		return fmt.Errorf("%w: %s", ErrStopped, h.aim.Stop)
	}
	h.armed, h.arming, h.asked = true, now, false
	h.sent = nil
	h.send(line.Arm)
	return nil
}

// Override lets the pose aimed at be sent in spite of the review. It holds for
// this pose, until another one is aimed at.
func (h *Host) Override() { h.over = h.aim.Stop }

// Blocked says why the pose aimed at is not sent, "" when it is.
func (h *Host) Blocked() string { return h.blocked() }

// blocked says why the pose aimed at is not sent.
func (h *Host) blocked() string {
	if h.aim.Stop != "" && h.aim.Stop != h.over {
		return h.aim.Stop
	}
	return ""
}

// Aim says where the servos are to be from now on.
func (h *Host) Aim(p Pose) error {
	if len(p.Pulses) != h.cfg.Channels {
		return fmt.Errorf("%w: %d, not %d", ErrPose, len(p.Pulses), h.cfg.Channels)
	}
	for _, v := range p.Pulses {
		if !(v >= 0 && v < 8191) {
			return fmt.Errorf("%w: %v µs", ErrNumber, v)
		}
	}
	moved := len(h.aim.Pulses) != len(p.Pulses)
	for i := range p.Pulses {
		moved = moved || p.Pulses[i] != h.aim.Pulses[i]
	}
	if moved {
		h.over = ""
	}
	h.aim.Pulses, h.aim.Stop, h.aims = append(h.aim.Pulses[:0], p.Pulses...), p.Stop, true
	h.playing = false
	return nil
}

// Play lets the robot play a table that it has. speed is 1 as drawn; times 0
// is until something else is asked for.
func (h *Host) Play(table int, speed float64, times int, now time.Time) error {
	switch {
	case !h.armed || h.view.State != Follow:
		return fmt.Errorf("%w: the robot %s", ErrState, h.view.State)
	case table < 0 || table > 254 || !(speed > 0 && speed < 255) || times < 0 || times > 255:
		return fmt.Errorf("%w: table %d at %v times the speed, %d times", ErrState, table, speed, times)
	}
	if h.ticket++; h.ticket == 0 {
		h.ticket = 1
	}
	body := binary.LittleEndian.AppendUint16([]byte{byte(table)}, uint16(math.Round(speed*256)))
	h.play = append(body, byte(times), h.ticket)
	h.playing, h.played, h.begun, h.sent = true, now, now, nil
	h.send(line.Play, h.play...)
	return nil
}

// Stop lets the robot stand still, whatever it does, and disarms.
func (h *Host) Stop(now time.Time) { h.stop(0, now) }

// Limp cuts the pulses, and disarms.
func (h *Host) Limp(now time.Time) { h.stop(1, now) }

func (h *Host) stop(mode byte, now time.Time) {
	h.out = append(h.out[:0], 0) // nothing else goes before it
	for range 3 {
		h.send(line.Stop, mode)
	}
	h.armed, h.asked, h.key, h.over, h.playing = false, false, 0, "", false
	h.quit, h.halted, h.mode = now, now, mode
}

// again repeats a stop until the robot has heard it.
func (h *Host) again(now time.Time) {
	if h.quit.IsZero() {
		return
	}
	done := h.view.State == Off || h.view.State == Stopped && h.mode == 0
	if now.Sub(h.quit) > 5*time.Second || done && h.heard.After(h.quit) {
		h.quit = time.Time{}
		return
	}
	if now.Sub(h.halted) >= 50*time.Millisecond {
		h.halted = now
		h.send(line.Stop, h.mode)
	}
}

// Watch asks for a look at the robot every so often, 0 for none.
func (h *Host) Watch(every time.Duration) { h.log, h.logSet = every, time.Time{} }

// behind tells how far what was sent is from the aim, µs.
func (h *Host) behind() (far float64) {
	for i := range h.sent {
		far = max(far, math.Abs(h.aim.Pulses[i]-h.sent[i]))
	}
	return far
}

// Tick gives what is to be sent now. Call it every few milliseconds. The bytes
// are valid until the next call.
func (h *Host) Tick(now time.Time) []byte {
	h.again(now)
	if now.Sub(h.hello) >= helloTime { // also to a controller that has started anew
		h.hello = now
		h.send(line.Hello, line.Version)
	}
	if h.armed {
		h.follow(now)
	}
	if h.log > 0 && h.there(now) && now.Sub(h.logSet) > 2*time.Second { // again, since it may be lost
		h.logSet = now
		h.send(line.Log, binary.LittleEndian.AppendUint16(nil, uint16(min(h.log.Milliseconds(), math.MaxUint16)))...)
	}
	out := h.out
	h.out = h.out[len(h.out):]
	return out
}

// follow sends poses and signs of life while armed.
func (h *Host) follow(now time.Time) {
	state := h.view.State
	if state == Off || state == Stopped {
		switch since := now.Sub(h.arming); {
		case since > 2*time.Second: // it ended by itself, or never began
			h.armed, h.key = false, 0
			return
		case now.Sub(h.beat) >= beatEvery: // the first one may be lost
			h.beat = now
			h.send(line.Arm)
		}
		return
	}
	if state != Armed {
		h.arming = time.Time{} // from here on, off means that it ended
	}
	if now.Sub(h.pose) >= poseEvery && !h.playing && h.blocked() == "" {
		dt := min(now.Sub(h.pose), 2*poseEvery)
		h.pose = now
		h.near(dt.Seconds())
		h.send(line.Pose, h.pulses()...)
	}
	if state == Playing {
		h.begun = time.Time{}
	}
	if h.playing && !h.begun.IsZero() && now.Sub(h.begun) < time.Second && now.Sub(h.played) >= 100*time.Millisecond {
		h.played, h.beat = now, now
		h.send(line.Play, h.play...)
	}
	if now.Sub(h.beat) >= beatEvery { // beside poses: where the line is bad, what is short gets through
		h.beat = now
		h.send(line.Beat)
	}
}

// near moves what is sent towards the aim, all channels arriving together, none
// faster than the bounds. Until the robot follows the aim itself is sent: the
// robot goes there slowly.
func (h *Host) near(dt float64) {
	if h.sent == nil || h.view.State != Follow && h.view.State != Playing {
		h.sent = append(h.sent[:0], h.aim.Pulses...)
		return
	}
	bound := h.cfg.Speed
	if own := h.view.Info.Speed; own > 0 {
		bound = min(bound, own)
	}
	share := 1.
	if far := h.behind(); far > bound*dt {
		share = bound * dt / far
	}
	for i := range h.sent {
		h.sent[i] += share * (h.aim.Pulses[i] - h.sent[i])
	}
}

// pulses gives the body of a pose.
func (h *Host) pulses() []byte {
	var body []byte
	for _, v := range h.sent {
		body = binary.LittleEndian.AppendUint16(body, uint16(math.Round(8*v)))
	}
	return body
}
