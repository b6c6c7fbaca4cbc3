// SPDX-License-Identifier: MIT

package walk

import (
	"math"
	"slices"
	"strings"
	"testing"

	"gioui.org/f32"
	"gioui.org/io/key"

	"gaitwright/assets"
	"gaitwright/motion/gait"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// plays fails when the file as it stands cannot be written, read and played.
func (r *rig) plays() {
	r.T.Helper()
	text, err := r.doc.File().Encode()
	if err != nil {
		r.T.Fatalf("%v", err)
	}
	f, err := workfile.Read("again", text)
	if err != nil {
		r.T.Fatalf("%v", err)
	}
	if _, err := rehearsal.Run(f, rehearsal.Options{Rate: 50}); err != nil {
		r.T.Fatalf("%v", err)
	}
}

// undone takes one step back and fails when that is not the file as it was.
func (r *rig) undone(was *workfile.File) {
	r.T.Helper()
	r.doc.Undo()
	if _, more := r.doc.CanUndo(); more || !r.doc.File().Equal(was) {
		r.T.Errorf("one undo does not take the edit back")
	}
	r.Settle()
}

// shaped is the name of the gait that is shaped.
func (r *rig) shaped() string { return r.doc.File().Gaits[r.panel.last.gait].Name }

// typeIn types into a field and enters it.
func (r *rig) typeIn(field, text string) {
	r.T.Helper()
	r.Click(field)
	r.Type(text)
	r.Press(key.NameReturn, 0)
	r.Settle()
}

// Every gait that is known for six and for four legs can be added, has the
// numbers of package gait, and is shaped though nothing plays it.
func TestAddFromLibrary(t *testing.T) {
	for _, c := range []struct {
		text  []byte
		names []string
	}{
		{assets.Demo, []string{"wave", "ripple", "tetrapod", "tripod"}},
		{assets.Walker, []string{"crawl", "trot", "pace", "bound"}},
	} {
		for i, name := range c.names {
			r := open(t, c.text, gaitPage)
			was := r.doc.File().Clone()
			r.add(name)
			f := r.doc.File()
			g := &f.Gaits[len(f.Gaits)-1]
			if !strings.HasPrefix(g.Name, name) || len(f.Gaits) != len(was.Gaits)+1 || r.shaped() != g.Name || r.panel.last.entry != -1 {
				t.Fatalf("%s: added %q, shaped %q at %+v", name, g.Name, r.shaped(), r.panel.last)
			}
			left, right, err := gait.Sides(&r.doc.Result().Built.Robot)
			if err != nil {
				t.Fatal(err)
			}
			all, err := gait.Library(left, right)
			if err != nil {
				t.Fatal(err)
			}
			for k, l := range f.Legs {
				if p, _ := edit.PhaseOf(g, l.Name); math.Abs(p-all[i].Phase[k]) > 1e-6 {
					t.Errorf("%s: phase %v of %s, want %v", name, p, l.Name, all[i].Phase[k])
				}
			}
			r.MustFind("not played yet")
			// The numbers are those of the pace of that gait at the command that
			// the walk would have.
			n := r.paceOf(r.panel.last.gait).Numbers(r.panel.facts.command)
			if got := r.panel.facts.numbers; got.Speed != n.Speed || got.Least != n.Least || n.Speed <= 0 {
				t.Errorf("%s: %+v, want %+v", name, got, n)
			}
			r.plays()
			r.undone(was)
		}
	}
}

// A gait that nothing plays is shaped, and then walked by one push: the walk
// goes behind the present entry and is what shows.
func TestPlayIt(t *testing.T) {
	r := open(t, assets.Demo, gaitPage)
	r.add("tetrapod")
	r.typeIn("duty factor", "0.7")
	if g := r.doc.File().Gaits[r.panel.last.gait]; g.Name != "tetrapod" || g.Duty != 0.7 {
		t.Fatalf("%+v", g)
	}
	before := r.doc.File().Clone()
	r.at.GoTo(r.doc, 1)
	r.Settle()
	if r.shaped() != "tripod" {
		t.Fatalf("%s is shaped in the walk with tripod", r.shaped())
	}
	r.Click("gait that is shaped")
	r.Settle()
	r.Click("tetrapod")
	r.Settle()
	r.Click(playWords)
	r.Settle()
	f := r.doc.File()
	e := &f.Sequence[2]
	if len(f.Sequence) != len(before.Sequence)+1 || e.Kind != "walk" || e.Gait != "tetrapod" || !(*e.Forward >= 5) {
		t.Fatalf("%+v", f.Sequence)
	}
	if r.panel.last != (place{entry: 2, gait: len(f.Gaits) - 1}) {
		t.Errorf("shaped is %+v", r.panel.last)
	}
	// It can be walked: half of the fastest.
	if v := r.panel.facts.verdict; !v.Can || v.Factor > 0.51 {
		t.Errorf("%+v", v)
	}
	r.plays()
	r.doc.Undo()
	if !r.doc.File().Equal(before) {
		t.Error("undo does not take the walk out")
	}
}

// A gait that is played is chosen with the walk that plays it.
func TestChooseGoesThere(t *testing.T) {
	r := open(t, assets.Demo, gaitPage)
	r.Click("gait that is shaped")
	r.Settle()
	r.Click("ripple")
	r.Settle()
	if part := r.doc.Result().Trajectory.Parts[2]; r.shaped() != "ripple" || r.at.Time != part.From || r.panel.last.entry != 2 || !r.panel.last.changes {
		t.Errorf("%s at %v s: %+v", r.shaped(), r.at.Time, r.panel.last)
	}
	if _, can := r.doc.CanUndo(); can {
		t.Error("choosing a gait changed the file")
	}
}

// Another name follows into the sequence; one that is taken is refused.
func TestRename(t *testing.T) {
	r := open(t, assets.Demo, gaitPage)
	was := r.doc.File().Clone()
	r.Click("more for this gait")
	r.Settle()
	r.Click("Rename")
	r.Settle()
	r.typeIn("name of the gait", "ripple")
	r.MustFind("another gait has this name")
	if !r.doc.File().Equal(was) {
		t.Error("a taken name was taken")
	}
	r.Press(key.NameEscape, 0) // the old name again
	r.Type("three by three")
	r.Press(key.NameReturn, 0)
	r.Settle()
	f := r.doc.File()
	if f.Gaits[0].Name != "three by three" || f.Sequence[1].Gait != "three by three" || f.Sequence[4].Gait != "three by three" {
		t.Errorf("%q, %+v", f.Gaits[0].Name, f.Sequence)
	}
	if r.panel.asked != nothing {
		t.Error("it still asks")
	}
	r.plays()
	r.undone(was)
	r.Click("more for this gait")
	r.Settle()
	r.Click("Rename")
	r.Settle()
	r.Click("Cancel")
	r.Settle()
	r.MustFind("gait that is shaped")
}

// A gait that is played is not deleted, and the entries are named; another one
// is.
func TestDelete(t *testing.T) {
	r := open(t, assets.Demo, gaitPage)
	was := r.doc.File().Clone()
	remove := func() {
		r.T.Helper()
		r.Click("more for this gait")
		r.Settle()
		r.Click("Delete")
		r.Settle()
	}
	remove()
	r.MustFind("Entries 2 and 5 of the sequence have the gait “tripod”: give them another one first, or delete them.")
	if !r.doc.File().Equal(was) {
		t.Error("a gait that is played is gone")
	}
	r.Click("gait that is shaped")
	r.Settle()
	r.Click("wave")
	r.Settle()
	remove()
	if f := r.doc.File(); edit.GaitIndex(f, "wave") >= 0 || len(f.Gaits) != 2 || r.panel.said != "" {
		t.Errorf("%d gaits, %q", len(f.Gaits), r.panel.said)
	}
	r.plays()
	r.undone(was)
}

// A copy stands behind the gait, and shares nothing with it.
func TestDuplicate(t *testing.T) {
	r := open(t, assets.Demo, legsPage)
	was := r.doc.File().Clone()
	r.Click("more for this gait")
	r.Settle()
	r.Click("Duplicate")
	r.Settle()
	if f := r.doc.File(); f.Gaits[1].Name != "tripod 2" || r.shaped() != "tripod 2" {
		t.Fatalf("%q, shaped is %q", f.Gaits[1].Name, r.shaped())
	}
	r.typeIn("phase of LM", "0.25")
	if f := r.doc.File(); f.Gaits[1].Phase["LM"] != 0.25 || f.Gaits[0].Phase["LM"] != was.Gaits[0].Phase["LM"] {
		t.Errorf("%v and %v", f.Gaits[0].Phase, f.Gaits[1].Phase)
	}
	r.plays()
	r.doc.Undo()
	r.undone(was)
}

// The wave of a duty factor that is typed is that of package gait.
func TestWaveOfADutyFactor(t *testing.T) {
	r := open(t, assets.Demo, gaitPage)
	was := r.doc.File().Clone()
	r.add("wave of a duty factor")
	r.Click("duty factor of the wave")
	r.Type("0.6")
	r.Click("Add")
	r.Settle()
	g := &r.doc.File().Gaits[len(r.doc.File().Gaits)-1]
	want := gait.Wave(3, 0.6) // left legs front to rear, then right ones
	for i, leg := range []string{"LF", "LM", "LR", "RF", "RM", "RR"} {
		if math.Abs(g.Phase[leg]-want[i]) > 1e-6 {
			t.Errorf("phase %v of %s, want %v", g.Phase[leg], leg, want[i])
		}
	}
	if g.Duty != 0.6 || r.panel.asked != nothing {
		t.Errorf("%+v", g)
	}
	r.plays()
	r.undone(was)
}

// Phase and duty factor of each leg are typed; a leg has a factor of its own
// once that is ticked.
func TestLegNumbers(t *testing.T) {
	r := open(t, assets.Demo, legsPage)
	was := r.doc.File().Clone()
	r.typeIn("phase of RM", "0.125")
	if got := r.doc.File().Gaits[0].Phase["RM"]; got != 0.125 {
		t.Errorf("phase %v", got)
	}
	r.undone(was)
	if err := r.Driver.Click("duty factor of LF"); err == nil {
		t.Error("a leg without a factor of its own has a field to type in")
	}
	r.Click("own") // the first leg's
	r.Settle()
	r.typeIn("duty factor of LF", "0.61")
	if g := r.doc.File().Gaits[0]; g.Duties["LF"] != 0.61 || g.Duty != was.Gaits[0].Duty || len(g.Duties) != 1 {
		t.Errorf("%v, %v", g.Duties, g.Duty)
	}
	r.plays()
	r.Click("own")
	r.Settle()
	if !r.doc.File().Equal(was) {
		t.Errorf("%v is left", r.doc.File().Gaits[0].Duties)
	}
	// What lies outside says so and changes nothing.
	r.typeIn("phase of RM", "1.2")
	if !r.doc.File().Equal(was) {
		t.Error("a phase of 1.2 was taken")
	}
	r.MustFind("must lie from 0 to 1")
}

// All numbers of a swing can be typed.
func TestSwingNumbers(t *testing.T) {
	r := open(t, assets.Demo, swingPage)
	was := r.doc.File().Clone()
	g := func() *workfile.Gait { return &r.doc.File().Gaits[0] }
	for _, c := range []struct {
		field, text string
		ok          func() bool
	}{
		{"step height", "24.5", func() bool { return g().StepHeight == 24.5 }},
		{"sway", "6", func() bool { return g().Sway == 6 }},
		{"early lift", "0.15", func() bool { return g().EarlyLift == 0.15 }},
		{"late touch", "0.2", func() bool { return g().LateTouch == 0.2 }},
		{"timing of the swing", "cubic-bezier(0.3, 0, 0.6, 1)", func() bool { return g().Timing == "cubic-bezier(0.3, 0, 0.6, 1)" }},
		{"lift-off, along", "-0.1", func() bool { return *g().Swing == [4]float64{-0.1, 1, 1, 1} }},
		{"lift-off, up", "1.2", func() bool { return *g().Swing == [4]float64{0, 1.2, 1, 1} }},
		{"touchdown, along", "1.1", func() bool { return *g().Swing == [4]float64{0, 1, 1.1, 1} }},
		{"touchdown, up", "0.8", func() bool { return *g().Swing == [4]float64{0, 1, 1, 0.8} }},
	} {
		for range 40 { // a field that is scrolled away comes by Tab
			if _, ok := r.Find(c.field); ok {
				break
			}
			r.Tab(false)
		}
		r.typeIn(c.field, c.text)
		if r.doc.File().Equal(was) || !c.ok() {
			t.Errorf("%s: %+v", c.field, g())
			continue
		}
		r.plays()
		r.undone(was)
	}
	r.Click("timings with names")
	r.Settle()
	r.Click("linear")
	r.Settle()
	if g().Timing != "linear" {
		t.Errorf("timing %q", g().Timing)
	}
	r.undone(was)
	r.typeIn("timing of the swing", "swiftly")
	if !r.doc.File().Equal(was) {
		t.Errorf("timing %q", g().Timing)
	}
	// Early lift and late touch together leave no time to travel: the file says
	// so, in a sentence.
	r.typeIn("early lift", "0.5")
	r.typeIn("late touch", "0.45")
	if g().LateTouch != 0 || !strings.Contains(r.panel.said, "to travel in") {
		t.Errorf("late touch %v, %q", g().LateTouch, r.panel.said)
	}
}

// The line of feet that are down is that of package gait, and follows a drag.
func TestFeetDown(t *testing.T) {
	r := open(t, assets.Demo, gaitPage)
	text := func() string {
		s := r.doc.Result().Built.Gaits[0].Standing()
		least := slices.MinFunc(s, func(a, b gait.Standing) int { return a.Feet - b.Feet }).Feet
		most := slices.MaxFunc(s, func(a, b gait.Standing) int { return a.Feet - b.Feet }).Feet
		return downText(least, most)[0]
	}
	if got := text(); got != "feet down: always 3" {
		t.Errorf("%q", got)
	}
	b := r.panel.diagram.box
	at := r.MustFind("gait diagram").Desc.Bounds.Min
	row := float32(b.Dy()) / 6
	from := f32.Pt(float32(at.X+b.Min.X+b.Dx()/4), float32(at.Y+b.Min.Y)+row/2)
	r.Drag(from, from.Add(f32.Pt(float32(b.Dx())/10, 0)), 4) // the left front leg, a tenth of a cycle later
	r.Settle()
	// For a tenth of the cycle it is not down yet: two feet are.
	if got := text(); got != "feet down: at least 2 ▼, judged in motion" {
		t.Errorf("%q", got)
	}
	if p := r.doc.File().Gaits[0].Phase["LF"]; math.Abs(p-0.1) > 0.01 {
		t.Errorf("phase %v", p)
	}
	for _, c := range []struct {
		least, most int
		want        string
	}{{0, 0, "feet down: always 0, judged in motion"}, {3, 5, "feet down: at least 3 ▼"}, {4, 4, "feet down: always 4"}} {
		if got := downText(c.least, c.most)[0]; got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

// Without a gait the panel says what to do.
func TestNoGait(t *testing.T) {
	r := open(t, assets.Demo, gaitPage)
	if err := r.doc.Change("none", func(f *workfile.File) { f.Gaits, f.Sequence = nil, nil }); err != nil {
		t.Fatal(err)
	}
	r.Settle()
	r.MustFind("There is no gait yet")
	r.Click("Add a gait")
	r.Settle()
	r.Click("ripple")
	r.Settle()
	if f := r.doc.File(); len(f.Gaits) != 1 || f.Gaits[0].Name != "ripple" {
		t.Fatalf("%+v", f.Gaits)
	}
	r.Click(playWords)
	r.Settle()
	if f := r.doc.File(); len(f.Sequence) != 1 || f.Sequence[0].Gait != "ripple" {
		t.Errorf("%+v", f.Sequence)
	}
	r.plays()
}

// What is typed counts for the gait that it was typed for, also when a press
// elsewhere chooses another walk.
func TestTypedStaysWithItsGait(t *testing.T) {
	r := open(t, assets.Demo, gaitPage)
	was := r.doc.File().Clone()
	r.Click("period")
	r.Type("1230")
	r.at.GoTo(r.doc, r.doc.Result().Trajectory.Parts[2].From+0.2) // as a press on the timeline does
	r.Focus(&r.panel.diagram)
	r.Settle()
	if f := r.doc.File(); f.Gaits[0].Period != 1230 || f.Gaits[1].Period != was.Gaits[1].Period {
		t.Errorf("periods %v and %v", f.Gaits[0].Period, f.Gaits[1].Period)
	}
}
