// SPDX-License-Identifier: MIT

package app

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gioui.org/f32"
	"gioui.org/io/key"

	"gaitwright/app/recovery"
	"gaitwright/app/settings"
	"gaitwright/assets"
	"gaitwright/motion/workfile"
)

// brisk is a workfile that is played in little time: the walker, standing.
func brisk(t testing.TB) []byte {
	t.Helper()
	f, err := workfile.Read("walker", assets.Walker)
	if err != nil {
		t.Fatal(err)
	}
	d := 200.0
	f.Sequence = []workfile.Entry{{Name: "stand", Kind: "stand", Duration: &d}}
	text, err := f.Encode()
	if err != nil {
		t.Fatal(err)
	}
	return append([]byte("# mine\n"), text...)
}

// keeping is a window on a file of its own that keeps unsaved work and watches
// the file.
func keeping(t testing.TB, dir, token string) (string, *rig) {
	t.Helper()
	path := filepath.Join(dir, "robot.toml")
	if _, err := os.Stat(path); err != nil {
		write(t, path, brisk(t))
	}
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	c := Config{
		Name: path, Path: path, Text: text, Watch: time.Hour,
		Keep: recovery.Place{Cache: filepath.Join(dir, "cache"), Token: token},
		Now:  func() time.Time { return time.Date(2026, 3, 1, 12, 30, 0, 0, time.Local) },
	}
	r := openWith(t, c, normal, 1)
	t.Cleanup(r.Close)
	return path, r
}

func write(t testing.TB, path string, text []byte) {
	t.Helper()
	if err := os.WriteFile(path, text, 0o600); err != nil {
		t.Fatal(err)
	}
}

func (r *rig) change(label string, edit func(f *workfile.File)) {
	r.T.Helper()
	if err := r.doc.Change(label, edit); err != nil {
		r.T.Fatalf("%v", err)
	}
	r.Settle()
}

// elsewhere writes the file as another program does, and lets the window look.
func (r *rig) elsewhere(path string, edit func(f *workfile.File), comment string) {
	r.T.Helper()
	old, err := os.ReadFile(path)
	if err != nil {
		r.T.Fatalf("%v", err)
	}
	f, err := workfile.Read(path, old)
	if err != nil {
		r.T.Fatalf("%v", err)
	}
	edit(f)
	text, err := f.EncodeKeeping(old)
	if err != nil {
		r.T.Fatalf("%v", err)
	}
	if err := os.WriteFile(path, append([]byte(comment), text...), 0o600); err != nil {
		r.T.Fatalf("%v", err)
	}
	r.look()
}

func (r *rig) look() {
	r.watch.Check()
	r.Frame()
	r.Frame()
}

func height(h float64) func(f *workfile.File) {
	return func(f *workfile.File) { f.Robot.StandHeight = h }
}

func name(n string) func(f *workfile.File) { return func(f *workfile.File) { f.Robot.Name = n } }

// die ends the window as a kill does: nothing is tidied up, but the lock goes.
func (r *rig) die() {
	r.keep.Now(r.doc)
	r.keep.Keeper.Leave()
	r.keep = recovery.Follower{}
}

// After an end without saving the next start offers the work with what it
// changes.
func TestOffered(t *testing.T) {
	for _, tt := range []struct {
		press  string
		used   bool
		copies int // found by the start after that
	}{{"Use them", true, 1}, {"Discard them", false, 0}, {"Decide later", false, 1}} {
		t.Run(tt.press, func(t *testing.T) {
			dir := t.TempDir()
			_, r := keeping(t, dir, "a")
			was := r.doc.File().Robot.StandHeight
			r.change("higher", height(was+7))
			r.change("name", name("second"))
			r.die()
			_, r = keeping(t, dir, "b")
			r.MustFind("Unsaved changes of robot.toml were kept")
			r.MustFind(fmt.Sprintf("robot.stand_height_mm %v → %v", was, was+7))
			r.MustFind(`robot.name "usher" → "second"`)
			r.MustFind("An earlier window ended without saving them. They are from 12:30 on 1 March 2026, and change this:")
			r.Click(tt.press)
			r.Settle()
			if got := r.doc.File().Robot.StandHeight == was+7; got != tt.used || r.doc.Dirty() != tt.used || r.modal.open() {
				t.Errorf("used=%v, dirty=%v", got, r.doc.Dirty())
			}
			if tt.used {
				r.undo()
				if r.doc.Dirty() {
					t.Error("undo does not give the file back")
				}
				r.doc.Redo()
			}
			r.die()
			p := recovery.Place{Path: r.doc.Path, Cache: filepath.Join(dir, "cache"), Token: "c"}
			if n := len(recovery.Find(p)); n != tt.copies {
				t.Errorf("%d copies, want %d", n, tt.copies)
			}
		})
	}
}

// What was saved is not offered, and a clean end leaves nothing.
func TestNotOffered(t *testing.T) {
	dir := t.TempDir()
	path, r := keeping(t, dir, "a")
	r.change("higher", height(90))
	r.Press("S", key.ModShortcut)
	r.Settle()
	// As if killed right after saving, before the copy was gone.
	r.keep.Keeper.Flush(r.doc.Base(), nil)
	r.keep.Keeper.Leave()
	r.keep = recovery.Follower{}
	_, r = keeping(t, dir, "b")
	if r.modal.open() {
		t.Error("saved work is offered")
	}
	r.Close()
	all, err := os.ReadDir(filepath.Dir(path))
	if err != nil {
		t.Fatal(err)
	}
	if len(all) != 2 { // the file and the cache folder
		t.Errorf("left: %v", all)
	}
}

// A damaged copy does not keep the file from opening.
func TestOfferedDamaged(t *testing.T) {
	for _, press := range []string{"Delete them", "Leave them"} {
		dir := t.TempDir()
		bad := filepath.Join(dir, ".robot.toml.x.unsaved")
		write(t, bad, []byte("nonsense\n"))
		_, r := keeping(t, dir, "a")
		r.MustFind("Kept changes of robot.toml cannot be read")
		r.Click(press)
		r.Settle()
		if _, err := os.Stat(bad); (err == nil) != (press == "Leave them") {
			t.Errorf("%s: %v", press, err)
		}
		if r.modal.open() {
			t.Error("a card is left")
		}
	}
}

// Work on what is no file yet is offered by the next start on no file, under its
// own name.
func TestOfferedNeverSaved(t *testing.T) {
	cache := t.TempDir()
	start := func(token string) *rig {
		r := openWith(t, Config{Name: "demo", Text: brisk(t), Keep: recovery.Place{Cache: cache, Token: token}}, normal, 1)
		t.Cleanup(r.Close)
		return r
	}
	r := start("a")
	r.change("name", name("porter"))
	r.die()
	r = start("b")
	r.MustFind("Unsaved changes of demo were kept")
	r.Click("Use them")
	r.Settle()
	if r.doc.File().Robot.Name != "porter" || !r.doc.Dirty() {
		t.Error("not used")
	}
	r.cfg.Name = "other robot" // as one that was made here
	r.attach()
	r.die()
	r = start("c")
	r.MustFind("A robot of yours was never saved")
	r.Click("Use it")
	r.Settle()
	if r.doc.File().Robot.Name != "porter" || !r.doc.Dirty() || r.Name() != "other robot" {
		t.Errorf("not used: %s", r.Name())
	}
}

// A changed file without unsaved work is taken over as one step.
func TestOutsideTakenOver(t *testing.T) {
	path, r := keeping(t, t.TempDir(), "a")
	was := r.doc.File().Robot.StandHeight
	r.elsewhere(path, height(was+3), "# theirs\n")
	if r.doc.File().Robot.StandHeight != was+3 || r.doc.Dirty() || r.modal.open() {
		t.Fatalf("not taken over: %v, dirty=%v", r.doc.File().Robot.StandHeight, r.doc.Dirty())
	}
	if !strings.Contains(r.notice.text, "was changed outside, and taken over: robot.stand_height_mm") {
		t.Errorf("said %q", r.notice.text)
	}
	r.undo()
	if r.doc.File().Robot.StandHeight != was || !r.doc.Dirty() {
		t.Error("undo does not take it back")
	}
	r.doc.Redo()
	r.change("name", name("mine"))
	r.Press("S", key.ModShortcut)
	r.Settle()
	if text, _ := os.ReadFile(path); !bytes.HasPrefix(text, []byte("# theirs\n# mine\n")) || !bytes.Contains(text, []byte(`"mine"`)) {
		t.Errorf("saved %.60s", text)
	}
	// Comments alone.
	label, _ := r.doc.CanUndo()
	r.elsewhere(path, func(*workfile.File) {}, "# more\n")
	if l, _ := r.doc.CanUndo(); l != label || !strings.Contains(r.notice.text, "comments or layout alone") {
		t.Errorf("step %q, said %q", l, r.notice.text)
	}
}

// A broken file is told, and what is open stays; it is not overwritten unasked.
func TestOutsideBroken(t *testing.T) {
	for _, press := range []string{"Go back", "Overwrite it"} {
		path, r := keeping(t, t.TempDir(), "a")
		file := r.doc.File()
		write(t, path, []byte("format = 1\nrobots = 2\n"))
		r.look()
		r.MustFind("robot.toml was changed outside and cannot be read")
		r.Click("Close")
		r.Settle()
		if r.doc.File() != file {
			t.Error("the open file changed")
		}
		r.Press("S", key.ModShortcut)
		r.Settle()
		r.Click(press)
		r.Settle()
		text, _ := os.ReadFile(path)
		if over := bytes.Contains(text, []byte("stand_height_mm")); over != (press == "Overwrite it") {
			t.Errorf("%s: overwritten=%v", press, over)
		}
	}
}

// Unsaved work that does not touch what was changed outside is joined with it.
func TestOutsideJoined(t *testing.T) {
	path, r := keeping(t, t.TempDir(), "a")
	was := r.doc.File().Robot.StandHeight
	r.change("higher", height(was+5))
	r.elsewhere(path, name("theirs"), "# theirs\n")
	r.MustFind("robot.toml was changed outside")
	r.MustFind(`robot.name "usher" → "theirs"`)
	r.Click("Go on")
	r.Settle()
	f := r.doc.File().Robot
	if f.Name != "theirs" || f.StandHeight != was+5 || !r.doc.Dirty() {
		t.Errorf("%+v", f)
	}
	r.Press("S", key.ModShortcut)
	r.Settle()
	if r.doc.Dirty() {
		t.Errorf("not saved: %s", r.notice.text)
	}
	if text, _ := os.ReadFile(path); !bytes.HasPrefix(text, []byte("# theirs\n# mine\n")) {
		t.Errorf("saved %.60s", text)
	}
	r.undo()
	if f := r.doc.File().Robot; f.Name != "usher" || f.StandHeight != was+5 {
		t.Errorf("undo gives %+v", f)
	}
}

// Where both changed the same the person decides; until then nothing is
// overwritten.
func TestOutsideConflict(t *testing.T) {
	for _, tt := range []struct {
		press string
		want  float64
	}{{"Keep mine", 95}, {"Take the file's", 99}} {
		t.Run(tt.press, func(t *testing.T) {
			path, r := keeping(t, t.TempDir(), "a")
			r.change("higher", height(95))
			r.elsewhere(path, func(f *workfile.File) { f.Robot.StandHeight, f.Robot.Name = 99, "theirs" }, "")
			disk, _ := os.ReadFile(path)
			r.MustFind("robot.toml was changed outside, and here as well")
			r.MustFind("robot.stand_height_mm")
			r.MustFind("here 95")
			r.MustFind("in the file 99")
			r.Click("Decide later")
			r.Settle()
			if r.doc.File().Robot.StandHeight != 95 || r.doc.File().Robot.Name != "usher" {
				t.Error("something was taken over")
			}
			r.Press("S", key.ModShortcut)
			r.Settle()
			if now, _ := os.ReadFile(path); !bytes.Equal(now, disk) || !r.modal.open() {
				t.Fatal("overwritten unasked")
			}
			r.Click(tt.press)
			r.Settle()
			// The save that asked goes on.
			now, _ := os.ReadFile(path)
			f, err := workfile.Read("saved", now)
			if err != nil || f.Robot.StandHeight != tt.want || f.Robot.Name != "theirs" || r.doc.Dirty() {
				t.Errorf("saved %+v, %v, dirty=%v", f.Robot, err, r.doc.Dirty())
			}
			r.undo()
			if r.doc.File().Robot.StandHeight != 95 {
				t.Error("undo does not give mine back")
			}
		})
	}
}

// Also without a watch a save looks at the disk first.
func TestSaveLooksFirst(t *testing.T) {
	path, r := opened(t)
	r.change("higher", func(f *workfile.File) { raise(f) })
	other := bytes.Replace(assets.Demo, []byte("\n"), []byte("\n# by an editor\n"), 1)
	write(t, path, other)
	r.Press("S", key.ModShortcut)
	r.Settle()
	text, _ := os.ReadFile(path)
	if !bytes.Contains(text, []byte("# by an editor")) || r.doc.Dirty() {
		t.Errorf("their comment is lost, or nothing saved: dirty=%v", r.doc.Dirty())
	}
}

func TestOutsideGone(t *testing.T) {
	path, r := keeping(t, t.TempDir(), "a")
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	r.look()
	if !r.notice.bad || !strings.Contains(r.notice.text, "is not on the disk any more") {
		t.Errorf("said %q", r.notice.text)
	}
	r.change("higher", height(90))
	r.Press("S", key.ModShortcut)
	r.Settle()
	r.MustFind("robot.toml is not on the disk any more")
	r.Click("Go back")
	r.Settle()
	if _, err := os.Stat(path); !errors.Is(err, os.ErrNotExist) {
		t.Error("saved unasked")
	}
	r.Press("S", key.ModShortcut)
	r.Settle()
	r.Click("Save it anew")
	r.Settle()
	if _, err := os.Stat(path); err != nil || r.doc.Dirty() {
		t.Errorf("not saved: %v", err)
	}
}

// Closing with unsaved work can save it.
func TestCloseSaves(t *testing.T) {
	for _, tt := range []struct {
		press         string
		closes, saved bool
	}{{"Save first", true, true}, {"Discard the changes", true, false}, {"Go back", false, false}} {
		path, r := keeping(t, t.TempDir(), "a")
		r.change("name", name("later"))
		if r.MayClose() {
			t.Fatal("closes with unsaved work")
		}
		r.Settle()
		r.Click(tt.press)
		r.Settle()
		text, _ := os.ReadFile(path)
		if saved := bytes.Contains(text, []byte(`"later"`)); r.Closing() != tt.closes || saved != tt.saved {
			t.Errorf("%s: closes=%v, saved=%v", tt.press, r.Closing(), saved)
		}
	}
}

// The handles beside the robot view move by pointer and keys, keep to what is
// of use, and are remembered.
func TestColumnsRemembered(t *testing.T) {
	var kept settings.Settings
	c := Config{Name: "walker", Text: brisk(t), Remember: func(s settings.Settings) error { kept = s; return nil }}
	r := openWith(t, c, normal, 1)
	wide := func(r *rig) (left, right int) {
		return r.MustFind("width of the findings").Desc.Bounds.Min.X, r.Size.X - r.MustFind("width of the editor").Desc.Bounds.Max.X
	}
	left, right := wide(r)
	at := r.spot("width of the findings")
	r.Drag(at, at.Add(f32.Pt(40, 0)), 4)
	r.Settle()
	if l, rr := wide(r); l != left+40 || rr != right {
		t.Errorf("left %d, want %d; right %d, want %d", l, left+40, rr, right)
	}
	r.Focus(&r.right)
	r.Press(key.NameRightArrow, 0)
	r.Settle()
	if l, rr := wide(r); l != left+40 || rr != right-8 {
		t.Errorf("left %d, right %d, want %d and %d", l, rr, left+40, right-8)
	}
	r.Focus(&r.split)
	r.Press(key.NameUpArrow, 0)
	r.Settle()
	c.Settings = kept
	again := openWith(t, c, normal, 1)
	if l, rr := wide(again); l != left+40 || rr != right-8 {
		t.Errorf("the next start has left %d, right %d, want %d and %d", l, rr, left+40, right-8)
	}
	if a, b := r.spot("height of the timeline"), again.spot("height of the timeline"); a != b || kept.Views == 0 {
		t.Errorf("the next start has the handle at %v, want %v", b, a)
	}
	at = r.spot("width of the editor")
	r.Drag(at, f32.Pt(5, at.Y), 4) // as far as it goes
	r.Settle()
	l, rr := wide(r)
	if l < 200 || r.Size.X-l-rr-14 < 200 {
		t.Errorf("left %d, right %d of %d", l, rr, r.Size.X)
	}
}

// A folder is remembered, and where the file dialog begins.
func TestFolderRemembered(t *testing.T) {
	dir := t.TempDir()
	path, r := keeping(t, dir, "a")
	r.change("name", name("x"))
	r.Press("S", key.ModShortcut)
	r.Settle()
	if got := r.Settings().Folder; got != filepath.Dir(path) {
		t.Errorf("folder %q", got)
	}
}

// Typed numbers count when Ctrl+S follows in the same frame.
func TestTypedFastThenSaved(t *testing.T) {
	path, r := opened(t)
	n := r.MustFind("z of the end point")
	r.ClickAt(f32.Pt(float32(n.Desc.Bounds.Min.X+20), float32(n.Desc.Bounds.Min.Y+10)))
	r.Burst("73.5")
	r.Press("S", key.ModShortcut)
	r.Settle()
	at := r.at
	end := reread(t, path).File().Moves[at.Move].Feet[at.Track].Spans[at.Span].End
	if end == nil || end[2] != 73.5 || r.doc.Dirty() {
		t.Errorf("saved %v, dirty=%v, %v", end, r.doc.Dirty(), r.doc.Err())
	}
}
