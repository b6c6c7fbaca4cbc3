// SPDX-License-Identifier: MIT

package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// fakeMachine stands in for a computer: it keeps a set of installed packages and answers commands as
// the real programs do, but runs none.
type fakeMachine struct {
	machine
	out, errs  bytes.Buffer
	programs   []string          // on the path
	vars       map[string]string // environment
	installed  []string
	hasLists   bool              // apt has package lists
	staleLists bool              // they name files that are gone
	fails      map[string]int    // status by the start of the command line
	prints     map[string]string // standard output by the start of the command line
	askless    bool              // sudo wants no password
	calls      []string          // every command line, questions to the system left out
	children   []command         // the commands of calls
	top, cache string
}

const (
	debian = "PRETTY_NAME=\"Debian GNU/Linux 12 (bookworm)\"\nNAME=\"Debian GNU/Linux\"\nID=debian\n"
	ubuntu = "NAME=\"Ubuntu\"\nID=ubuntu\nID_LIKE=debian\n"
	fedora = "NAME=\"Fedora Linux\"\nID=fedora\n"
)

// newFake returns a Debian machine of root's, without a display, that lacks every package.
func newFake(t *testing.T) *fakeMachine {
	t.Helper()
	f := &fakeMachine{
		programs: []string{"go", "dpkg", "dpkg-query", "apt-get"},
		vars:     map[string]string{},
		hasLists: true,
		fails:    map[string]int{},
		prints:   map[string]string{},
		top:      t.TempDir(),
		cache:    t.TempDir(),
	}
	seconds := int64(0)
	f.machine = machine{
		goos:      "linux",
		env:       func(key string) string { return f.vars[key] },
		osRelease: debian,
		terminal:  func() bool { return false },
		find: func(program string) (string, error) {
			if !slices.Contains(f.programs, program) {
				return "", fmt.Errorf("no %s", program)
			}
			return "/usr/bin/" + program, nil
		},
		run:      f.answer,
		cacheDir: func() (string, error) { return f.cache, nil },
		now: func() time.Time {
			seconds += 7
			return time.Unix(seconds, 0)
		},
		stdin:  strings.NewReader(""),
		stdout: &f.out,
		stderr: &f.errs,
	}
	return f
}

// program is where the built program lies on the made-up machine.
func (f *fakeMachine) program() string { return filepath.Join(f.cache, "gaitwright", "gaitwright") }

// answer plays the part of runCommand.
func (f *fakeMachine) answer(c command) error {
	line := shellLine(c.argv)
	reply := func(format string, args ...any) {
		if c.stdout != nil {
			fmt.Fprintf(c.stdout, format, args...)
		}
	}
	switch {
	case line == "go env GOMOD":
		reply("%s\n", filepath.Join(f.top, "go.mod"))
		return nil
	case line == "dpkg --print-architecture":
		reply("amd64\n")
		return nil
	case c.argv[0] == "dpkg-query":
		for _, name := range f.installed {
			reply("installed\tamd64\t%s\t\n", name)
		}
		return nil
	}

	f.calls = append(f.calls, line)
	f.children = append(f.children, c)
	for start, text := range f.prints {
		if strings.HasPrefix(line, start) {
			reply("%s", text)
		}
	}
	for start, status := range f.fails {
		if strings.HasPrefix(line, start) {
			return exitStatus(status)
		}
	}
	switch {
	case line == "sudo -n true":
		if !f.askless {
			return exitStatus(1)
		}
	case strings.Contains(line, "apt-get update"):
		f.hasLists, f.staleLists = true, false
	case strings.Contains(line, "--simulate"):
		if !f.hasLists {
			return exitStatus(100)
		}
	case strings.Contains(line, "apt-get install"):
		if !f.hasLists || f.staleLists {
			io.WriteString(c.stderr, "E: Failed to fetch http://deb.example.org/x.deb  404  Not Found\n")
			return exitStatus(100)
		}
		for _, word := range c.argv {
			if slices.Contains(names(append(windowPackages(), testPackages()...)), word) {
				f.installed = append(f.installed, word)
			}
		}
	}
	return nil
}

// wantCalls compares the command lines run, each shortened by the long tail of apt-get's options.
func (f *fakeMachine) wantCalls(t *testing.T, want ...string) {
	t.Helper()
	var got []string
	for _, line := range f.calls {
		line = strings.ReplaceAll(line, "env DEBIAN_FRONTEND=noninteractive apt-get", "APT")
		line = strings.ReplaceAll(line, " -qq -y --no-install-recommends -o DPkg::Lock::Timeout=300", "")
		got = append(got, strings.ReplaceAll(line, f.program(), "PROGRAM"))
	}
	if !slices.Equal(got, want) {
		t.Errorf("commands run:\n%s\nwant:\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// wantText checks that each of the texts was printed.
func wantText(t *testing.T, name string, got *bytes.Buffer, want ...string) {
	t.Helper()
	for _, w := range want {
		if !strings.Contains(got.String(), w) {
			t.Errorf("%s lacks %q:\n%s", name, w, got)
		}
	}
}

func wantStatus(t *testing.T, got, want int) {
	t.Helper()
	if got != want {
		t.Errorf("exit status %d, want %d", got, want)
	}
}

var errDisk = errors.New("disk full")
