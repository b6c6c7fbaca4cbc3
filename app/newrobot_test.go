// SPDX-License-Identifier: MIT

package app

import (
	"testing"
	"time"

	"gioui.org/io/key"

	"gaitwright/assets"
)

// made waits until the card has made what was answered.
func (r *rig) made() {
	r.T.Helper()
	for range 1000 {
		r.Settle()
		if r.modal.robot.Robot() != nil || r.modal.kind != newRobotModal {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	r.T.Fatalf("no robot was made")
}

// TestNewRobot makes a four-legged robot of four answers: it becomes the file,
// not saved yet, and stands and walks without a finding.
func TestNewRobot(t *testing.T) {
	r := open(t, assets.Demo)
	r.Press("N", key.ModShortcut)
	r.Settle()
	r.made()
	r.Click("4")
	r.made()
	r.Click("Make this robot")
	r.Settle()
	if n := len(r.doc.File().Legs); n != 4 || r.modal.open() || r.doc.Path != "" || !r.doc.Dirty() || r.shapes.Value != shapeRobot {
		t.Fatalf("%d legs, card open %v, path %q, dirty %v, page %d", n, r.modal.open(), r.doc.Path, r.doc.Dirty(), r.shapes.Value)
	}
	if n := len(r.doc.Result().Findings); n != 0 {
		t.Errorf("%d findings, the first: %v", n, r.doc.Result().Findings[0])
	}
	if _, ok := r.doc.CanUndo(); ok {
		t.Error("there is something to undo in a new file")
	}
}

// TestNewRobotAsks has unsaved work in the window: it is not thrown away
// without a question.
func TestNewRobotAsks(t *testing.T) {
	r := atHit(t)
	if err := r.doc.Change("raise", raise); err != nil {
		t.Fatal(err)
	}
	was := r.doc
	r.Press("N", key.ModShortcut)
	r.Settle()
	r.made()
	r.Click("Make this robot")
	r.Settle()
	if r.modal.kind != askModal || r.doc != was {
		t.Fatalf("card %d, another document %v", r.modal.kind, r.doc != was)
	}
	r.Click("Go back")
	r.Settle()
	if r.doc != was || r.modal.open() {
		t.Error("going back did not keep the file")
	}
}
