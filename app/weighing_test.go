// SPDX-License-Identifier: MIT

package app

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"gioui.org/io/key"

	"gaitwright/assets"
	"gaitwright/motion/weigh"
)

// texts is all that is written in the window.
func (r *rig) texts() string {
	var b strings.Builder
	for _, n := range r.Nodes() {
		b.WriteString(n.Desc.Label + "\n" + n.Desc.Description + "\n")
	}
	return b.String()
}

// By the keyboard alone: a key opens the form, the readings are typed, and the
// body is written as one step of undo and kept by saving.
func TestWeighByKeyboard(t *testing.T) {
	path, r := opened(t)
	before := r.text()
	r.Press("W", 0)
	r.Settle()
	if r.modal.kind != weighModal || !strings.Contains(r.texts(), "no reading yet") {
		t.Fatalf("W opens no form:\n%s", r.Dump())
	}
	grams := []string{"412", "455", "433.5", "408", "440", "421"}
	var level []weigh.Reading
	for i, g := range grams {
		if i > 0 {
			r.Tab(false)
		}
		r.Type(g)
		level = append(level, weigh.Reading{Leg: r.doc.Result().Built.Robot.Legs[i].Name, Mass: []float64{0.412, 0.455, 0.4335, 0.408, 0.440, 0.421}[i]})
	}
	r.Press(key.NameReturn, 0)
	r.Settle()
	want, err := weigh.Work(r.doc.Result().Built, level, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range []string{"2569.5 g", "1009.5 g", "5 g off", "z stays as the workfile has it"} {
		if !strings.Contains(r.texts(), s) {
			t.Errorf("the form does not say %q", s)
		}
	}
	for range 12 {
		if n := r.MustFind("Write mass and centre"); n.Desc.Disabled {
			t.Fatal("nothing to write")
		}
		if r.Tab(false); r.Focused(r.modal.scales.Write()) {
			break
		}
	}
	r.Press(key.NameReturn, 0)
	r.Settle()
	got := r.doc.File().Robot
	if r.modal.open() || got.BodyMass != 1009.5 || math.Abs(got.BodyCentre[0]-want.Centre.X*1000) > 0.051 ||
		math.Abs(got.BodyCentre[1]-want.Centre.Y*1000) > 0.051 {
		t.Errorf("open=%v, %v g at %v, want %+v", r.modal.open(), got.BodyMass, got.BodyCentre, want)
	}
	if what, ok := r.doc.CanUndo(); !ok || what != "weigh the body" {
		t.Errorf("undo of %q", what)
	}
	r.Press("S", key.ModShortcut)
	r.Settle()
	if d := reread(t, path); d.File().Robot.BodyMass != 1009.5 {
		t.Errorf("saved %v g", d.File().Robot.BodyMass)
	}
	r.Press("Z", key.ModShortcut)
	r.Settle()
	if r.text() != before {
		t.Error("one undo does not take it back")
	}
	if _, ok := r.doc.CanUndo(); ok {
		t.Error("it took more than one step")
	}

	// What was typed is still there, and Escape leaves.
	r.Press("W", 0)
	r.Settle()
	if !strings.Contains(r.texts(), "1009.5 g") {
		t.Error("the readings are gone")
	}
	r.Press(key.NameEscape, 0)
	r.Settle()
	if r.modal.open() {
		t.Error("Escape does not leave the form")
	}

	// Of another file nothing is known yet, though it has the same legs.
	r.openPath(path)
	r.Settle()
	r.Press("W", 0)
	r.Settle()
	if !strings.Contains(r.texts(), "no reading yet") {
		t.Error("the readings of one file are those of the next")
	}
}

// What the form says once it is done goes when that is taken back, and not with
// another change.
func TestNoticeGoesWithItsChange(t *testing.T) {
	r := open(t, assets.Demo)
	r.Press("W", 0)
	r.Settle()
	for i := range 6 {
		if i > 0 {
			r.Tab(false)
		}
		r.Type("400")
	}
	r.Settle()
	r.Click("Write mass and centre")
	frames := func() bool { // Settle would wait until the notice goes by itself
		for range 3 {
			r.Frame()
		}
		return strings.Contains(r.texts(), "The body now has 840.0 g at x ")
	}
	if !frames() {
		t.Fatalf("no notice in\n%s", r.Dump())
	}
	if err := r.doc.Change("raise", raise); err != nil {
		t.Fatal(err)
	}
	if !frames() {
		t.Error("the notice goes with another change")
	}
	r.Press("Z", key.ModShortcut)
	if !frames() {
		t.Error("the notice goes when another change is undone")
	}
	r.Press("Z", key.ModShortcut)
	if frames() {
		t.Error("the notice stays though the change is undone")
	}
}

// A text that is no reading moves nothing in the form: it is said below.
func TestWeighStaysInPlace(t *testing.T) {
	r := open(t, assets.Demo)
	r.Press("W", 0)
	r.Settle()
	places := func() string {
		var b strings.Builder
		for _, l := range []string{"Weigh the robot", "scale under LF", "scale under LM", "scale under RR", "Cancel"} {
			fmt.Fprintln(&b, l, r.MustFind(l).Desc.Bounds)
		}
		return b.String()
	}
	before := places()
	for _, text := range []string{"abc", "-3", "400"} {
		r.Click("scale under LF")
		r.Press("A", key.ModShortcut)
		r.Type(text)
		r.Tab(false)
		r.Settle()
		if got := places(); got != before {
			t.Errorf("%q moves the form from\n%sto\n%s", text, before, got)
		}
		if text == "abc" && !strings.Contains(r.texts(), "Leg LF: “abc” is not a number") {
			t.Error("it is not said")
		}
	}
}

// The button opens it too, and what it takes fits in the smallest window, with
// both weighings of a robot, at every scale.
func TestWeighFits(t *testing.T) {
	for _, scale := range []float32{1, 2} {
		for name, text := range map[string][]byte{"demo": assets.Demo, "walker": assets.Walker} {
			r := openWith(t, Config{Name: name, Text: text}, small, scale)
			r.Click("Weigh")
			r.Settle()
			r.Click("weighed once more on a tilted board, for the height of the centre")
			r.Settle()
			for _, label := range []string{"Weigh the robot", "tilt of the board", "Cancel", "Write mass and centre"} {
				n := r.MustFind(label)
				if b := n.Desc.Bounds; b.Empty() || b.Min.X < 0 || b.Min.Y < 0 || b.Max.X > r.Size.X || b.Max.Y > r.Size.Y {
					t.Errorf("%s at %v: %s lies at %v in %v", name, scale, label, b, r.Size)
				}
			}
			r.Click("Cancel")
			r.Settle()
			if r.modal.open() {
				t.Error("Cancel does not leave the form")
			}
		}
	}
}
