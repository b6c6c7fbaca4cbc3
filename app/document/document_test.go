// SPDX-License-Identifier: MIT

package document

import (
	"bytes"
	"errors"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"gaitwright/assets"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/review"
	"gaitwright/motion/workfile"
)

func open(t testing.TB, text []byte) *Document {
	t.Helper()
	d, err := Open("", "test", text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// quick is the starting workfile sampled coarsely, for tests that rehearse it
// many times.
func quick(t testing.TB) *Document {
	t.Helper()
	if !bytes.Contains(assets.New, []byte("review_hz = 500")) {
		t.Fatal("the starting workfile has another rate")
	}
	return open(t, bytes.Replace(assets.New, []byte("review_hz = 500"), []byte("review_hz = 20"), 1))
}

// raised is the end of the span in which the drummer lifts its front feet.
func raised(f *workfile.File) *[3]float64 { return f.Moves[0].Feet[0].Spans[1].End }

func text(t testing.TB, f *workfile.File) string {
	t.Helper()
	b, err := f.Encode()
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func TestOneDragIsOneStep(t *testing.T) {
	d := open(t, assets.Demo)
	before := text(t, d.File())
	rate, serial := d.Result().Trajectory.Rate, d.Serial()
	for i := range 20 {
		if err := d.Drag("move a point", func(f *workfile.File) { raised(f)[2] += float64(i) }); err != nil {
			t.Fatal(err)
		}
		if got, want := raised(d.File())[2], 130+float64(i); got != want {
			t.Fatalf("z=%v, want=%v: each call starts from the file before the drag", got, want)
		}
		if !d.Dragging() || !d.Coarse() || d.Result().Trajectory.Rate >= rate {
			t.Fatalf("dragging=%v coarse=%v rate=%v", d.Dragging(), d.Coarse(), d.Result().Trajectory.Rate)
		}
	}
	if d.Serial() != serial+20 {
		t.Errorf("serial=%d, want=%d", d.Serial(), serial+20)
	}
	if _, ok := d.CanUndo(); ok {
		t.Error("the drag can be undone as a step before it ends")
	}
	// The pointer rests: all is sampled, and the drag goes on.
	d.Refine()
	if !d.Dragging() || d.Coarse() || d.Result().Trajectory.Rate != rate {
		t.Errorf("at rest: dragging=%v coarse=%v rate=%v", d.Dragging(), d.Coarse(), d.Result().Trajectory.Rate)
	}
	full := d.Serial()
	d.Drop()
	if d.Serial() != full {
		t.Error("sampled in full again for nothing")
	}
	if d.Dragging() || d.Coarse() || d.Result().Trajectory.Rate != rate {
		t.Errorf("after the drop: dragging=%v coarse=%v rate=%v", d.Dragging(), d.Coarse(), d.Result().Trajectory.Rate)
	}
	if label, ok := d.CanUndo(); !ok || label != "move a point" {
		t.Errorf("label=%q, %v", label, ok)
	}
	d.Undo()
	if _, ok := d.CanUndo(); ok {
		t.Error("one drag made more than one step")
	}
	if diff := cmp.Diff(before, text(t, d.File())); diff != "" {
		t.Errorf("undo (-before +after)\n%s", diff)
	}
	if label, ok := d.CanRedo(); !ok || label != "move a point" {
		t.Errorf("redo: label=%q, %v", label, ok)
	}
	d.Redo()
	if raised(d.File())[2] != 149 {
		t.Errorf("z=%v, want=149", raised(d.File())[2])
	}
}

func TestDragThatComesBackIsNoStep(t *testing.T) {
	d := open(t, assets.Demo)
	for _, by := range []float64{5, 0} {
		if err := d.Drag("move", func(f *workfile.File) { raised(f)[2] += by }); err != nil {
			t.Fatal(err)
		}
	}
	d.Drop()
	if _, ok := d.CanUndo(); ok || d.Dirty() {
		t.Errorf("undo=%v dirty=%v", ok, d.Dirty())
	}
	d.Drop() // without a drag: nothing
	d.Cancel()
	if _, ok := d.CanUndo(); ok {
		t.Error("a drop without a drag made a step")
	}
}

func TestCancelPutsBack(t *testing.T) {
	d := open(t, assets.Demo)
	was := d.File()
	for _, end := range []func(){d.Cancel, d.Undo} { // undo takes a drag under way back first
		if err := d.Drag("move", func(f *workfile.File) { raised(f)[2] -= 90 }); err != nil {
			t.Fatal(err)
		}
		if review.Stops(d.Result().Findings) == 0 {
			t.Fatal("a strike 90 mm lower has no finding")
		}
		end()
		if d.File() != was || d.Dragging() || d.Coarse() || len(d.Result().Findings) != 0 {
			t.Errorf("same=%v dragging=%v coarse=%v findings=%v", d.File() == was, d.Dragging(), d.Coarse(), d.Result().Findings)
		}
		if _, ok := d.CanUndo(); ok {
			t.Error("a cancelled drag can be undone")
		}
		if _, ok := d.CanRedo(); ok {
			t.Error("a cancelled drag can be redone")
		}
	}
}

// What cannot be played is refused with the reason, and nothing else changes.
func TestRefusedChangeLeavesEverything(t *testing.T) {
	for name, edit := range map[string]func(*workfile.File){
		"not a number":          func(f *workfile.File) { raised(f)[0] = math.NaN() },
		"outside the range":     func(f *workfile.File) { raised(f)[0] = 3000 },
		"marks out of order":    func(f *workfile.File) { f.Moves[0].Marks[1].At = 1 },
		"unknown gait":          func(f *workfile.File) { f.Sequence[1].Gait = "gallop" },
		"timing that is none":   func(f *workfile.File) { f.Moves[0].Feet[0].Spans[1].Timing = "slowly" },
		"planted end is no end": func(f *workfile.File) { f.Moves[0].Feet[0].Spans[7].End = &[3]float64{0, 0, 3} },
	} {
		t.Run(name, func(t *testing.T) {
			d := open(t, assets.Demo)
			if err := d.Change("raise", func(f *workfile.File) { raised(f)[2]++ }); err != nil {
				t.Fatal(err)
			}
			file, result, serial := d.File(), d.Result(), d.Serial()
			if err := d.Change("break", edit); err == nil || d.Err() == nil {
				t.Fatalf("taken: %v, %v", err, d.Err())
			}
			if d.File() != file || d.Result() != result || d.Serial() != serial {
				t.Error("the refused change left a trace")
			}
			if err := d.Drag("break", edit); err == nil {
				t.Fatal("the drag was taken")
			}
			if d.File() != file || d.Result() != result {
				t.Error("the refused drag left a trace")
			}
			d.Drop()
			if d.Err() != nil || d.File() != file {
				t.Errorf("after the drop: %v", d.Err())
			}
			if label, _ := d.CanUndo(); label != "raise" {
				t.Errorf("the step to undo is %q", label)
			}
		})
	}
}

func TestChangeOfNothingIsNoStep(t *testing.T) {
	d := open(t, assets.Demo)
	file := d.File()
	if err := d.Change("nothing", func(*workfile.File) {}); err != nil || d.File() != file {
		t.Errorf("%v, same=%v", err, d.File() == file)
	}
	if _, ok := d.CanUndo(); ok {
		t.Error("a change of nothing can be undone")
	}
}

// Undo and redo have no limit, and every file on the way is what it was.
func TestUndoWithoutLimit(t *testing.T) {
	const n = 300
	d := quick(t)
	var texts []string
	for i := range n {
		texts = append(texts, text(t, d.File()))
		if err := d.Change("name", func(f *workfile.File) { f.Robot.StandHeight += 0.01 * float64(1+i%3) }); err != nil {
			t.Fatal(err)
		}
	}
	last := text(t, d.File())
	for i := n - 1; i >= 0; i-- {
		d.Undo()
		if got := text(t, d.File()); got != texts[i] {
			t.Fatalf("undo to %d\n%s", i, cmp.Diff(texts[i], got))
		}
	}
	d.Undo() // at the beginning: nothing
	if d.Dirty() {
		t.Error("dirty with everything undone")
	}
	for range n + 1 {
		d.Redo()
	}
	if got := text(t, d.File()); got != last {
		t.Errorf("redo of everything\n%s", cmp.Diff(last, got))
	}
}

// A model of two stacks against the document, by random commands.
func TestUndoAgainstModel(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		d := quick(t)
		now, before := d.File().Robot.StandHeight, 0.0
		var undo, redo []float64
		dragging := false
		end := func() {
			if dragging && now != before {
				undo, redo = append(undo, before), nil
			}
			dragging = false
		}
		for range rapid.IntRange(1, 12).Draw(rt, "n") {
			by := float64(rapid.IntRange(-3, 3).Draw(rt, "by"))
			edit := func(f *workfile.File) { f.Robot.StandHeight += by }
			switch rapid.IntRange(0, 5).Draw(rt, "what") {
			case 0:
				end()
				if d.Change("c", edit) == nil && by != 0 {
					undo, redo, now = append(undo, now), nil, now+by
				}
			case 1:
				if !dragging {
					dragging, before = true, now
				}
				if d.Drag("d", edit) == nil {
					now = before + by
				}
			case 2:
				end()
				d.Drop()
			case 3:
				if dragging {
					now, dragging = before, false
				}
				d.Cancel()
			case 4:
				if dragging {
					now, dragging = before, false
				} else if n := len(undo); n > 0 {
					undo, redo, now = undo[:n-1], append(redo, now), undo[n-1]
				}
				d.Undo()
			case 5:
				end()
				if n := len(redo); n > 0 {
					redo, undo, now = redo[:n-1], append(undo, now), redo[n-1]
				}
				d.Redo()
			}
			_, canUndo := d.CanUndo()
			_, canRedo := d.CanRedo()
			if d.File().Robot.StandHeight != now || canUndo != (len(undo) > 0) || canRedo != (len(redo) > 0) || d.Dragging() != dragging {
				rt.Fatalf("height=%v, want=%v; undo=%v of %v; redo=%v of %v; dragging=%v, want=%v",
					d.File().Robot.StandHeight, now, canUndo, undo, canRedo, redo, d.Dragging(), dragging)
			}
		}
	})
}

func TestDirtyAndSaveKeepsComments(t *testing.T) {
	path := filepath.Join(t.TempDir(), "drummer.toml")
	if err := os.WriteFile(path, assets.Demo, 0o600); err != nil {
		t.Fatal(err)
	}
	d, err := Open(path, path, assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	if d.Dirty() {
		t.Error("dirty at once")
	}
	if err := d.Drag("lift", func(f *workfile.File) { raised(f)[2] = 133 }); err != nil {
		t.Fatal(err)
	}
	if !d.Dirty() {
		t.Error("not dirty while dragging")
	}
	if err := d.Save(path); err != nil { // ends the drag
		t.Fatal(err)
	}
	if d.Dirty() || d.Dragging() || d.Path != path {
		t.Errorf("dirty=%v dragging=%v path=%q", d.Dirty(), d.Dragging(), d.Path)
	}
	saved, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range bytes.Split(assets.Demo, []byte("\n")) {
		if bytes.HasPrefix(line, []byte("#")) && !bytes.Contains(saved, line) {
			t.Errorf("the comment %q is lost", line)
		}
	}
	again, err := Open(path, path, saved)
	if err != nil {
		t.Fatal(err)
	}
	if !again.File().Equal(d.File()) {
		t.Error("the saved file reads differently")
	}
	d.Undo()
	if !d.Dirty() {
		t.Error("not dirty after undoing what was saved")
	}
	d.Redo()
	if d.Dirty() {
		t.Error("dirty after redoing what was saved")
	}
	if err := d.Save(filepath.Join(path, "no", "folder.toml")); err == nil {
		t.Error("saved below a file")
	}
	if d.Path != path {
		t.Errorf("a failed save moved the path to %q", d.Path)
	}
}

func TestOpenRefuses(t *testing.T) {
	if d, err := Open("", "x", []byte("format = 1\nrobots = 3\n")); err == nil || d != nil {
		t.Errorf("opened %v, %v", d, err)
	}
}

// On a stand the checks that need the ground are off, and changes do not
// switch them on again.
func TestOnStand(t *testing.T) {
	fault, err := assets.Faults.ReadFile("faults/tips-slow.toml")
	if err != nil {
		t.Fatal(err)
	}
	d := open(t, fault)
	words := func() (w []string) {
		for _, f := range d.Result().Findings {
			w = append(w, f.Word)
		}
		return w
	}
	if diff := cmp.Diff([]string{"tips-slow"}, words()); diff != "" {
		t.Fatal(diff)
	}
	d.SetOnStand(true)
	if len(words()) != 0 || !d.OnStand() || d.Dirty() {
		t.Errorf("on the stand: %v, dirty=%v", words(), d.Dirty())
	}
	if err := d.Change("higher", func(f *workfile.File) { f.Robot.StandHeight++ }); err != nil || len(words()) != 0 {
		t.Errorf("after a change on the stand: %v, %v", words(), err)
	}
	d.SetOnStand(false)
	if len(words()) == 0 {
		t.Error("back on the ground nothing is found")
	}
	serial := d.Serial()
	if d.SetOnStand(false); d.Serial() != serial {
		t.Error("setting the same again rehearses")
	}
}

// While something else shows, the file stays as it is; afterwards its own
// motion shows again.
func TestShow(t *testing.T) {
	d := open(t, assets.Demo)
	own, serial, file := d.Result(), d.Serial(), d.File()
	other, err := rehearsal.Run(d.File(), rehearsal.Options{Rate: 50})
	if err != nil {
		t.Fatal(err)
	}
	d.Show(other)
	if d.Result() != other || !d.Showing() || d.Serial() == serial {
		t.Fatal("the other one does not show")
	}
	edit := func(f *workfile.File) { f.Gaits[0].Period++ }
	if err := d.Change("longer", edit); !errors.Is(err, ErrShowing) {
		t.Errorf("change: %v", err)
	}
	if err := d.Drag("longer", edit); !errors.Is(err, ErrShowing) || d.Dragging() {
		t.Errorf("drag: %v", err)
	}
	d.Undo()
	d.Redo()
	d.SetOnStand(true)
	d.Drop()
	if d.File() != file || d.OnStand() || d.Result() != other || d.Err() == nil {
		t.Error("something changed")
	}
	d.Show(nil)
	if d.Result() != own || d.Showing() || d.Err() != nil {
		t.Errorf("the file's motion does not show again: %v", d.Err())
	}
	if err := d.Change("longer", edit); err != nil {
		t.Error(err)
	}
}
