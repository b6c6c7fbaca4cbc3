// SPDX-License-Identifier: MIT

package edit_test

import (
	"math"
	"strings"
	"testing"

	"gaitwright/assets"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// opened reads a text, and fails when it cannot.
func opened(t testing.TB, text []byte) *workfile.File {
	t.Helper()
	f, err := workfile.Read("a test", text)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// replayed fails unless the file can be written, read as the same, built and
// rehearsed.
func replayed(t testing.TB, f *workfile.File) *rehearsal.Rehearsal {
	t.Helper()
	text, err := f.Encode()
	if err != nil {
		t.Fatal(err)
	}
	g := opened(t, text)
	if !g.Equal(f) {
		t.Fatalf("reads as another file:\n%s", text)
	}
	r, err := rehearsal.Run(g, rehearsal.Options{Rate: 50})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func kinds(f *workfile.File) string {
	var out []string
	for i := range f.Sequence {
		out = append(out, f.Sequence[i].Kind)
	}
	return strings.Join(out, " ")
}

// Every kind of entry can stand after every other one where CanAdd says so, and
// plays there.
func TestNewEntryPlays(t *testing.T) {
	for _, text := range [][]byte{assets.Demo, assets.Walker} {
		whole := opened(t, text)
		for after := -1; after < len(whole.Sequence); after++ {
			for _, kind := range edit.Kinds() {
				f := whole.Clone()
				e, err := edit.NewEntry(f, kind, after, 0)
				if can := edit.CanAdd(f, kind, after); (can == nil) != (err == nil) {
					t.Fatalf("%s after %d: %v, but %v", kind, after, can, err)
				}
				if err != nil {
					if kind != "change" && kind != "move" || kind == "move" && len(f.Moves) > 0 {
						t.Errorf("%s after %d: %v", kind, after, err)
					}
					continue
				}
				at := edit.AddEntry(f, after, e)
				if at != after+1 || len(f.Sequence) != len(whole.Sequence)+1 || f.Sequence[at].Kind != kind {
					t.Fatalf("%s after %d is at %d of %s", kind, after, at, kinds(f))
				}
				r := replayed(t, f)
				if q := r.Trajectory.Parts[at]; q.Kind != kind || !(q.To > q.From) {
					t.Errorf("%s after %d plays as %+v", kind, after, q)
				}
				edit.DeleteEntry(f, at)
				if !f.Equal(whole) {
					t.Errorf("%s after %d: deleting it gives another file", kind, after)
				}
			}
		}
	}
}

// A first walk is one that the robot can walk, at about half of its fastest.
func TestNewWalkCanBeWalked(t *testing.T) {
	for _, text := range [][]byte{assets.Demo, assets.Walker} {
		f := opened(t, text)
		f.Sequence = nil
		e, err := edit.NewEntry(f, "walk", -1, 0)
		if err != nil || e.Gait != f.Gaits[0].Name || !(*e.Forward > 0) {
			t.Fatalf("%+v, %v", e, err)
		}
		edit.AddEntry(f, -1, e)
		for _, x := range replayed(t, f).Findings {
			switch x.Word {
			case "out-of-reach", "joint-limit", "joint-speed", "legs-touch":
				t.Errorf("at %v mm/s: %s, %s", *e.Forward, x.Word, x.Why)
			}
		}
	}
}

// What cannot be added says so, with the way out.
func TestCannotAdd(t *testing.T) {
	f := opened(t, assets.Demo)
	f.Gaits, f.Moves, f.Sequence = nil, nil, nil
	for kind, want := range map[string]string{
		"walk":   "edit: there is no gait yet: add one on the page “walk” first",
		"change": "edit: there is no walk to go on with: put a walk before it",
		"move":   "edit: there is no move yet: make one on the page “move” first",
		"dance":  "edit: no entry is of the kind “dance”: use one of stand, walk, change, move, recover, wait",
		"stand":  "", "recover": "", "wait": "",
	} {
		_, err := edit.NewEntry(f, kind, -1, 0)
		got := ""
		if err != nil {
			got = err.Error()
		}
		if got != want {
			t.Errorf("%s: %q, want %q", kind, got, want)
		}
	}
}

// A copy shares nothing with what it was made of, and has a name of its own.
func TestDuplicateEntry(t *testing.T) {
	f := opened(t, assets.Demo)
	whole := f.Clone()
	for range 2 {
		edit.DuplicateEntry(f, 1)
	}
	if f.Sequence[1].Name != "to the drum" || f.Sequence[2].Name != "to the drum 3" || f.Sequence[3].Name != "to the drum 2" {
		t.Errorf("%q, %q, %q", f.Sequence[1].Name, f.Sequence[2].Name, f.Sequence[3].Name)
	}
	*f.Sequence[2].Forward, *f.Sequence[2].Cycles = 1, 1
	if *f.Sequence[1].Forward != *whole.Sequence[1].Forward || *f.Sequence[1].Cycles != *whole.Sequence[1].Cycles {
		t.Error("the copy shares its numbers")
	}
	replayed(t, f)
	if got := edit.DuplicateEntry(f, 99); got != 99 {
		t.Errorf("a copy of none is at %d", got)
	}
}

func TestMoveEntry(t *testing.T) {
	for _, c := range []struct {
		from, to int
		want     string
	}{
		{0, 5, "walk change move recover wait stand"},
		{5, 0, "wait stand walk change move recover"},
		{2, 3, "stand walk move change recover wait"},
		{3, 2, "stand walk move change recover wait"},
		{2, 2, "stand walk change move recover wait"},
		{-1, 2, "stand walk change move recover wait"},
		{2, 6, "stand walk change move recover wait"},
	} {
		f := opened(t, assets.Demo)
		whole := f.Clone()
		edit.MoveEntry(f, c.from, c.to)
		if got := kinds(f); got != c.want {
			t.Errorf("%d to %d: %s, want %s", c.from, c.to, got, c.want)
		}
		replayed(t, f)
		edit.MoveEntry(f, c.to, c.from)
		if !f.Equal(whole) {
			t.Errorf("%d to %d and back is not the same", c.from, c.to)
		}
	}
}

// Lengths change in steps of their own and stay in range.
func TestStretch(t *testing.T) {
	get := func(f *workfile.File, i int) float64 {
		e := &f.Sequence[i]
		for _, p := range []*float64{e.Duration, e.Cycles, e.Speed} {
			if p != nil {
				return *p
			}
		}
		return math.NaN()
	}
	strike := opened(t, assets.Demo).Moves[0]
	drawn := strike.Marks[len(strike.Marks)-1].At / 1000
	for _, c := range []struct {
		entry    int
		by, want float64
	}{
		{0, 0.4, 1000}, {0, 0.0049, 600}, {0, 0.006, 610}, {0, -9, 10}, {0, 1e6, 600000},
		{1, 1, 4}, {1, -0.6, 2.5}, {1, 0.2, 3}, {1, -20, 0.5}, // a period of 1 s
		{2, 1.5, 3}, {2, -0.75, 1.5}, // of 1.5 s
		{3, drawn, 0.5}, {3, -drawn / 2, 2}, {3, 0, 1}, {3, -100, 10},
		{5, -0.3, 200},
	} {
		f := opened(t, assets.Demo)
		edit.Stretch(f, c.entry, c.by)
		if got := get(f, c.entry); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("entry %d by %v s: %v, want %v", c.entry, c.by, got, c.want)
		}
		if math.Abs(c.by) < 30 {
			replayed(t, f)
		}
	}
	f := opened(t, assets.Demo)
	whole := f.Clone()
	edit.Stretch(f, 4, 1) // a recovery takes as long as its steps
	edit.Stretch(f, 99, 1)
	edit.Stretch(f, 1, math.NaN())
	edit.Stretch(f, 1, math.Inf(1))
	if !f.Equal(whole) || edit.Stretchable(f, 4) || edit.Stretchable(f, -1) {
		t.Error("something was stretched that has no length")
	}
	// A stand without a length begins with what the reader takes for it.
	f.Sequence[0].Duration = nil
	edit.Stretch(f, 0, 0.1)
	if got := *f.Sequence[0].Duration; got != 700 {
		t.Errorf("%v ms", got)
	}
}
