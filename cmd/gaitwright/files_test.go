// SPDX-License-Identifier: MIT

package main

import (
	"errors"
	"image"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"gaitwright/assets"
)

func TestNew(t *testing.T) {
	path := filepath.Join(t.TempDir(), "mine.toml")
	if out := fine(t, "new", path); !strings.Contains(out, path) || !strings.Contains(out, "gaitwright check") {
		t.Errorf("told %q", out)
	}
	text, err := os.ReadFile(path)
	if err != nil || string(text) != string(assets.New) || !strings.Contains(string(text), "#") {
		t.Errorf("%v: wrote %q", err, text)
	}
	fine(t, "check", path)

	if err := os.WriteFile(path, []byte("precious"), 0o644); err != nil {
		t.Fatal(err)
	}
	if r := call("new", path); r.code != exitUnable || !strings.Contains(r.errout, path) {
		t.Errorf("over another file: status %d, %q", r.code, r.errout)
	}
	if text, err := os.ReadFile(path); err != nil || string(text) != "precious" {
		t.Errorf("%v: the other file is now %q", err, text)
	}
	if r := call("new", filepath.Join(path, "below")); r.code != exitUnable || r.errout == "" {
		t.Errorf("below a file: status %d, %q", r.code, r.errout)
	}
}

func TestPicture(t *testing.T) {
	path := filepath.Join(t.TempDir(), "p.png")
	o := newOutside()
	if code := run([]string{"picture", "--at", "1.5", "--size", "64x48", "--out", path}, &o.env); code != exitFine || o.errout.Len() > 0 {
		t.Fatalf("status %d: %s", code, &o.errout)
	}
	if o.at != 1.5 || o.file != "" || string(o.src) != string(assets.Demo) {
		t.Errorf("drew %q at %v s", o.file, o.at)
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	m, err := png.Decode(f)
	if err != nil || m.Bounds().Size() != image.Pt(64, 48) {
		t.Errorf("%v: picture of %v", err, m.Bounds())
	}
	if r, _, _, _ := m.At(63, 47).RGBA(); r != 0xffff {
		t.Error("the picture is another one")
	}
	o = newOutside()
	o.fault = errNoScreen
	other := filepath.Join(t.TempDir(), "q.png")
	if code := run([]string{"picture", "--out", other}, &o.env); code != exitUnable || !strings.Contains(o.errout.String(), errNoScreen.Error()) {
		t.Errorf("no renderer: status %d, %s", code, &o.errout)
	}
	if _, err := os.Stat(other); err == nil {
		t.Error("a picture was written all the same")
	}
}

func TestSave(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "f.txt")
	text := func(s string) func(io.Writer) error {
		return func(w io.Writer) error { _, err := io.WriteString(w, s); return err }
	}
	holds := func(want string) {
		t.Helper()
		if got, err := os.ReadFile(path); err != nil || string(got) != want {
			t.Errorf("%v: the file holds %q, want %q", err, got, want)
		}
	}
	if err := save(path, text("one")); err != nil {
		t.Fatal(err)
	}
	holds("one")
	if s, err := os.Stat(path); runtime.GOOS != "windows" && (err != nil || s.Mode().Perm() != 0o644) {
		t.Errorf("%v: mode %v", err, s.Mode())
	}
	if err := save(path, text("two")); err != nil {
		t.Fatal(err)
	}
	holds("two")

	// A writer that fails half way leaves the old file and no other.
	broken := errors.New("broken")
	err := save(path, func(w io.Writer) error {
		if _, err := io.WriteString(w, strings.Repeat("x", 1<<20)); err != nil {
			return err
		}
		return broken
	})
	if !errors.Is(err, broken) {
		t.Errorf("got %v, want %v", err, broken)
	}
	holds("two")
	if all, err := os.ReadDir(dir); err != nil || len(all) != 1 {
		t.Errorf("%v: left behind %v", err, all)
	}

	if runtime.GOOS != "windows" { // links and devices
		link := filepath.Join(dir, "link")
		if err := os.Symlink(path, link); err != nil {
			t.Fatal(err)
		}
		if err := save(link, text("three")); err != nil {
			t.Fatal(err)
		}
		holds("three")
		if s, err := os.Lstat(link); err != nil || s.Mode()&os.ModeSymlink == 0 {
			t.Errorf("%v: the link is now %v", err, s.Mode())
		}
		if err := save(os.DevNull, text("gone")); err != nil {
			t.Error(err)
		}
		if s, err := os.Stat(os.DevNull); err != nil || s.Mode()&os.ModeDevice == 0 {
			t.Errorf("%v: the null device is now %v", err, s.Mode())
		}
	}
	if err := save(dir, text("x")); err == nil || !strings.Contains(err.Error(), "folder") {
		t.Errorf("into a folder: %v", err)
	}
}

func TestIsTerminal(t *testing.T) {
	null, err := os.Open(os.DevNull)
	if err != nil {
		t.Fatal(err)
	}
	defer null.Close()
	file, err := os.Create(filepath.Join(t.TempDir(), "f"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	if isTerminal(null) || isTerminal(file) {
		t.Error("neither the null device nor a file is a terminal")
	}
}

// A folder that is not there is named, and not the temporary file in it.
func TestOutWithoutFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "none")
	r := call("trace", "--rate", "5", "--out", filepath.Join(dir, "t.csv"))
	if r.code != exitUnable || !strings.Contains(r.errout, "there is no folder "+dir+":") || strings.Contains(r.errout, "temp") {
		t.Errorf("status %d, %q", r.code, r.errout)
	}
}
