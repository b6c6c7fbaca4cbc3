// SPDX-License-Identifier: MIT

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

func TestTestCommand(t *testing.T) {
	tests := []struct {
		name   string
		stream string
		goTest int // status of go test
		status int
		end    string // of the output
	}{
		{"all pass", passStream, 0, 0, "ok    m/ok  0.1s\n2 passed, 0 failed, 0 skipped\n"},
		{
			"one is skipped", passStream + skipStream, 0, 1,
			"\n\nSKIP  m/skip  TestA\nstart: a skipped test counts as a failure\n2 passed, 0 failed, 1 skipped\n",
		},
		{
			"one fails", failStream, 1, 1,
			"\n\nFAIL  m/bad  TestA\nFAIL  m/bad  TestA/x\nstart: there are failed tests\n1 passed, 2 failed, 0 skipped\n",
		},
		{"one does not build", buildStream, 1, 1, "\n\nFAIL  m/build  did not build\nstart: there are failed tests\n0 passed, 1 failed, 0 skipped\n"},
		{"none", noneStream, 0, 1, "\n\nstart: no test ran\n0 passed, 0 failed, 0 skipped\n"},
		{
			"go test fails though all pass", passStream, 2, 1,
			"go test -json -count=1 -timeout=20m ./...: ended with status 2, though no test failed\n\nstart: there are failed tests\n2 passed, 1 failed, 0 skipped\n",
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f := newFake(t)
			ready(f)
			f.prints["go test"] = tt.stream
			if tt.goTest != 0 {
				f.fails["go test"] = tt.goTest
			}
			wantStatus(t, f.start([]string{"test"}), tt.status)
			f.wantCalls(t, "go test -json -count=1 -timeout=20m ./...")
			if !strings.HasSuffix(f.out.String(), tt.end) {
				t.Errorf("printed:\n%s\nwant it to end:\n%s", &f.out, tt.end)
			}
			if f.errs.Len() > 0 {
				t.Errorf("after the summary came %q", &f.errs)
			}
			c := f.children[0]
			if c.dir != f.top {
				t.Errorf("tests run in %q, want %q", c.dir, f.top)
			}
			for _, want := range []string{"EGL_PLATFORM=surfaceless", "LIBGL_ALWAYS_SOFTWARE=1", "CGO_ENABLED=1"} {
				if !slices.Contains(c.env, want) {
					t.Errorf("tests run with %q, want %s", c.env, want)
				}
			}
		})
	}
}

func TestTestCommandInstallsBothLists(t *testing.T) {
	f := newFake(t)
	f.prints["go test"] = passStream
	wantStatus(t, f.start([]string{"test"}), 0)
	want := names(append(windowPackages(), testPackages()...))
	if !slices.Equal(f.installed, want) {
		t.Errorf("installed %q, want %q", f.installed, want)
	}
}

func TestTestCommandWithoutPackages(t *testing.T) {
	f := newFake(t)
	f.uid = 1000
	wantStatus(t, f.start([]string{"test"}), 1)
	f.wantCalls(t)
	wantText(t, "errors", &f.errs, "Run this line as root")
}

// sample is a module whose tests end in every way there is.
var sample = map[string]string{
	"go.mod":    "module sample\n\ngo 1.26.0\n",
	"none/a.go": "package none\n",
	"ok/a_test.go": `package ok

import (
	"fmt"
	"testing"
)

func TestA(t *testing.T) { t.Run("x", func(t *testing.T) { fmt.Print("no newline") }) }

func Example() {
	fmt.Println("hi")
	// Output: hi
}

func FuzzA(f *testing.F) {
	f.Add(1)
	f.Fuzz(func(t *testing.T, i int) {})
}

func BenchmarkA(b *testing.B) { b.Fatal("benchmarks must not run") }
`,
	"skip/a_test.go":  "package skip\n\nimport \"testing\"\n\nfunc TestA(t *testing.T) { t.Skip(\"no display\") }\n",
	"bad/a_test.go":   "package bad\n\nimport \"testing\"\n\nfunc TestA(t *testing.T) { t.Parallel(); t.Error(\"got 1, want 2\") }\n",
	"panic/a_test.go": "package panic_\n\nimport \"testing\"\n\nfunc TestA(t *testing.T) { panic(\"boom\") }\n",
	"quit/a_test.go":  "package quit\n\nimport (\n\t\"os\"\n\t\"testing\"\n)\n\nfunc TestA(t *testing.T) { os.Exit(3) }\n",
	"build/a_test.go": "package build\n\nimport \"testing\"\n\nfunc TestA(t *testing.T) { x := 1 }\n",
	"vet/a_test.go":   "package vet\n\nimport \"testing\"\n\nfunc TestA(t *testing.T) { t.Logf(\"%d\", \"x\") }\n",
}

// The go command itself is the reference here: its own stream, its own statuses.
func TestRealGoTest(t *testing.T) {
	tests := []struct {
		name    string
		folders []string
		status  int
		out     []string
		summary string
	}{
		// TestA, TestA/x, Example, FuzzA and the one input of its corpus.
		{"pass", []string{"ok", "none"}, 0, []string{"ok    sample/ok ", "none  sample/none "}, "5 passed, 0 failed, 0 skipped"},
		{"skip", []string{"ok", "skip"}, 1, []string{"--- SKIP: TestA", "no display"}, "5 passed, 0 failed, 1 skipped"},
		{"none", []string{"none"}, 1, []string{"no test ran"}, "0 passed, 0 failed, 0 skipped"},
		{
			"fail", []string{"ok", "skip", "bad", "panic", "quit", "build", "vet", "none"}, 1,
			[]string{
				"got 1, want 2", "panic: boom", "--- FAIL: TestA (did not finish)", "declared and not used: x",
				"FAIL  sample/build  did not build", "FAIL  sample/vet  did not build", "format %d has arg \"x\" of wrong type",
			},
			"5 passed, 5 failed, 1 skipped",
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			top := t.TempDir()
			for _, folder := range append(tt.folders, "go.mod") {
				for name, text := range sample {
					if name != folder && filepath.Dir(name) != folder {
						continue
					}
					path := filepath.Join(top, filepath.FromSlash(name))
					if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
						t.Fatal(err)
					}
					if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
						t.Fatal(err)
					}
				}
			}
			t.Chdir(top)
			f := newFake(t)
			f.goos = "windows" // nothing to install or to set
			f.run = runCommand
			wantStatus(t, f.start([]string{"test"}), tt.status)
			wantText(t, "output", &f.out, tt.out...)
			if !strings.HasSuffix(f.out.String(), "\n"+tt.summary+"\n") {
				t.Errorf("printed:\n%s\nwant the last line %q", &f.out, tt.summary)
			}
		})
	}
}

func TestRunCommand(t *testing.T) {
	f := newFake(t)
	f.run = runCommand
	out, err := f.output("go", "env", "GOOS")
	if err != nil || strings.TrimSpace(out) == "" {
		t.Errorf("go env GOOS: %q, %v", out, err)
	}
	// go(1) ends with status 2 on an unknown command.
	if err := runCommand(command{argv: []string{"go", "no-such-command"}}); err != exitStatus(2) {
		t.Errorf("go no-such-command: %v, want status 2", err)
	}
	if err := runCommand(command{argv: []string{filepath.Join(t.TempDir(), "absent")}}); err == nil {
		t.Error("an absent program ran")
	}
	var got strings.Builder
	err = runCommand(command{argv: []string{"go", "env", "GOFLAGS"}, env: []string{"GOFLAGS=-tags=sample"}, stdout: &got})
	if err != nil || strings.TrimSpace(got.String()) != "-tags=sample" {
		t.Errorf("with a variable set: %q, %v", got.String(), err)
	}
}

// This program is the first to run on a fresh machine, so it may need nothing but the standard
// library, on no system.
func TestStandardLibraryOnly(t *testing.T) {
	for _, goos := range []string{"linux", "darwin", "windows"} {
		cmd := exec.Command("go", "list", "-deps", "-f", "{{if not .Standard}}{{.ImportPath}}{{end}}", ".")
		cmd.Env = append(os.Environ(), "GOOS="+goos, "CGO_ENABLED=0")
		out, err := cmd.CombinedOutput()
		if err != nil {
			t.Fatalf("go list on %s: %v\n%s", goos, err, out)
		}
		if got, want := strings.Fields(string(out)), []string{"gaitwright/cmd/start"}; !slices.Equal(got, want) {
			t.Errorf("on %s it needs %q, want %q", goos, got, want)
		}
	}
}
