// SPDX-License-Identifier: MIT

package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
)

// open readies the machine, builds the program and opens its window on the demo, or runs it with args
// if there are any. Without a display and without args it reviews and pictures the demo instead.
func (m *machine) open(args []string) error {
	top, err := m.checkout()
	if err != nil {
		return err
	}
	folder, err := m.folder()
	if err != nil {
		return err
	}
	if err := m.prepare(windowPackages()); err != nil {
		return err
	}
	program, err := m.build(top, folder)
	if err != nil {
		return err
	}
	if len(args) == 0 && !m.display() {
		return m.showWithoutDisplay(program, filepath.Join(folder, "pictures"))
	}
	argv := append([]string{program}, args...)
	if len(args) == 0 {
		m.say("Opening the window on the demo. This command ends when you close it.")
	} else {
		m.say("Running: %s", shellLine(argv))
	}
	if err := m.run(command{argv: argv, stdin: m.stdin, stdout: m.stdout, stderr: m.stderr}); err != nil {
		return fmt.Errorf("start: %s: %w", shellLine(argv), err)
	}
	return nil
}

// folder returns a folder of this user's, outside the checkout, for what is built and drawn here.
func (m *machine) folder() (string, error) {
	cache, err := m.cacheDir()
	if err != nil {
		return "", fmt.Errorf("start: no folder to build in: %w", err)
	}
	folder := filepath.Join(cache, "gaitwright")
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return "", fmt.Errorf("start: no folder to build in: %w", err)
	}
	return folder, nil
}

// build compiles the program of the checkout top into folder and returns its path.
func (m *machine) build(top, folder string) (string, error) {
	program := filepath.Join(folder, "gaitwright")
	if m.goos == "windows" {
		program += ".exe"
	}
	t0 := m.now()
	m.say("Building %s; the first time this takes a few minutes.", program)
	// Without the version stamp the build does not depend on git, nor on who owns the checkout.
	argv := []string{"go", "build", "-buildvcs=false", "-o", program, "./cmd/gaitwright"}
	if err := m.run(command{argv: argv, dir: top, env: m.cgo(), stdout: m.stdout, stderr: m.stderr}); err != nil {
		return "", fmt.Errorf("start: %s: %w", shellLine(argv), err)
	}
	m.took(t0)
	return program, nil
}

// display reports whether a window can be opened. Only X11 and Wayland may be missing.
func (m *machine) display() bool {
	switch m.goos {
	case "windows", "darwin":
		return true
	}
	return m.env("DISPLAY") != "" || m.env("WAYLAND_DISPLAY") != ""
}

// showWithoutDisplay reviews the demo and writes pictures of the window into folder.
func (m *machine) showWithoutDisplay(program, folder string) error {
	m.say("There is no display (neither DISPLAY nor WAYLAND_DISPLAY is set), so no window can open.")
	m.say("Instead: the review of the demo, then pictures of the window.")
	m.say("")
	check := []string{program, "check"}
	m.say("Running: %s", shellLine(check))
	reviewErr := m.run(command{argv: check, stdout: m.stdout, stderr: m.stderr})
	var status exitStatus
	switch {
	case reviewErr == nil:
		m.say("The review ended with status 0: nothing stops the demo.")
	case errors.As(reviewErr, &status) && status == 1:
		m.say("The review ended with status 1: something stops the demo, see above.")
	default:
		return fmt.Errorf("start: %s: %w", shellLine(check), reviewErr)
	}

	duration, err := m.demoDuration(program)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return fmt.Errorf("start: no folder for the pictures: %w", err)
	}
	m.say("")
	m.say("Pictures of the window, drawn off screen, in %s:", folder)
	for _, p := range []struct {
		name  string
		share float64 // of the demo's duration, [0,1]
	}{
		{"1-start.png", 0},
		{"2-quarter.png", 0.25},
		{"3-half.png", 0.5},
		{"4-three-quarters.png", 0.75},
		{"5-end.png", 1},
	} {
		// Rounded down to whole milliseconds, so that the last one does not lie past the end.
		at := strconv.FormatFloat(math.Floor(duration*p.share*1000)/1000, 'f', 3, 64)
		argv := []string{program, "picture", "--at", at, "--size", "1280x800", "--out", filepath.Join(folder, p.name)}
		if err := m.run(command{argv: argv, env: m.offScreen(), stdout: m.stdout, stderr: m.stderr}); err != nil {
			return fmt.Errorf("start: %s: %w", shellLine(argv), err)
		}
		m.say("  %-22s at %s s", p.name, at)
	}
	if reviewErr != nil {
		return fmt.Errorf("start: the review of the demo: %w", reviewErr)
	}
	return nil
}

// demoDuration asks the program how long the demo lasts, s.
func (m *machine) demoDuration(program string) (float64, error) {
	argv := []string{program, "check", "--json"}
	var out bytes.Buffer
	err := m.run(command{argv: argv, stdout: &out, stderr: m.stderr})
	var status exitStatus
	if err != nil && !(errors.As(err, &status) && status == 1) { // 1: the review has a stop finding
		return 0, fmt.Errorf("start: %s: %w", shellLine(argv), err)
	}
	var review struct {
		Duration *float64 `json:"duration_s"`
	}
	if err := json.Unmarshal(out.Bytes(), &review); err != nil {
		return 0, fmt.Errorf("start: cannot read what %s printed: %w", shellLine(argv), err)
	}
	if review.Duration == nil || *review.Duration < 0 {
		return 0, fmt.Errorf("start: %s gave no usable duration_s", shellLine(argv))
	}
	return *review.Duration, nil
}

// offScreen is the setting by which EGL draws without a display, where there is none.
func (m *machine) offScreen() []string {
	if m.goos != "linux" {
		return nil
	}
	return []string{"EGL_PLATFORM=surfaceless"}
}
