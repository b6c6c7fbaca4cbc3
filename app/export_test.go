// SPDX-License-Identifier: MIT

package app

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gioui.org/io/key"

	"gaitwright/assets"
	"gaitwright/motion/review"
)

// worked waits until the card for tables has worked out what is chosen.
func (r *rig) worked() {
	r.T.Helper()
	for range 2000 {
		r.Settle()
		if r.modal.kind != exportModal || r.modal.table.Ready() {
			return
		}
		time.Sleep(5 * time.Millisecond)
	}
	r.T.Fatalf("nothing comes of the choices")
}

// tablesTo types the folder into the card.
func (r *rig) tablesTo(dir string) {
	r.T.Helper()
	r.Click("Folder")
	r.Press("A", key.ModShortcut)
	r.Type(dir)
	r.Press(key.NameReturn, 0)
	r.worked()
}

// The way that the README takes: AVR C, 50 Hz as it stands, three files.
func TestExportAsInReadme(t *testing.T) {
	t.Chdir(t.TempDir())
	r := open(t, assets.Demo)
	r.Click("Table for the firmware")
	r.worked()
	r.Click("AVR C")
	r.worked()
	r.Click("Write the table")
	r.Frame()
	for _, name := range []string{"demo.h", "demo_pulse.c", "demo_angle.c"} {
		if _, err := os.Stat(filepath.Join("tables", name)); err != nil {
			t.Error(err)
		}
	}
	if want := "Wrote 1 table in 3 files to "; !strings.HasPrefix(r.notice.text, want) {
		t.Errorf("notice %q", r.notice.text)
	}
}

// What stops the motion is told in the card, and the card leads to it.
func TestExportGoesToStop(t *testing.T) {
	r := fault(t, "pulse-range")
	r.Press("E", key.ModShortcut)
	r.worked()
	all := r.texts()
	for _, s := range []string{"1 stop forbids running this on the robot", "pulse-range: The coxa of leg LF needs a pulse of"} {
		if !strings.Contains(all, s) {
			t.Errorf("the card does not say %q:\n%s", s, all)
		}
	}
	r.Click("Go to the first")
	r.Settle()
	f := r.doc.Result().Findings[r.at.Finding]
	if r.modal.open() || f.Level != review.Stop || r.at.Time != f.Worst || r.at.Leg != f.Leg {
		t.Errorf("open %v, at %+v for %+v", r.modal.open(), r.at, f)
	}
}
