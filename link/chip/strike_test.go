// SPDX-License-Identifier: MIT

package chip

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"gaitwright/motion/table"
)

// TestSimulatedPart compiles what the program exports, with the examples, for
// an ATmega2560, and runs it on a simulated one.
func TestSimulatedPart(t *testing.T) {
	b, d := newBench(t), newDemo(t)
	for _, c := range []struct {
		name string
		test func(*testing.T, *bench, *demo)
	}{
		{"strike", strike},
		{"a wrong value is seen", wrongValue},
		{"walk change", walkChange},
		{"feet", feet},
		{"one function", oneFunction},
		{"cost", cost},
		{"link", live},
		{"link on a bad line", badLine},
	} {
		t.Run(c.name, func(t *testing.T) { t.Parallel(); c.test(t, b, d) })
	}
}

var player = []string{"example_avr/main.c", "example_avr/pulses.c", "gait_player.c"}

// frames is the number of 20 ms frames from the first of a motion to its last.
func frames(s *table.Sheet) int { return int(math.Ceil(s.Duration / 0.02)) }

// The demo's strike, as the AVR example plays it: every pulse of every channel
// is where the motion is at that time. Then the cool-down, the way to the first
// pose of another table, and that table.
func strike(t *testing.T, b *bench, d *demo) {
	p := b.start(t, b.firmware(t, b.tables, []string{"strike", "last_steps"}, player...))
	p.do("run 9000")
	r := p.end()
	s, next := d.sheet(t, "strike"), d.sheet(t, "last_steps")
	last := frames(s)

	worst, faults := equal(r.pulses, 0, last, d.exact(t, s), 0, min(within, s.WorstUs+0.25+jitter))
	told(t, "strike", faults)
	all := len(r.pulses[0]) - 2
	off, faults := regular(r.pulses, 0, all)
	told(t, "timing", faults)
	t.Logf("strike: %d frames of %d channels, off by %.3f µs at the most (the table %.3f); periods by %.4f %%", last+1, pins, worst, s.WorstUs, 100*off)
	for pin := range pins {
		if n := len(r.pulses[pin]); n < all+1 || n > all+2 {
			t.Errorf("pin %d has %d pulses, pin 0 %d", pin, n, len(r.pulses[0]))
		}
	}

	// It rests for as long as the cool-down says.
	moves := last
	for still := true; still && moves < all; {
		moves++
		for pin := range pins {
			still = still && math.Abs(r.pulses[pin][moves].us-r.pulses[pin][last].us) <= 2*jitter
		}
	}
	rest := float64(r.pulses[0][moves].from-r.pulses[0][last].from)/clock - 0.02
	if rest < s.CoolDown-0.021 || rest > s.CoolDown+0.1 {
		t.Errorf("it rests for %.3f s, the cool-down is %.3f s", rest, s.CoolDown)
	}

	// The way to the next table's first pose: bounded, all arriving together.
	begins := moves
	for pin := range pins {
		n := moves
		for math.Abs(r.pulses[pin][n].us-next.Value(next.Row(0)[pin])) > 0.6 && n < all {
			n++
		}
		begins = max(begins, n)
	}
	fastest := 0.0
	for pin := range pins {
		bound := float64(next.Channels[pin].Bound / 8)
		for k := moves; k < begins; k++ {
			v := (math.Abs(r.pulses[pin][k].us-r.pulses[pin][k-1].us) - 0.5 - 2*jitter) / 0.02
			fastest = max(fastest, v/bound)
			if v > bound {
				t.Errorf("approach, pin %d, frame %d: %.0f µs/s, at most %.0f", pin, k, v, bound)
			}
		}
	}
	if begins-moves < 5 || begins > all-60 {
		t.Fatalf("the approach takes from frame %d to %d of %d", moves, begins, all)
	}
	t.Logf("rest %.3f s of %.3f; approach of %d frames, up to %.2f of its bound", rest, s.CoolDown, begins-moves, fastest)

	// One cycle of the next table.
	e := d.exact(t, next)
	from, to := begins+2, begins+frames(next)-4
	at := fitted(r.pulses, from, to, e, 0.02, 0.1)
	worst, faults = equal(r.pulses, from, to, e, at, min(within, next.WorstUs+0.25+jitter+0.02))
	told(t, "second table", faults)
	t.Logf("second table: %d frames, off by %.3f µs at the most (the table %.3f)", to-from+1, worst, next.WorstUs)
}

// A table in which one value is 2 µs too great, and pulses that are missing or
// doubled, do not pass.
func wrongValue(t *testing.T, b *bench, d *demo) {
	s := d.sheet(t, "strike")
	// The value whose frame is nearest to one of the servos'.
	at, near := 0, math.Inf(1)
	for k := 20; k < s.Frames-20; k++ {
		x := float64(k) / s.Rate() / 0.02
		if far := math.Abs(x - math.Round(x)); far < near {
			at, near = k, far
		}
	}
	const pin = 4
	bent := *s
	bent.Rows = slices.Clone(s.Rows)
	n := len(s.Channels)
	bent.Rows[(at+1)*n+pin] += 2 << s.Unit.Bits
	set := *d.set
	set.Sheets = []*table.Sheet{&bent}
	sources, err := set.Sources()
	if err != nil {
		t.Fatal(err)
	}
	more, err := set.Player()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if _, err := table.Write(dir, append(sources, more...)); err != nil {
		t.Fatal(err)
	}
	p := b.start(t, b.firmware(t, dir, []string{"strike"}, player...))
	p.do("run 5000")
	r := p.end()
	e, last := d.exact(t, s), frames(s)
	worst, faults := equal(r.pulses, 0, last, e, 0, min(within, s.WorstUs+0.25+jitter))
	if len(faults) == 0 || len(faults) > 3 || worst > 2+within || !strings.HasPrefix(faults[0], "pin 4, ") {
		t.Errorf("a value 2 µs too great is told as %q", faults)
	}
	t.Logf("seen: %q", faults)

	whole := r.pulses
	whole[7] = slices.Delete(slices.Clone(r.pulses[7]), 50, 51)
	if _, faults := regular(whole, 0, last); len(faults) == 0 {
		t.Error("a missing pulse is not told")
	}
	whole[7] = slices.Insert(slices.Clone(r.pulses[7]), 50, pulse{r.pulses[7][50].from - frame/2, 1500})
	if _, faults := regular(whole, 0, last); len(faults) == 0 {
		t.Error("a doubled pulse is not told")
	}
}

// From the tripod of one walk to the ripple of another one, at the phase that
// both share: no joint goes faster than its servo, and both walks are exact.
func walkChange(t *testing.T, b *bench, d *demo) {
	dir := own(t, b, "change.c")
	p := b.start(t, b.firmware(t, b.tables, []string{"to_the_drum", "last_steps"}, filepath.Join(dir, "change.c"), "example_avr/pulses.c", "gait_player.c"))
	p.do("run 8000")
	r := p.end()
	a, z := d.sheet(t, "to_the_drum"), d.sheet(t, "last_steps")
	if len(r.marks) != 2 {
		t.Fatalf("%d marks of the firmware", len(r.marks))
	}
	all := len(r.pulses[0]) - 2
	off, faults := regular(r.pulses, 0, all)
	told(t, "timing", faults)
	frameAt := func(cycle uint64) int {
		return slices.IndexFunc(r.pulses[0], func(p pulse) bool { return p.from >= cycle })
	}
	begin, end := frameAt(r.marks[0].at), frameAt(r.marks[1].at)+1
	if begin < 100 || end < begin+30 || end > all-150 {
		t.Fatalf("the change goes from frame %d to %d of %d", begin, end, all)
	}
	worst, faults := equal(r.pulses, 0, begin-1, d.exact(t, a), 0, min(within, a.WorstUs+0.25+jitter))
	told(t, "first walk", faults)
	t.Logf("first walk: %d frames, off by %.3f µs at the most; periods by %.4f %%", begin, worst, 100*off)

	share := 0.0
	for pin := range pins {
		bound := float64(max(a.Channels[pin].Bound, a.Channels[pin].Peak, z.Channels[pin].Peak))
		for k := begin; k <= end; k++ {
			v := (math.Abs(r.pulses[pin][k].us-r.pulses[pin][k-1].us) - 0.5 - 2*jitter) / 0.02
			share = max(share, v/bound)
			if v > bound {
				t.Errorf("change, pin %d, frame %d: %.0f µs/s, its servo does %.0f", pin, k, v, bound)
			}
		}
	}
	t.Logf("change: %d frames, up to %.2f of what a servo does", end-begin, share)

	e := d.exact(t, z)
	at := fitted(r.pulses, end, all, e, 0, e.duration)
	// The phase is kept in 2^-32 cycles, read in 2^-16 frames.
	worst, faults = equal(r.pulses, end, all, e, at, min(within, z.WorstUs+0.25+jitter+0.15))
	told(t, "second walk", faults)
	t.Logf("second walk: %d frames, off by %.3f µs at the most", all-end+1, worst)
}

// own copies a source of testdata and gives its folder, as a full path.
func own(t *testing.T, _ *bench, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	write(t, filepath.Join(dir, name), string(text))
	return dir
}

// Foot switches of the example: with all closed it walks as drawn; a foot that
// does not come holds the robot, and the pulses stay.
func feet(t *testing.T, b *bench, d *demo) {
	elf := b.firmware(t, b.tables, []string{"to_the_drum_start"}, append([]string{"-DFOOT_SWITCHES"}, player...)...)
	s := d.sheet(t, "to_the_drum_start")
	e := d.exact(t, s)

	p := b.start(t, elf)
	p.do("run 20") // its pull-ups are on now
	for bit := range 6 {
		p.do("pin K %d 0", bit)
	}
	p.do("run 3000")
	r := p.end()
	worst, faults := equal(r.pulses, 0, frames(s), e, 0, min(within, s.WorstUs+0.25+jitter))
	told(t, "all closed", faults)
	if len(faults) == 0 && len(r.pulses[0]) <= frames(s) {
		t.Errorf("%d pulses", len(r.pulses[0]))
	}

	// The first foot that lifts and is set down again never closes its switch.
	foot, down := -1, 0.0
	for k := 1; k < len(s.Contacts) && foot < 0; k++ {
		for i := range 6 {
			if s.Contacts[k].Planted&^s.Contacts[k-1].Planted&(1<<i) != 0 {
				foot, down = i, float64(s.Contacts[k].At)/256/s.Rate()
			}
		}
	}
	if foot < 0 {
		t.Fatal("no foot is set down")
	}
	p = b.start(t, elf)
	p.do("run 20")
	for bit := range 6 {
		if bit != foot {
			p.do("pin K %d 0", bit)
		}
	}
	p.do("run 3000")
	r = p.end()
	stands := int(down/0.02) + 3 // its clock stands from then on
	_, faults = equal(r.pulses, 0, int(down/0.02), e, 0, within)
	told(t, "until the foot is missed", faults)
	if off, faults := regular(r.pulses, 0, len(r.pulses[0])-2); len(faults) > 0 {
		told(t, "holding", faults)
	} else {
		t.Logf("all closed: off by %.3f µs; foot %d missed at %.2f s: %d frames held, periods by %.4f %%", worst, foot, down, len(r.pulses[0])-stands, 100*off)
	}
	for pin := range pins {
		q := r.pulses[pin]
		for k := stands; k < len(q)-1; k++ {
			if math.Abs(q[k].us-q[stands].us) > 2*jitter {
				t.Fatalf("pin %d moves in frame %d, though a foot is missing since frame %d", pin, k, stands)
			}
		}
		if len(q) < stands+60 {
			t.Errorf("pin %d has %d pulses: they must go on", pin, len(q))
		}
	}
}

// What the README shows, with the one function filled in, plays the strike.
func oneFunction(t *testing.T, b *bench, d *demo) {
	text, err := os.ReadFile(filepath.Join(b.tables, "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	_, code, ok := strings.Cut(string(text), "```c\n")
	code, _, ok2 := strings.Cut(code, "```")
	if !ok || !ok2 {
		t.Fatal("the README shows no program")
	}
	dir := own(t, b, "sketch.c")
	write(t, filepath.Join(dir, "one.c"), "#include <stdint.h>\nvoid my_servo(uint16_t channel, int32_t us);\nuint32_t my_clock(void);\nvoid setup(void);\nvoid loop(void);\n"+
		strings.ReplaceAll(code, "my_robot_greet", "demo_strike"))
	p := b.start(t, b.firmware(t, b.tables, []string{"strike"}, filepath.Join(dir, "one.c"), filepath.Join(dir, "sketch.c"), "example_avr/pulses.c", "gait_player.c"))
	p.do("run 5000")
	r := p.end()
	s := d.sheet(t, "strike")
	worst, faults := equal(r.pulses, 0, frames(s), d.exact(t, s), 0, s.WorstUs+0.5+jitter) // it gets whole microseconds
	told(t, "strike", faults)
	if len(r.pulses[0]) <= frames(s) {
		t.Errorf("%d pulses", len(r.pulses[0]))
	}
	t.Logf("off by %.3f µs at the most", worst)
}
