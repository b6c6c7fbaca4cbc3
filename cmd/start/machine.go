// SPDX-License-Identifier: MIT

package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"
)

// machine is everything outside this program that it looks at or touches. Tests put a made-up one in
// its place.
type machine struct {
	goos      string
	uid       int // effective user id; 0 is root, -1 on Windows
	env       func(key string) string
	osRelease string // text of os-release(5); empty where there is none
	terminal  func() bool
	find      func(program string) (path string, err error)
	run       func(command) error
	cacheDir  func() (string, error)
	now       func() time.Time
	stdin     io.Reader
	stdout    io.Writer
	stderr    io.Writer
}

// command is one child process. A nil reader or writer is the null device.
type command struct {
	argv   []string
	dir    string   // empty: the current folder
	env    []string // KEY=VALUE, over the inherited environment
	stdin  io.Reader
	stdout io.Writer
	stderr io.Writer
}

// exitStatus is the status of a child that ended with anything but 0; it is -1 if a signal ended it.
type exitStatus int

func (s exitStatus) Error() string {
	if s < 0 {
		return "ended by a signal"
	}
	return fmt.Sprintf("ended with status %d", int(s))
}

// leftoverWait bounds the wait for output after a child's end: a process that it left behind may keep
// the pipe open for ever.
const leftoverWait = 10 * time.Second

// runCommand runs c to its end. The error is an exitStatus if the child ran and failed.
func runCommand(c command) error {
	cmd := exec.Command(c.argv[0], c.argv[1:]...)
	cmd.Dir = c.dir
	cmd.Env = append(os.Environ(), c.env...)
	cmd.Stdin, cmd.Stdout, cmd.Stderr = c.stdin, c.stdout, c.stderr
	cmd.WaitDelay = leftoverWait
	err := cmd.Run()
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		return exitStatus(exit.ExitCode())
	}
	return err
}

// output runs argv and returns what it printed on standard output; standard error is passed on.
func (m *machine) output(argv ...string) (string, error) {
	var out bytes.Buffer
	err := m.run(command{argv: argv, stdout: &out, stderr: m.stderr})
	if err != nil {
		return "", fmt.Errorf("start: %s: %w", shellLine(argv), err)
	}
	return out.String(), nil
}

// say prints one line for the reader.
func (m *machine) say(format string, args ...any) {
	fmt.Fprintf(m.stdout, format+"\n", args...)
}

// took says how long a step lasted that began at t0.
func (m *machine) took(t0 time.Time) {
	m.say("Done in %.0f s.", m.now().Sub(t0).Seconds())
}

// checkout returns the top folder of the module that the current folder belongs to.
func (m *machine) checkout() (string, error) {
	out, err := m.output("go", "env", "GOMOD")
	if err != nil {
		return "", err
	}
	mod := strings.TrimSpace(out)
	if filepath.Base(mod) != "go.mod" {
		return "", errors.New("start: the current folder is not inside the Gaitwright checkout: change into it and try again")
	}
	return filepath.Dir(mod), nil
}

// cgo is the setting that Gio's window needs on this system: on Windows it is pure Go, elsewhere C
// must be on even where the user's own setting says otherwise.
func (m *machine) cgo() []string {
	if m.goos == "windows" {
		return nil
	}
	return []string{"CGO_ENABLED=1"}
}

// hasTerminal reports whether somebody can be asked for a password. A character device as standard
// input is no sign of it, since the null device is one too.
func hasTerminal() bool {
	f, err := os.OpenFile("/dev/tty", os.O_RDWR, 0)
	if err != nil {
		return false
	}
	f.Close()
	return true
}

// shellLine writes argv as one line for a POSIX shell.
func shellLine(argv []string) string {
	words := make([]string, len(argv))
	for i, w := range argv {
		if w == "" || strings.ContainsAny(w, " \t\n\"'`\\$&|;<>()*?[]#~!{}") {
			w = "'" + strings.ReplaceAll(w, "'", `'\''`) + "'"
		}
		words[i] = w
	}
	return strings.Join(words, " ")
}
