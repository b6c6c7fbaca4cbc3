// SPDX-License-Identifier: MIT

package table

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func listed(t *testing.T, dir string) string {
	t.Helper()
	var all []string
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			b, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			rel, _ := filepath.Rel(dir, path)
			all = append(all, filepath.ToSlash(rel)+"="+string(b))
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return strings.Join(all, " ")
}

func TestWriteAllOrNone(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "a", "b")
	files := []File{{"one.c", []byte("1")}, {"sub/two.c", []byte("2")}}
	paths, err := Write(dir, files)
	if err != nil || len(paths) != 2 || listed(t, dir) != "one.c=1 sub/two.c=2" {
		t.Fatalf("%v, %v: %s", paths, err, listed(t, dir))
	}
	files[0].Data = []byte("3")
	if _, err := Write(dir, files); err != nil || listed(t, dir) != "one.c=3 sub/two.c=2" {
		t.Fatalf("again: %v, %s", err, listed(t, dir))
	}

	// A folder where the last file should be: nothing changes.
	if err := os.Mkdir(filepath.Join(dir, "z.c"), 0o755); err != nil {
		t.Fatal(err)
	}
	bad := []File{{"one.c", []byte("4")}, {"new.c", []byte("5")}, {"z.c", []byte("6")}}
	if paths, err := Write(dir, bad); err == nil || paths != nil || !strings.Contains(err.Error(), "z.c") {
		t.Errorf("over a folder: %v, %v", paths, err)
	}
	if got := listed(t, dir); got != "one.c=3 sub/two.c=2" {
		t.Errorf("after a failure: %s", got)
	}
	// A file where a subfolder should be: found only while moving.
	bad = []File{{"one.c", []byte("4")}, {"new.c", []byte("5")}, {"one.c/deep.c", []byte("6")}}
	if _, err := Write(dir, bad); err == nil {
		t.Error("a file as a folder: no error")
	}
	if got := listed(t, dir); got != "one.c=3 sub/two.c=2" {
		t.Errorf("after a failure in the midst: %s", got)
	}
	// A folder that was made for nothing goes again.
	fresh := filepath.Join(t.TempDir(), "x", "y")
	if _, err := Write(fresh, []File{{"a.c", nil}, {"a.c/b.c", nil}}); err == nil {
		t.Error("a file as a folder: no error")
	}
	if _, err := os.Stat(filepath.Dir(fresh)); err == nil {
		t.Error("the folder is left")
	}
}
