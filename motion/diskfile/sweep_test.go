// SPDX-License-Identifier: MIT

package diskfile

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"
)

// Only old parts of the very file go.
func TestSweep(t *testing.T) {
	dir := t.TempDir()
	now := time.Now()
	gone := []string{".robot.toml.123.part", ".robot.toml.9.part"}
	stay := []string{"robot.toml", ".robot.toml.part", ".robot.toml.12x.part", ".other.toml.123.part", "robot.toml.123.part", ".robot.toml.77.part"}
	for _, n := range append(append([]string(nil), gone...), stay...) {
		p := filepath.Join(dir, n)
		if err := os.WriteFile(p, nil, 0o600); err != nil {
			t.Fatal(err)
		}
		at := now.Add(-time.Hour)
		if n == ".robot.toml.77.part" {
			at = now // still written
		}
		if err := os.Chtimes(p, at, at); err != nil {
			t.Fatal(err)
		}
	}
	Sweep(filepath.Join(dir, "robot.toml"), now)
	for _, n := range gone {
		if _, err := os.Stat(filepath.Join(dir, n)); !errors.Is(err, os.ErrNotExist) {
			t.Errorf("%s is still there", n)
		}
	}
	for _, n := range stay {
		if _, err := os.Stat(filepath.Join(dir, n)); err != nil {
			t.Errorf("%s: %v", n, err)
		}
	}
	Sweep(filepath.Join(dir, "none", "robot.toml"), now) // does no harm
}

// A write that fails leaves nothing behind and its own error.
func TestSaveFromFails(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "robot.toml")
	if err := Save(path, []byte("old")); err != nil {
		t.Fatal(err)
	}
	own := errors.New("own")
	err := SaveFrom(path, func(w io.Writer) error {
		w.Write(make([]byte, 1<<20))
		return own
	})
	if err != own {
		t.Errorf("got %v", err)
	}
	if got, _ := os.ReadFile(path); string(got) != "old" {
		t.Errorf("the file has %d bytes", len(got))
	}
	if all, _ := os.ReadDir(dir); len(all) != 1 {
		t.Errorf("left behind: %v", all)
	}
}

func TestSavePrivateAndLostTarget(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "mine")
	if err := SavePrivate(path, []byte("x")); err != nil {
		t.Fatal(err)
	}
	if runtime.GOOS == "windows" {
		return // permissions and links are another matter there
	}
	if i, _ := os.Stat(path); i.Mode().Perm() != 0o600 {
		t.Errorf("permissions %v", i.Mode())
	}
	// A link whose target is gone: the target comes back, the link stays.
	link := filepath.Join(dir, "link")
	if err := os.Symlink("target", link); err != nil {
		t.Fatal(err)
	}
	if err := Save(link, []byte("y")); err != nil {
		t.Fatal(err)
	}
	if i, _ := os.Lstat(link); i.Mode()&os.ModeSymlink == 0 {
		t.Error("the link is gone")
	}
	if got, _ := os.ReadFile(filepath.Join(dir, "target")); string(got) != "y" {
		t.Errorf("the target has %q", got)
	}
	// A link to itself is refused, not followed for ever.
	loop := filepath.Join(dir, "loop")
	if err := os.Symlink("loop", loop); err != nil {
		t.Fatal(err)
	}
	if err := Save(loop, []byte("z")); err == nil {
		t.Error("saved into a loop")
	}
}
