// SPDX-License-Identifier: MIT

package table_test

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"gaitwright/assets"
	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/table"
)

func TestClips(t *testing.T) {
	b, p := built(t, assets.Demo)
	clips, err := table.Clips(b, p, table.Which{Moves: true, Walks: true, Whole: true})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for i := range clips {
		c := &clips[i]
		got = append(got, fmt.Sprintf("%s %s %.3f+%.3f %v %d", c.Name, c.Kind, c.Duration, c.CoolDown, c.Loop, len(c.Marks)))
	}
	want := []string{
		"sequence sequence 13.395+0.000 false 8", "strike move 4.120+0.300 false 8",
		"to_the_drum_start start 2.000+0.000 false 0", "to_the_drum walk 1.000+0.000 true 0", "to_the_drum_stop stop 0.500+0.000 false 0",
		"last_steps_start start 3.000+0.000 false 0", "last_steps walk 1.500+0.000 true 0", "last_steps_stop stop 1.500+0.000 false 0",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	// A cycle ends where it begins, at the same speed; the way in ends and the
	// way out begins there too.
	s := motion.NewSampler(&b.Robot)
	ends := func(c *table.Clip) (q0, q1, v0, v1 []float64) {
		tr, err := s.Sample(c.Plan, 10/c.Duration, nil)
		if err != nil {
			t.Fatal(err)
		}
		w := tr.Legs * kin.Joints
		return tr.Q[:w], tr.Q[(tr.N-1)*w:], tr.V[:w], tr.V[(tr.N-1)*w:]
	}
	for _, i := range []int{2, 5} {
		_, in, _, inV := ends(&clips[i])
		q0, q1, v0, v1 := ends(&clips[i+1])
		out, _, outV, _ := ends(&clips[i+2])
		for j := range in {
			for _, q := range []float64{in[j], q1[j], out[j]} {
				if math.Abs(q-q0[j]) > 1e-7 {
					t.Errorf("%s, joint %d: %v, the cycle begins at %v", clips[i].Name, j, q, q0[j])
				}
			}
			for _, v := range []float64{inV[j], v1[j], outV[j]} {
				if math.Abs(v-v0[j]) > 1e-4 {
					t.Errorf("%s, joint %d: %v rad/s, the cycle begins at %v", clips[i].Name, j, v, v0[j])
				}
			}
		}
	}
	// Phase 0 of the gait's clock: leg LF touches down.
	if !strings.Contains(fmt.Sprint(clips[3].Plan.FootAt(0, 1e-6).Hold == motion.Planted, clips[3].Plan.FootAt(0, 0.999).Hold == motion.Planted), "true false") {
		t.Error("the cycle does not begin as the first leg touches down")
	}
	nothing := *b
	nothing.Script.Seq = nil
	for which, says := range map[table.Which]string{{Moves: true}: "no move", {Moves: true, Walks: true}: "no walk"} {
		if _, err := table.Clips(&nothing, &motion.Plan{}, which); !errors.Is(err, table.ErrNoMove) || !strings.Contains(err.Error(), says) {
			t.Errorf("%+v: %v", which, err)
		}
	}
}

// The rate found keeps within the errors, measured here anew against the plan
// 10,000 times a second with nothing taken from the package but the frames;
// one frame less does not.
func TestLowestRate(t *testing.T) {
	b, p := built(t, assets.Demo)
	clips, err := table.Clips(b, p, table.Which{Moves: true, Walks: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range clips[:3] {
		for _, o := range []table.SheetOptions{
			{WithinUs: 2, Interpolation: table.Linear, Unit: table.Unit{Bits: 2}},
			{WithinUs: 1, WithinMM: 0.15, Interpolation: table.Cubic, Unit: table.Unit{Bits: 2}},
			{WithinMM: 0.3, Interpolation: table.Cubic},
		} {
			s, err := table.NewSheet(b, &c, o)
			if err != nil {
				t.Fatal(err)
			}
			us, mm := measured(t, b.Robot.Legs, s, pulses(t, b, &c), func(ch int) (float64, float64) {
				k := b.Channels[ch/3][ch%3]
				return k.Centre + k.PerRad*(k.Sign*k.Offset+k.Trim), k.PerRad * k.Sign
			})
			if math.Abs(us-s.WorstUs) > 0.01 || math.Abs(mm-s.WorstMM) > 0.005 {
				t.Errorf("%s %v: measured %.4f µs and %.4f mm, the sheet says %.4f and %.4f", c.Name, o.Interpolation, us, mm, s.WorstUs, s.WorstMM)
			}
			if o.WithinUs > 0 && us > o.WithinUs+0.005 || o.WithinMM > 0 && mm > o.WithinMM+0.002 {
				t.Errorf("%s %v: %.4f µs, %.4f mm at %.4g Hz", c.Name, o.Interpolation, us, mm, s.Rate())
			}
			less := o
			less.Rate = s.Rate() - 1/c.Duration
			if c.Loop {
				less.Rate = float64(s.Frames-1) / c.Duration
			}
			if _, err := table.NewSheet(b, &c, less); !errors.Is(err, table.ErrFit) {
				t.Errorf("%s %v: %.4g Hz would do as well as %.4g: %v", c.Name, o.Interpolation, less.Rate, s.Rate(), err)
			}
		}
	}
}

// measured plays a sheet's frames by the textbook formulas in floating point.
func measured(t *testing.T, legs []kin.Leg, s *table.Sheet, exact func(us, ch int) float64, line func(ch int) (at0, perRad float64)) (us, mm float64) {
	t.Helper()
	n := s.Frames - 1
	if s.Loop {
		n = s.Frames
	}
	w := len(s.Channels)
	knot := func(k, ch int) float64 {
		switch {
		case s.Loop:
			k = (k + n) % n
		case k < 0: // the lead-in
			return s.Value(s.Rows[ch])
		case k > n:
			return s.Value(s.Rows[len(s.Rows)-w+ch])
		}
		return s.Value(s.Row(k)[ch])
	}
	for at := 0; at <= int(s.Duration*1e6+1e-3); at += 100 {
		x := float64(at) / 1e6 / s.Duration * float64(n)
		f := min(int(x), n-1)
		u := x - float64(f)
		got, want := make([]float64, w), make([]float64, w)
		for ch := range w {
			p1, p2 := knot(f, ch), knot(f+1, ch)
			v := p1 + (p2-p1)*u
			if s.Interpolation == table.Cubic { // Hermite, slopes by central differences
				m1, m2 := (p2-knot(f-1, ch))/2, (knot(f+2, ch)-p1)/2
				v = (2*u*u*u-3*u*u+1)*p1 + (u*u*u-2*u*u+u)*m1 + (-2*u*u*u+3*u*u)*p2 + (u*u*u-u*u)*m2
			}
			us = max(us, math.Abs(v-exact(at, ch)))
			at0, perRad := line(ch)
			got[ch], want[ch] = (v-at0)/perRad, (exact(at, ch)-at0)/perRad
		}
		for i := range legs {
			a := legs[i].Forward([3]float64(got[3*i : 3*i+3]))
			b := legs[i].Forward([3]float64(want[3*i : 3*i+3]))
			mm = max(mm, 1000*math.Sqrt((a.X-b.X)*(a.X-b.X)+(a.Y-b.Y)*(a.Y-b.Y)+(a.Z-b.Z)*(a.Z-b.Z)))
		}
	}
	return us, mm
}

// A reader in C, written apart from the player, reads back what the motion
// has, within half a unit, in every unit and packing.
func TestIndependentReader(t *testing.T) {
	program := compiled(t, "testdata/reader.c")
	dir := t.TempDir()
	for _, unit := range []table.Unit{
		{}, {Bits: 3}, {Kind: table.TenthDegree}, {Kind: table.PWMCount, Bits: 3, PWM: table.PWM{Rate: 60}},
		{Kind: table.ServoStep, Bits: 2, Steps: table.Steps{Most: 4095, Range: 360, Centre: 2048}},
	} {
		for _, o := range []table.SheetOptions{
			{Rate: 40, Interpolation: table.Linear}, {Rate: 40, Interpolation: table.Cubic, Packed: true}, {Rate: 300, Interpolation: table.Linear, Packed: true},
		} {
			o.Unit = unit
			b, set := demoSet(t, o, "strike", "last_steps")
			for _, s := range set.Sheets {
				data, err := s.Binary()
				if err != nil {
					t.Fatal(err)
				}
				path := filepath.Join(dir, "t.bin")
				if err := os.WriteFile(path, data, 0o644); err != nil {
					t.Fatal(err)
				}
				out, err := exec.Command(program, path).CombinedOutput()
				if err != nil {
					t.Fatalf("%v\n%s", err, out)
				}
				compareRead(t, b.Robot.Legs, s, pulses(t, b, s.Clip), string(out), func(ch int, v float64) float64 {
					k := b.Channels[ch/3][ch%3]
					q := ((v-k.Centre)/k.PerRad - k.Trim) / k.Sign
					switch unit.Kind {
					case table.TenthDegree:
						return (q - k.Offset) * 1800 / math.Pi
					case table.PWMCount: // 25 MHz, prescale round(25e6/(4096·60)) − 1 = 101
						return v * 25 / 102
					case table.ServoStep:
						return 2048 + (v-1500)/k.PerRad*180/math.Pi*4095/360
					}
					return v
				})
				back, err := table.Decode(data)
				if err != nil || fmt.Sprint(back.Rows) != fmt.Sprint(s.Rows) || fmt.Sprint(back.Contacts, back.Places) != fmt.Sprint(s.Contacts, s.Places) {
					t.Fatalf("decoded: %v, or other numbers", err)
				}
			}
		}
	}
}

// compareRead checks what reader.c printed; told turns µs of pulse into the
// unit.
func compareRead(t *testing.T, legs []kin.Leg, s *table.Sheet, exact func(us, ch int) float64, out string, told func(ch int, us float64) float64) {
	t.Helper()
	one := 1 / math.Ldexp(1, s.Unit.Bits)
	frame, channels, contacts, marks := 0, 0, 0, 0
	for _, l := range strings.Split(strings.TrimSpace(out), "\n") {
		w := strings.Fields(l)
		num := func(i int) float64 {
			v, err := strconv.ParseFloat(w[i], 64)
			if err != nil {
				t.Fatalf("%q: %v", l, err)
			}
			return v
		}
		switch w[0] {
		case "head":
			if num(1) != float64(len(legs)) || num(2) != float64(3*len(legs)) || num(3) != float64(s.Frames) || math.Abs(num(8)-s.CoolDown*1000) > 0.5 {
				t.Errorf("%q", l)
			}
			n := float64(s.Frames - 1)
			if s.Loop {
				n++
			}
			if d := num(4) / num(5) * n; math.Abs(d-s.Duration*1e6) > 1e-3 {
				t.Errorf("%q: lasts %v µs, the motion %v", l, d, s.Duration*1e6)
			}
		case "channel":
			if num(1) != float64(s.Channels[channels].Channel) {
				t.Errorf("%q: channel %d", l, s.Channels[channels].Channel)
			}
			channels++
		case "contact":
			contacts++
		case "mark":
			if want := s.Marks[marks].At * s.Rate(); math.Abs(num(1)-want) > 1./256 {
				t.Errorf("%q, want %v", l, want)
			}
			marks++
		case "frame":
			at := float64(frame) / s.Rate() * 1e6
			if math.Abs(at-math.Round(at/100)*100) < 1e-3 { // on the grid of exact
				for ch := range channels {
					if got, want := num(1+ch), told(ch, exact(int(math.Round(at)), ch)); math.Abs(got-want) > one/2+1e-6 {
						t.Fatalf("%s, frame %d, channel %d: read %v, the motion has %v", s.Name, frame, ch, got, want)
					}
				}
			}
			frame++
		}
	}
	if frame != s.Frames || contacts != len(s.Contacts) || contacts == 0 || marks != len(s.Marks) {
		t.Errorf("%d frames, %d contacts, %d marks", frame, contacts, marks)
	}
}

// Nothing is clamped: a pulse that leaves its range, on a frame or between
// two, is refused with its place.
func TestSheetRefuses(t *testing.T) {
	b, p := built(t, assets.Demo)
	clips, err := table.Clips(b, p, table.Which{Moves: true})
	if err != nil {
		t.Fatal(err)
	}
	c := &clips[0]
	most, least := 0.0, math.Inf(1)
	exact := pulses(t, b, c)
	for us := 0; us <= int(c.Duration*1e6); us += 100 {
		most, least = max(most, exact(us, 1)), min(least, exact(us, 1))
	}
	ok := b.Channels[0][1]
	for _, k := range []struct {
		name string
		lo   float64
		hi   float64
		o    table.SheetOptions
	}{
		{"too long", 500, most - 3, table.SheetOptions{Rate: 50}},
		{"too short", least + 3, 2500, table.SheetOptions{Rate: 50}},
	} {
		b.Channels[0][1].Min, b.Channels[0][1].Max = k.lo, k.hi
		s, err := table.NewSheet(b, c, k.o)
		var joint *table.JointError
		if s != nil || !errors.As(err, &joint) || !strings.Contains(err.Error(), "leg LF, femur, strike") || !strings.Contains(err.Error(), "range_us") {
			t.Errorf("%s: %v", k.name, err)
		}
		b.Channels[0][1] = ok
	}
	// A cubic between coarse frames shoots over.
	b.Channels[0][1].Max = math.Ceil(most)
	refused := false
	for rate := 3.0; rate < 12; rate += 0.5 {
		_, err := table.NewSheet(b, c, table.SheetOptions{Rate: rate, Interpolation: table.Cubic})
		if err != nil && strings.Contains(err.Error(), "between frames") {
			refused = true
		}
	}
	if !refused {
		t.Error("a cubic that shoots over the range is let pass")
	}
	b.Channels[0][1] = ok

	b.Channels[1][0].Number = b.Channels[0][0].Number
	if _, err := table.NewSheet(b, c, table.SheetOptions{Rate: 50}); err == nil || !strings.Contains(err.Error(), "belongs to leg LF, coxa already") {
		t.Errorf("two joints on one channel: %v", err)
	}
	b.Channels[1][0].Set = false
	if _, err := table.NewSheet(b, c, table.SheetOptions{Rate: 50}); err == nil || !strings.Contains(err.Error(), "no channel") {
		t.Errorf("no channel: %v", err)
	}
	b.Channels[1][0].Set, b.Channels[1][0].Number = true, 3

	for _, k := range []struct {
		o    table.SheetOptions
		says string
	}{
		{table.SheetOptions{}, "give a rate"},
		{table.SheetOptions{Rate: math.NaN()}, "not negative"},
		{table.SheetOptions{Rate: 1e6}, "lower the rate"},
		{table.SheetOptions{Rate: 50, Interpolation: 3}, "interpolation"},
		{table.SheetOptions{WithinUs: 0.3}, "allow more"}, // less than rounding to whole µs is off by
		{table.SheetOptions{Rate: 10, WithinUs: 1}, "raise the rate"},
		{table.SheetOptions{Rate: 50, Unit: table.Unit{Bits: 6}}, "fewer bits"},
	} {
		if s, err := table.NewSheet(b, c, k.o); s != nil || err == nil || !strings.Contains(err.Error(), k.says) {
			t.Errorf("%+v: got %v, want %q", k.o, err, k.says)
		}
	}
	for _, bad := range [][]byte{nil, []byte("GWT"), make([]byte, 100)} {
		if _, err := table.Decode(bad); !errors.Is(err, table.ErrBinary) {
			t.Errorf("%d bytes: %v", len(bad), err)
		}
	}
	for i := table.Hold; i <= table.Cubic; i++ {
		if got, err := table.ParseInterpolation(i.String()); got != i || err != nil {
			t.Errorf("%v: %v, %v", i, got, err)
		}
	}
}

// Whatever bytes come, Decode says what is wrong or reads them.
func FuzzDecode(f *testing.F) {
	_, set := demoSet(f, table.SheetOptions{Rate: 20, Interpolation: table.Linear, Packed: true}, "to_the_drum")
	b, err := set.Sheets[0].Binary()
	if err != nil {
		f.Fatal(err)
	}
	f.Add(b)
	f.Fuzz(func(t *testing.T, in []byte) {
		b := bytes.Clone(in)
		if len(b) > 44 {
			seal(b)
		}
		if s, err := table.Decode(b); err == nil && len(s.Rows) == 0 {
			t.Error("a table without rows")
		}
	})
}
