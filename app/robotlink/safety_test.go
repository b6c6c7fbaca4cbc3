// SPDX-License-Identifier: MIT

package robotlink_test

import (
	"fmt"
	"image"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gioui.org/io/key"

	"gaitwright/app"
	"gaitwright/app/drive"
	"gaitwright/assets"
	"gaitwright/motion/workfile"
)

// armed is a window with a robot that follows, and what went to it.
func armed(t *testing.T) (*drive.Tester, *app.Workbench, *sent) {
	t.Helper()
	went := new(sent)
	r, w, _ := rigSent(t, went, assets.Demo, "../../link/testdata/live.c")
	arm(t, r)
	if went.stopped() {
		t.Fatal("it is stopped already")
	}
	return r, w, went
}

const sign, stop = "Robot live: Esc stops it", "stop the robot that is live"

// TestStopOnEveryPage: the sign and its button are on every page, and stop it.
func TestStopOnEveryPage(t *testing.T) {
	r, _, went := armed(t)
	for _, page := range []string{"robot", "walk", "move", "sequence", "limits", "live", "link", "move"} {
		r.Click(page)
		frames(r, 30*time.Millisecond)
		r.MustFind(sign)
		r.MustFind(stop)
	}
	r.Click(stop)
	frames(r, 300*time.Millisecond)
	r.MustMiss(sign)
	if !went.stopped() {
		t.Error("it was not told to stop")
	}
}

// TestEscUnderCard: the key stops the robot whatever card is open.
func TestEscUnderCard(t *testing.T) {
	r, w, went := armed(t)
	if w.MayClose() {
		t.Fatal("the window closes under a live robot")
	}
	frames(r, 30*time.Millisecond)
	r.MustFind("The robot on the line is live")
	r.Press(key.NameEscape, 0)
	frames(r, 300*time.Millisecond)
	r.MustMiss(sign)
	if !went.stopped() {
		t.Error("it was not told to stop")
	}
}

// TestCloseAsks: a live robot and then unsaved work are asked about.
func TestCloseAsks(t *testing.T) {
	r, w, went := armed(t)
	if err := w.Document().Change("wait", func(f *workfile.File) { f.Sequence[0].Duration = new(float64); *f.Sequence[0].Duration = 700 }); err != nil {
		t.Fatal(err)
	}
	frames(r, 30*time.Millisecond)
	if w.MayClose() || w.Closing() {
		t.Fatal("the window closes under a live robot")
	}
	frames(r, 30*time.Millisecond)
	r.Click("Go back")
	frames(r, 30*time.Millisecond)
	r.MustFind(sign)
	if went.stopped() {
		t.Error("it is stopped already")
	}
	w.MayClose()
	frames(r, 30*time.Millisecond)
	r.Click("Stop it and close")
	r.Settle()
	if !went.stopped() || w.Closing() {
		t.Errorf("stopped %v, closing %v", went.stopped(), w.Closing())
	}
	r.MustFind("Close without saving?")
	r.Click("Discard the changes")
	if !w.Closing() {
		t.Error("the window does not close")
	}
}

// TestOpenStops: another file is not shown before the robot is stopped.
func TestOpenStops(t *testing.T) {
	r, w, went := armed(t)
	path := filepath.Join(t.TempDir(), "walker.toml")
	if err := os.WriteFile(path, assets.Walker, 0o600); err != nil {
		t.Fatal(err)
	}
	r.Press("O", key.ModShortcut)
	frames(r, 30*time.Millisecond)
	r.Click("Folder or file")
	r.Press("A", key.ModShortcut)
	r.Type(path)
	r.Press(key.NameReturn, 0)
	frames(r, 50*time.Millisecond)
	if w.Document().Path != path || !went.stopped() {
		t.Errorf("%q is open, stopped %v", w.Document().Path, went.stopped())
	}
	r.MustMiss(sign)
	r.MustFind("The robot was stopped, its port closed, and " + path + " opened")
}

// TestAbandon: the way out after a fault of the program stops it.
func TestAbandon(t *testing.T) {
	_, w, went := armed(t)
	w.Abandon()
	if !went.stopped() {
		t.Error("it was not told to stop")
	}
}

// steady is the log of a robot that does as is drawn, one leg after another
// name.
func steady(w *app.Workbench, legs ...string) []byte {
	var b strings.Builder
	b.WriteString("motion_s")
	for _, name := range legs {
		fmt.Fprintf(&b, ",%s_down,%s_femur_deg", name, name)
	}
	b.WriteString("\n")
	m := w.Document().Result().Trajectory
	for s := 0.; s < m.Duration(); s += 0.02 {
		k := m.Index(s)
		fmt.Fprintf(&b, "%.3f", s)
		for i := range legs {
			fmt.Fprintf(&b, ",%d,%.3f", map[bool]int{true: 1}[m.Planted[k*m.Legs+i]], m.JointsAt(k, i)[1]*180/math.Pi)
		}
		b.WriteString("\n")
	}
	return []byte(b.String())
}

// row gives the whole label of a row that begins so.
func row(t *testing.T, r *drive.Tester, begins string) string {
	t.Helper()
	dump := r.Dump()
	_, rest, ok := strings.Cut(dump, `"`+begins)
	if !ok {
		t.Fatalf("no row begins with %q:\n%s", begins, dump)
	}
	end, _, _ := strings.Cut(rest, `"`)
	return begins + end
}

// TestLogAfterChange: a log is held against the motion as it is now, and against
// another robot it says in clear words that it is of another one.
func TestLogAfterChange(t *testing.T) {
	_, w, _ := rig(t)
	r := drive.For(t, drive.New(image.Pt(1280, 1600), w.Layout)) // the tables show as a whole
	w.TakeLog("mine.csv", steady(w, "LF", "LM"))
	r.Settle()
	const follows = ", 0.0, 0.0, 0.0, "
	row(t, r, "LF femur"+follows)
	if err := w.Document().Change("lower", func(f *workfile.File) { f.Robot.StandHeight -= 10 }); err != nil {
		t.Fatal(err)
	}
	r.Settle()
	if strings.Contains(r.Dump(), "LF femur"+follows) || row(t, r, "LF femur, ") == "" {
		t.Error("it is held against the motion as it was")
	}
	w.Document().Undo()
	r.Settle()
	row(t, r, "LF femur"+follows)
	// A row goes to its leg.
	r.Click(row(t, r, "LM femur"+follows))
	r.Settle()
	if w.Place().Leg != 1 {
		t.Errorf("leg %d", w.Place().Leg)
	}

	w.TakeLog("theirs.csv", steady(w, "A1", "B1"))
	r.Settle()
	if s := r.Dump(); !strings.Contains(s, "theirs.csv: The log is of another robot: it has A1_down, A1_femur_deg, B1_down, B1_femur_deg, and none of its columns is of a leg of this one (LF, LM, LR, RF, RM, RR). Open the workfile of the robot that it is of, or another log.") {
		t.Errorf("not told:\n%s", s)
	}

	// The same while one leg is still of this robot.
	w.TakeLog("both.csv", steady(w, "LF", "A1"))
	r.Settle()
	r.MustFind("Columns of legs that this robot does not have are left out: A1_down, A1_femur_deg.")
}
