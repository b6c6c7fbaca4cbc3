// SPDX-License-Identifier: MIT

package kin

import (
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// depends lists every package of the module that pattern matches with all it
// depends on, tests apart. A pattern that matches nothing yet gives none.
func depends(t *testing.T, patterns ...string) map[string][]string {
	t.Helper()
	args := append([]string{"list", "-e", "-f", `{{.ImportPath}} {{join .Deps " "}}`}, patterns...)
	cmd := exec.Command("go", args...)
	cmd.Dir = ".."
	var complaint strings.Builder
	cmd.Stderr = &complaint
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v\n%s", err, complaint.String())
	}
	deps := map[string][]string{}
	for line := range strings.Lines(string(out)) {
		if f := strings.Fields(line); len(f) > 0 {
			deps[f[0]] = f[1:]
		}
	}
	return deps
}

// The core knows nothing of windows and needs no C compiler.
func TestCoreDependsOnNoWindow(t *testing.T) {
	deps := depends(t, "./kin/...", "./motion/...")
	if len(deps) < 4 || !slices.Contains(deps["gaitwright/kin"], "gonum.org/v1/gonum/spatial/r3") {
		t.Fatalf("go list sees too little: %v", deps)
	}
	for pkg, list := range deps {
		for _, d := range list {
			if d == "gioui.org" || strings.HasPrefix(d, "gioui.org/") {
				t.Errorf("%s depends on %s", pkg, d)
			}
			if d == "C" || d == "runtime/cgo" {
				t.Errorf("%s depends on cgo", pkg)
			}
		}
	}
}

// Only the program opens a window, so that all else is tested without one.
func TestOnlyTheProgramOpensWindows(t *testing.T) {
	deps := depends(t, "./...")
	if len(deps) < 4 {
		t.Fatalf("go list sees too little: %v", deps)
	}
	for pkg, list := range deps {
		if pkg != "gaitwright/cmd/gaitwright" && slices.Contains(list, "gioui.org/app") {
			t.Errorf("%s depends on gioui.org/app", pkg)
		}
	}
}
