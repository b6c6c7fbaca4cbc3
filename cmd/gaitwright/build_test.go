// SPDX-License-Identifier: MIT

package main

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// The build without a window needs no C, checks the demo, and says what it
// cannot do.
func TestHeadlessBuild(t *testing.T) {
	program := filepath.Join(t.TempDir(), "gaitwright")
	if runtime.GOOS == "windows" {
		program += ".exe"
	}
	build := exec.Command("go", "build", "-buildvcs=false", "-tags", "headless", "-o", program, ".")
	build.Env = append(os.Environ(), "CGO_ENABLED=0")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	out, err := exec.Command(program, "check").CombinedOutput()
	if err != nil || !strings.HasPrefix(string(out), "no stop found") {
		t.Errorf("check: %v\n%s", err, out)
	}
	for _, args := range [][]string{nil, {"picture", "--out", filepath.Join(t.TempDir(), "p.png")}} {
		out, err := exec.Command(program, args...).CombinedOutput()
		var exit *exec.ExitError
		if !errors.As(err, &exit) || exit.ExitCode() != exitUnable || !strings.Contains(string(out), "without -tags headless") {
			t.Errorf("%v: %v\n%s", args, err, out)
		}
	}
}

// deps lists what packages import, directly or not, tests left out.
func deps(t *testing.T, args ...string) []string {
	t.Helper()
	out, err := exec.Command("go", append([]string{"list", "-deps"}, args...)...).Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	return strings.Fields(string(out))
}

// The mechanics know nothing of the window, and what the window shows nothing
// of the window system.
func TestRooms(t *testing.T) {
	for _, c := range []struct {
		name   string
		args   []string
		banned []string
	}{
		{"mechanics", []string{"gaitwright/kin/...", "gaitwright/motion/...", "gaitwright/assets"}, []string{"gioui.org", "gaitwright/app", "gaitwright/cmd", "C", "runtime/cgo"}},
		{"what the window shows", []string{"-tags", "headless", "gaitwright/app/..."}, []string{"gioui.org/app", "gaitwright/cmd"}},
		{"command line", []string{"-tags", "headless", "gaitwright/cmd/gaitwright"}, []string{"gioui.org/app", "gioui.org/gpu/headless"}},
	} {
		for _, p := range deps(t, c.args...) {
			for _, b := range c.banned {
				if p == b || strings.HasPrefix(p, b+"/") {
					t.Errorf("%s imports %s", c.name, p)
				}
			}
		}
	}
}
