// SPDX-License-Identifier: MIT

package document

import (
	"bytes"
	"testing"

	"gaitwright/assets"
	"gaitwright/motion/workfile"
)

func TestRebase(t *testing.T) {
	d := open(t, assets.Demo)
	if err := d.Change("raise", func(f *workfile.File) { raised(f)[2]++ }); err != nil {
		t.Fatal(err)
	}
	mine := d.File()
	// Somebody else wrote another name and a comment.
	text := append([]byte("# theirs\n"), bytes.Replace(assets.Demo, []byte(`name = "`), []byte(`name = "other `), 1)...)
	theirs, err := workfile.Read("theirs", text)
	if err != nil {
		t.Fatal(err)
	}
	next := mine.Clone()
	next.Robot.Name = theirs.Robot.Name
	if err := d.Rebase("take over", next, theirs, text); err != nil {
		t.Fatal(err)
	}
	if !d.File().Equal(next) || !d.Dirty() || d.Saved() != theirs || !bytes.Equal(d.Base(), text) {
		t.Error("not taken over")
	}
	if out, err := d.Text(); err != nil || !bytes.HasPrefix(out, []byte("# theirs\n")) {
		t.Errorf("their comment is not kept: %v", err)
	}
	d.Undo()
	if !d.File().Equal(mine) || !d.Dirty() {
		t.Error("undo does not give mine back, or says it is saved")
	}
	d.Undo()
	if d.File().Equal(theirs) || !d.Dirty() {
		t.Error("undone to the start, the disk says something else: that is dirty")
	}
	d.Redo()
	d.Redo()
	// Only comments differ: no step.
	label, _ := d.CanUndo()
	again := append([]byte("# more\n"), text...)
	if err := d.Rebase("again", d.File(), theirs, again); err != nil {
		t.Fatal(err)
	}
	if l, _ := d.CanUndo(); l != label || l != "take over" {
		t.Errorf("a step %q for comments alone", l)
	}
	// What cannot be played is refused, and nothing changes.
	bad := d.File().Clone()
	bad.Sequence[1].Gait = "gallop"
	now := d.File()
	if err := d.Rebase("bad", bad, bad, nil); err == nil || d.File() != now || !bytes.Equal(d.Base(), again) {
		t.Errorf("taken: %v", err)
	}
}
