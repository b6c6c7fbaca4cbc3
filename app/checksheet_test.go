// SPDX-License-Identifier: MIT

package app

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gioui.org/io/key"

	"gaitwright/assets"
	"gaitwright/motion/workfile"
)

// The page about channels leads to a page to print, and the search does.
func TestCheckSheet(t *testing.T) {
	dir := t.TempDir()
	write := func(r *rig, name string) {
		t.Helper()
		if r.modal.kind != fileModal {
			t.Fatalf("no place is asked for: card %d", r.modal.kind)
		}
		for _, x := range [...][2]string{{"Folder", dir}, {"Name", name}} {
			r.Click(x[0])
			r.Press("A", key.ModShortcut)
			r.Type(x[1])
			r.Press(key.NameReturn, 0)
			r.Frame()
		}
		for range 3 {
			r.Frame()
		}
		text, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil || !strings.Contains(string(text), "Check sheet of stage drummer") || strings.Count(string(text), "<tr>") != 19 {
			t.Errorf("%v, %.300s", err, text)
		}
		if !strings.Contains(r.notice.text, name) {
			t.Errorf("notice %q", r.notice.text)
		}
	}
	r := open(t, assets.Demo)
	r.shapes.Value = shapeRobot
	r.Settle()
	r.Click("channels")
	r.Settle()
	list := r.spot("channels")
	list.Y += 150
	for range 40 { // the button stands below the last joint
		if _, ok := r.Find("Check sheet"); ok {
			break
		}
		r.Scroll(list, 400, 0)
		r.Settle()
	}
	r.Click("Check sheet")
	r.Settle()
	write(r, "a.html")

	r = open(t, assets.Demo)
	r.Press("/", 0)
	r.Settle()
	r.Type("calibration print")
	r.Press(key.NameReturn, 0)
	r.Settle()
	write(r, "b.html")

	// A robot with a joint on no channel has none, and it is said why.
	f, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	f.Legs[0].Femur.Channel = nil
	text, err := f.Encode()
	if err != nil {
		t.Fatal(err)
	}
	r = open(t, text)
	r.act("check sheet").do()
	r.Settle()
	if r.modal.kind != tellModal || !strings.Contains(r.modal.text, "LF femur") {
		t.Errorf("card %d, %q", r.modal.kind, r.modal.text)
	}
}
