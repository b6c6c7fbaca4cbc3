// SPDX-License-Identifier: MIT

package app

import (
	"errors"
	"image"
	"math"
	"testing"
	"time"

	"gioui.org/f32"
	"gioui.org/io/key"

	"gaitwright/app/document"
	"gaitwright/assets"
	"gaitwright/motion/sweep"
	"gaitwright/motion/workfile"
)

// mapped opens the map of changes by its key and lets it be worked out.
func (r *rig) mapped(instants int) *sweep.Result {
	r.T.Helper()
	r.modal.changes.Instants = instants
	r.Press("T", 0)
	r.finish()
	res := r.modal.changes.Result()
	if r.modal.kind != changesModal || res == nil {
		r.T.Fatalf("no map:\n%s", r.Dump())
	}
	return res
}

// finish waits for the sweep under way.
func (r *rig) finish() {
	r.T.Helper()
	for end := time.Now().Add(time.Minute); r.modal.changes.Running(); {
		if time.Now().After(end) {
			r.T.Fatalf("the sweep does not end")
		}
		time.Sleep(2 * time.Millisecond)
		r.Frame()
	}
	r.Settle()
}

// cell gives the middle of a cell of the map.
func (r *rig) cell(row, column int) f32.Point {
	r.T.Helper()
	res := r.modal.changes.Result()
	b := r.MustFind("row " + res.Rows[row].Name).Desc.Bounds
	return f32.Pt(float32(b.Min.X)+float32(b.Dx())*(float32(column)+0.5)/float32(res.Instants), float32(b.Min.Y+b.Max.Y)/2)
}

// A click on a cell shows that very change at the instant at which it is asked
// for, and Escape shows the file again.
func TestClickShowsTheChange(t *testing.T) {
	for name, text := range map[string][]byte{"demo": assets.Demo, "walker": assets.Walker} {
		r := openWith(t, Config{Name: name, Text: text}, small, 1)
		before, place, whole := r.text(), r.at, r.doc.Result()
		res := r.mapped(3)
		if res.Runs != res.Total || res.Instants != 3 {
			t.Fatalf("%d of %d runs at %d instants", res.Runs, res.Total, res.Instants)
		}
		kinds := map[bool]bool{}
		for i := range res.Rows {
			row := &res.Rows[i]
			if kinds[row.To < 0] {
				continue // one to a gait and one to a move
			}
			kinds[row.To < 0] = true
			c := row.Cells[2]
			r.MoveTo(r.cell(i, 2))
			r.Settle()
			r.MustFind(row.Name + " at 0.67 of the cycle")
			r.ClickAt(r.cell(i, 2))
			r.Settle()
			if !r.trying() || r.modal.open() || !r.doc.Showing() {
				t.Fatalf("%s does not show:\n%s", row.Name, r.Dump())
			}
			r.MustFind("Trying " + row.Name + " at 0.67 of the cycle")
			// It is the run of the cell: what is asked for begins there, at
			// that phase, and its smallest margin is the cell's.
			got := r.doc.Result()
			if seq := sweep.Script(r.doc.File(), c); len(got.Built.Script.Seq) != len(seq) {
				t.Fatalf("%d entries, want %d", len(got.Built.Script.Seq), len(seq))
			}
			asked := r.at.Time
			if r.at.Time != r.trial.asked || !(asked > 0.3) || !(asked <= got.Trajectory.Parts[1].To+1e-9) {
				t.Errorf("%s: at %v s, asked for at %v s", row.Name, r.at.Time, r.trial.asked)
			}
			a, b := got.Plan.BodyAt(asked-1e-6).Drive, got.Plan.BodyAt(asked+1e-6).Drive
			if a == nil || b == nil || a == b || row.To < 0 && a.W1 == b.W1 {
				t.Errorf("%s: nothing is asked for at %v s", row.Name, asked)
			}
			if k := got.Trajectory.Index(asked + c.At); c.At == c.At && !(math.Abs(got.Loads.Dynamic[k]-c.Dynamic) < 2e-3) {
				t.Errorf("%s: margin %v m there, the map has %v", row.Name, got.Loads.Dynamic[k], c.Dynamic)
			}
			r.Click("To the smallest margin")
			if math.Abs(r.at.Time-asked-c.At) > 1e-9 {
				t.Errorf("at %v s, want %v", r.at.Time, asked+c.At)
			}
			r.Click("To the request")
			if r.at.Time != asked {
				t.Errorf("at %v s, want %v", r.at.Time, asked)
			}
			if err := r.doc.Change("raise", func(f *workfile.File) { f.Robot.StandHeight++ }); !errors.Is(err, document.ErrShowing) {
				t.Errorf("a change while it shows: %v", err)
			}
			r.Press("H", 0)
			r.Press("W", 0)
			r.Press("Z", key.ModShortcut)
			if r.modal.open() || r.doc.OnStand() {
				t.Error("an action of the file ran")
			}
			r.Press(key.NameRightArrow, 0)
			if !(r.at.Time > asked) {
				t.Error("the arrow key does not step on")
			}
			// The map is kept, with the cell.
			r.Click("Back to the map")
			r.Settle()
			if r.trying() || r.modal.changes.Result() != res {
				t.Fatal("the map is worked out again")
			}
			if n, k, ok := r.modal.changes.Chosen(); !ok || n != row.Name || k.Phase != c.Phase {
				t.Errorf("%s at %v is chosen", n, k.Phase)
			}
			r.Press(key.NameReturn, 0)
			r.Settle()
			if !r.trying() || r.at.Time != asked {
				t.Fatalf("Enter does not show it: %v at %v s", r.trying(), r.at.Time)
			}
			r.Press(key.NameEscape, 0)
			r.Settle()
			if r.trying() || r.doc.Showing() || r.doc.Result() != whole || r.at.Time != place.Time || r.doc.Err() != nil {
				t.Errorf("the file's motion is not back: %v at %v s, %v", r.trying(), r.at.Time, r.doc.Err())
			}
			if r.text() != before || r.doc.Dirty() {
				t.Error("the file is another one")
			}
			r.Press("T", 0)
			r.Settle()
			if r.modal.changes.Result() != res {
				t.Fatal("the map is worked out again")
			}
		}
	}
}

// The arrow keys choose a cell, in a list longer than its room too.
func TestMapByKeyboard(t *testing.T) {
	r := openWith(t, Config{Name: "demo", Text: assets.Demo}, image.Pt(760, 480), 1)
	res := r.mapped(2)
	for range len(res.Rows) + 3 {
		r.Press(key.NameDownArrow, 0)
	}
	r.Press(key.NameEnd, 0)
	r.Settle()
	last := &res.Rows[len(res.Rows)-1]
	if n, c, _ := r.modal.changes.Chosen(); n != last.Name || c.Phase != 0.5 {
		t.Errorf("%s at %v is chosen", n, c.Phase)
	}
	if b := r.MustFind("row " + last.Name).Desc.Bounds; !b.In(image.Rectangle{Max: r.Size}) || b.Dy() < 15 {
		t.Errorf("the chosen row is at %v", b)
	}
	r.Press(key.NamePageUp, 0)
	r.Press(key.NameHome, 0)
	r.Press(key.NameRightArrow, 0)
	r.Press(key.NameLeftArrow, 0)
	for range res.Rows {
		r.Press(key.NameUpArrow, 0)
	}
	if n, c, _ := r.modal.changes.Chosen(); n != res.Rows[0].Name || c.Phase != 0 {
		t.Errorf("%s at %v is chosen", n, c.Phase)
	}
	b := r.MustFind("row " + res.Rows[0].Name).Desc.Bounds
	r.Scroll(f32.Pt(float32(b.Min.X+5), float32(b.Min.Y+5)), 4000, 0)
	r.Frame()
	r.Frame()
	r.MustFind("row " + last.Name)
	r.Click("Show this change")
	r.Settle()
	if !r.trying() || r.trial.name != res.Rows[0].Name {
		t.Errorf("tries %q", r.trial.name)
	}
	r.Click("Back to the file")
	r.Settle()
	if r.trying() {
		t.Error("the button does not go back")
	}
}

// Closing the card ends the work, and another file or a changed one has
// another map.
func TestMapIsOfTheFile(t *testing.T) {
	r := open(t, assets.Demo)
	gone := func() {
		t.Helper()
		if r.modal.changes.Running() {
			t.Error("the work goes on")
		}
		select {
		case <-r.modal.changes.Ended():
		case <-time.After(10 * time.Second):
			t.Fatal("a goroutine is left")
		}
	}
	r.modal.changes.Instants = sweep.MostInstants // it would take minutes
	r.Press("T", 0)
	r.Frame()
	if !r.modal.changes.Running() {
		t.Fatal("nothing is under way")
	}
	r.MustFind("Stop and close")
	r.Press(key.NameEscape, 0)
	r.Settle()
	if r.modal.open() {
		t.Error("the card is open")
	}
	gone()
	r.Press("T", 0)
	r.Frame()
	r.Click("Stop and close")
	r.Settle()
	gone()

	res := r.mapped(2)
	r.Press(key.NameEscape, 0)
	if err := r.doc.Change("raise", raise); err != nil {
		t.Fatal(err)
	}
	again := r.mapped(2)
	if again == res {
		t.Error("the map is that of the file before the change")
	}
	r.Press(key.NameEscape, 0)
	if r.mapped(2) != again {
		t.Error("it is worked out again for the same file")
	}

	// Under the open card.
	if err := r.doc.Change("raise", raise); err != nil {
		t.Fatal(err)
	}
	r.Frame()
	if !r.modal.changes.Running() || r.modal.changes.Result() != nil {
		t.Error("the old map shows")
	}
	r.modal.changes.Instants = 2
	d, err := document.Open("", "walker", assets.Walker)
	if err != nil {
		t.Fatal(err)
	}
	r.take(d)
	gone()
	r.Settle()
	if r.modal.open() {
		t.Error("the card of another robot is open")
	}

	// Another card in its place.
	r.modal.changes.Instants = sweep.MostInstants
	r.Press("T", 0)
	r.modal.tell("title", "text")
	r.Frame()
	gone()
}

// Another file ends a trial; so does walking live, and a choice of what to
// shape.
func TestTrialEnds(t *testing.T) {
	r := open(t, assets.Demo)
	begin := func() {
		t.Helper()
		r.mapped(2)
		r.ClickAt(r.cell(0, 1))
		r.Settle()
		if !r.trying() {
			t.Fatal("nothing is tried")
		}
	}
	if err := r.try("nothing", sweep.Cell{From: 99}); !errors.Is(err, errNoScript) || r.trying() || r.doc.Showing() {
		t.Errorf("a change that there is not: %v", err)
	}
	begin()
	r.Click("walk")
	r.Settle()
	if r.trying() || r.shapes.Value != shapeWalk {
		t.Errorf("trying %v, shapes %d", r.trying(), r.shapes.Value)
	}
	r.Click("Try every change")
	r.finish()
	r.Press(key.NameReturn, 0)
	r.Settle()
	if !r.trying() {
		t.Fatal("the button does not open the map")
	}
	r.Press("L", 0)
	r.Frame()
	if r.trying() || !r.liveOn() {
		t.Errorf("trying %v, live %v", r.trying(), r.liveOn())
	}
	r.Press(key.NameEscape, 0)
	r.Settle()
	if r.shapes.Value != shapeWalk || r.doc.Showing() {
		t.Errorf("shapes %d, showing %v", r.shapes.Value, r.doc.Showing())
	}
	begin()
	d, err := document.Open("", "walker", assets.Walker)
	if err != nil {
		t.Fatal(err)
	}
	r.take(d)
	r.Settle()
	if r.trying() || r.doc.Showing() || r.shapes.Value != shapeWalk {
		t.Errorf("trying %v, showing %v, shapes %d", r.trying(), r.doc.Showing(), r.shapes.Value)
	}
}

// A gait that cannot be walked is told, and has no row; a file without
// anything to change to says so.
func TestMapWithoutRows(t *testing.T) {
	r := open(t, assets.Demo)
	err := r.doc.Change("a gait that is too fast", func(f *workfile.File) {
		f.Gaits, f.Moves, f.Sequence = f.Gaits[:1], nil, f.Sequence[:1]
		f.Gaits[0].StepHeight = 500
	})
	if err != nil {
		t.Fatal(err)
	}
	res := r.mapped(2)
	if len(res.Rows) != 0 || res.Gaits[0].Walks() {
		t.Fatalf("%+v", res.Gaits)
	}
	r.MustFind("1 gait cannot be walked.")
	r.Press(key.NameReturn, 0)
	r.Settle()
	if r.trying() {
		t.Error("something is tried")
	}
}
