// SPDX-License-Identifier: MIT

package table

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"gaitwright/motion/workfile"
)

func TestMakeEqualsTrajectory(t *testing.T) {
	b, tr, tb := sample(t)
	m := &tb.Moves[0]
	if m.Frames != 46 || m.From != 0.2 || m.Lead != 0 || tb.Duration(m) != 0.9 {
		t.Errorf("move of 0.2 to 1.1 s at 50 Hz: %d frames from %v (lead %v), %v s", m.Frames, m.From, m.Lead, tb.Duration(m))
	}
	if m.Name != "drum_hit" || m.Title != "drum hit!" || tb.Name != "my_drum" {
		t.Errorf("names %q, %q, %q", m.Name, m.Title, tb.Name)
	}
	verify(t, b, tr, m,
		func(f, j int) float64 { return float64(m.Pulse[f*18+j]) },
		func(f, j int) float64 { return float64(m.Angle[f*18+j]) })
	if want := (Joint{Leg: "L2", Name: "femur", Channel: 36}); tb.Joints[4] != want {
		t.Errorf("joint 4: got %v, want %v", tb.Joints[4], want)
	}
}

func TestMakeRounds(t *testing.T) {
	for _, c := range []struct {
		us    float64
		pulse uint16
	}{{1500.5, 1501}, {1501.5, 1502}, {1500.4999, 1500}, {1499.5, 1500}, {500, 500}, {2500, 2500}} {
		b, tr := made(4, 5, 10, part{"m", "m", 0, 0.4})
		for i := range b.Channels {
			for j := range b.Channels[i] {
				b.Channels[i][j] = workfile.Channel{Set: true, Centre: c.us, Sign: 1, Min: 500, Max: 2500}
			}
		}
		tb, err := Make(b, tr, Options{})
		if err != nil {
			t.Fatalf("%v: %v", c.us, err)
		}
		if got := tb.Moves[0].Pulse[0]; got != c.pulse {
			t.Errorf("%v µs: got %d, want %d", c.us, got, c.pulse)
		}
	}
	for _, c := range []struct {
		deg   float64
		tenth int16
	}{{0.25, 3}, {-0.25, -3}, {0.2, 2}, {90, 900}, {-180, -1800}, {-0.04, 0}} {
		b, tr := made(4, 5, 10, part{"m", "m", 0, 0.4})
		for i := range b.Channels {
			for j := range b.Channels[i] {
				b.Channels[i][j] = workfile.Channel{Set: true, Centre: 1500, Sign: 1, Min: 500, Max: 2500}
			}
		}
		tr.Q[0] = math.Nextafter(c.deg/180*math.Pi, math.Copysign(10, c.deg)) // never just short of a half
		tb, err := Make(b, tr, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if got := tb.Moves[0].Angle[0]; got != c.tenth {
			t.Errorf("%v degrees: got %d, want %d", c.deg, got, c.tenth)
		}
	}
}

// A move that begins between two samples starts with the next one and says
// how much later that is; it never holds a frame of another entry.
func TestMakeBetweenFrames(t *testing.T) {
	b, tr := made(4, 30, 10, part{"a", "", 0, 0.537}, part{"m", "m", 0.537, 1.249}, part{"z", "", 1.249, 2.9})
	tb, err := Make(b, tr, Options{})
	if err != nil {
		t.Fatal(err)
	}
	m := &tb.Moves[0]
	if m.From != 0.6 || m.Frames != 7 || math.Abs(m.Lead-0.063) > 1e-12 {
		t.Errorf("got from %v, %d frames, lead %v; want 0.6, 7, 0.063", m.From, m.Frames, m.Lead)
	}
	files, err := tb.Files(C)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(files[0].Data, []byte("0.063 s after the move begins")) {
		t.Errorf("the comment does not tell of the lead:\n%s", files[0].Data)
	}
}

func TestNames(t *testing.T) {
	b, tr := made(4, 100, 10, part{"1", "strike", 0, 1}, part{"2", "strike", 1, 2}, part{"3", "Strike 2", 2, 3},
		part{"4", "STRIKE", 3, 4}, part{"5", "schlag ÄÖ", 4, 5}, part{"6", "鼓", 5, 6}, part{"7", "2 hits", 6, 7}, part{"8", "move", 7, 8}, part{"9", "__int", 8, 9})
	tb, err := Make(b, tr, Options{Name: "3 robots/ of mine"})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, m := range tb.Moves {
		got = append(got, m.Name)
	}
	want := []string{"strike", "strike_2", "Strike_2_2", "STRIKE_3", "schlag", "move", "move_2_hits", "move_2", "int"}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("names (-want +got):\n%s", d)
	}
	if tb.Name != "moves_3_robots_of_mine" {
		t.Errorf("got %q", tb.Name)
	}
}

func TestMakeRefuses(t *testing.T) {
	move := part{"hit", "hit", 0.2, 1}
	for _, c := range []struct {
		name  string
		parts []part
		fault func(b *workfile.Built, q []float64)
		is    error
		says  []string
	}{
		{"no move", []part{{"rest", "", 0, 1}}, nil, ErrNoMove, []string{"plays no move", "add an entry"}},
		{"short move", []part{{"tap", "tap", 0.21, 0.22}}, nil, ErrNoMove, []string{"tap", "raise the rate"}},
		{"no channel", []part{move}, func(b *workfile.Built, _ []float64) { b.Channels[1][2].Set = false }, ErrJoint,
			[]string{"leg L2, tibia", "no channel", "give it one"}},
		{"channel number", []part{move}, func(b *workfile.Built, _ []float64) { b.Channels[1][2].Number = -1 }, ErrJoint, []string{"leg L2, tibia", "channel -1"}},
		{"pulse too long", []part{move}, func(b *workfile.Built, q []float64) { q[(5*4+1)*3] = 2 }, ErrJoint,
			[]string{"leg L2, coxa", "hit at 0.500 s", "outside the channel's 500 to 2500 µs", "range_us"}},
		{"pulse outside by a fraction that rounds in", []part{move}, func(b *workfile.Built, _ []float64) {
			b.Channels[0][0] = workfile.Channel{Set: true, Centre: 2500.3, Max: 2500}
		}, ErrJoint, []string{"leg L1, coxa", "2500.3"}},
		{"pulse inside that rounds out", []part{move}, func(b *workfile.Built, _ []float64) {
			b.Channels[0][0] = workfile.Channel{Set: true, Centre: 2499.6, Max: 2499.7}
		}, ErrJoint, []string{"leg L1, coxa", "2499.6"}},
		{"pulse beyond 16 bits", []part{move}, func(b *workfile.Built, _ []float64) {
			b.Channels[0][0] = workfile.Channel{Set: true, Centre: 70000, Max: 80000}
		}, ErrJoint, []string{"leg L1, coxa", "70000"}},
		{"angle beyond the format", []part{move}, func(b *workfile.Built, q []float64) {
			b.Channels[0][1] = workfile.Channel{Set: true, Centre: 1500, Max: 2500}
			q[6*12+1] = 60
		}, ErrJoint, []string{"leg L1, femur", "hit at 0.600 s", "tenths of a degree"}},
		{"angle not a number", []part{move}, func(b *workfile.Built, q []float64) { q[6*12+1] = math.NaN() }, ErrJoint, []string{"leg L1, femur"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			b, tr := made(4, 30, 10, c.parts...)
			if c.fault != nil {
				c.fault(b, tr.Q)
			}
			tb, err := Make(b, tr, Options{})
			if !errors.Is(err, c.is) || tb != nil {
				t.Fatalf("got %v, %v; want %v", tb, err, c.is)
			}
			for _, s := range c.says {
				if !strings.Contains(err.Error(), s) {
					t.Errorf("error %q does not say %q", err, s)
				}
			}
			if n := len(strings.Split(err.Error(), "\n")); n != 1 {
				t.Errorf("one fault, %d lines:\n%v", n, err)
			}
		})
	}
	// Several joints are told at once, each with its worst instant.
	b, tr := made(4, 30, 10, move)
	for _, k := range []int{5, 6, 7} {
		tr.Q[k*12], tr.Q[k*12+4] = 2+0.01*float64(k%3), 2
	}
	_, err := Make(b, tr, Options{})
	var joints *JointError
	if !errors.As(err, &joints) || len(joints.Faults) != 2 || !strings.Contains(joints.Faults[0], "L1, coxa, hit at 0.500 s") || !strings.Contains(err.Error(), "2 joints cannot follow:\n  leg L1") {
		t.Errorf("two joints: got %v", err)
	}

	// Outside the move nobody minds.
	b, tr = made(4, 30, 10, move)
	tr.Q[20*12] = 2
	if _, err := Make(b, tr, Options{}); err != nil {
		t.Errorf("a pulse after the move: %v", err)
	}
	b, tr = made(4, 30, 10, move)
	b.Channels = b.Channels[1:]
	if _, err := Make(b, tr, Options{}); err == nil {
		t.Error("fewer channels than legs: no error")
	}
}

// Every format tells what the issue of a table asks for, whatever names the
// workfile uses.
func TestComments(t *testing.T) {
	_, _, tb := sample(t)
	for _, f := range []Format{C, AVR, CSV, JSON} {
		files, err := tb.Files(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, file := range files {
			text := string(file.Data)
			for _, want := range []string{
				"robot", "my drum.toml", "abc123", "50", "L1", "coxa", "channel", "0.1 degree", "46", "0.9", "stand", "hands and face", "current",
				"Lithium", "local rules", "tips-slow", "joint-speed", "femur", "stop", "caution", "leans over",
			} {
				if f == CSV && want == "0.1 degree" {
					want = "tenth_deg"
				}
				if strings.HasSuffix(file.Name, "_pulse.c") && want == "0.1 degree" {
					want = "µs"
				}
				if !strings.Contains(text, want) {
					t.Errorf("%s: nothing of %q", file.Name, want)
				}
			}
			if strings.Contains(strings.ToLower(text), "safe") {
				t.Errorf("%s promises too much", file.Name)
			}
		}
	}
	tb.Findings = tb.Findings[1:]
	files, err := tb.Files(C)
	if err != nil {
		t.Fatal(err)
	}
	if s := string(files[0].Data); strings.Contains(s, "DESPITE") || !strings.Contains(s, "1 to look at first") {
		t.Errorf("with a caution alone:\n%s", s)
	}
}

func TestCSV(t *testing.T) {
	b, tr, tb := sample(t)
	tb.Joints[0].Leg, tb.Joints[1].Leg, tb.Joints[2].Leg = `odd, "leg"`, `odd, "leg"`, `odd, "leg"`
	files, err := tb.Files(CSV)
	if err != nil {
		t.Fatal(err)
	}
	if len(files) != 1 || files[0].Name != "my_drum.csv" {
		t.Fatalf("files %v", files)
	}
	r := csv.NewReader(bytes.NewReader(files[0].Data))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	m := &tb.Moves[0]
	if len(rows) != 1+m.Frames || len(rows[0]) != 3+36 || rows[0][3] != `odd, "leg"_coxa_us` || rows[0][38] != "L6_tibia_tenth_deg" {
		t.Fatalf("%d rows, header %q", len(rows), rows[0])
	}
	cell := func(f, c int) float64 {
		v, err := strconv.ParseFloat(rows[1+f][c], 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	verify(t, b, tr, m, func(f, j int) float64 { return cell(f, 3+j) }, func(f, j int) float64 { return cell(f, 21+j) })
	if rows[5][0] != "drum_hit" || rows[5][1] != "4" || rows[5][2] != "0.08" {
		t.Errorf("row of frame 4: %q", rows[5][:3])
	}
}

func TestJSON(t *testing.T) {
	b, tr, tb := sample(t)
	files, err := tb.Files(JSON)
	if err != nil {
		t.Fatal(err)
	}
	var d jsonTable
	dec := json.NewDecoder(bytes.NewReader(files[0].Data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&d); err != nil {
		t.Fatal(err)
	}
	if d.Robot != b.Robot.Name || d.SHA256 != "abc123" || d.Rate != 50 || len(d.Joints) != 18 || len(d.Moves) != 1 || d.Findings[0].Word != "tips-slow" || d.Findings[1].Leg != "L3" {
		t.Errorf("got %+v", d)
	}
	m := &d.Moves[0]
	if m.Name != "drum_hit" || m.Frames != 46 || m.Duration != 0.9 || len(m.Pulse) != 46 || len(m.Angle) != 46 {
		t.Fatalf("move %s: %d frames, %v s", m.Name, m.Frames, m.Duration)
	}
	verify(t, b, tr, &tb.Moves[0],
		func(f, j int) float64 { return float64(m.Pulse[f][j]) },
		func(f, j int) float64 { return float64(m.Angle[f][j]) })
}

func TestFormats(t *testing.T) {
	for _, f := range []Format{C, AVR, CSV, JSON} {
		if g, err := ParseFormat(f.String()); g != f || err != nil {
			t.Errorf("%v: got %v, %v", f, g, err)
		}
	}
	if _, err := ParseFormat("hex"); err == nil {
		t.Error("unknown word: no error")
	}
	var tb Table
	if _, err := tb.Files(Format(9)); err == nil || Format(9).String() != "" || Format(-1).String() != "" {
		t.Error("unknown format: no error")
	}
}

// Sizes from the check against avr-gcc 5.4: 32,767 bytes compile, 32,768 do
// not; pgm_read_word reaches 64 KiB.
func TestFlashLimits(t *testing.T) {
	b, tr := made(6, 1900, 50, part{"long", "long", 0, 40})
	tb, err := Make(b, tr, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := tb.Files(AVR); !errors.Is(err, ErrFlash) {
		t.Errorf("68,400 bytes: got %v, want %v", err, ErrFlash)
	}
	if _, err := tb.Files(C); err != nil {
		t.Errorf("a host has no such limit: %v", err)
	}
	w := cWriter{t: tb, avr: true}
	frames := 0
	for _, bl := range w.blocks(&tb.Moves[0], &kinds[0]) {
		if bl.from != frames || (bl.to-bl.from)*36 > 32767 {
			t.Errorf("block %+v", bl)
		}
		frames = bl.to
	}
	if frames != tb.Moves[0].Frames {
		t.Errorf("blocks hold %d frames of %d", frames, tb.Moves[0].Frames)
	}
}
