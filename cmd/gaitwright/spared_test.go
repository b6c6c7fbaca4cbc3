// SPDX-License-Identifier: MIT

package main

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gaitwright/assets"
)

// TestSpared: no option lets a command write over the workfile that it reads,
// whatever the file is called by.
func TestSpared(t *testing.T) {
	path := place(t, "robot.toml", assets.Walker)
	link := filepath.Join(filepath.Dir(path), "other.html")
	if err := os.Symlink(path, link); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{
		{"sheet", path, "--out", path},
		{"sheet", path, "--out", link},
		{"link", path, "--port", "x", "--log", path},
	} {
		if r := call(args...); r.code != exitUnable || !strings.Contains(r.errout, "would write over") {
			t.Errorf("%v: status %d, %s", args, r.code, r.errout)
		}
	}
	if text, err := os.ReadFile(path); err != nil || !bytes.Equal(text, assets.Walker) {
		t.Errorf("the workfile is another one (%v)", err)
	}
	fine(t, "sheet", path, "--out", filepath.Join(filepath.Dir(path), "sheet.html"))
}

// shut is an output that takes nothing.
type shut struct{}

func (shut) Write([]byte) (int, error) { return 0, errors.New("no space left") }

// TestOutputThatCannotBeWritten: what was asked for and cannot be written is a
// failure.
func TestOutputThatCannotBeWritten(t *testing.T) {
	for _, args := range [][]string{{"size", "--rate", "50"}, {"link"}, {"gaits"}, {"sheet"}} {
		o := newOutside()
		o.stdout = shut{}
		o.ports = func() ([]string, error) { return []string{"/dev/a"}, nil }
		if code := run(args, &o.env); code != exitUnable || !strings.Contains(o.errout.String(), "no space left") {
			t.Errorf("%v: status %d, %s", args, code, o.errout.String())
		}
	}
}
