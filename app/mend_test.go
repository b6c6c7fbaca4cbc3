// SPDX-License-Identifier: MIT

package app

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gioui.org/io/key"

	"gaitwright/app/recovery"
	"gaitwright/app/settings"
	"gaitwright/assets"
	"gaitwright/motion/workfile"
)

// A finding whose worst instant lies just behind a mark belongs to the point at
// that mark, whatever was chosen before; the advice names the mark, and done at
// that point it mends.
func TestFindingChoosesItsPoint(t *testing.T) {
	r := open(t, assets.Demo)
	if err := r.doc.Change("too low", func(f *workfile.File) { f.Moves[0].Feet[0].Spans[hit].End[2] -= 15 }); err != nil {
		t.Fatal(err)
	}
	r.Settle()
	for i, f := range r.doc.Result().Findings {
		if f.Word != "low-strike" || f.Leg != 0 {
			continue
		}
		if !strings.Contains(f.Mend, "at “hit”") {
			t.Errorf("the advice is %q", f.Mend)
		}
		for _, before := range []int{hit, hit + 1, 0} {
			r.at.Track, r.at.Span = 0, before
			r.goTo(i)
			r.Settle()
			if r.at.Track != 0 || r.at.Span != hit || r.at.Finding != i {
				t.Errorf("worst at %v, before %d: %+v", f.Worst, before, r.at)
			}
		}
		r.doc.Change("as told", func(f *workfile.File) { f.Moves[0].Feet[0].Spans[r.at.Span].End[2] += 15 })
		r.Settle()
		if r.stops() != 0 {
			t.Errorf("still %d stops", r.stops())
		}
		if r.at.Finding != -1 {
			t.Errorf("finding %d is chosen, and it is gone", r.at.Finding)
		}
		return
	}
	t.Fatal("no low-strike of LF")
}

// The chosen finding stays the same through edits; when it is gone, none is
// unfolded in its place.
func TestChosenFindingIsTheSame(t *testing.T) {
	r := open(t, assets.Demo)
	r.doc.Change("too low", func(f *workfile.File) { f.Moves[0].Feet[0].Spans[hit].End[2] -= 15 })
	all := r.doc.Result().Findings
	if len(all) < 2 {
		t.Fatalf("%d findings", len(all))
	}
	last := len(all) - 1
	f := all[last]
	r.goTo(last)
	r.Settle()
	// Another finding comes in front of it.
	if err := r.doc.Change("lean", func(f *workfile.File) {
		for i := range f.Moves[0].Body {
			f.Moves[0].Body[i].Shift[0] -= 90
		}
	}); err != nil {
		t.Fatal(err)
	}
	r.Settle()
	now := r.doc.Result().Findings
	if len(now) == len(all) && now[last].Word == f.Word {
		t.Fatal("the edit did nothing to the list")
	}
	if i := r.at.Finding; i >= 0 && (now[i].Word != f.Word || now[i].Leg != f.Leg) {
		t.Errorf("now %s of leg %d is chosen, not %s of leg %d", now[i].Word, now[i].Leg, f.Word, f.Leg)
	}
	r.undo()
	r.Settle()
	r.goTo(0)
	r.Settle()
	if err := r.doc.Change("no moves", func(f *workfile.File) { f.Sequence = f.Sequence[:1] }); err != nil {
		t.Fatal(err)
	}
	r.Settle()
	if r.at.Finding != -1 {
		t.Errorf("finding %d is chosen", r.at.Finding)
	}
	r.MustMiss("To mend it")
}

// F6 leads round the areas, forth and back, and comes back to where the keys
// were in each; N gives them to the plate of the point.
func TestKeysGoRoundTheAreas(t *testing.T) {
	r := fault(t, "low-strike")
	r.Press("N", 0)
	r.Settle()
	if !r.Focused(r.shape.Plate()) {
		t.Error("the plate has not the keys")
	}
	r.Press("N", 0) // still the window's own
	r.Settle()
	if r.at.Finding != 0 || !r.Focused(r.shape.Plate()) {
		t.Errorf("finding %d", r.at.Finding)
	}
	z := r.text()
	r.Press(key.NameUpArrow, 0)
	r.Settle()
	if r.text() == z {
		t.Error("the arrow does not move the point")
	}
	way := []string{areaTime, areaStrips, areaTop, areaFindings, areaJoints, areaRobot, areaEdit}
	for _, want := range way {
		r.Press(key.NameF6, 0)
		r.Settle()
		if got := r.tabs.Within(); got != want {
			t.Errorf("F6 leads to %q, want %q", got, want)
		}
		if want == areaFindings && !r.Focused(r.findings.clicks[0]) {
			t.Error("the first finding has not the keys")
		}
	}
	if !r.Focused(r.shape.Plate()) {
		t.Error("the plate has not the keys again")
	}
	for i := len(way) - 2; i >= 0; i-- {
		r.Press(key.NameF6, key.ModShift)
		r.Settle()
		if got := r.tabs.Within(); got != way[i] {
			t.Errorf("Shift+F6 leads to %q, want %q", got, way[i])
		}
	}
	// It leaves a field in which somebody types, and what is typed counts.
	r.Click("z of the end point")
	r.Type("70")
	r.Press(key.NameF6, 0)
	r.Settle()
	if r.at.Track < 0 || r.doc.File().Moves[r.at.Move].Feet[r.at.Track].Spans[r.at.Span].End[2] != 70 {
		t.Error("what was typed does not count")
	}
}

// The list of keys is made of the table, and reached by its keys and in the
// search.
func TestAllKeys(t *testing.T) {
	r := open(t, assets.Demo)
	for _, k := range []key.Name{"?", key.NameF1} {
		r.Press(k, 0)
		r.Settle()
		if r.modal.kind != keysModal {
			t.Fatalf("%s does not open the list", k)
		}
		r.MustFind("Hang on a stand")
		r.Press(key.NamePageDown, 0)
		r.Press(key.NameEscape, 0)
		r.Settle()
		if r.modal.open() {
			t.Fatal("Escape does not leave it")
		}
	}
	in := map[string]bool{}
	for _, row := range r.keyRows() {
		in[row.key] = true
	}
	for i := range r.acts {
		if s := r.acts[i].say; s != "" && !in[s] {
			t.Errorf("%s is not in the list", s)
		}
	}
}

// Words that people look for find something of use first.
func TestSearchWords(t *testing.T) {
	r := openWith(t, Config{Name: "new", Text: assets.New, Settings: settings.Settings{Recent: settings.Recent{"/home/ann/usher.toml"}}}, normal, 1)
	for typed, want := range map[string]string{
		"export": "Table for the firmware", "table": "Table for the firmware", "walk table": "Table for the firmware",
		"shortcut": "All keys", "keys": "All keys", "?": "All keys", "help": "All keys",
		"ripple": "Add ripple", "add ripple": "Add ripple", "usher": "usher.toml", "usher.toml": "usher.toml",
		"quit": "Close the window", "trot": "Add trot", "friction": "friction", "whole": "Show the whole robot",
	} {
		r.Press("/", 0)
		r.Settle()
		r.Type(typed)
		r.Settle()
		found := r.modal.finder.Found()
		if len(found) == 0 || !strings.HasPrefix(found[0].Name, want) {
			names := []string{}
			for _, f := range found[:min(3, len(found))] {
				names = append(names, f.Name)
			}
			t.Errorf("%q finds %q, want %q", typed, names, want)
		}
		r.Press(key.NameEscape, 0)
		r.Settle()
	}
}

// A gait of the library is added by the search, as one step.
func TestSearchAddsAGait(t *testing.T) {
	r := open(t, assets.New)
	all := r.gaitsToAdd()
	if len(all) == 0 {
		t.Fatal("there is none to add")
	}
	n := len(r.doc.File().Gaits)
	r.search(all[0].Name)
	if len(r.doc.File().Gaits) != n+1 || r.shapes.Value != shapeWalk {
		t.Errorf("%d gaits, page %d", len(r.doc.File().Gaits), r.shapes.Value)
	}
	r.Press("Z", key.ModShortcut)
	if r.notice.text != "Undone: add a gait" {
		t.Errorf("said %q", r.notice.text)
	}
	r.Press("Z", key.ModShortcut|key.ModShift)
	if r.notice.text != "Done again: add a gait" {
		t.Errorf("said %q", r.notice.text)
	}
}

// Behind a card Undo and Redo are out of use, and look so.
func TestUndoIsOffBehindACard(t *testing.T) {
	r := open(t, assets.Demo)
	r.doc.Change("a change", raise)
	r.Settle()
	if n := r.MustFind("Undo"); n.Desc.Disabled {
		t.Fatal("Undo is off")
	}
	r.Press("W", 0)
	r.Settle()
	if n := r.MustFind("Undo"); !n.Desc.Disabled {
		t.Error("Undo is on behind the card")
	}
}

// A start without a file finds the unsaved work of a file that was open before.
func TestEarlierWorkIsOffered(t *testing.T) {
	dir := t.TempDir()
	path, r := keeping(t, dir, "a")
	was := r.doc.File().Robot.StandHeight
	r.change("higher", height(was+7))
	r.die()
	c := Config{Name: assets.DemoName, Text: assets.Demo, Now: r.cfg.Now, Settings: r.Settings(),
		Keep: recovery.Place{Cache: filepath.Join(dir, "cache"), Token: "b"}}
	if len(c.Settings.Recent.List()) != 1 {
		t.Fatalf("%q is remembered", c.Settings.Recent.List())
	}
	r = openWith(t, c, normal, 1)
	t.Cleanup(r.Close)
	r.MustFind("robot.toml has changes that were not saved")
	r.Click("Not now")
	r.Settle()
	if r.modal.open() || !r.onDemo() {
		t.Error("it was opened all the same")
	}
	r.lookEarlier() // as in the next start
	r.Settle()
	r.Click("Open robot.toml")
	r.Settle()
	if !sameFile(r.doc.Path, path) {
		t.Fatalf("%s is open", r.Name())
	}
	r.MustFind("Unsaved changes of robot.toml were kept")
	r.Click("Use them")
	r.Settle()
	if r.doc.File().Robot.StandHeight != was+7 {
		t.Error("they are not back")
	}
	r.die()
	// The file itself may be gone.
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	c.Keep.Token = "c"
	r = openWith(t, c, normal, 1)
	t.Cleanup(r.Close)
	r.Click("Open robot.toml")
	r.Settle()
	if r.doc.Path != "" || r.doc.File().Robot.StandHeight != was+7 || !r.doc.Dirty() {
		t.Errorf("%s, dirty %v", r.Name(), r.doc.Dirty())
	}
}

// The recent files are listed by a key, and opened after a question.
func TestRecentFiles(t *testing.T) {
	path, r := opened(t)
	if got := r.Settings().Recent.List(); len(got) != 1 || got[0] != path {
		t.Fatalf("%q is remembered", got)
	}
	c := Config{Name: assets.DemoName, Text: assets.Demo, Settings: r.Settings()}
	r = openWith(t, c, normal, 1)
	r.doc.Change("a change", raise)
	r.Press("O", key.ModShortcut|key.ModShift)
	r.Settle()
	r.Press(key.NameReturn, 0)
	r.Settle()
	r.Click("Discard the changes")
	r.Settle()
	if r.doc.Path != path {
		t.Errorf("%q is open", r.doc.Path)
	}
	if r.able(r.act("recent")) {
		t.Error("the open file is offered again")
	}
}

// Ctrl+Q ends the program, and asks over unsaved work.
func TestQuit(t *testing.T) {
	r := open(t, assets.Demo)
	r.doc.Change("a change", raise)
	r.Press("Q", key.ModShortcut)
	r.Settle()
	r.MustFind("Close without saving?")
	r.Click("Go back")
	r.Settle()
	if r.Closing() {
		t.Fatal("it closes")
	}
	r.undo()
	r.Press("Q", key.ModShortcut)
	r.Settle()
	if !r.Closing() {
		t.Error("it does not close")
	}
}

// While a snapshot shows, fields are to be read alone, and what is refused is
// said in plain words.
func TestSnapshotIsToBeRead(t *testing.T) {
	r := atHit(t)
	r.Press("K", 0)
	r.doc.Change("a change", raise)
	r.Settle()
	if r.MustFind("z of the end point").Desc.Disabled {
		t.Fatal("the field is off")
	}
	r.Press("C", 0)
	r.Settle()
	if !r.MustFind("z of the end point").Desc.Disabled {
		t.Error("the field is on while a snapshot shows")
	}
	r.doc.Change("not now", raise)
	r.Settle()
	r.MustFind("A snapshot shows. Go back to the file (C), then change it.")
	r.Press("C", 0)
	r.Press("C", key.ModShift)
	r.Settle()
	if !r.versus.over || !r.versus.open {
		t.Fatal("nothing lies over")
	}
	r.MustFind("now")
	r.Click("Findings")
	r.Settle()
	if r.versus.over || r.versus.open {
		t.Error("the snapshot still lies over what shows")
	}
}

// The card that says that the file cannot be read goes when it was mended.
func TestUnreadableCardGoes(t *testing.T) {
	path, r := keeping(t, t.TempDir(), "a")
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	put := func(text []byte) {
		t.Helper()
		if err := os.WriteFile(path, text, 0o600); err != nil {
			t.Fatal(err)
		}
		for end := time.Now().Add(10 * time.Second); !r.watch.Check() && time.Now().Before(end); {
			time.Sleep(20 * time.Millisecond)
		}
		r.Settle()
	}
	put([]byte("format = = 1\n"))
	r.MustFind("robot.toml was changed outside and cannot be read")
	put(whole)
	if r.modal.open() {
		t.Error("the card is still there")
	}
	if !strings.Contains(r.notice.text, "as it was") {
		t.Errorf("said %q", r.notice.text)
	}
}

// What the card for a new robot says is about the numbers that stand there: with
// a text that is no number it speaks of that.
func TestNewRobotSaysWhatIsNoNumber(t *testing.T) {
	r := open(t, assets.Demo)
	r.Press("N", key.ModShortcut)
	r.made()
	r.MustMiss("No robot can be made of this.")
	r.Click("femur")
	r.Type("ab")
	r.Settle()
	r.MustFind("No robot can be made of this.")
	r.MustFind("Femur: “ab” is not a number.")
	if n := r.MustFind("Make this robot"); !n.Desc.Disabled {
		t.Error("a robot of the old number can be made")
	}
}

// A limit taken in the search is in view and has the keys, also far down the
// page.
func TestSearchGoesToTheField(t *testing.T) {
	r := open(t, assets.Demo)
	r.search("landing speed")
	if !r.Focused(r.limits.Tag("landing_speed_mm_s")) {
		t.Fatal("its field has not the keys")
	}
	field, err := r.Clickable("speed of touchdown")
	if err != nil {
		t.Fatal(err)
	}
	if page := field.Desc.Bounds; page.Empty() || page.Max.Y > r.MustFind("timeline").Desc.Bounds.Min.Y {
		t.Errorf("it lies at %v", page)
	}
	r.Type("250")
	r.Press(key.NameReturn, 0)
	r.Settle()
	if v := r.doc.File().Limits.Landing; v == nil || *v != 250 {
		t.Error("the number does not count")
	}
}
