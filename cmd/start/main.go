// SPDX-License-Identifier: MIT

// Command start readies a fresh machine and then opens Gaitwright on its demo, or runs the tests.
//
//	go run ./cmd/start             install what is missing, build, open the window
//	go run ./cmd/start -- ARG...   the same, and hand ARG... to the program
//	go run ./cmd/start test        install what is missing, run every test
//
// On Debian and its relatives it installs the missing system packages with apt-get, as root or
// through sudo, and says so first; where it may not, it prints the line to run and stops. On another
// Linux it names what the build needs and goes on. On macOS and Windows nothing has to be installed.
//
// Without a display it reviews the demo and writes pictures of the window instead. A skipped test
// counts as a failure.
//
// The exit status is 0 when all went well, 2 for a wrong command line, and otherwise that of the
// step that failed.
package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"runtime"
	"time"
)

const usage = `Usage:
  go run ./cmd/start             install what is missing, build, open the window on the demo
  go run ./cmd/start -- ARG...   the same, and hand ARG... to the program
  go run ./cmd/start test        install what is missing, run every test (none may be skipped)
`

func main() {
	osRelease, _ := os.ReadFile("/etc/os-release") // absent outside Linux: then it stays empty
	m := &machine{
		goos:      runtime.GOOS,
		uid:       os.Geteuid(),
		env:       os.Getenv,
		osRelease: string(osRelease),
		terminal:  hasTerminal,
		find:      exec.LookPath,
		run:       runCommand,
		cacheDir:  os.UserCacheDir,
		now:       time.Now,
		stdin:     os.Stdin,
		stdout:    os.Stdout,
		stderr:    os.Stderr,
	}
	os.Exit(m.start(os.Args[1:]))
}

// start does what args ask for and returns the exit status.
func (m *machine) start(args []string) int {
	var err error
	switch {
	case len(args) == 0:
		err = m.open(nil)
	case args[0] == "--":
		err = m.open(args[1:])
	case len(args) == 1 && args[0] == "test":
		err = m.test()
	case len(args) == 1 && (args[0] == "-h" || args[0] == "-help" || args[0] == "--help"):
		io.WriteString(m.stdout, usage)
	default:
		fmt.Fprintf(m.stderr, "start: cannot make sense of %q\n%s", args, usage)
		return 2
	}
	if err == nil {
		return 0
	}
	if !errors.Is(err, errTold) {
		fmt.Fprintln(m.stderr, err)
	}
	var status exitStatus
	if errors.As(err, &status) && status > 0 {
		return int(status)
	}
	return 1
}
