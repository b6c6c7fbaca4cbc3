// SPDX-License-Identifier: MIT

package document

import (
	"errors"
	"path/filepath"
	"testing"

	"gaitwright/assets"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/workfile"
)

// Another file shows in place of the document's own, which is what is saved,
// and which nothing can change meanwhile.
func TestShowAs(t *testing.T) {
	d, err := Open("", "demo", assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	own, whole := d.File(), d.Result()
	other := own.Clone()
	other.Robot.Name = "another"
	r, err := rehearsal.Run(other, rehearsal.Options{Rate: 20})
	if err != nil {
		t.Fatal(err)
	}
	serial := d.Serial()
	d.ShowAs(other, r)
	if d.File() != other || d.Result() != r || !d.Showing() || d.Own() != own || d.Dirty() || d.Serial() == serial {
		t.Errorf("shows %q, own %q, dirty %v", d.File().Robot.Name, d.Own().Robot.Name, d.Dirty())
	}
	if err := d.Change("name", func(f *workfile.File) { f.Robot.Name = "x" }); !errors.Is(err, ErrShowing) {
		t.Errorf("a change: %v", err)
	}
	path := filepath.Join(t.TempDir(), "x.toml")
	if err := d.Save(path); err != nil {
		t.Fatal(err)
	}
	text, _ := d.Text()
	if f, err := workfile.Read("x", text); err != nil || !f.Equal(own) {
		t.Errorf("something else was saved: %v", err)
	}
	d.Show(nil)
	if d.File() != own || d.Result() != whole || d.Showing() || d.Err() != nil {
		t.Error("the file does not show again")
	}
	d.ShowAs(other, nil)
	if d.File() != own || d.Showing() {
		t.Error("nothing shows as something")
	}
}
