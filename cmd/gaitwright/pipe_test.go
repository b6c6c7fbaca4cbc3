// SPDX-License-Identifier: MIT

//go:build unix

package main

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"gaitwright/assets"
)

// A named pipe is read like a file; one that nothing writes to is refused
// instead of waited for.
func TestPipe(t *testing.T) {
	path := filepath.Join(t.TempDir(), "pipe.toml")
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		t.Fatal(err)
	}
	if r := call("check", path); r.code != exitUnable || !strings.Contains(r.errout, path) || !strings.Contains(r.errout, "nothing writes to") {
		t.Errorf("no writer: status %d, %q", r.code, r.errout)
	}
	path = filepath.Join(t.TempDir(), "other.toml") // the first one still has a reader waiting
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		t.Fatal(err)
	}
	done := make(chan error, 1)
	go func() { done <- os.WriteFile(path, assets.New, 0) }()
	if r := call("check", path); r.code != exitFine {
		t.Errorf("with a writer: status %d, %q", r.code, r.errout)
	}
	if err := <-done; err != nil {
		t.Error(err)
	}
}

// A log may be a pipe; one that nothing writes to is not waited for.
func TestPipeOfALog(t *testing.T) {
	path := filepath.Join(t.TempDir(), "log")
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		t.Fatal(err)
	}
	if r := call("compare", "../../assets/walker.toml", path); r.code != exitUnable || !strings.Contains(r.errout, "nothing writes to") {
		t.Errorf("status %d, %q", r.code, r.errout)
	}
}
