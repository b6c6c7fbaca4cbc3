// SPDX-License-Identifier: MIT

package merge

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"gaitwright/motion/workfile"
)

// drawn gives a file made of f by random edits that passes its check.
func drawn(rt *rapid.T, f *workfile.File, label string) *workfile.File {
	all := edits()
	g := f.Clone()
	for range rapid.IntRange(0, 5).Draw(rt, label) {
		next := g.Clone()
		all[rapid.IntRange(0, len(all)-1).Draw(rt, "edit")](next, rapid.IntRange(0, 9).Draw(rt, "n"))
		if next.Check() == nil {
			g = next
		}
	}
	return g
}

// verify holds the result of a join against what is always true of one.
func verify(t interface {
	Helper()
	Fatalf(string, ...any)
}, base, ours, theirs *workfile.File) Result {
	t.Helper()
	b0, o0, t0 := base.Clone(), ours.Clone(), theirs.Clone()
	r := Join(base, ours, theirs, Ours)
	u := Join(base, theirs, ours, Theirs) // the same, told from the other side
	if !base.Equal(b0) || !ours.Equal(o0) || !theirs.Equal(t0) {
		t.Fatalf("joining changed a file")
	}
	if err := r.File.Check(); err != nil {
		t.Fatalf("the result does not pass: %v", err)
	}
	src, err := r.File.Encode()
	if err != nil {
		t.Fatalf("the result cannot be written: %v", err)
	}
	if _, err := workfile.Read("joined", src); err != nil {
		t.Fatalf("the result does not read: %v", err)
	}
	if r.Free() != u.Free() || len(r.Conflicts) != len(u.Conflicts) {
		t.Fatalf("conflicts depend on the side: %v\n%v", r, u)
	}
	if !r.File.Equal(u.File) {
		t.Fatalf("the result depends on the side: %v", Diff(r.File, u.File))
	}
	// What only one side changed is taken over.
	if r.Free() {
		for _, d := range Diff(r.File, base) {
			if d.Kind != Changed {
				continue
			}
			in := func(side *workfile.File) bool {
				return slices.ContainsFunc(Diff(side, base), func(e Difference) bool { return e.Path == d.Path && e.Before == d.Before })
			}
			if !in(ours) && !in(theirs) && !strings.Contains(d.Path, "#") {
				t.Fatalf("nobody wrote %v", d)
			}
		}
	}
	// Nothing of the files is shared with the result.
	r.File.Legs[0].Name += "x"
	if r.File.Robot.Gravity == nil {
		v := 9.0
		r.File.Robot.Gravity = &v
	}
	*r.File.Robot.Gravity++
	if r.File.Moves[0].Feet[0].Spans[1].End != nil {
		r.File.Moves[0].Feet[0].Spans[1].End[0]++
	}
	if !base.Equal(b0) || !ours.Equal(o0) || !theirs.Equal(t0) {
		t.Fatalf("the result shares with what it was made of")
	}
	return r
}

func TestJoinProperties(t *testing.T) {
	base := demo(t)
	rapid.Check(t, func(rt *rapid.T) {
		x, y := drawn(rt, base, "ours"), drawn(rt, base, "theirs")
		for _, prefer := range [...]Side{Ours, Theirs} {
			for _, c := range []struct {
				name                      string
				base, ours, theirs, wants *workfile.File
			}{
				{"one side changed nothing", base, x, base, x},
				{"the other side changed nothing", base, base, x, x},
				{"both did the same", base, x, x, x},
				{"both went back", x, base, base, base},
			} {
				if r := Join(c.base, c.ours, c.theirs, prefer); !r.Free() || !r.File.Equal(c.wants) {
					rt.Fatalf("%s: %v, %v", c.name, r, Diff(c.wants, r.File))
				}
			}
		}
		verify(rt, base, x, y)
	})
}

// Joining random edits never panics, and what comes of it can be read.
func FuzzJoin(f *testing.F) {
	f.Add([]byte{1, 2}, []byte{11, 3, 15, 1})
	f.Add([]byte{20, 1}, []byte{21, 1, 19, 3})
	f.Add([]byte{18, 0, 17, 2}, []byte{18, 2, 15, 0})
	f.Add([]byte{7, 1, 13, 1}, []byte{7, 1, 13, 1, 6, 4})
	base := demo(f)
	f.Fuzz(func(t *testing.T, a, b []byte) {
		if len(a)+len(b) > 40 {
			return
		}
		x, okX := edited(base, a)
		y, okY := edited(base, b)
		Diff(x, y)
		Join(x, y, base, Theirs)
		if okX && okY {
			verify(t, base, x, y)
		}
	})
}

func TestDiffWords(t *testing.T) {
	a := demo(t)
	b := a.Clone()
	b.Moves[0].Marks[2].At = 1650
	b.Robot.StandHeight = -0.5
	v := 250.0
	b.Robot.Payload = &v
	b.Robot.BodyCentre = [3]float64{1, -2.5, 0}
	b.Gaits[0].Phase["LF"] = 0.25
	d := 300.0
	b.Sequence = append(b.Sequence, workfile.Entry{Name: "rest", Kind: "wait", Duration: &d})
	b.Sequence[1], b.Sequence[0] = b.Sequence[0], b.Sequence[1]
	gone := b.Gaits[len(b.Gaits)-1].Name
	b.Gaits = b.Gaits[:len(b.Gaits)-1]
	b.Moves[0].Feet[0].Spans[1].Timing = "linear"
	var got []string
	for _, d := range Diff(a, b) {
		got = append(got, d.String())
	}
	s := a.Sequence
	m := a.Moves[0]
	last := a.Gaits[len(a.Gaits)-1]
	want := []string{
		fmt.Sprintf("robot.body_centre_mm %s → [1, -2.5, 0]", strings.ReplaceAll(fmt.Sprint(a.Robot.BodyCentre), " ", ", ")),
		"robot.payload_mass_g not given → 250",
		fmt.Sprintf("robot.stand_height_mm %v → -0.5", a.Robot.StandHeight),
		fmt.Sprintf("gait[%s].phase[LF] %v → 0.25", a.Gaits[0].Name, a.Gaits[0].Phase["LF"]),
		fmt.Sprintf("gait[%s] removed (period_ms %v, duty_factor %v, step_height_mm %v, …)", gone, last.Period, last.Duty, last.StepHeight),
		fmt.Sprintf("move[%s].mark[%s].at_ms %v → 1650", m.Name, m.Marks[2].Name, m.Marks[2].At),
		fmt.Sprintf("move[%s].foot[%s].span[%s].timing not given → %q", m.Name, m.Feet[0].Leg, m.Feet[0].Spans[1].To, "linear"),
		`sequence[rest] added (kind "wait", duration_ms 300)`,
		fmt.Sprintf("sequence in another order: %s, %s, %s", names(seqOf(s))[1], names(seqOf(s))[0], strings.Join(names(seqOf(s))[2:], ", ")),
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if d := Diff(a, a.Clone()); d != nil {
		t.Errorf("a file differs from itself: %v", d)
	}
}

func seqOf(s []workfile.Entry) reflect.Value { return reflect.ValueOf(s) }

// What both sides changed is listed once, with all three values, and the
// preferred side is taken; what one side changed is taken over beside it.
func TestJoinConflicts(t *testing.T) {
	base := demo(t)
	move, mark := base.Moves[0].Name, base.Moves[0].Marks[2].Name
	at := base.Moves[0].Marks[2].At
	for _, tt := range []struct {
		name         string
		ours, theirs func(f *workfile.File)
		want         []Conflict
		check        func(f *workfile.File, prefer Side) bool
	}{
		{
			"a number",
			func(f *workfile.File) { f.Moves[0].Marks[2].At = at - 50; f.Robot.Top = 31 },
			func(f *workfile.File) { f.Moves[0].Marks[2].At = at + 20; f.Robot.Name = "other" },
			[]Conflict{{
				fmt.Sprintf("move[%s].mark[%s].at_ms", move, mark), number(at), number(at - 50), number(at + 20),
			}},
			func(f *workfile.File, p Side) bool {
				want := at - 50
				if p == Theirs {
					want = at + 20
				}
				return f.Moves[0].Marks[2].At == want && f.Robot.Top == 31 && f.Robot.Name == "other"
			},
		},
		{
			"changed here, removed there",
			func(f *workfile.File) { f.Gaits[len(f.Gaits)-1].Sway = 3 },
			func(f *workfile.File) { f.Gaits = f.Gaits[:len(f.Gaits)-1] },
			[]Conflict{{"gait[" + base.Gaits[len(base.Gaits)-1].Name + "]", "there", "changed", ""}},
			func(f *workfile.File, p Side) bool {
				n := len(base.Gaits)
				if p == Theirs {
					n--
				}
				return len(f.Gaits) == n
			},
		},
		{
			"the order, both ways",
			func(f *workfile.File) { f.Legs[0], f.Legs[1] = f.Legs[1], f.Legs[0] },
			func(f *workfile.File) { f.Legs[1], f.Legs[2] = f.Legs[2], f.Legs[1] },
			[]Conflict{{"leg order", "LF, LM, LR, RF, RM, RR", "LM, LF, LR, RF, RM, RR", "LF, LR, LM, RF, RM, RR"}},
			func(f *workfile.File, p Side) bool {
				return f.Legs[0].Name == [...]string{"LM", "LF"}[p]
			},
		},
	} {
		t.Run(tt.name, func(t *testing.T) {
			ours, theirs := base.Clone(), base.Clone()
			tt.ours(ours)
			tt.theirs(theirs)
			for _, p := range [...]Side{Ours, Theirs} {
				r := Join(base, ours, theirs, p)
				if diff := cmp.Diff(tt.want, r.Conflicts); diff != "" || r.Clash != nil {
					t.Errorf("%v %s", r.Clash, diff)
				}
				if !tt.check(r.File, p) {
					t.Errorf("preferring %v: %v", p, Diff(base, r.File))
				}
			}
		})
	}
}

// No key is in conflict, and yet the two cannot be joined: one side takes a mark
// away, the other lets a new span end on it.
func TestJoinClash(t *testing.T) {
	base := demo(t)
	mark := base.Moves[0].Marks[3]
	free := func(f *workfile.File) { // so that nothing ends there
		m := &f.Moves[0]
		m.Body = slices.DeleteFunc(m.Body, func(s workfile.BodySpan) bool { return s.To == mark.Name })
		for i := range m.Feet {
			m.Feet[i].Spans = slices.DeleteFunc(m.Feet[i].Spans, func(s workfile.FootSpan) bool { return s.To == mark.Name })
		}
	}
	theirs := base.Clone() // with the span on the mark
	base = base.Clone()
	free(base)
	ours := base.Clone() // without the mark
	ours.Moves[0].Marks = slices.Delete(ours.Moves[0].Marks, 3, 4)
	for _, f := range []*workfile.File{base, ours, theirs} {
		if err := f.Check(); err != nil {
			t.Fatal(err)
		}
	}
	for _, p := range [...]Side{Ours, Theirs} {
		r := Join(base, ours, theirs, p)
		want := [...]*workfile.File{ours, theirs}[p]
		if r.Clash == nil || r.Free() || !r.File.Equal(want) {
			t.Errorf("clash %v, conflicts %v, %v", r.Clash, r.Conflicts, Diff(want, r.File))
		}
	}
}

// Additions of both sides all come in, each behind what stood before it.
func TestJoinKeepsPlaces(t *testing.T) {
	base := demo(t)
	ours, theirs := base.Clone(), base.Clone()
	d := 100.0
	wait := func(name string) workfile.Entry { return workfile.Entry{Name: name, Kind: "wait", Duration: &d} }
	ours.Sequence = slices.Insert(ours.Sequence, 1, wait("b"))
	theirs.Sequence = slices.Insert(theirs.Sequence, 1, wait("a"))
	theirs.Sequence = append(theirs.Sequence, wait("last"))
	ours.Sequence = slices.Insert(ours.Sequence, 0, wait("first"))
	r := Join(base, ours, theirs, Ours)
	old := names(seqOf(base.Sequence))
	want := slices.Concat([]string{"first", old[0], "a", "b"}, old[1:], []string{"last"})
	if got := names(seqOf(r.File.Sequence)); !r.Free() || !slices.Equal(got, want) {
		t.Errorf("got %v, want %v, %v", got, want, r.Conflicts)
	}
}

func TestNamesDiffer(t *testing.T) {
	e := func(name, kind, gait string) workfile.Entry {
		return workfile.Entry{Name: name, Kind: kind, Gait: gait}
	}
	got := names(seqOf([]workfile.Entry{e("", "walk", "tripod"), e("", "walk", "tripod"), e("walk tripod #2", "stand", ""), e("", "stand", ""), e("a", "wait", ""), e("a", "wait", "")}))
	want := []string{"walk tripod", "walk tripod #2", "walk tripod #2 #2", "stand", "a", "a #2"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func BenchmarkJoin(b *testing.B) {
	base := demo(b)
	ours, theirs := base.Clone(), base.Clone()
	ours.Robot.Top++
	theirs.Moves[0].Marks[2].At++
	b.ReportAllocs()
	for b.Loop() {
		Join(base, ours, theirs, Ours)
	}
}
