// SPDX-License-Identifier: MIT

package diskfile

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

func TestSave(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "robot.toml")
	for _, text := range []string{"one", "two"} {
		if err := Save(path, []byte(text)); err != nil {
			t.Fatal(err)
		}
		if got, err := os.ReadFile(path); err != nil || string(got) != text {
			t.Fatalf("got %q, %v", got, err)
		}
	}
	if all, _ := os.ReadDir(dir); len(all) != 1 {
		t.Errorf("other files are left: %v", all)
	}
	if runtime.GOOS == "windows" {
		return // permissions and links are another matter there
	}
	if i, _ := os.Stat(path); i.Mode().Perm() != newMode {
		t.Errorf("new file has permissions %v", i.Mode())
	}
	if err := os.Chmod(path, 0o640); err != nil {
		t.Fatal(err)
	}
	link := filepath.Join(dir, "link.toml")
	if err := os.Symlink("robot.toml", link); err != nil {
		t.Fatal(err)
	}
	if err := Save(link, []byte("three")); err != nil {
		t.Fatal(err)
	}
	if got, _ := os.ReadFile(path); string(got) != "three" {
		t.Errorf("the link's target has %q", got)
	}
	if i, _ := os.Lstat(link); i.Mode()&fs.ModeSymlink == 0 {
		t.Error("the link is gone")
	}
	if i, _ := os.Stat(path); i.Mode().Perm() != 0o640 {
		t.Errorf("permissions became %v", i.Mode())
	}
}

func TestSaveRefuses(t *testing.T) {
	dir := t.TempDir()
	locked := filepath.Join(dir, "locked.toml")
	if err := os.WriteFile(locked, []byte("old"), 0o444); err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		path, text string
		is         error
	}{
		{filepath.Join(dir, "none", "a.toml"), "make it, or save elsewhere", fs.ErrNotExist},
		{dir, "is a folder: name a file", nil},
		{locked, "read-only: allow writing, or save under another name", fs.ErrPermission},
		{filepath.Join(locked, "a.toml"), "save elsewhere", nil},
	} {
		err := Save(tt.path, []byte("new"))
		if err == nil || !strings.Contains(err.Error(), tt.text) || tt.is != nil && !errors.Is(err, tt.is) {
			t.Errorf("%s: got %v, want %s", tt.path, err, tt.text)
		}
	}
	if got, _ := os.ReadFile(locked); string(got) != "old" {
		t.Errorf("the locked file has %q", got)
	}
}
