// SPDX-License-Identifier: MIT

package workfile

import (
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"gaitwright/kin"
)

// draw makes values for a field by its tag.
type draw struct {
	t    *rapid.T
	full bool // any double, not only those of a few decimals
}

func (d draw) number(in string) float64 {
	lo, hi, openLo, openHi := bounds(in)
	v := rapid.Float64Range(lo, hi).Draw(d.t, in)
	if !d.full {
		v = math.Round(v*1000) / 1000
	}
	if openLo && v <= lo {
		v = lo + (hi-lo)/8
	}
	if openHi && v >= hi {
		v = hi - (hi-lo)/8
	}
	return min(max(v, lo), hi)
}

// plain brings a sum of drawn numbers back to few decimals.
func (d draw) plain(v float64) float64 {
	if d.full {
		return v
	}
	return math.Round(v*1000) / 1000
}

// fill draws every number, word and truth of a struct; optional ones may stay
// out. Names and lists of tables are left to the caller.
func (d draw) fill(v reflect.Value) {
	for _, k := range keysOf(v.Type()) {
		d.field(v.Field(k.index), k)
	}
}

func (d draw) field(v reflect.Value, k key) {
	switch v.Kind() {
	case reflect.Pointer:
		if rapid.Bool().Draw(d.t, k.name) {
			v.Set(reflect.New(v.Type().Elem()))
			d.field(v.Elem(), k)
		}
	case reflect.Struct:
		d.fill(v)
	case reflect.Array:
		for i := range v.Len() {
			d.field(v.Index(i), k)
		}
	case reflect.Float64:
		v.SetFloat(d.number(k.in))
	case reflect.Bool:
		v.SetBool(rapid.Bool().Draw(d.t, k.name))
	case reflect.String:
		if k.one != "" && !k.need {
			v.SetString(rapid.SampledFrom(append(strings.Fields(k.one), "")).Draw(d.t, k.name))
		}
		if strings.HasSuffix(k.name, "timing") {
			words := []string{"", "linear", "ease", "ease-in", "ease-out", "ease-in-out", "cubic-bezier(0.1, 0.25, 0.5, 1)"}
			v.SetString(rapid.SampledFrom(words).Draw(d.t, k.name))
		}
	}
}

func (d draw) up(r *[2]float64) {
	if r != nil && r[0] > r[1] {
		r[0], r[1] = r[1], r[0]
	}
}

// down brings a number back to few decimals, but not above itself.
func (d draw) down(v float64) float64 {
	if d.full {
		return v
	}
	return math.Floor(v*1000) / 1000
}

// inertia draws one that a body may have, unless it was left out: second
// moments of mass ∫x²dm and so on that are not negative, turned any way. In
// few decimals none is so small that rounding matters.
func (d draw) inertia(v *[6]float64) {
	if v == nil {
		return
	}
	in := "[1,1000]"
	if d.full {
		in = "[0,1000]"
	}
	x, y, z := d.number(in), d.number(in), d.number(in)
	angle := rapid.Float64Range(-math.Pi, math.Pi)
	r := kin.RPY(angle.Draw(d.t, "roll"), angle.Draw(d.t, "pitch"), angle.Draw(d.t, "yaw"))
	link := kin.Link{Mass: 1, Inertia: kin.Inertia{XX: y + z, YY: x + z, ZZ: x + y}}
	turned := link.In(&kin.Pose{R: r}).Inertia
	*v = [6]float64{turned.XX, turned.YY, turned.ZZ, turned.XY, turned.XZ, turned.YZ}
	for i := range v {
		v[i] = d.plain(v[i])
	}
}

// file draws a good file.
func (d draw) file() *File {
	t := d.t
	f := &File{Format: Version}
	d.fill(reflect.ValueOf(&f.Robot).Elem())
	d.fill(reflect.ValueOf(&f.Ground).Elem())
	d.fill(reflect.ValueOf(&f.Limits).Elem())
	d.fill(reflect.ValueOf(&f.Supply).Elem())
	if f.Supply.Resistance != nil && f.Supply.Voltage == nil {
		v := 6.0 // else servos of different voltages are refused
		f.Supply.Voltage = &v
	}
	d.inertia(f.Robot.BodyInertia)
	if f.Robot.Payload == nil {
		f.Robot.PayloadAt, f.Robot.PayloadSize = nil, nil
	}
	f.Robot.Name = rapid.SampledFrom([]string{"walker", "it's", `a "b" \ c`, "läufer {1.0}", "[[leg]] # no"}).Draw(t, "name")
	a, b := d.number("[10,200]"), d.number("[10,200]")
	f.Robot.Outline = [][2]float64{{a, b}, {-a, b}, {-a, -b}, {0, d.plain(-b - 1)}, {a, -b}}
	f.Robot.Bottom = d.plain(f.Robot.Top - d.number("[1,10]"))
	if f.Robot.Bottom < -2000 {
		f.Robot.Top, f.Robot.Bottom = 0, -1
	}

	servos := []string{"standard", "wide one", "5.50", "µ"}[:rapid.IntRange(1, 4).Draw(t, "servos")]
	f.Servos = map[string]Servo{}
	for _, name := range servos {
		var s Servo
		d.fill(reflect.ValueOf(&s).Elem())
		nm := d.number("[0.01,100]")
		if s.StallKgfCm, s.StallNm = nil, &nm; rapid.Bool().Draw(t, "kgf") {
			s.StallKgfCm, s.StallNm = &nm, nil
		}
		if s.IdleA != nil {
			*s.IdleA = d.down(min(1000, servo(s).StallCurrent) * d.number("[0,1]"))
		}
		f.Servos[name] = s
	}
	n := rapid.IntRange(2, 6).Draw(t, "pairs")
	for i := range 2 * n {
		l := Leg{}
		d.fill(reflect.ValueOf(&l).Elem())
		l.Name, l.Mirrors = fmt.Sprintf("L%d", i), ""
		whole := i < n || rapid.IntRange(0, 3).Draw(t, "whole") == 0
		if !whole {
			l.Name, l.Mirrors = fmt.Sprintf("R%d", i-n), fmt.Sprintf("L%d", i-n)
		}
		for j := range kin.Joints {
			q := l.joint(j)
			d.up(q.Range)
			d.inertia(q.Inertia)
			q.RangeUs, q.CentreUs, q.Channel = nil, nil, nil
			if rapid.Bool().Draw(t, "pulse") {
				mid := d.number("[1000,2000]")
				q.RangeUs, q.CentreUs = &[2]float64{d.plain(mid - 500), d.plain(mid + 500)}, &mid
			}
			if q.AtDeg, q.AtUs = nil, nil; q.Trim != nil {
				v := d.number("[-0.4,0.4]") // a servo of up to 1000 µs a degree keeps its middle
				q.Trim = &v
			}
			if rapid.IntRange(0, 3).Draw(t, "measured") == 0 {
				q.RangeUs, q.CentreUs, q.PerDeg, q.Reversed, q.Trim = nil, nil, nil, nil, nil
				q.AtDeg = &[2]float64{d.number("[-90,-10]"), d.number("[10,90]")}
				q.AtUs = &[2]float64{d.number("[600,1400]"), d.number("[1600,2400]")}
			}
			if rapid.Bool().Draw(t, "channel") {
				ch := 3*i + j
				q.Channel = &ch
			}
			if !whole && q.AtDeg == nil && f.Legs[i-n].joint(j).AtDeg != nil { // it is measured, this one is not
				mid, per := 1500., 10.
				if q.PerDeg = &per; q.CentreUs == nil {
					q.CentreUs = &mid
				}
			}
			if whole {
				q.Servo = rapid.SampledFrom(servos).Draw(t, "servo")
				r, m := [2]float64{-90, 45.5}, d.number("[0.001,100]")
				q.Range, q.Mass = &r, &m
			}
		}
		if whole {
			v := func(in string) *float64 { x := d.number(in); return &x }
			l.Mount, l.Stand = &[3]float64{1, d.number("[-100,100]"), 0}, &[2]float64{0, d.number("[-100,100]")}
			l.Heading, l.CoxaLength, l.FemurLength, l.TibiaLength = v("[-360,360]"), v("[0,99]"), v("[1,99]"), v("[1,200]")
			l.FootRadius = v("[0.1,20]")
		}
		f.Legs = append(f.Legs, l)
	}

	for i := range rapid.IntRange(0, 3).Draw(t, "gaits") {
		g := Gait{}
		d.fill(reflect.ValueOf(&g).Elem())
		g.Name, g.Phase = fmt.Sprintf("gait %d", i), map[string]float64{}
		for j := range f.Legs {
			g.Phase[f.Legs[j].Name] = d.number("[0,1)")
			if rapid.Bool().Draw(t, "own duty") {
				if g.Duties == nil {
					g.Duties = map[string]float64{}
				}
				g.Duties[f.Legs[j].Name] = d.number("(0,1)")
			}
		}
		g.LateTouch = min(g.LateTouch, d.plain(0.9-g.EarlyLift))
		f.Gaits = append(f.Gaits, g)
	}
	for i := range rapid.IntRange(0, 3).Draw(t, "moves") {
		f.Moves = append(f.Moves, d.move(f, i))
	}
	walked := false
	for range rapid.IntRange(0, 5).Draw(t, "entries") {
		v := func(in string) *float64 { x := d.number(in); return &x }
		e := Entry{Kind: rapid.SampledFrom([]string{"stand", "walk", "change", "move", "recover", "wait"}).Draw(t, "kind")}
		switch {
		case e.Kind == "wait":
			e.Duration = v("[1,1000]")
		case e.Kind == "move" && len(f.Moves) > 0:
			e.Move = f.Moves[0].Name
			f.Moves[0].CoolDown = min(f.Moves[0].CoolDown, 1000)
		case e.Kind == "walk" && len(f.Gaits) > 0:
			f.Gaits[0].Period = min(f.Gaits[0].Period, 2000)
			e.Gait, e.Cycles, e.Turn = f.Gaits[0].Name, v("[1,10]"), v("[-90,90]")
			walked = true
		case e.Kind == "change" && walked:
			e.Gait, e.Cycles = f.Gaits[0].Name, v("[1,10]")
		default:
			e.Kind = "stand"
		}
		f.Sequence = append(f.Sequence, e)
	}
	return f
}

func (d draw) move(f *File, i int) Move {
	t := d.t
	m := Move{}
	d.fill(reflect.ValueOf(&m).Elem())
	m.Name = fmt.Sprintf("move %d", i)
	at := 0.0
	for j := range rapid.IntRange(1, 5).Draw(t, "marks") {
		at = d.plain(at + 1 + d.number("[0,900]"))
		m.Marks = append(m.Marks, Mark{fmt.Sprintf("mark %d", j), at})
		if rapid.Bool().Draw(t, "body") {
			s := BodySpan{}
			d.fill(reflect.ValueOf(&s).Elem())
			s.To = m.Marks[j].Name
			m.Body = append(m.Body, s)
		}
	}
	for j := range rapid.IntRange(0, 2).Draw(t, "feet") {
		k := FootTrack{Leg: f.Legs[j].Name, Pair: f.mirrorOf(j) >= 0 && rapid.Bool().Draw(t, "pair")}
		for _, mark := range m.Marks {
			s := FootSpan{}
			d.fill(reflect.ValueOf(&s).Elem())
			s.To, s.Hold = mark.Name, rapid.SampledFrom([]string{"planted", "ground", "body"}).Draw(t, "hold")
			if s.Hold == "planted" {
				s = FootSpan{To: s.To, Hold: s.Hold}
			} else if s.End == nil {
				s.End = &[3]float64{}
			}
			if s.Target != nil && s.Floor != nil && *s.Target < *s.Floor {
				s.Target, s.Floor = s.Floor, s.Target
			}
			k.Spans = append(k.Spans, s)
		}
		m.Feet = append(m.Feet, k)
	}
	return m
}

// Every good file comes back from its text, and its text from itself.
func TestEncodeReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := draw{t, rapid.Bool().Draw(t, "full")}
		f := d.file()
		if err := f.Check(); err != nil {
			t.Fatalf("the drawn file is bad: %v", err)
		}
		text, err := f.Encode()
		if err != nil {
			t.Fatal(err)
		}
		g, err := Read("f.toml", text)
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if !d.full && !g.Equal(f) {
			t.Fatalf("came back otherwise: %s\n%s", cmp.Diff(*f, *g), text)
		}
		// At 12 digits the 13th is lost.
		if diff := cmp.Diff(*f, *g, cmpopts.EquateApprox(1e-11, 0), cmpopts.EquateEmpty()); diff != "" {
			t.Fatalf("came back otherwise: %s", diff)
		}
		again, err := g.Encode()
		if err != nil || string(again) != string(text) {
			t.Fatalf("%v: no fixpoint: %s", err, cmp.Diff(string(text), string(again)))
		}
		if _, err := g.Build(); err != nil {
			t.Fatalf("Build: %v", err)
		}
	})
}

// The base file is written as people would write it.
func TestEncodeLayout(t *testing.T) {
	for _, want := range []string{base, loaded(t)} {
		f := mustRead(t, want)
		// All but the servos, which go by name.
		small := want[strings.Index(want, "[servo.small]"):strings.Index(want, "[[leg]]")]
		want = strings.Replace(want, small, "", 1)
		want = strings.Replace(want, "[servo.standard]", small+"[servo.standard]", 1)
		if diff := cmp.Diff(strings.Split(want, "\n"), strings.Split(mustEncode(t, f), "\n")); diff != "" {
			t.Error(diff)
		}
	}
}

// A table of options is written when one of them is given, and not otherwise.
func TestEncodeEmptyTables(t *testing.T) {
	f := mustRead(t, loaded(t))
	f.Ground, f.Limits, f.Supply = Ground{}, Limits{}, Supply{}
	for _, none := range []string{"[ground]", "[limits]", "[supply]"} {
		if text := mustEncode(t, f); strings.Contains(text, none) {
			t.Errorf("%s is there:\n%s", none, text)
		}
	}
	v := 0.0
	f.Ground.Friction, f.Supply.Resistance = &v, &v // said, though 0
	text := mustEncode(t, f)
	if want := "\n\n[ground]\nfriction = 0\n\n[supply]\nresistance_mohm = 0\n\n"; !strings.Contains(text, want) || !mustRead(t, text).Equal(f) {
		t.Errorf("want %q in\n%s", want, text)
	}
}

func TestEncodeNumbers(t *testing.T) {
	for _, tt := range []struct {
		v    float64
		want string
	}{
		{70, "70"}, {70.0000000000001, "70"}, {0.1 + 0.2, "0.3"}, {-0.5, "-0.5"}, {math.Copysign(0, -1), "0"}, {1.0 / 3, "0.333333333333"},
		{1e-7, "1e-07"}, {123456.789012345, "123456.789012"},
	} {
		f := mustRead(t, base)
		f.Robot.Name = "70.0000000000001" // a text stays as it is
		f.Robot.BodyCentre[1] = tt.v
		text := mustEncode(t, f)
		if tt.v > 2000 {
			if got := number(tt.v); got != tt.want {
				t.Errorf("number(%v) = %s, want %s", tt.v, got, tt.want)
			}
			continue
		}
		if want := "body_centre_mm = [0, " + tt.want + ", 5]\n"; !strings.Contains(text, want) || !strings.Contains(text, `name = "70.0000000000001"`) {
			t.Errorf("%v: want %s in\n%s", tt.v, want, text)
		}
	}
}

// Where 12 digits are too few to keep a file good, all are written.
func TestEncodeKeepsFileGood(t *testing.T) {
	f := mustRead(t, base)
	f.Gaits[0].Phase["LR"] = math.Nextafter(1, 0)
	if err := f.Check(); err != nil {
		t.Fatal(err)
	}
	if g := mustRead(t, mustEncode(t, f)); !g.Equal(f) {
		t.Error("came back otherwise")
	}
}

func TestCloneEqual(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := draw{t, true}.file()
		g := f.Clone()
		if !cmp.Equal(*f, *g) || !f.Equal(g) || !g.Equal(f) {
			t.Fatal("a copy differs")
		}
		// No number is shared, and each one counts.
		n := leaves(reflect.ValueOf(g).Elem(), -1)
		leaves(reflect.ValueOf(g).Elem(), rapid.IntRange(0, n-1).Draw(t, "leaf"))
		if f.Equal(g) || g.Equal(f) {
			t.Fatal("a changed copy equals")
		}
	})
	var none *File
	if none.Clone() != nil || !none.Equal(nil) || none.Equal(&File{}) {
		t.Error("nil")
	}
	if a, b := (&File{Legs: []Leg{}}), (&File{}); !a.Equal(b) || a.Equal(&File{Legs: []Leg{{}}}) {
		t.Error("an empty list and none")
	}
}

// leaves counts the values that can be set in place and changes the one of
// that number.
func leaves(v reflect.Value, change int) (n int) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			return leaves(v.Elem(), change)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			n += leaves(v.Field(i), change-n)
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			n += leaves(v.Index(i), change-n)
		}
	case reflect.Float64:
		if change == 0 {
			v.SetFloat(v.Float() + 1e6)
		}
		return 1
	case reflect.Int:
		if change == 0 {
			v.SetInt(v.Int() + 1)
		}
		return 1
	case reflect.Bool:
		if change == 0 {
			v.SetBool(!v.Bool())
		}
		return 1
	case reflect.String:
		if change == 0 {
			v.SetString(v.String() + "x")
		}
		return 1
	}
	return n
}

// What an edit in the window costs before anything is sampled.
func BenchmarkCloneBuild(b *testing.B) {
	f := mustRead(b, base)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := f.Clone().Build(); err != nil {
			b.Fatal(err)
		}
	}
}
