// SPDX-License-Identifier: MIT

package sequence

import (
	"image"
	"slices"
	"strings"
	"testing"

	"gioui.org/f32"
	"gioui.org/io/key"

	"gaitwright/assets"
	"gaitwright/motion/workfile"
)

// The chosen entry follows the present time, and a click goes to its begin.
func TestFollowsTheTime(t *testing.T) {
	r := open(t, assets.Demo)
	parts := r.doc.Result().Trajectory.Parts
	for i := range parts {
		r.at.GoTo(r.doc, (parts[i].From+parts[i].To)/2)
		r.Settle()
		if r.panel.chosen != i {
			t.Errorf("entry %d at %v s, want %d", r.panel.chosen, r.at.Time, i)
		}
	}
	r.Click("entry 3, change")
	r.Settle()
	if r.panel.chosen != 2 || r.at.Time != parts[2].From {
		t.Errorf("entry %d at %v s", r.panel.chosen, r.at.Time)
	}
	r.Focus(r.panel.rows.Tag())
	r.Press(key.NameDownArrow, 0)
	r.Settle()
	if r.panel.chosen != 3 || r.at.Time != parts[3].From {
		t.Errorf("by key entry %d at %v s", r.panel.chosen, r.at.Time)
	}
}

// Each kind can be added after the chosen entry, plays, and is one undo step.
func TestAdd(t *testing.T) {
	for _, c := range []struct {
		kind string
		want func(e *workfile.Entry) bool
	}{
		{"stand", func(e *workfile.Entry) bool { return *e.Duration == 600 }},
		{"walk", func(e *workfile.Entry) bool { return e.Gait == "tripod" && *e.Cycles == 3 && *e.Forward == 80 }},
		{"change", func(e *workfile.Entry) bool { return e.Gait == "ripple" && *e.Cycles == 3 }},
		{"move", func(e *workfile.Entry) bool { return e.Move == "strike" }},
		{"recover", func(e *workfile.Entry) bool { return e.Gait == "" }},
		{"wait", func(e *workfile.Entry) bool { return *e.Duration == 500 }},
	} {
		r := open(t, assets.Demo)
		was := r.doc.File().Clone()
		r.Click("entry 2, walk")
		r.Settle()
		r.Click("Add")
		r.Settle()
		r.Click(c.kind)
		r.Settle()
		if got := r.kinds(); len(got) != 7 || got[2] != c.kind || r.panel.chosen != 2 || !c.want(r.entry()) {
			t.Errorf("%s: %v, %d is chosen: %+v", c.kind, got, r.panel.chosen, r.entry())
		}
		if q, ok := part(r.doc, 2); !ok || r.at.Time != q.From {
			t.Errorf("%s: the time is %v", c.kind, r.at.Time)
		}
		if label, _ := r.doc.CanUndo(); label != "add a "+c.kind {
			t.Errorf("%s: the step is called %q", c.kind, label)
		}
		r.plays()
		r.undone(was)
	}
}

// An empty sequence says so and begins with what is pushed.
func TestEmpty(t *testing.T) {
	r := open(t, assets.Demo)
	if err := r.doc.Change("nothing", func(f *workfile.File) { f.Sequence = nil }); err != nil {
		t.Fatal(err)
	}
	r.Settle()
	r.MustFind("Nothing is played yet")
	r.Click("walk")
	r.Settle()
	if got := r.kinds(); !slices.Equal(got, []string{"walk"}) || !(*r.entry().Forward >= 5) {
		t.Errorf("%v: %+v", got, r.entry())
	}
	r.plays()
	// Its only entry can be deleted again.
	r.Focus(r.panel.rows.Tag())
	r.Press(key.NameDeleteForward, 0)
	r.Settle()
	r.MustFind("Nothing is played yet")
	// Without gaits and moves there is nothing to walk with.
	if err := r.doc.Change("bare", func(f *workfile.File) { f.Gaits, f.Moves = nil, nil }); err != nil {
		t.Fatal(err)
	}
	r.Settle()
	r.MustFind("There is no gait yet: add one on the page “walk” first.")
	if err := r.Driver.Click("walk"); err == nil {
		t.Error("a walk without a gait can be pushed")
	}
}

// Entries go earlier and later by keys, by buttons and by the hand.
func TestReorder(t *testing.T) {
	r := open(t, assets.Demo)
	was := r.doc.File().Clone()
	r.Click("entry 6, wait")
	r.Settle()
	r.Press(key.NameUpArrow, key.ModAlt)
	r.Settle()
	if got := strings.Join(r.kinds(), " "); got != "stand walk change move wait recover" || r.panel.chosen != 4 {
		t.Errorf("%s, %d is chosen", got, r.panel.chosen)
	}
	r.plays()
	r.Click("later (Alt+↓)")
	r.Settle()
	if !r.doc.File().Equal(was) || r.panel.chosen != 5 {
		t.Errorf("%v, %d is chosen", r.kinds(), r.panel.chosen)
	}
	r.doc.Undo()
	r.doc.Undo()
	r.Settle()

	from, to := r.Centre("entry 1, stand"), r.Centre("entry 6, wait")
	r.Drag(from, to.Add(f32.Pt(0, 3)), 8)
	r.Settle()
	if got := strings.Join(r.kinds(), " "); got != "walk change move recover wait stand" || r.panel.chosen != 5 {
		t.Errorf("dragged: %s, %d is chosen", got, r.panel.chosen)
	}
	r.plays()
	r.undone(was)
	// A drag within a row is no edit.
	r.Drag(from, from.Add(f32.Pt(30, 4)), 4)
	r.Settle()
	if _, can := r.doc.CanUndo(); can {
		t.Error("a drag within a row changed the file")
	}
}

// What cannot be played is refused with a sentence, and the file stays.
func TestRefusal(t *testing.T) {
	r := open(t, assets.Demo)
	was := r.doc.File()
	r.Click("entry 3, change")
	r.Settle()
	for range 2 {
		r.Press(key.NameUpArrow, key.ModAlt)
		r.Settle()
	}
	// Before the walk there is nothing to go on with.
	r.MustFind("There is nothing to go on with; put a walk before it (sequence[\"last steps\"].kind).")
	if !r.doc.File().Equal(was) || r.panel.chosen != 2 {
		t.Errorf("the file changed: %v, %d is chosen", r.kinds(), r.panel.chosen)
	}
	// The next edit that is taken puts the sentence away.
	r.Click("Duplicate")
	r.Settle()
	if r.panel.said != "" || len(r.kinds()) != 7 {
		t.Errorf("%q, %v", r.panel.said, r.kinds())
	}
}

// A copy of a named entry has a name of its own.
func TestDuplicateAndDelete(t *testing.T) {
	r := open(t, assets.Demo)
	was := r.doc.File().Clone()
	r.Click("entry 4, move")
	r.Settle()
	r.Click("Duplicate")
	r.Settle()
	if r.panel.chosen != 4 || r.entry().Name != "strike twice 2" || r.entry().Move != "strike" {
		t.Errorf("%d: %+v", r.panel.chosen, r.entry())
	}
	r.plays()
	r.Click("delete the entry (Delete)")
	r.Settle()
	if !r.doc.File().Equal(was) || r.panel.chosen != 4 {
		t.Errorf("%v, %d is chosen", r.kinds(), r.panel.chosen)
	}
}

// Every field of every kind is typed or chosen, and is one undo step.
func TestFields(t *testing.T) {
	r := open(t, assets.Demo)
	typed := func(row, field, text, label string, got func(e *workfile.Entry) float64, want float64) {
		t.Helper()
		was := r.doc.File().Clone()
		r.Click(row)
		r.Settle()
		r.Click(field)
		r.Type(text)
		r.Press(key.NameReturn, 0)
		r.Settle()
		if v := got(r.entry()); v != want {
			t.Errorf("%s, %s: %v, want %v (%s)", row, field, v, want, r.panel.said)
		}
		if l, _ := r.doc.CanUndo(); l != label {
			t.Errorf("%s: the step is called %q", field, l)
		}
		r.plays()
		r.undone(was)
	}
	typed("entry 1, stand", "length of the entry", "820", "change the length", func(e *workfile.Entry) float64 { return *e.Duration }, 820)
	typed("entry 2, walk", "cycles of the entry", "2.75", "change the cycles", func(e *workfile.Entry) float64 { return *e.Cycles }, 2.75)
	typed("entry 2, walk", "forward of the entry", "-35", "change the command", func(e *workfile.Entry) float64 { return *e.Forward }, -35)
	typed("entry 2, walk", "to the left of the entry", "12", "change the command", func(e *workfile.Entry) float64 { return *e.Side }, 12)
	typed("entry 2, walk", "turn left of the entry", "4.5", "change the command", func(e *workfile.Entry) float64 { return *e.Turn }, 4.5)
	typed("entry 3, change", "cycles of the entry", "1.5", "change the cycles", func(e *workfile.Entry) float64 { return *e.Cycles }, 1.5)
	typed("entry 4, move", "speed of the entry", "0.8", "change the speed of an entry", func(e *workfile.Entry) float64 { return *e.Speed }, 0.8)
	typed("entry 6, wait", "length of the entry", "75", "change the length", func(e *workfile.Entry) float64 { return *e.Duration }, 75)

	was := r.doc.File().Clone()
	r.Click("entry 2, walk")
	r.Settle()
	r.Click("name of the entry")
	r.Type("ahead")
	r.Click("entry 1, stand") // leaving the field takes what was typed, for the entry it was typed for
	r.Settle()
	if f := r.doc.File(); f.Sequence[1].Name != "ahead" || f.Sequence[0].Name != was.Sequence[0].Name {
		t.Errorf("names %q and %q", f.Sequence[0].Name, f.Sequence[1].Name)
	}
	r.undone(was)

	// So does a button.
	r.Click("entry 1, stand")
	r.Settle()
	r.Click("length of the entry")
	r.Type("730")
	r.Click("Duplicate")
	r.Settle()
	if f := r.doc.File(); *f.Sequence[0].Duration != 730 || *f.Sequence[1].Duration != 730 || len(f.Sequence) != 7 {
		t.Errorf("%v ms, then %s", *f.Sequence[0].Duration, f.Sequence[1].Kind)
	}
	r.doc.Undo()
	r.undone(was)

	r.Click("entry 5, recover")
	r.Settle()
	r.Click("gait of the entry")
	r.Settle()
	r.Click(legs)
	r.Settle()
	if r.entry().Gait != "" {
		t.Errorf("%+v", r.entry())
	}
	r.plays()
	r.undone(was)
	r.Click("entry 2, walk")
	r.Settle()
	r.Click("gait of the entry")
	r.Settle()
	r.Press(key.NameDownArrow, 0)
	r.Press(key.NameReturn, 0)
	r.Settle()
	if r.entry().Gait != "ripple" {
		t.Errorf("%+v", r.entry())
	}
	r.plays()
	r.undone(was)
}

// A name that another entry has is refused in words.
func TestNameTwice(t *testing.T) {
	r := open(t, assets.Demo)
	was := r.doc.File().Clone()
	r.Click("entry 2, walk")
	r.Settle()
	r.Click("name of the entry")
	r.Type("listen")
	r.Press(key.NameReturn, 0)
	r.Settle()
	if !r.doc.File().Equal(was) || !strings.Contains(r.panel.said, "names must differ") {
		t.Errorf("%q", r.panel.said)
	}
}

// Tab reaches the buttons, the list and the fields, one after the other.
func TestTab(t *testing.T) {
	r := open(t, assets.Demo)
	r.Click("entry 2, walk")
	r.Settle()
	want := []any{r.panel.add.Tag(), r.panel.double.Tag(), r.panel.up.Tag(), r.panel.down.Tag(), r.panel.remove.Tag(),
		r.panel.rows.Tag(), r.panel.name.Tag(), r.panel.gait.Tag()}
	for _, n := range []int{forward, side, turn, cycles} {
		want = append(want, r.panel.numbers[n].Tag())
	}
	for range 40 {
		if r.Focused(want[0]) {
			want = want[1:]
		}
		if len(want) == 0 {
			return
		}
		r.Tab(false)
	}
	t.Errorf("%d stops of the Tab key are missing, the first is %T", len(want), want[0])
}

// The list says what each entry does.
func TestWords(t *testing.T) {
	v := func(x float64) *float64 { return &x }
	for _, c := range []struct {
		e                    workfile.Entry
		title, more, lasting string
	}{
		{workfile.Entry{Kind: "walk", Gait: "tripod", Cycles: v(2.5), Forward: v(40), Turn: v(-3.5)}, "tripod", "40 mm/s ahead, 3.5°/s turning right", "2.5 cycles"},
		{workfile.Entry{Kind: "walk", Name: "there", Gait: "tripod", Cycles: v(1), Side: v(-7)}, "there", "tripod, 7 mm/s right", "1 cycle"},
		{workfile.Entry{Kind: "walk", Gait: "tripod", Cycles: v(1.25)}, "tripod", "on the spot", "1.25 cycles"},
		{workfile.Entry{Kind: "change", Gait: "wave", Cycles: v(3)}, "wave", "same command", "3 cycles"},
		{workfile.Entry{Kind: "move", Move: "greet", Speed: v(0.5)}, "greet", "0.50 × the speed", ""},
		{workfile.Entry{Kind: "move", Move: "greet"}, "greet", "", ""},
		{workfile.Entry{Kind: "recover"}, "any legs", "", ""},
		{workfile.Entry{Kind: "stand"}, "", "", ""},
		{workfile.Entry{Kind: "wait", Duration: v(300)}, "", "", "300 ms"},
	} {
		if a, b, n := title(&c.e), details(&c.e), lengthOf(&c.e); a != c.title || b != c.more || n != c.lasting {
			t.Errorf("%+v: %q, %q, %q", c.e, a, b, n)
		}
	}
}

// In a small window all fields have room, and some entries show.
func TestSmallWindow(t *testing.T) {
	for _, scale := range []float32{1, 2} {
		r := openAt(t, assets.Demo, small, scale)
		for i := range r.doc.File().Sequence {
			r.at.GoTo(r.doc, r.doc.Result().Trajectory.Parts[i].From)
			r.Settle()
			fields, rows := 0, 0
			for _, n := range r.Nodes() {
				switch l := n.Desc.Label; {
				case strings.HasSuffix(l, " of the entry"):
					fields++
					if !n.Desc.Bounds.In(image.Rectangle{Max: r.Size}) {
						t.Errorf("entry %d: %s is at %v of %v", i+1, l, n.Desc.Bounds, r.Size)
					}
				case strings.HasPrefix(l, "entry "):
					rows++
				}
			}
			if fields < 2 || rows < 4 {
				t.Errorf("entry %d: %d fields, %d rows", i+1, fields, rows)
			}
		}
	}
}

// A long sequence scrolls to the entry that plays.
func TestLongSequence(t *testing.T) {
	r := openAt(t, assets.Demo, small, 1)
	ms := 100.0
	if err := r.doc.Change("long", func(f *workfile.File) {
		for range 60 {
			f.Sequence = append(f.Sequence, workfile.Entry{Kind: "wait", Duration: &ms})
		}
	}); err != nil {
		t.Fatal(err)
	}
	r.Settle()
	r.at.GoTo(r.doc, r.doc.Result().Trajectory.Duration()-0.05)
	r.Settle()
	if r.panel.chosen != 65 {
		t.Fatalf("entry %d is chosen", r.panel.chosen+1)
	}
	r.MustFind("entry 66, wait")
	if n := len(r.panel.carry.drags); n > 20 {
		t.Errorf("%d rows take drags", n)
	}
	r.Focus(r.panel.rows.Tag())
	r.Press(key.NameHome, 0)
	r.Settle()
	r.MustFind("entry 1, stand")
	if r.at.Time != 0 {
		t.Errorf("the time is %v", r.at.Time)
	}
}
