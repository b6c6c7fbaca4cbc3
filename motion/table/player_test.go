// SPDX-License-Identifier: MIT

package table_test

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gaitwright/assets"
	"gaitwright/motion"
	"gaitwright/motion/sequence"
	"gaitwright/motion/table"
	"gaitwright/motion/workfile"
)

const firmware = "../../assets/firmware"

// compiled gives a program of C sources, with sanitizers and every warning an
// error.
func compiled(t *testing.T, sources ...string) string {
	t.Helper()
	out := filepath.Join(t.TempDir(), "program")
	args := []string{"-std=c99", "-pedantic", "-Wall", "-Wextra", "-Werror", "-Wconversion", "-Wno-sign-conversion", "-O1", "-g",
		"-fsanitize=address,undefined", "-fno-sanitize-recover=all", "-I" + firmware, "-o", out}
	args = append(append(args, sources...), "-lm")
	if text, err := exec.Command("cc", args...).CombinedOutput(); err != nil {
		t.Fatalf("cc: %v\n%s", err, text)
	}
	return out
}

// built is a workfile with its plan.
func built(t testing.TB, text []byte) (*workfile.Built, *motion.Plan) {
	t.Helper()
	f, err := workfile.Read("demo", text)
	if err != nil {
		t.Fatal(err)
	}
	b, err := f.Build()
	if err != nil {
		t.Fatal(err)
	}
	p, err := sequence.Plan(&b.Script)
	if err != nil {
		t.Fatal(err)
	}
	return b, p
}

// demoSet makes the demo's moves and walks into sheets.
// Where names are given only those are made.
func demoSet(t testing.TB, o table.SheetOptions, names ...string) (*workfile.Built, *table.Set) {
	t.Helper()
	b, p := built(t, assets.Demo)
	clips, err := table.Clips(b, p, table.Which{Moves: true, Walks: true})
	if err != nil {
		t.Fatal(err)
	}
	clips = slices.DeleteFunc(clips, func(c table.Clip) bool { return len(names) > 0 && !slices.Contains(names, c.Name) })
	set, err := table.NewSet(b, clips, o, table.Options{Name: "demo"})
	if err != nil {
		t.Fatal(err)
	}
	return b, set
}

func named(t testing.TB, set *table.Set, name string) *table.Sheet {
	t.Helper()
	for _, s := range set.Sheets {
		if s.Name == name {
			return s
		}
	}
	t.Fatalf("no sheet %s", name)
	return nil
}

// rig drives the player.
type rig struct {
	t       *testing.T
	program string
	dir     string
	script  strings.Builder
	tables  int
}

func newRig(t *testing.T) *rig {
	return &rig{t: t, program: compiled(t, "testdata/harness.c", firmware+"/gait_player.c"), dir: t.TempDir()}
}

func (r *rig) clear() *rig {
	r.script.Reset()
	r.tables = 0
	return r
}

func (r *rig) load(b []byte) *rig {
	path := filepath.Join(r.dir, fmt.Sprintf("%d.bin", r.tables))
	if err := os.WriteFile(path, b, 0o644); err != nil {
		r.t.Fatal(err)
	}
	fmt.Fprintf(&r.script, "load %d %s\n", r.tables, path)
	r.tables++
	return r
}

func (r *rig) sheet(s *table.Sheet) *rig {
	b, err := s.Binary()
	if err != nil {
		r.t.Fatal(err)
	}
	return r.load(b)
}

func (r *rig) say(format string, a ...any) *rig {
	fmt.Fprintf(&r.script, format+"\n", a...)
	return r
}

// told is what the player did at one tick.
type told struct {
	state, fault int
	weight       int
	phase        int
	pose         []int     // 1/256 units
	channel      []int     //
	value        []float64 // in the callback's units
}

// The states, as gait_player.h numbers them.
const (
	idle = iota
	approach
	play
	change
	cooling
	held
)

// run gives the ticks, and the other lines in order with the number of ticks
// before each.
func (r *rig) run() (ticks []told, lines []string, at []int) {
	r.t.Helper()
	cmd := exec.Command(r.program)
	cmd.Stdin = strings.NewReader(r.script.String())
	var out, bad bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &bad
	if err := cmd.Run(); err != nil {
		r.t.Fatalf("the player: %v\n%s", err, &bad)
	}
	for _, l := range strings.Split(strings.TrimSpace(out.String()), "\n") {
		w := strings.Fields(l)
		if len(w) < 7 || w[0] != "tick" {
			if l == "over" {
				r.t.Error("the player read past a table's end")
			}
			lines, at = append(lines, l), append(at, len(ticks))
			continue
		}
		var n []int
		for _, s := range w[1:] {
			v, err := strconv.Atoi(s)
			if err != nil {
				r.t.Fatal(err)
			}
			n = append(n, v)
		}
		k := told{state: n[1], fault: n[2], weight: n[3], phase: n[4]}
		k.pose = n[6 : 6+n[5]]
		for i := range n[5] {
			k.channel = append(k.channel, n[6+n[5]+2*i])
			k.value = append(k.value, float64(n[6+n[5]+2*i+1]))
		}
		ticks = append(ticks, k)
	}
	return ticks, lines, at
}

// answers asserts what the calls answered.
func answers(t *testing.T, lines []string, want ...string) {
	t.Helper()
	var got []string
	for _, l := range lines {
		if w := strings.Fields(l); len(w) > 1 && w[0] != "mark" && w[0] != "ended" && w[0] != "foot" {
			got = append(got, l)
		}
	}
	if strings.Join(got, ", ") != strings.Join(want, ", ") {
		t.Errorf("answers %q, want %q", got, want)
	}
}

// pulses gives the exact pulse widths of a clip at times that are whole
// 1/10000 s, from its plan.
func pulses(t *testing.T, b *workfile.Built, c *table.Clip) func(us int, channel int) float64 {
	t.Helper()
	tr, err := motion.NewSampler(&b.Robot).Sample(c.Plan.Cut(0, c.Duration), table.CheckRate, nil)
	if err != nil {
		t.Fatal(err)
	}
	return func(us, ch int) float64 {
		q := tr.Q[us/100*tr.Legs*3+ch]
		k := b.Channels[ch/3][ch%3]
		return k.Centre + k.PerRad*(k.Sign*(q+k.Offset)+k.Trim)
	}
}

// TestPlayer plays tables on the player, compiled for the host once.
func TestPlayer(t *testing.T) {
	program := newRig(t)
	for _, c := range []struct {
		name string
		test func(*testing.T, *rig)
	}{
		{"plays the motion", playerPlaysTheMotion},
		{"loops", playerLoops},
		{"speed", playerSpeed},
		{"cools down", playerCoolsDown},
		{"approaches", playerApproaches},
		{"changes walks", playerChangesWalks},
		{"joins", playerJoins},
		{"holds", playerHolds},
		{"feet", playerFeet},
		{"refuses garbage", playerRefusesGarbage},
		{"poses", playerPoses},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.test(t, &rig{t: t, program: program.program, dir: t.TempDir()})
		})
	}
}

// The player has every channel where the motion has it: within what the sheet
// says of itself, and half a unit of what the callback is told. In every
// interpolation, plain and packed, to the last bit as Sheet.At says.
func playerPlaysTheMotion(t *testing.T, r *rig) {
	for _, how := range []table.SheetOptions{
		{Rate: 50, Interpolation: table.Hold},
		{Rate: 50, Interpolation: table.Linear, Unit: table.Unit{Bits: 3}, Packed: true},
		{WithinUs: 1, Interpolation: table.Linear, Unit: table.Unit{Bits: 2}},
		{WithinUs: 1, WithinMM: 0.2, Interpolation: table.Cubic, Unit: table.Unit{Bits: 2}, Packed: true},
		{Rate: 50, Interpolation: table.Cubic, Unit: table.Unit{Bits: 2}},
	} {
		b, set := demoSet(t, how, "strike", "to_the_drum", "last_steps_start")
		for _, name := range []string{"strike", "to_the_drum", "last_steps_start"} {
			s := named(t, set, name)
			exact := pulses(t, b, s.Clip)
			const dt = 700 // µs
			n := int(s.Duration * 1e6 / dt)
			r.clear().sheet(s).say("bits 3").say("stands 0").say("play 0").say("ticks 1 %d", dt).say("ticks %d %d", n, dt)
			ticks, lines, _ := r.run()
			answers(t, lines, "stands 0", "play 0")
			worst := 0.0
			for k, tick := range ticks {
				if len(tick.pose) != 18 || tick.state != play {
					t.Fatalf("%s: tick %d: state %d, fault %d, %d values", name, k, tick.state, tick.fault, len(tick.pose))
				}
				us := k * dt
				model := s.At(uint64(us))
				for i, v := range tick.pose {
					if v != int(model[i]) {
						t.Fatalf("%s %v: tick %d, channel %d: player %d, sheet %d", name, how.Interpolation, k, i, v, model[i])
					}
					if tick.channel[i] != s.Channels[i].Channel {
						t.Fatalf("channel %d for %d", tick.channel[i], s.Channels[i].Channel)
					}
					if us%100 == 0 && us <= int(s.Duration*1e6) {
						worst = max(worst, math.Abs(tick.value[i]/8-exact(us, i)))
					}
				}
			}
			if worst > s.WorstUs+1./16+1e-6 {
				t.Errorf("%s %v: off by %.3f µs, the sheet says %.3f", name, how.Interpolation, worst, s.WorstUs)
			}
			if how.WithinUs > 0 && (worst > how.WithinUs+1./16 || s.WorstMM > 0.2 && how.WithinMM > 0) {
				t.Errorf("%s %v: off by %.3f µs, %.3f mm", name, how.Interpolation, worst, s.WorstMM)
			}
		}
	}
}

// A cycle played a hundred times is where it would be: no error of time adds
// up, the seam is as smooth as the rest.
func playerLoops(t *testing.T, r *rig) {
	_, set := demoSet(t, table.SheetOptions{Rate: 33, Interpolation: table.Cubic, Unit: table.Unit{Bits: 2}, Packed: true}, "to_the_drum", "last_steps")
	for _, name := range []string{"to_the_drum", "last_steps"} {
		s := named(t, set, name)
		const dt = 3333
		period := int(math.Round(s.Duration * 1e6))
		n := 100 * period / dt
		r.clear().sheet(s).say("stands 0").say("play 0").say("ticks 1 20000").say("ticks %d %d", n, dt)
		ticks, _, _ := r.run()
		most := 0.0
		for k := range ticks {
			model := s.At(uint64(k * dt % period))
			for i, v := range ticks[k].pose {
				if v != int(model[i]) {
					t.Fatalf("%s: tick %d, channel %d: %d, want %d", name, k, i, v, model[i])
				}
				if k > 0 {
					speed := math.Abs(float64(v-ticks[k-1].pose[i])) / 256 / dt * 1e6
					most = max(most, speed/float64(s.Channels[i].Peak))
				}
			}
		}
		if most > 1.02 {
			t.Errorf("%s: %.3f of the greatest speed", name, most)
		}
	}
}

func playerSpeed(t *testing.T, r *rig) {
	_, set := demoSet(t, table.SheetOptions{Rate: 50, Interpolation: table.Linear, Unit: table.Unit{Bits: 2}}, "to_the_drum")
	s := named(t, set, "to_the_drum")
	for _, factor := range []int{64, 128, 300, 512} {
		r.clear().sheet(s).say("speed %d", factor).say("stands 0").say("play 0").say("ticks 1 20000").say("ticks 777 5000")
		ticks, lines, _ := r.run()
		answers(t, lines, "speed 0", "stands 0", "play 0")
		for k := range ticks {
			model := s.At(uint64(k*5000*factor/256) % 1e6)
			for i, v := range ticks[k].pose {
				if v != int(model[i]) {
					t.Fatalf("factor %d, tick %d: %d, want %d", factor, k, v, model[i])
				}
			}
		}
	}
	// No faster than the servos; 0 stands still.
	r.clear().sheet(s).say("stands 0").say("play 0").say("ticks 9 20000").say("speed %d", s.Fastest+1).say("speed 0").say("ticks 5 20000").
		say("speed 256").say("next 0").say("speed %d", s.Fastest+1).say("stop").say("speed %d", s.Fastest+1).say("play 0").say("speed 9999")
	ticks, lines, _ := r.run()
	answers(t, lines, "stands 0", "play 0", "speed 13", "speed 0", "speed 0", "next 0", "speed 13", "speed 0", "play 13", "speed 13")
	for k := 9; k < len(ticks); k++ {
		if fmt.Sprint(ticks[k].pose) != fmt.Sprint(ticks[8].pose) {
			t.Fatal("it moves at speed 0")
		}
	}
}

// Nothing begins until the cool-down is over, neither after the end nor after
// a stop or a fault; what waits begins then.
func playerCoolsDown(t *testing.T, r *rig) {
	_, set := demoSet(t, table.SheetOptions{Rate: 50, Interpolation: table.Linear}, "strike")
	s := named(t, set, "strike")
	if s.CoolDown != 0.3 || len(s.Marks) != 8 {
		t.Fatalf("cool-down %v s, %d marks", s.CoolDown, len(s.Marks))
	}
	end := int(s.Duration*1e6/20000) + 1
	r.clear().sheet(s).say("stands 0").say("play 0").say("ticks %d 20000", end).say("play 0").say("ticks 14 20000").say("play 0").
		say("ticks 2 20000").say("play 0").say("ticks 20 20000").say("play 0").say("stop").say("play 0").say("ticks 16 20000").
		say("play 0").say("ticks 3 20000").say("fault 20").say("clear").say("play 0")
	ticks, lines, at := r.run()
	answers(t, lines, "stands 0", "play 0", "play 8", "play 8", "play 0", "play 10", "play 8", "play 0", "play 8")
	if ticks[end-1].state != cooling || ticks[end-2].state != play {
		t.Errorf("states about the end: %d, %d", ticks[end-2].state, ticks[end-1].state)
	}
	var marks []string
	for i, l := range lines {
		if strings.HasPrefix(l, "mark") && len(marks) < 8 {
			k, _ := strconv.Atoi(l[5:])
			if want := s.Marks[k].At / 0.02; float64(at[i]) < want-0.01 || float64(at[i]) > want+1.01 {
				t.Errorf("%s before tick %d, want %.1f", l, at[i], want)
			}
			marks = append(marks, l)
		}
	}
	if len(marks) != 8 {
		t.Errorf("marks %v", marks)
	}
	r.clear().sheet(s).say("stands 0").say("play 0").say("ticks 5 20000").say("next 0").say("ticks %d 20000", end+8).say("ticks 400 20000")
	ticks, lines, _ = r.run()
	answers(t, lines, "stands 0", "play 0", "next 0")
	if got := states(ticks); got != fmt.Sprint([]int{play, cooling, approach, play, cooling, idle}) {
		t.Errorf("what waits: %s", got)
	}
}

// states gives each state once.
func states(ticks []told) string {
	var all []int
	for _, k := range ticks {
		if n := len(all); n == 0 || all[n-1] != k.state {
			all = append(all, k.state)
		}
	}
	return fmt.Sprint(all)
}

// Without a pose nothing begins; an approach never exceeds its bound, and all
// joints arrive together.
func playerApproaches(t *testing.T, r *rig) {
	_, set := demoSet(t, table.SheetOptions{Rate: 50, Interpolation: table.Cubic, Unit: table.Unit{Bits: 2}}, "strike")
	s := named(t, set, "strike")
	for _, bound := range []int{0, 100, 1234, 100000} {
		for _, dt := range []int{1000, 7000, 20000} {
			r.clear().sheet(s).say("approach %d", bound).say("play 0").say("at 0 150").say("play 0").say("ticks %d %d", 5000000/dt, dt)
			ticks, lines, _ := r.run()
			answers(t, lines, "play 7", "at 0", "play 0")
			arrived := false
			for k := 1; k < len(ticks) && !arrived; k++ {
				if len(ticks[k].pose) == 0 {
					t.Fatalf("tick %d: state %d, fault %d", k, ticks[k].state, ticks[k].fault)
				}
				arrived = ticks[k].state == play
				for i, v := range ticks[k].pose {
					most := float64(bound)
					if bound == 0 {
						most = float64(s.Channels[i].Bound / 8)
					}
					most = min(most, float64(s.Channels[i].Bound))
					if arrived {
						most += float64(s.Channels[i].Peak) // the table goes on in the same tick
					}
					if by := math.Abs(float64(v-ticks[k-1].pose[i])) / 256; by > most*float64(dt)/1e6+1./128 {
						t.Fatalf("bound %d, %d µs: tick %d, channel %d goes %.3f µs, %.3f allowed", bound, dt, k, i, by, most*float64(dt)/1e6)
					}
				}
			}
			if !arrived {
				t.Errorf("bound %d: it does not arrive", bound)
			}
		}
	}
	// To a pose; and not to one outside the range.
	r.clear().sheet(s).say("stands 0").say("go 0 40").say("ticks 200 20000").say("go 0 9000").say("at 0 9000").say("play 0")
	ticks, lines, _ := r.run()
	answers(t, lines, "stands 0", "go 0", "go 14", "at 14", "play 7")
	if last := ticks[len(ticks)-1]; last.state != idle || len(last.pose) != 0 {
		t.Errorf("after going to a pose: state %d", last.state)
	}
}

// From one walk to another at the phase that both share, never faster than
// the servos go.
func playerChangesWalks(t *testing.T, r *rig) {
	_, set := demoSet(t, table.SheetOptions{Rate: 50, Interpolation: table.Cubic, Unit: table.Unit{Bits: 2}, Packed: true}, "to_the_drum", "last_steps", "strike")
	a, b := named(t, set, "to_the_drum"), named(t, set, "last_steps")
	for _, over := range []int{0, 100, 800, 3000} {
		for _, first := range []int{3, 17, 50, 81} {
			const dt = 10000
			r.clear().sheet(a).sheet(b).say("stands 0").say("play 0").say("ticks %d %d", first, dt).say("change 1 %d", over).say("change 1 5").
				say("ticks 900 %d", dt)
			ticks, lines, _ := r.run()
			answers(t, lines, "stands 0", "play 0", "change 0", "change 10")
			if got := states(ticks); got != fmt.Sprint([]int{play, change, play}) {
				t.Fatalf("over %d ms: states %s, fault %d", over, got, ticks[len(ticks)-1].fault)
			}
			began := 0
			for k := 1; k < len(ticks); k++ {
				if ticks[k].state == change && ticks[k-1].state != change {
					began = k
				}
				for i, v := range ticks[k].pose {
					most := float64(max(a.Channels[i].Bound, a.Channels[i].Peak, b.Channels[i].Peak)) * dt / 1e6
					if by := math.Abs(float64(v-ticks[k-1].pose[i])) / 256; by > most*1.02+0.1 {
						t.Fatalf("over %d ms, tick %d (state %d), channel %d: %.2f µs in a tick, %.2f allowed", over, k, ticks[k].state, i, by, most)
					}
				}
				// One clock: it goes on at a rate between those of both.
				by := float64(ticks[k].phase-ticks[k-1].phase) / 65536
				if by < -0.5 {
					by++
				}
				if lo, hi := dt/1.5e6, dt/1.0e6; by < lo*0.995-4./65536 || by > hi*1.005+4./65536 {
					t.Fatalf("over %d ms, tick %d (state %d): the phase goes on by %.5f, between %.5f and %.5f wanted", over, k, ticks[k].state, by, lo, hi)
				}
			}
			if began == 0 {
				t.Fatal("no changeover")
			}
			end := began
			for ticks[end].state == change {
				end++
			}
			if took := (end - began) * dt / 1000; took < over-2*dt/1000 || took > over+1500 {
				t.Errorf("over %d ms: it took %d ms", over, took)
			}
			// Afterwards it is the other walk.
			for k := end + 1; k < len(ticks); k++ {
				us := uint64(float64(ticks[k].phase) / 65536 * 1.5e6)
				lo, hi := b.At(us), b.At(us+40)
				for i, v := range ticks[k].pose {
					if d := min(math.Abs(float64(v)-float64(lo[i])), math.Abs(float64(v)-float64(hi[i]))); d > 256*0.2 {
						t.Fatalf("tick %d, channel %d: %d, the walk has %d", k, i, v, lo[i])
					}
				}
			}
		}
	}
	r.clear().sheet(named(t, set, "strike")).sheet(b).say("stands 0").say("play 0").say("change 1 5").say("ticks 3 20000").say("change 1 5")
	_, lines, _ := r.run()
	answers(t, lines, "stands 0", "play 0", "change 11", "change 11")
}

// From standing into a walk, three cycles of it, and back to standing, without
// a joint: the tables fit together.
func playerJoins(t *testing.T, r *rig) {
	_, set := demoSet(t, table.SheetOptions{Rate: 50, Interpolation: table.Cubic, Unit: table.Unit{Bits: 2}}, "last_steps_start", "last_steps", "last_steps_stop")
	start, cycle, stop := named(t, set, "last_steps_start"), named(t, set, "last_steps"), named(t, set, "last_steps_stop")
	const dt = 10000
	r.clear().sheet(start).sheet(cycle).sheet(stop).say("stands 0").say("play 0").say("ticks 1 %d", dt).say("next 1").say("ticks %d %d", 300+300, dt).
		say("next 2").say("ticks %d %d", 150+151, dt)
	ticks, lines, at := r.run()
	answers(t, lines, "stands 0", "play 0", "next 0", "next 0")
	if got := states(ticks); got != fmt.Sprint([]int{play, idle}) {
		t.Errorf("states %s", got)
	}
	var ends []string
	for i, l := range lines {
		if strings.HasPrefix(l, "ended") {
			ends = append(ends, fmt.Sprintf("%s at %d", l, at[i]))
		}
	}
	if got := strings.Join(ends, ", "); got != "ended 0 at 300, ended 1 at 750, ended 2 at 900" {
		t.Errorf("ends: %s", got)
	}
	for k := 1; k < len(ticks); k++ {
		for i, v := range ticks[k].pose {
			most := float64(max(start.Channels[i].Peak, cycle.Channels[i].Peak, stop.Channels[i].Peak)) * dt / 1e6
			if by := math.Abs(float64(v-ticks[k-1].pose[i])) / 256; by > most*1.02+0.6 {
				t.Fatalf("tick %d, channel %d: %.2f µs in a tick, %.2f allowed", k, i, by, most)
			}
		}
	}
}

// A fault holds: no servo is told anything until it is cleared.
func playerHolds(t *testing.T, r *rig) {
	_, set := demoSet(t, table.SheetOptions{Rate: 50, Interpolation: table.Linear, Packed: true}, "to_the_drum")
	s := named(t, set, "to_the_drum")
	r.clear().sheet(s).say("stands 0").say("play 0").say("ticks 20 20000").say("fault 42").say("play 0").say("next 0").say("change 0 9").say("go 0 9").say("ticks 20 20000").
		say("clear").say("ticks 5 20000").say("play 0").say("ticks 200 20000")
	ticks, lines, _ := r.run()
	answers(t, lines, "stands 0", "play 0", "play 9", "next 9", "change 9", "go 9", "play 0")
	for k := 20; k < 40; k++ {
		if ticks[k].state != held || ticks[k].fault != 42 || len(ticks[k].pose) != 0 {
			t.Fatalf("tick %d: state %d, fault %d, %d servos told", k, ticks[k].state, ticks[k].fault, len(ticks[k].pose))
		}
	}
	if got := states(ticks[40:]); got != fmt.Sprint([]int{idle, approach, play}) {
		t.Errorf("after it is cleared: %s", got)
	}
	for i, v := range ticks[45].pose { // goes on from where it held
		if d := math.Abs(float64(v - ticks[19].pose[i])); d > 256*2 {
			t.Errorf("channel %d jumps by %.2f µs", i, d/256)
		}
	}

	// A tick that comes too late; a table that is cut off under way; more
	// fraction bits than there are.
	for _, c := range []struct {
		script string
		fault  int
	}{{"ticks 1 100001", 3}, {"break 0 900", 1}, {"bits 9", 2}} {
		r.clear().sheet(s).say("stands 0").say("play 0").say("ticks 20 20000").say("%s", c.script).say("ticks 60 20000")
		ticks, _, _ := r.run()
		if last := ticks[len(ticks)-1]; last.state != held || last.fault != c.fault {
			t.Errorf("%s: state %d, fault %d, want %d", c.script, last.state, last.fault, c.fault)
		}
	}

	// A value outside the range is refused, not clamped: the first joint that
	// moves is given less room than the walk takes.
	b, err := s.Binary()
	if err != nil {
		t.Fatal(err)
	}
	ch, most := -1, 0
	for i := range s.Channels {
		for k := range s.Frames {
			if v := int(s.Row(k)[i]); ch < 0 && v > int(s.Row(0)[i])+20 {
				ch, most = i, v-10
			}
		}
	}
	b[44+14*ch+4], b[44+14*ch+5] = byte(most), byte(most>>8)
	seal(b)
	r.clear().load(b).say("check 0").say("stands 0").say("play 0").say("ticks 100 20000")
	ticks, lines, _ = r.run()
	answers(t, lines, "check 0", "stands 0", "play 0")
	if last := ticks[len(ticks)-1]; last.state != held || last.fault != 2 {
		t.Errorf("past the range: state %d, fault %d", last.state, last.fault)
	}
	for _, k := range ticks {
		if len(k.value) > 0 && k.value[ch] > float64(most) {
			t.Fatalf("a servo is told %v, past its %d", k.value[ch], most)
		}
	}
	// Cleared, it is where it held, and not past the range.
	r.say("clear").say("play 0").say("ticks 3 20000")
	ticks, _, _ = r.run()
	if last := ticks[len(ticks)-1]; last.fault != 0 || last.state != approach {
		t.Errorf("cleared: state %d, fault %d", last.state, last.fault)
	}
}

// seal makes the check sums right.
func seal(b []byte) {
	head := int(b[12]) | int(b[13])<<8
	if head < 44 || head > len(b) {
		return
	}
	put := func(at int, v uint16) { b[at], b[at+1] = byte(v), byte(v>>8) }
	put(6, table.CRC(b[head:]))
	put(4, table.CRC(b[6:head]))
}

// Early and late feet.
func playerFeet(t *testing.T, r *rig) {
	_, set := demoSet(t, table.SheetOptions{Rate: 50, Interpolation: table.Cubic, Unit: table.Unit{Bits: 2}}, "to_the_drum")
	s := named(t, set, "to_the_drum") // tripod: legs 0, 2, 4 stand in the first half second, 1, 3, 5 in the second
	if len(s.Contacts) != 2 || s.Contacts[0].Planted != 1|4|16 || s.Contacts[1].Planted != 2|8|32 || s.Contacts[1].At != 25*256 {
		t.Fatalf("contacts %+v", s.Contacts)
	}
	all := func(v int, legs ...int) {
		for _, l := range legs {
			r.say("down %d %d", l, v)
		}
	}
	// Leg 1 closes 100 ms early, leg 3 300 ms early (told when 150 are left), legs 5 and 2 10 ms early, leg 0 comes 60 ms late, leg 4 not at all.
	begin := func(answer int) {
		r.clear().sheet(s).say("feet %d", answer)
		all(1, 0, 2, 4)
		r.say("stands 0").say("play 0").say("ticks 1 10000").say("ticks 20 10000") // 0.2 s
		all(1, 3)
		r.say("ticks 20 10000") // 0.4 s
		all(1, 1)
		r.say("ticks 9 10000")
		all(1, 5)
		r.say("ticks 2 10000")
		all(0, 0, 2, 4)
		r.say("ticks 5 10000")
		all(0, 1, 3)
		all(1, 1, 3)
		r.say("ticks 34 10000") // 0.9 s
		all(0, 1, 3, 5)
		r.say("ticks 9 10000")
		all(1, 2)
		r.say("ticks 7 10000") // 1.06 s
		all(1, 0)
		r.say("ticks 40 10000")
	}
	begin(0)
	_, lines, at := r.run()
	var feet []string
	for i, l := range lines {
		if strings.HasPrefix(l, "foot") {
			feet = append(feet, fmt.Sprintf("%s at %d", l, at[i]))
		}
	}
	got := strings.Join(feet, ", ")
	for _, want := range []string{"foot 1 early 99", "foot 3 early 149", "foot 0 late 40", "foot 4 late 40"} {
		if strings.Count(got, want) != 1 {
			t.Errorf("%q not once in %s", want, got)
		}
	}
	if strings.Contains(got, "foot 2 late") || strings.Contains(got, "foot 5 late") || strings.Count(got, "foot") != 6 {
		t.Errorf("told: %s", got)
	}
	// Told to wait: the clock stands still, and a foot that never comes holds.
	begin(1)
	ticks, _, _ := r.run()
	if last := ticks[len(ticks)-1]; last.state != held || last.fault != 4 {
		t.Errorf("a foot waited for in vain: state %d, fault %d", last.state, last.fault)
	}
	begin(2)
	ticks, _, _ = r.run()
	if last := ticks[len(ticks)-1]; last.state != held || last.fault != 4 {
		t.Errorf("told to stop: state %d, fault %d", last.state, last.fault)
	}
	// Waited for with success: leg 4 comes at last.
	r.clear().sheet(s).say("feet 1")
	all(1, 0, 1, 2, 3, 5)
	r.say("stands 0").say("play 0").say("ticks 1 10000").say("ticks 99 10000").say("down 4 0").say("ticks 20 10000")
	all(1, 4)
	r.say("ticks 5 10000")
	ticks, lines, _ = r.run()
	still, goes := ticks[110].phase == ticks[118].phase, ticks[len(ticks)-1].phase > ticks[118].phase
	if !still || !goes || ticks[len(ticks)-1].state != play {
		t.Errorf("waiting: still %v, goes on %v, %v", still, goes, lines)
	}
}

// What is no table, or one that is damaged, is refused with the reason.
func playerRefusesGarbage(t *testing.T, r *rig) {
	_, set := demoSet(t, table.SheetOptions{Rate: 50, Interpolation: table.Linear, Packed: true}, "to_the_drum")
	good, err := named(t, set, "to_the_drum").Binary()
	if err != nil {
		t.Fatal(err)
	}
	change := func(at int, v byte, sealed bool) []byte {
		b := bytes.Clone(good)
		b[at] ^= v
		if sealed {
			seal(b)
		}
		return b
	}
	const noTable, otherVersion, length, damaged, field, tooLarge = 1, 2, 3, 4, 5, 6
	for _, c := range []struct {
		name string
		b    []byte
		want int
	}{
		{"good", good, 0},
		{"empty", nil, noTable},
		{"short", good[:20], noTable},
		{"text", bytes.Repeat([]byte("hello "), 99), noTable},
		{"version", change(3, 1, true), otherVersion},
		{"cut off", good[:len(good)-1], length},
		{"longer", append(bytes.Clone(good), 0), length},
		{"head's length", change(12, 1, true), length},
		{"head damaged", change(18, 1, false), damaged},
		{"body damaged", change(len(good)-1, 1, false), damaged},
		{"no channel", change(14, 18, true), field},
		{"too many channels", change(14, 64, true), tooLarge},
		{"no legs' contact", change(38, 2, true), field},
		{"more contacts", change(38, 1, true), length},
		{"interpolation", change(26, 8, true), field},
		{"fraction", change(25, 8, true), field},
		{"packing", change(28, 4, true), field},
		{"block", change(29, 16, true), field},
		{"step", change(21, 0x40, true), field},
		{"frames", change(17, 0x80, true), field},
		{"contacts not in order", change(44+14*18+5, 25, true), field},
		{"block not in order", change(int(good[12])+int(good[13])*256-1, 0xff, true), field},
	} {
		r.clear().load(c.b).say("check 0")
		_, lines, _ := r.run()
		if want := fmt.Sprintf("check %d", c.want); lines[0] != want {
			t.Errorf("%s: got %q, want %q", c.name, lines[0], want)
		}
	}
	// Whatever byte is wrong: it is refused, or harmless, and never read past
	// its end.
	r.clear()
	n := 0
	for at := range min(len(good), 420) {
		b := change(at, byte(1<<(at%8)), true)
		path := filepath.Join(r.dir, fmt.Sprintf("x%d.bin", at))
		if err := os.WriteFile(path, b, 0o644); err != nil {
			t.Fatal(err)
		}
		r.say("load %d %s", at%8, path).say("check %d", at%8).say("stands %d", at%8).say("play %d", at%8).say("ticks 30 20000").say("change %d 100", at%8).say("ticks 30 20000").say("stop").say("clear").say("ticks 20 100000")
		n++
	}
	_, lines, _ := r.run()
	checks := 0
	for _, l := range lines {
		if strings.HasPrefix(l, "check") {
			checks++
		}
	}
	if checks != n {
		t.Errorf("%d of %d looked at", checks, n)
	}
	r.clear().say("crc 0")
	if _, lines, _ := r.run(); lines[0] != "crc 29b1" {
		t.Errorf("%v, want 29b1 (CRC-16/IBM-3740, catalogue of parametrised CRC algorithms)", lines)
	}
	if got := table.CRC([]byte("123456789")); got != 0x29b1 {
		t.Errorf("CRC %x", got)
	}
}

// First and last pose, as the sheet has them.
func playerPoses(t *testing.T, r *rig) {
	_, set := demoSet(t, table.SheetOptions{Rate: 50, Interpolation: table.Cubic, Unit: table.Unit{Bits: 2}, Packed: true}, "strike", "to_the_drum")
	for _, name := range []string{"strike", "to_the_drum"} {
		s := named(t, set, name)
		r.clear().sheet(s).say("pose 0 0").say("pose 0 1")
		_, lines, _ := r.run()
		last := s.Row(s.Frames - 1)
		if s.Loop {
			last = s.Row(0)
		}
		for i, row := range [][]uint16{s.Row(0), last} {
			if want := "pose 0 " + strings.Trim(fmt.Sprint(row), "[]"); lines[i] != want {
				t.Errorf("%s: got %q, want %q", name, lines[i], want)
			}
		}
	}
}
