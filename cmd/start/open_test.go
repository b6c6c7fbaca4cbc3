// SPDX-License-Identifier: MIT

package main

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// ready gives f every package, and a program that reviews a demo of 10.0005 s.
func ready(f *fakeMachine) {
	f.installed = names(append(windowPackages(), testPackages()...))
	f.prints[f.program()+" check"] = "nothing to find\n"
	f.run = func(c command) error {
		if shellLine(c.argv) == f.program()+" check --json" {
			delete(f.prints, f.program()+" check")
			f.prints[f.program()+" check --json"] = `{"file":"demo","duration_s":10.0005,"findings":[]}`
		}
		return f.answer(c)
	}
}

func buildLine(f *fakeMachine) string {
	return "go build -buildvcs=false -o PROGRAM ./cmd/gaitwright"
}

func TestOpenWindow(t *testing.T) {
	tests := []struct {
		name string
		set  func(f *fakeMachine)
		args []string
		last string
	}{
		{"X11", func(f *fakeMachine) { f.vars["DISPLAY"] = ":0" }, nil, "PROGRAM"},
		{"Wayland", func(f *fakeMachine) { f.vars["WAYLAND_DISPLAY"] = "wayland-0" }, nil, "PROGRAM"},
		{"macOS", func(f *fakeMachine) { f.goos = "darwin" }, nil, "PROGRAM"},
		{"nothing to hand on", func(f *fakeMachine) { f.goos = "darwin" }, []string{"--"}, "PROGRAM"},
		{"a file", func(f *fakeMachine) { f.vars["DISPLAY"] = ":0" }, []string{"--", "my robot.toml"}, "PROGRAM 'my robot.toml'"},
		{"a command, no display", func(f *fakeMachine) {}, []string{"--", "describe", "a.toml"}, "PROGRAM describe a.toml"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f := newFake(t)
			ready(f)
			tt.set(f)
			wantStatus(t, f.start(tt.args), 0)
			f.wantCalls(t, buildLine(f), tt.last)
			build, run := f.children[0], f.children[1]
			if build.dir != f.top {
				t.Errorf("built in %q, want %q", build.dir, f.top)
			}
			if !slices.Contains(build.env, "CGO_ENABLED=1") {
				t.Errorf("build has %q, want cgo on", build.env)
			}
			if run.stdin == nil || len(run.env) > 0 {
				t.Errorf("the program is cut off from standard input or has a changed environment: %q", run.env)
			}
		})
	}
}

func TestOpenOnWindows(t *testing.T) {
	f := newFake(t)
	f.goos, f.uid = "windows", -1
	wantStatus(t, f.start(nil), 0)
	f.wantCalls(t, "go build -buildvcs=false -o PROGRAM.exe ./cmd/gaitwright", "PROGRAM.exe")
	if env := f.children[0].env; len(env) > 0 {
		t.Errorf("build has %q, want nothing set", env)
	}
}

func TestNothingIsBuiltInTheCheckout(t *testing.T) {
	f := newFake(t)
	ready(f)
	wantStatus(t, f.start(nil), 0)
	entries, err := os.ReadDir(f.top)
	if err != nil {
		t.Fatal(err)
	}
	if len(entries) > 0 {
		t.Errorf("the checkout has new entries: %v", entries)
	}
	for _, line := range f.calls {
		if strings.Contains(line, f.top) {
			t.Errorf("%s writes to the checkout", line)
		}
	}
}

func TestWithoutDisplay(t *testing.T) {
	f := newFake(t)
	ready(f)
	wantStatus(t, f.start(nil), 0)
	folder := filepath.Join(f.cache, "gaitwright", "pictures")
	picture := func(at, name string) string {
		return "PROGRAM picture --at " + at + " --size 1280x800 --out " + filepath.Join(folder, name)
	}
	f.wantCalls(t, buildLine(f), "PROGRAM check", "PROGRAM check --json",
		picture("0.000", "1-start.png"),
		picture("2.500", "2-quarter.png"),
		picture("5.000", "3-half.png"),
		picture("7.500", "4-three-quarters.png"),
		picture("10.000", "5-end.png"), // not 10.001: that is past the end
	)
	wantText(t, "output", &f.out, "There is no display", "nothing to find\n", "status 0", "in "+folder+":\n", "5-end.png              at 10.000 s\n")
	for _, c := range f.children[3:] {
		if !slices.Contains(c.env, "EGL_PLATFORM=surfaceless") {
			t.Errorf("%s has %q, want drawing off screen", shellLine(c.argv), c.env)
		}
	}
}

func TestWithoutDisplayTellsTheReview(t *testing.T) {
	for _, tt := range []struct {
		name   string
		set    func(f *fakeMachine)
		status int
		calls  int
		out    string // piece of the output
		err    string // piece of the errors
	}{
		{"something stops the demo", func(f *fakeMachine) { f.fails[f.program()+" check"] = 1 }, 1, 8, "status 1", "review of the demo"},
		{"the demo cannot be read", func(f *fakeMachine) { f.fails[f.program()+" check"] = 2 }, 2, 2, "", "check: ended with status 2"},
		{"no picture", func(f *fakeMachine) { f.fails[f.program()+" picture"] = 3 }, 3, 4, "", "picture --at 0.000"},
		{"a signal ends the review", func(f *fakeMachine) { f.fails[f.program()+" check"] = -1 }, 1, 2, "", "signal"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			f := newFake(t)
			ready(f)
			tt.set(f)
			wantStatus(t, f.start(nil), tt.status)
			if len(f.calls) != tt.calls {
				t.Errorf("%d commands run, want %d:\n%s", len(f.calls), tt.calls, strings.Join(f.calls, "\n"))
			}
			wantText(t, "output", &f.out, tt.out)
			wantText(t, "errors", &f.errs, tt.err)
		})
	}
}

func TestDemoDurationRefusesNonsense(t *testing.T) {
	for _, text := range []string{"", "nothing to find", "{}", `{"duration_s":null}`, `{"duration_s":-1}`, `{"duration_s":"4"}`} {
		f := newFake(t)
		f.prints["p check --json"] = text
		if d, err := f.demoDuration("p"); err == nil {
			t.Errorf("%q gave %v, want an error", text, d)
		}
	}
}

func TestOpenStopsEarly(t *testing.T) {
	t.Run("outside the checkout", func(t *testing.T) {
		f := newFake(t)
		f.run = func(c command) error {
			_, err := c.stdout.Write([]byte(os.DevNull + "\n")) // what go env GOMOD prints outside a module
			return err
		}
		wantStatus(t, f.start(nil), 1)
		wantText(t, "errors", &f.errs, "not inside the Gaitwright checkout")
	})
	t.Run("no cache folder", func(t *testing.T) {
		f := newFake(t)
		f.cacheDir = func() (string, error) { return "", errDisk }
		wantStatus(t, f.start(nil), 1)
		f.wantCalls(t)
		wantText(t, "errors", &f.errs, "start: no folder to build in: disk full")
	})
	t.Run("packages cannot be installed", func(t *testing.T) {
		f := newFake(t)
		f.uid = 1000
		wantStatus(t, f.start(nil), 1)
		f.wantCalls(t)
		wantText(t, "errors", &f.errs, "Run this line as root")
	})
	t.Run("the build fails", func(t *testing.T) {
		f := newFake(t)
		ready(f)
		f.fails["go build"] = 1
		wantStatus(t, f.start(nil), 1)
		f.wantCalls(t, buildLine(f))
		wantText(t, "errors", &f.errs, "start: go build")
	})
	t.Run("the program fails", func(t *testing.T) {
		f := newFake(t)
		ready(f)
		f.fails[f.program()+" nonsense"] = 2
		wantStatus(t, f.start([]string{"--", "nonsense"}), 2)
	})
}

func TestCommandLine(t *testing.T) {
	for _, args := range [][]string{{"tests"}, {"test", "./kin"}, {"demo.toml"}, {"-x"}} {
		f := newFake(t)
		wantStatus(t, f.start(args), 2)
		f.wantCalls(t)
		wantText(t, "errors", &f.errs, "cannot make sense of", "Usage:")
	}
	f := newFake(t)
	wantStatus(t, f.start([]string{"--help"}), 0)
	f.wantCalls(t)
	if f.out.String() != usage {
		t.Errorf("help printed %q", &f.out)
	}
}
