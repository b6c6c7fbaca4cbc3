// SPDX-License-Identifier: MIT

package app

import (
	"errors"
	"image"
	"strings"
	"testing"

	"gioui.org/f32"
	"gioui.org/io/key"

	"gaitwright/app/control"
	"gaitwright/app/settings"
	"gaitwright/assets"
	"gaitwright/motion/review"
	"gaitwright/motion/workfile"
)

// The whole tour, done as a newcomer would, to its end.
func TestTour(t *testing.T) {
	var kept settings.Settings
	c := Config{Name: assets.DemoName, Text: assets.Demo, OfferTour: true, Remember: func(s settings.Settings) error { kept = s; return nil }}
	r := openWith(t, c, normal, 1)
	r.MustFind("New here?")
	r.Click("Take the tour")
	step := func(n int, title string) {
		t.Helper()
		r.Settle()
		if r.tour.At() != n-1 || !r.tour.On() {
			t.Fatalf("step %d, want %d: %s", r.tour.At()+1, n, title)
		}
		r.MustFind(title)
		at, ok := control.Where(r.Ops(), r.tour.Place())
		if !ok || !at.In(image.Rectangle{Max: r.Tester.Size}) {
			t.Errorf("%s: the place is at %v", title, at)
		}
		card := r.MustFind("tour").Desc.Bounds
		if !card.In(image.Rectangle{Max: r.Tester.Size}) {
			t.Errorf("%s: the card is at %v", title, card)
		}
		if over := card.Intersect(at); over.Dx()*over.Dy() > at.Dx()*at.Dy()/4 {
			t.Errorf("%s: the card at %v hides the place at %v", title, card, at)
		}
	}
	step(1, "Play")
	if !kept.TourOffered {
		t.Error("it is not remembered that the tour was offered")
	}
	r.Press(key.NameSpace, 0)
	r.Frame()
	r.Press(key.NameSpace, 0)
	step(2, "Look around")
	robot := r.spot("robot view")
	r.Drag(robot, robot.Add(f32.Pt(60, 20)), 4)
	step(3, "Go to a moment")
	r.Click("hit")
	step(4, "Drag a point")
	if card, robot := r.MustFind("tour").Desc.Bounds, r.MustFind("robot view").Desc.Bounds; card.Overlaps(robot) {
		t.Errorf("the card at %v hides the robot at %v", card, robot)
	}
	from := r.spot("end point of span 3 from the side")
	r.press(from)
	for i := 1; i <= 10; i++ {
		r.move(from.Add(f32.Pt(0, float32(4*i))))
	}
	if r.tour.Done() {
		t.Error("the step is done while the point is still held")
	}
	r.release(from.Add(f32.Pt(0, 40)))
	if review.Stops(r.doc.Result().Findings) == 0 {
		t.Fatal("the drag did no harm")
	}
	step(5, "Read why")
	f := r.doc.Result().Findings[0]
	r.Click(f.Word + " " + r.where(&f))
	step(6, "Undo")
	r.Press("Z", key.ModShortcut)
	step(7, "Find anything")
	r.search("whole")
	step(8, "A table for the firmware")
	r.Click("Table for the firmware")
	r.Settle()
	r.Press(key.NameEscape, 0)
	r.Settle()
	if !r.tour.Done() {
		t.Error("the last step is not done")
	}
	r.Click("Finish")
	r.Settle()
	r.MustMiss("tour")
	if kept.TourStep != 0 {
		t.Errorf("step %d is remembered after the end", kept.TourStep)
	}
}

// The tour can be left and taken up again, also in the next start; declined it
// is not offered again.
func TestTourLeaveAndResume(t *testing.T) {
	var kept settings.Settings
	c := Config{Name: assets.DemoName, Text: assets.Demo, Remember: func(s settings.Settings) error { kept = s; return nil }}
	r := openWith(t, c, normal, 1)
	r.MustMiss("New here?")
	r.search("take tour")
	r.Click("Skip")
	r.Settle()
	r.Click("Skip")
	r.Settle()
	r.Click("Leave")
	r.Settle()
	r.MustMiss("tour")
	c.Settings = kept
	r = openWith(t, c, normal, 1)
	r.search("take tour")
	r.MustFind("Go to a moment")
	r.Click("Back")
	r.Settle()
	r.MustFind("Look around")

	c.OfferTour, c.Settings = true, settings.Settings{}
	r = openWith(t, c, normal, 1)
	if !kept.TourOffered {
		t.Error("it is not remembered that the tour was offered")
	}
	r.Click("No, thanks")
	r.Settle()
	r.MustMiss("New here?")
	c.Settings = kept
	r = openWith(t, c, normal, 1)
	r.MustMiss("New here?")
}

// Nothing goes on by itself with reduced motion.
func TestTourWaitsWithReducedMotion(t *testing.T) {
	r := openWith(t, Config{Name: assets.DemoName, Text: assets.Demo, Settings: settings.Settings{ReducedMotion: true}}, normal, 1)
	if r.at.Loop {
		t.Error("playing begins again by itself")
	}
	r.takeTour()
	r.Settle()
	r.Press(key.NameSpace, 0)
	r.Frame()
	r.Press(key.NameSpace, 0)
	r.Settle()
	if r.tour.At() != 0 || !r.tour.Done() {
		t.Fatalf("step %d, done %v", r.tour.At()+1, r.tour.Done())
	}
	r.Click("Next")
	r.Settle()
	r.MustFind("Look around")
}

// From another file the tour opens the demo beside it, asked before, and gives
// the file back.
func TestTourOpensTheDemo(t *testing.T) {
	r := fault(t, "low-strike")
	r.doc.Change("a change", raise)
	r.search("take tour")
	r.MustFind("Open the demo for the tour?")
	r.Press(key.NameEscape, 0)
	r.Settle()
	if r.onDemo() || r.tour.On() {
		t.Error("the tour began all the same")
	}
	was := r.doc
	r.search("take tour")
	r.Click("Take the tour")
	r.Settle()
	if !r.onDemo() || !r.tour.On() {
		t.Fatal("the tour did not begin")
	}
	r.doc.Change("try", raise)
	r.Settle()
	// Left, it offers to go back; the history is as it was.
	r.Click("Leave")
	r.Settle()
	r.Click("Stay on the demo")
	r.Settle()
	r.search("go back before tour")
	if r.doc != was || r.Name() != "low-strike" || r.waiting != nil || r.tour.On() {
		t.Fatalf("%s is open", r.Name())
	}
	r.Press("Z", key.ModShortcut)
	if r.doc.Dirty() || r.notice.text != "Undone: a change" {
		t.Error("the history is gone")
	}
	r.redo()
	// The window does not close over what is set aside.
	r.search("take tour")
	r.Click("Take the tour")
	r.Settle()
	if r.MayClose() || r.doc != was {
		t.Error("it may close over unsaved work")
	}
	r.Settle()
	r.MustFind("Close without saving?")
}

// What is preferred is remembered, and a failure to do so is said.
func TestPreferences(t *testing.T) {
	var kept settings.Settings
	c := Config{Name: "demo", Text: assets.Demo, Remember: func(s settings.Settings) error { kept = s; return nil }}
	r := openWith(t, c, normal, 1)
	for range len(scales) + 1 {
		r.Press("+", key.ModShortcut)
		r.Settle()
	}
	if kept.Scale != 3 || r.scale() != 3 {
		t.Errorf("scale %v, kept %v", r.scale(), kept.Scale)
	}
	r.Press("-", key.ModShortcut)
	r.Settle()
	if kept.Scale != 2.5 {
		t.Errorf("kept %v", kept.Scale)
	}
	r.Press("0", key.ModShortcut)
	r.Settle()
	if kept.Scale != 0 || r.scale() != 1 {
		t.Errorf("scale %v, kept %v", r.scale(), kept.Scale)
	}
	r.search("dark look")
	if !kept.Light {
		t.Error("the light look is not remembered")
	}
	c.Settings = kept
	if r = openWith(t, c, normal, 1); r.th.Dark {
		t.Error("it does not begin with the light look")
	}
	c.Remember = func(settings.Settings) error { return errors.New("settings: not remembered: the disk is full") }
	r = openWith(t, c, normal, 1)
	r.search("dark look")
	if !strings.Contains(r.notice.text, "disk is full") {
		t.Errorf("notice %q", r.notice.text)
	}
}

// Where there is nothing, the window says what to do.
func TestEmptyStates(t *testing.T) {
	bare := func(cut func(*workfile.File)) *rig {
		f, err := workfile.Read("bare", assets.Demo)
		if err != nil {
			t.Fatal(err)
		}
		cut(f)
		text, err := f.Encode()
		if err != nil {
			t.Fatal(err)
		}
		return openWith(t, Config{Name: "bare", Text: text}, normal, 1)
	}
	r := bare(func(f *workfile.File) { f.Sequence, f.Moves, f.Gaits = nil, nil, nil })
	r.MustFind("None, but the robot only stands: add what it is to do on the page “sequence”, or a walk or a move on theirs.")
	for i := range desks() {
		if i != walkLive {
			r.turnTo(i)
			r.Settle() // no page needs what is not there
		}
	}
	r.toggleStand()
	r.Settle()
	r.MustFind("None in reach, joints and legs. On the ground there may be more: put the robot down to see (H).")
	r = bare(func(f *workfile.File) { f.Sequence, f.Moves = f.Sequence[:2], nil })
	r.MustFind("None. Shape the gait and its command on the page “walk”: the review follows the hand.")
}
