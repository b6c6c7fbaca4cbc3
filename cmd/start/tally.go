// SPDX-License-Identifier: MIT

package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
)

// tally reads the events of go test -json as they are written to it, prints them for a reader and
// counts. Packages run side by side, so what one of them printed is held back until it ends: then come
// its failed and skipped tests with all their output, and one line for the package.
//
// A test, a subtest, an example and an input of a fuzz test's corpus count one each, as go test -v
// lists them. A package that fails without a failed test (it does not build, or ends early) counts as
// one failure.
type tally struct {
	out                     io.Writer
	passed, failed, skipped int
	culprits                []string // what failed or was skipped, one line each

	partial  []byte // a line whose end has not been written yet
	packages map[string]*packageRun
}

// packageRun is what is known of a package whose tests have not ended.
type packageRun struct {
	tests  []*testRun // in the order in which they began
	output []string   // lines that belong to no test
	failed int        // tests
}

// testRun is one test. Its output is dropped once it has passed.
type testRun struct {
	name    string
	result  string // pass, fail or skip; empty while it runs
	elapsed float64
	output  []string
}

// testEvent is a line of go test -json; see "go doc test2json" and "go help buildjson".
type testEvent struct {
	Action      string
	Package     string
	Test        string
	ImportPath  string
	Output      string
	Elapsed     float64 // s
	FailedBuild string  // what did not build, in the way of a package
}

// Write takes the next piece of the stream. It never fails: a line that is no event is printed as it
// is, since it can only be a message of the go command's.
func (t *tally) Write(p []byte) (int, error) {
	t.partial = append(t.partial, p...)
	for {
		line, rest, found := bytes.Cut(t.partial, []byte("\n"))
		if !found {
			return len(p), nil
		}
		t.line(line)
		t.partial = rest
	}
}

// close takes the end of the stream. A package without an end has failed.
func (t *tally) close() {
	if len(t.partial) > 0 {
		t.line(t.partial)
		t.partial = nil
	}
	var open []string
	for name := range t.packages {
		open = append(open, name)
	}
	slices.Sort(open)
	for _, name := range open {
		t.end(name, testEvent{Action: "fail", Package: name})
	}
}

// summary is the line that ends a test run.
func (t *tally) summary() string {
	return fmt.Sprintf("%d passed, %d failed, %d skipped", t.passed, t.failed, t.skipped)
}

// verdict is nil if tests ran, none failed and none was skipped.
func (t *tally) verdict() error {
	switch {
	case t.failed > 0:
		return errors.New("start: there are failed tests")
	case t.skipped > 0:
		return errors.New("start: a skipped test counts as a failure")
	case t.passed == 0:
		return errors.New("start: no test ran")
	}
	return nil
}

func (t *tally) line(line []byte) {
	var e testEvent
	if err := json.Unmarshal(line, &e); err != nil || e.Action == "" {
		fmt.Fprintf(t.out, "%s\n", line)
		return
	}
	switch {
	case e.Package == "":
		io.WriteString(t.out, e.Output) // of a build; empty for its end
	case e.Test != "":
		t.testEvent(e)
	case e.Action == "pass" || e.Action == "fail" || e.Action == "skip":
		t.end(e.Package, e)
	default:
		p := t.packageRun(e.Package)
		if e.Action == "output" {
			p.output = append(p.output, e.Output)
		}
	}
}

func (t *tally) packageRun(name string) *packageRun {
	if t.packages == nil {
		t.packages = make(map[string]*packageRun)
	}
	p := t.packages[name]
	if p == nil {
		p = &packageRun{}
		t.packages[name] = p
	}
	return p
}

func (t *tally) testEvent(e testEvent) {
	p := t.packageRun(e.Package)
	i := slices.IndexFunc(p.tests, func(r *testRun) bool { return r.name == e.Test && r.result == "" })
	if i < 0 {
		if e.Action == "output" { // printed by something that outlived its test
			p.output = append(p.output, e.Output)
			return
		}
		i = len(p.tests)
		p.tests = append(p.tests, &testRun{name: e.Test})
	}
	r := p.tests[i]
	switch e.Action {
	case "output":
		r.output = append(r.output, e.Output)
	case "pass":
		t.passed++
		p.tests = slices.Delete(p.tests, i, i+1)
	case "fail":
		t.failed++
		p.failed++
		r.result, r.elapsed = "fail", e.Elapsed
	case "skip":
		t.skipped++
		r.result, r.elapsed = "skip", e.Elapsed
	}
}

// end takes the end of a package and prints what there is to tell of it.
func (t *tally) end(name string, e testEvent) {
	p := t.packageRun(name)
	delete(t.packages, name)
	for _, r := range p.tests {
		word := "FAIL"
		took := fmt.Sprintf("%.2fs", r.elapsed)
		switch r.result {
		case "skip":
			word = "SKIP"
		case "": // the package ended in the middle of it
			took = "did not finish"
			t.failed++
			p.failed++
		}
		fmt.Fprintf(t.out, "--- %s: %s (%s)\n", word, r.name, took)
		t.culprits = append(t.culprits, fmt.Sprintf("%s  %s  %s", word, name, r.name))
		t.print(r.output, isFrame)
	}
	switch {
	case p.failed > 0 || e.Action == "fail":
		t.print(p.output, func(line string) bool {
			return line == "FAIL\n" || line == "PASS\n" || strings.HasPrefix(line, "FAIL\t"+name)
		})
		line := fmt.Sprintf("FAIL  %s  %.1fs", name, e.Elapsed)
		if e.FailedBuild != "" {
			line = fmt.Sprintf("FAIL  %s  did not build", name)
		}
		fmt.Fprintln(t.out, line)
		if p.failed == 0 {
			t.failed++
			t.culprits = append(t.culprits, line)
		}
	case e.Action == "skip":
		fmt.Fprintf(t.out, "none  %s  has no tests\n", name)
	default:
		fmt.Fprintf(t.out, "ok    %s  %.1fs\n", name, e.Elapsed)
	}
}

// isFrame reports whether a line of a test's output is the go command's own: which test runs, waits,
// goes on or has ended.
func isFrame(line string) bool {
	line = strings.TrimLeft(line, " ")
	for _, prefix := range []string{"=== RUN ", "=== PAUSE ", "=== CONT ", "=== NAME ", "--- PASS: ", "--- FAIL: ", "--- SKIP: "} {
		if strings.HasPrefix(line, prefix) {
			return true
		}
	}
	return false
}

// print writes lines, save those that drop says to leave out, and ends the last one.
func (t *tally) print(lines []string, drop func(line string) bool) {
	last := "\n"
	for _, line := range lines {
		if drop(line) {
			continue
		}
		io.WriteString(t.out, line)
		last = line
	}
	if !strings.HasSuffix(last, "\n") {
		io.WriteString(t.out, "\n")
	}
}
