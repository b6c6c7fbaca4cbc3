// SPDX-License-Identifier: MIT

package app

import (
	"bytes"
	"fmt"
	"image"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gioui.org/f32"
	"gioui.org/io/key"
	"gioui.org/io/semantic"

	"gaitwright/app/document"
	"gaitwright/assets"
)

// opened opens the demo as a file of its own, at a span that moves.
func opened(t testing.TB) (path string, r *rig) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "drummer.toml")
	if err := os.WriteFile(path, assets.Demo, 0o600); err != nil {
		t.Fatal(err)
	}
	return path, openWith(t, Config{Name: path, Path: path, Text: assets.Demo}, normal, 1)
}

func reread(t testing.TB, path string) *document.Document {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	d, err := document.Open(path, path, text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// An idle window asks for no frame, and everything is in it at every scale.
func TestSettlesAndFits(t *testing.T) {
	t.Parallel()
	for _, size := range []image.Point{normal, small} {
		for _, scale := range []float32{1, 1.5, 2, 3} {
			t.Run(fmt.Sprintf("%dx%d at %v", size.X, size.Y, scale), func(t *testing.T) {
				for name, text := range map[string][]byte{"demo": assets.Demo, "walker": assets.Walker, "new": assets.New} {
					r := openWith(t, Config{Name: name, Text: text}, size, scale)
					r.Now = r.Now.Add(time.Hour)
					r.Frame()
					if at, again := r.Awake(); again {
						t.Errorf("%s: an idle window wants a frame at %v", name, at)
					}
					window := image.Rectangle{Max: r.Size}
					for _, label := range []string{
						"Undo", "Redo", "Open", "Save", "Save as", "Table for the firmware", "Light look",
						"robot view", "hold coxa", "hold tibia", "play", "timeline", "on a stand",
						"plate from the side", "timing curve",
						"ease-in-out", "x of the end point", "z of the end point", "torque alone",
					} {
						n, err := r.Clickable(label) // the text of a button may overhang it
						if err != nil {
							n = r.MustFind(label)
						}
						if b := n.Desc.Bounds; b.Empty() || !b.In(window) {
							t.Errorf("%s: %s lies at %v in %v", name, label, b, window)
						}
					}
					for _, label := range []string{"plate from the side", "plate from above", "plate from the front"} {
						if size == small { // one at a time
							break
						}
						if b := r.MustFind(label).Desc.Bounds; b.Dy() < int(86*scale) {
							t.Errorf("%s: %s is %v px high", name, label, b.Dy())
						}
					}
					apart(t, r)
				}
			})
		}
	}
}

// apart fails for controls that lie over each other.
func apart(t *testing.T, r *rig) {
	t.Helper()
	nodes := r.Nodes()
	type part struct {
		label string
		box   image.Rectangle
	}
	var parts []part
	for _, n := range nodes {
		switch n.Desc.Class {
		case semantic.Button, semantic.RadioButton, semantic.CheckBox, semantic.Editor:
			if n.Desc.Label != "" {
				parts = append(parts, part{n.Desc.Label, n.Desc.Bounds})
			}
		}
	}
	marks := map[string]bool{} // of the timeline may crowd
	for _, m := range r.doc.Result().Trajectory.Marks {
		marks[m.Name] = true
	}
	for i, a := range parts {
		for _, b := range parts[:i] {
			if marks[a.label] && marks[b.label] {
				continue
			}
			if x := a.box.Intersect(b.box); x.Dx() > 1 && x.Dy() > 1 {
				t.Errorf("%q %v and %q %v lie over each other", a.label, a.box, b.label, b.box)
			}
		}
	}
}

func TestClickOnFindingGoesThere(t *testing.T) {
	r := fault(t, "joint-limit")
	f := r.doc.Result().Findings[0]
	if r.at.Time == f.Worst {
		t.Fatal("already there")
	}
	r.at.Choose(r.doc, 3)
	r.at.Playing = true
	r.Frame()
	r.Click("joint-limit " + r.where(&f))
	r.Settle()
	if r.at.Time != f.Worst || r.at.Leg != f.Leg || r.at.Playing || r.at.Finding != 0 {
		t.Errorf("place %+v, finding %+v", r.at, f)
	}
	r.MustFind("Leg " + r.legName(f.Leg))
	r.MustFind(sentence(f.Why))
	r.MustFind("To mend it: " + f.Mend + ".")
	if k := r.at.Span; r.at.Track < 0 || r.doc.File().Moves[r.at.Move].Feet[r.at.Track].Spans[k].Hold == "planted" {
		t.Errorf("the span under way is not chosen: %+v", r.at)
	}
	// The list is also reached by the keyboard.
	r.at.Time = 0
	r.Focus(r.findings.clicks[0])
	r.Press(key.NameReturn, 0)
	r.Settle()
	if r.at.Time != f.Worst {
		t.Errorf("Enter on the finding goes to %v", r.at.Time)
	}
}

// Every faulty file shows its word in the list, and its level in the verdict.
func TestEveryFaultShows(t *testing.T) {
	files, err := assets.Faults.ReadDir("faults")
	if err != nil || len(files) < 11 {
		t.Fatalf("%d faulty files, %v", len(files), err)
	}
	for _, file := range files {
		word := strings.TrimSuffix(file.Name(), ".toml")
		t.Run(word, func(t *testing.T) {
			r := fault(t, word)
			shown := false
			for i, f := range r.doc.Result().Findings {
				if f.Word == word {
					shown = true
					r.findings.list.ScrollTo(i)
					r.Settle()
					r.MustFind(word + " " + r.where(&f))
					r.goTo(i)
					r.Settle()
				}
			}
			if !shown {
				t.Errorf("found %v", r.doc.Result().Findings)
			}
			if r.stops() > 0 {
				r.MustFind(fmt.Sprintf("Do not run this on the robot: %s.", count(r.stops(), "stop")))
			} else {
				r.MustFind(fmt.Sprintf("Nothing forbids a run; look first at %s.", count(len(r.doc.Result().Findings), "caution")))
			}
		})
	}
}

func TestScrub(t *testing.T) {
	r := open(t, assets.Demo)
	b := r.MustFind("timeline").Desc.Bounds
	last := r.at.Time
	p := f32.Pt(float32(b.Min.X+b.Dx()/3), float32(b.Min.Y+8))
	r.press(p)
	for range 20 {
		p.X += 20
		r.move(p)
		if r.at.Time <= last {
			t.Fatalf("at %v the time is %v after %v", p, r.at.Time, last)
		}
		last = r.at.Time
	}
	r.release(p)
	if r.at.Time != last || r.at.Playing {
		t.Errorf("after the release %+v", r.at)
	}
	p.X = float32(b.Max.X) + 500
	r.Drag(f32.Pt(float32(b.Min.X+b.Dx()/2), p.Y), p, 3)
	if r.at.Time != r.doc.Result().Trajectory.Duration() {
		t.Errorf("beyond the end: %v", r.at.Time)
	}
}

func TestPlayFollowsTheClock(t *testing.T) {
	r := open(t, assets.Demo)
	r.Press(key.NameSpace, 0)
	r.Frame()
	if !r.at.Playing {
		t.Fatal("Space does not play")
	}
	r.MustFind("pause")
	from := r.at.Time
	for range 5 {
		at, again := r.Awake()
		if !again || at.Sub(r.Now) > time.Second/30 {
			t.Fatalf("playing asks for a frame: %v, in %v", again, at.Sub(r.Now))
		}
		r.Now = r.Now.Add(200 * time.Millisecond)
		r.Frame()
	}
	if got := r.at.Time - from; math.Abs(got-1) > 0.05 {
		t.Errorf("one second of the clock played %v s", got)
	}
	r.Click("playback at 0.1")
	from = r.at.Time
	r.Now = r.Now.Add(time.Second)
	r.Frame()
	if got := r.at.Time - from; math.Abs(got-0.1) > 1e-9 {
		t.Errorf("at a tenth of the speed one second played %v s", got)
	}
	r.at.Loop = false
	r.at.Time = r.doc.Result().Trajectory.Duration() - 0.01
	r.Now = r.Now.Add(time.Second)
	r.Frame()
	r.Settle()
	if r.at.Playing || r.at.Time != r.doc.Result().Trajectory.Duration() {
		t.Errorf("at the end %+v", r.at)
	}
	r.Press(key.NameSpace, 0)
	r.Frame()
	if !r.at.Playing || r.at.Time > 1 {
		t.Errorf("playing from the end: %+v", r.at)
	}
	r.Press(key.NameSpace, 0)
	r.Settle() // fails when a paused window goes on asking for frames
	if r.at.Playing {
		t.Error("Space does not pause")
	}
}

// Space on a button pushes it, once, and does not play as well.
func TestSpaceOnButtonIsTheButtons(t *testing.T) {
	r := open(t, assets.Demo)
	r.Focus(r.joints.hold[0].Tag())
	r.Press(key.NameSpace, 0)
	r.Settle()
	if r.at.Playing || len(r.at.Held) != 1 {
		t.Errorf("playing=%v held=%v", r.at.Playing, r.at.Held)
	}
}

func TestStandRemovesGroundFindings(t *testing.T) {
	r := fault(t, "tips-slow")
	r.Click("on a stand")
	r.Settle()
	if len(r.doc.Result().Findings) != 0 || !r.doc.OnStand() {
		t.Errorf("%v", r.doc.Result().Findings)
	}
	r.MustFind("On the stand: nothing found in reach, joints and legs.")
	// What falls over on the ground does not get into a table from the stand.
	r.Press("E", key.ModShortcut)
	r.Settle()
	r.MustFind("write it despite 1 stop, listed in the table")
	r.Press(key.NameEscape, 0)
	r.Settle()
	r.Click("on a stand")
	r.Settle()
	if r.stops() != 1 {
		t.Errorf("back on the ground: %v", r.doc.Result().Findings)
	}
	if r.doc.Dirty() {
		t.Error("the stand makes the file dirty")
	}
}

func TestHoldJoint(t *testing.T) {
	r := atHit(t)
	r.Click("hold femur")
	r.Settle()
	angle, ok := r.at.Held[[2]int{0, 1}]
	if !ok || !r.doc.OnStand() {
		t.Fatalf("held %v, on stand %v", r.at.Held, r.doc.OnStand())
	}
	tr := r.doc.Result().Trajectory
	if want := tr.JointsAt(tr.Index(r.at.Time), 0)[1]; angle != want {
		t.Errorf("held at %v, want=%v", angle, want)
	}
	shown := degrees(angle) + "°"
	r.at.GoTo(r.doc, r.strike()+0.5)
	r.Settle()
	r.MustFind(shown) // although the motion has it elsewhere
	r.Click("hold femur")
	r.Settle()
	if len(r.at.Held) != 0 {
		t.Errorf("held %v", r.at.Held)
	}
	r.Click("hold coxa")
	r.Click("on a stand")
	r.Settle()
	if len(r.at.Held) != 0 {
		t.Error("joints stay held on the ground")
	}
}

func TestExportWritesTable(t *testing.T) {
	r := open(t, assets.Demo)
	dir := filepath.Join(t.TempDir(), "tables")
	r.Press("E", key.ModShortcut)
	r.Settle()
	r.Click("CSV")
	r.Click("Rate")
	r.Type("40")
	r.Click("Folder")
	r.Press("A", key.ModShortcut)
	r.Type(dir)
	r.Press(key.NameReturn, 0)
	r.Settle()
	r.worked()
	r.Click("Write the table")
	r.Frame()
	if r.modal.open() {
		t.Fatalf("the card stays: %v", r.modal.table.Err())
	}
	files, err := os.ReadDir(dir)
	if err != nil || len(files) == 0 {
		t.Fatalf("%v, %v", files, err)
	}
	for _, f := range files {
		text, err := os.ReadFile(filepath.Join(dir, f.Name()))
		if err != nil || len(text) == 0 {
			t.Errorf("%s: %d bytes, %v", f.Name(), len(text), err)
		}
	}
	if !strings.Contains(r.notice.text, dir) {
		t.Errorf("notice %q", r.notice.text)
	}
	// Where nothing can be written, the card says so and stays.
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	r.Press("E", key.ModShortcut)
	r.Settle()
	r.tablesTo(filepath.Join(file, "below"))
	r.Click("Write the table")
	r.Settle()
	if !r.modal.open() || r.modal.table.Err() == nil || !strings.Contains(r.texts(), "give another folder") {
		t.Errorf("open=%v err=%v", r.modal.open(), r.modal.table.Err())
	}
	r.Press(key.NameEscape, 0)
	r.Settle()
	if r.modal.open() {
		t.Error("Escape does not leave the card")
	}
}

// A motion with a stop is written only when that is said.
func TestExportDespiteFindings(t *testing.T) {
	low := bytes.Replace(assets.Demo, []byte("66, -70, 60]"), []byte("66, -70, 50]"), 2)
	r := open(t, low)
	if r.stops() == 0 {
		t.Fatal("a strike 10 mm too low has no stop")
	}
	dir := t.TempDir()
	r.Press("E", key.ModShortcut)
	r.Settle()
	r.Click("AVR C")
	r.tablesTo(dir)
	if err := r.Driver.Click("Write the table"); err == nil {
		t.Error("the button is not disabled")
	}
	r.ClickAt(r.spot("Write the table"))
	r.Settle()
	if files, _ := os.ReadDir(dir); len(files) != 0 || !r.modal.open() {
		t.Fatalf("written without asking: %v", files)
	}
	r.Click("write it despite " + count(r.stops(), "stop") + ", listed in the table")
	r.Settle()
	r.Click("Write the table")
	r.Settle()
	files, err := os.ReadDir(dir)
	if err != nil || len(files) == 0 {
		t.Fatalf("%v, %v, %v", files, err, r.modal.table.Err())
	}
	said := false
	for _, f := range files {
		text, err := os.ReadFile(filepath.Join(dir, f.Name()))
		if err != nil {
			t.Fatal(err)
		}
		said = said || strings.Contains(string(text), "low-strike")
	}
	if !said {
		t.Error("the table does not list the finding")
	}
}

func TestSaveAsAndReopen(t *testing.T) {
	dir := t.TempDir()
	r := openWith(t, Config{Name: "demo", Text: assets.Demo}, normal, 1)
	if err := r.doc.Change("raise", raise); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, "mine.toml")
	r.Press("S", key.ModShortcut) // a document without a file is saved as
	r.Settle()
	if r.modal.kind != fileModal {
		t.Fatalf("modal %v", r.modal.kind)
	}
	r.Click("Folder")
	r.Press("A", key.ModShortcut)
	r.Type(dir)
	r.Press(key.NameReturn, 0)
	r.Settle()
	r.Click("Name")
	r.Press("A", key.ModShortcut)
	r.Type("mine")
	r.Press(key.NameReturn, 0)
	r.Settle()
	if r.modal.open() || r.doc.Path != path || r.doc.Dirty() {
		t.Fatalf("open=%v path=%q dirty=%v notice=%q", r.modal.open(), r.doc.Path, r.doc.Dirty(), r.notice.text)
	}
	if got := r.Title(); got != "mine.toml – Gaitwright" {
		t.Errorf("title %q", got)
	}
	saved := reread(t, path)
	if !saved.File().Equal(r.doc.File()) {
		t.Error("the saved file differs")
	}
	// Another window opens it through the dialog.
	q := open(t, assets.Walker)
	q.Press("O", key.ModShortcut)
	q.Settle()
	q.Click("Folder or file")
	q.Press("A", key.ModShortcut)
	q.Type(path)
	q.Press(key.NameReturn, 0)
	q.Settle()
	if q.modal.open() || q.doc.Path != path || !q.doc.File().Equal(r.doc.File()) || q.doc.Dirty() {
		t.Errorf("open=%v path=%q notice=%q", q.modal.open(), q.doc.Path, q.notice.text)
	}
	// One that cannot be read leaves what is open.
	bad := filepath.Join(dir, "bad.toml")
	if err := os.WriteFile(bad, []byte("format = 1\nrobot = 3\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	q.openPath(bad)
	q.Settle()
	if q.doc.Path != path || !strings.Contains(q.modal.text, "bad.toml:2") {
		t.Errorf("path=%q text=%q", q.doc.Path, q.modal.text)
	}
	q.MustFind("bad.toml was not opened")
	q.Click("Close")
	q.Settle()
	if q.modal.open() {
		t.Error("the card stays open")
	}
}

func TestClosingWithUnsavedWorkAsks(t *testing.T) {
	r := open(t, assets.Demo)
	if !r.MayClose() || r.Closing() {
		t.Fatal("a clean window does not close")
	}
	if err := r.doc.Change("raise", raise); err != nil {
		t.Fatal(err)
	}
	if r.MayClose() || r.Closing() {
		t.Fatal("unsaved work is thrown away")
	}
	r.Settle()
	r.MustFind("Close without saving?")
	text := r.text()
	// Behind the question nothing takes keys or clicks.
	r.Press("Z", key.ModShortcut)
	r.Press(key.NameSpace, 0) // on the button that leaves everything: go back
	r.Settle()
	if r.modal.open() || r.Closing() || r.text() != text {
		t.Fatalf("open=%v closing=%v", r.modal.open(), r.Closing())
	}
	if r.MayClose() {
		t.Fatal("asks only once")
	}
	r.Settle()
	r.Press(key.NameEscape, 0)
	r.Settle()
	if r.modal.open() || r.Closing() {
		t.Fatal("Escape does not go back")
	}
	r.MayClose()
	r.Settle()
	r.Click("Discard the changes")
	r.Settle()
	if !r.Closing() || !r.MayClose() {
		t.Error("the answer does not close the window")
	}
}

// While a card is open, Tab stays in it and nothing behind it plays or moves.
func TestCardKeepsTheKeys(t *testing.T) {
	r := open(t, assets.Demo)
	b := r.MustFind("timeline").Desc.Bounds
	r.TogglePlay()
	r.Press("E", key.ModShortcut)
	r.Settle() // fails if playing goes on behind the card
	at := r.at.Time
	behind := map[string]any{"timeline": r.time.Tag(), "robot view": &r.view, "undo": r.top.undo.Tag(), "open": r.top.open.Tag(), "hold": r.joints.hold[0].Tag()}
	for range 20 {
		r.Tab(false)
		for name, tag := range behind {
			if r.Focused(tag) {
				t.Errorf("Tab reaches the %s behind the card", name)
			}
		}
	}
	r.ClickAt(f32.Pt(float32(b.Min.X+b.Dx()/2), float32(b.Min.Y+8)))
	r.Press(key.NameEnd, 0)
	r.Settle()
	if r.at.Time != at || r.at.Playing {
		t.Errorf("time %v, was %v", r.at.Time, at)
	}
}

func TestLightAndDark(t *testing.T) {
	r := open(t, assets.Demo)
	if !r.th.Dark {
		t.Fatal("does not begin dark")
	}
	r.Click("Light look")
	r.Settle()
	if r.th.Dark {
		t.Error("still dark")
	}
	r.Click("Dark look")
	r.Settle()
	if !r.th.Dark {
		t.Error("still light")
	}
	if l := openWith(t, Config{Text: assets.Demo, Light: true}, normal, 1); l.th.Dark {
		t.Error("Light is not heeded")
	}
}

// Every action is reached by each of its keys, and asks for the frame that
// shows what it did.
func TestEveryKey(t *testing.T) {
	t.Parallel()
	for i, a := range open(t, assets.Demo).acts {
		if len(a.keys) == 0 {
			continue // found by the search: TestActionsTable
		}
		r := open(t, assets.Demo)
		a := &r.acts[i]
		if a.mode == whileLive {
			r.toggleLive()
			r.Frame()
		}
		if a.mode == whileTrying {
			r.mapped(1)
			r.Press(key.NameReturn, 0)
			r.Settle()
		}
		if a.mode == whileFlipped {
			r.keepSnapshot()
			r.flip()
			r.Settle()
		}
		if a.mode == whileDriving {
			r.toggleStand()
			r.Settle()
			r.driveFoot(0, r.legNow().Foot)
			r.Settle()
		}
		for _, k := range a.keys {
			n := 0
			a.can, a.do = always, func() { n++ }
			r.Press(k.Name, k.Required)
			if n != 1 {
				t.Errorf("%s: %s ran it %d times", a.id, k.Name, n)
			}
			if _, again := r.Awake(); !again {
				t.Errorf("%s: %s asks for no frame", a.id, k.Name)
			}
			if a.mode == whileLive || a.mode == whileTrying || a.mode == whileFlipped {
				continue // no field for numbers shows
			}
			// While a number is typed, the shortcuts work and the plain keys
			// are the field's.
			r.Click("z of the end point")
			n = 0
			r.Press(k.Name, k.Required)
			r.Settle()
			if want := map[bool]int{true: 0, false: 1}[a.typed(k.Name)]; n != want {
				t.Errorf("%s: %s in a field ran it %d times, want %d", a.id, k.Name, n, want)
			}
		}
	}
}

// Tab goes through every region, forward and back.
func TestTabReachesEveryRegion(t *testing.T) {
	r := fault(t, "low-strike")
	regions := map[string]any{
		"open": r.top.open.Tag(), "save": r.top.save.Tag(), "table": r.top.export.Tag(), "look": r.top.light.Tag(),
		"finding": r.findings.clicks[0], "hold": r.joints.hold[2].Tag(), "robot view": &r.view, "views": &r.views.from,
		"timeline": r.time.Tag(), "strips": r.strips.Tag(), "handle": &r.split,
	}
	for i, tag := range r.shape.Tags() {
		regions[fmt.Sprintf("plate %d", i)] = tag
	}
	for _, back := range []bool{false, true} {
		seen := map[string]bool{}
		for range 150 {
			r.Tab(back)
			for name, tag := range regions {
				if r.Focused(tag) {
					seen[name] = true
				}
			}
		}
		for name := range regions {
			if !seen[name] {
				t.Errorf("back=%v: Tab never reaches %s", back, name)
			}
		}
	}
}

// The window's keyboard alone makes, finds and undoes a fault.
func TestByKeyboardAlone(t *testing.T) {
	t.Parallel()
	r := atHit(t)
	for range 150 {
		if r.Tab(false); r.Focused(r.shape.Tags()[0]) {
			break
		}
	}
	for range 12 {
		r.Press(key.NameDownArrow, 0)
	}
	r.Settle()
	if r.stops() == 0 {
		t.Fatal("12 mm lower and nothing is found")
	}
	for range 12 {
		r.Press("Z", key.ModShortcut)
	}
	r.Settle()
	if r.stops() != 0 || r.doc.Dirty() {
		t.Errorf("%d stops, dirty=%v", r.stops(), r.doc.Dirty())
	}
}

func TestClickOnLegChoosesIt(t *testing.T) {
	r := open(t, assets.Demo)
	r.Click("above") // no leg is behind another one
	r.Settle()
	n := 0
	for leg, name := range []string{"LF", "LM", "LR", "RF", "RM", "RR"} {
		for _, node := range r.Nodes() {
			// The names stand 9 px right of and below the feet.
			if node.Desc.Label != name || node.Desc.Class == semantic.RadioButton || node.Desc.Bounds.Dx() < 2000 {
				continue
			}
			r.ClickAt(f32.Pt(float32(node.Desc.Bounds.Min.X-9), float32(node.Desc.Bounds.Min.Y-1)))
			r.Settle()
			if r.at.Leg != leg {
				t.Errorf("a click on the foot of %s chose leg %d", name, r.at.Leg)
			}
			n++
			break
		}
	}
	if n != 6 {
		t.Errorf("%d feet found", n)
	}
}

func TestNoticeGoesAway(t *testing.T) {
	r := open(t, assets.Demo)
	r.notice.say("Saved it")
	r.Frame()
	r.MustFind("Saved it")
	r.Settle() // moves the clock on to when it goes
	r.MustMiss("Saved it")
	r.notice.fail(os.ErrPermission)
	r.Settle()
	r.MustFind(os.ErrPermission.Error())
}
