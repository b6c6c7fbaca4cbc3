// SPDX-License-Identifier: MIT

package main

import (
	"bytes"
	"strings"
	"testing"
)

// The streams are those of Go 1.26's "go test -json" on small packages, with the times and some of
// the lines left out; the meaning of the fields is that of "go doc test2json" and "go help buildjson".
const (
	passStream = `{"Action":"start","Package":"m/ok"}
{"Action":"run","Package":"m/ok","Test":"TestA"}
{"Action":"output","Package":"m/ok","Test":"TestA","Output":"=== RUN   TestA\n"}
{"Action":"output","Package":"m/ok","Test":"TestA","Output":"noise\n"}
{"Action":"run","Package":"m/ok","Test":"TestA/x"}
{"Action":"output","Package":"m/ok","Test":"TestA/x","Output":"--- PASS: TestA/x (0.00s)\n"}
{"Action":"pass","Package":"m/ok","Test":"TestA/x","Elapsed":0}
{"Action":"output","Package":"m/ok","Test":"TestA","Output":"--- PASS: TestA (0.00s)\n"}
{"Action":"pass","Package":"m/ok","Test":"TestA","Elapsed":0}
{"Action":"output","Package":"m/ok","Test":"TestA","Output":"late\n"}
{"Action":"output","Package":"m/ok","Output":"PASS\n"}
{"Action":"output","Package":"m/ok","Output":"ok  \tm/ok\t0.062s\n"}
{"Action":"pass","Package":"m/ok","Elapsed":0.062}
`
	noneStream = `{"Action":"start","Package":"m/none"}
{"Action":"output","Package":"m/none","Output":"?   \tm/none\t[no test files]\n"}
{"Action":"skip","Package":"m/none","Elapsed":0}
`
	skipStream = `{"Action":"start","Package":"m/skip"}
{"Action":"run","Package":"m/skip","Test":"TestA"}
{"Action":"output","Package":"m/skip","Test":"TestA","Output":"=== RUN   TestA\n"}
{"Action":"output","Package":"m/skip","Test":"TestA","Output":"    a_test.go:3: no display\n"}
{"Action":"output","Package":"m/skip","Test":"TestA","Output":"--- SKIP: TestA (0.00s)\n"}
{"Action":"skip","Package":"m/skip","Test":"TestA","Elapsed":0}
{"Action":"output","Package":"m/skip","Output":"PASS\n"}
{"Action":"pass","Package":"m/skip","Elapsed":0.003}
`
	failStream = `{"Action":"start","Package":"m/bad"}
{"Action":"run","Package":"m/bad","Test":"TestA"}
{"Action":"output","Package":"m/bad","Test":"TestA","Output":"=== RUN   TestA\n"}
{"Action":"run","Package":"m/bad","Test":"TestB"}
{"Action":"output","Package":"m/bad","Test":"TestB","Output":"    a_test.go:4: quiet\n"}
{"Action":"pass","Package":"m/bad","Test":"TestB","Elapsed":0}
{"Action":"run","Package":"m/bad","Test":"TestA/x"}
{"Action":"output","Package":"m/bad","Test":"TestA/x","Output":"    a_test.go:3: got 1, want 2\n"}
{"Action":"output","Package":"m/bad","Test":"TestA/x","Output":"    --- FAIL: TestA/x (0.25s)\n"}
{"Action":"fail","Package":"m/bad","Test":"TestA/x","Elapsed":0.25}
{"Action":"output","Package":"m/bad","Test":"TestA","Output":"--- FAIL: TestA (0.25s)\n"}
{"Action":"fail","Package":"m/bad","Test":"TestA","Elapsed":0.25}
{"Action":"output","Package":"m/bad","Output":"FAIL\n"}
{"Action":"output","Package":"m/bad","Output":"FAIL\tm/bad\t0.306s\n"}
{"Action":"fail","Package":"m/bad","Elapsed":0.306}
`
	buildStream = `{"ImportPath":"m/build [m/build.test]","Action":"build-output","Output":"# m/build [m/build.test]\n"}
{"ImportPath":"m/build [m/build.test]","Action":"build-output","Output":"build/a_test.go:3:27: declared and not used: x\n"}
{"ImportPath":"m/build [m/build.test]","Action":"build-fail"}
{"Action":"start","Package":"m/build"}
{"Action":"output","Package":"m/build","Output":"FAIL\tm/build [build failed]\n"}
{"Action":"fail","Package":"m/build","Elapsed":0,"FailedBuild":"m/build [m/build.test]"}
`
	exitStream = `{"Action":"start","Package":"m/exit"}
{"Action":"output","Package":"m/exit","Output":"cannot start"}
{"Action":"output","Package":"m/exit","Output":"FAIL\tm/exit\t0.002s\n"}
{"Action":"fail","Package":"m/exit","Elapsed":0.002}
`
	quitStream = `{"Action":"start","Package":"m/quit"}
{"Action":"run","Package":"m/quit","Test":"TestQuit"}
{"Action":"output","Package":"m/quit","Test":"TestQuit","Output":"=== RUN   TestQuit\n"}
{"Action":"output","Package":"m/quit","Test":"TestQuit","Output":"    a_test.go:3: hello\n"}
{"Action":"output","Package":"m/quit","Output":"FAIL\tm/quit\t0.014s\n"}
{"Action":"fail","Package":"m/quit","Elapsed":0.014}
`
)

func TestTally(t *testing.T) {
	tests := []struct {
		name    string
		stream  string
		out     string
		summary string
		verdict string // the error; empty: none
	}{
		{"pass", passStream, "ok    m/ok  0.1s\n", "2 passed, 0 failed, 0 skipped", ""},
		{
			"skip", passStream + skipStream,
			"ok    m/ok  0.1s\n--- SKIP: TestA (0.00s)\n    a_test.go:3: no display\nok    m/skip  0.0s\n",
			"2 passed, 0 failed, 1 skipped", "start: a skipped test counts as a failure",
		},
		{
			"fail", failStream,
			"--- FAIL: TestA (0.25s)\n--- FAIL: TestA/x (0.25s)\n    a_test.go:3: got 1, want 2\nFAIL  m/bad  0.3s\n",
			"1 passed, 2 failed, 0 skipped", "start: there are failed tests",
		},
		{
			"does not build", passStream + buildStream,
			"ok    m/ok  0.1s\n# m/build [m/build.test]\nbuild/a_test.go:3:27: declared and not used: x\nFAIL  m/build  did not build\n",
			"2 passed, 1 failed, 0 skipped", "start: there are failed tests",
		},
		{
			"ends before its tests", exitStream,
			"cannot start\nFAIL  m/exit  0.0s\n", "0 passed, 1 failed, 0 skipped", "start: there are failed tests",
		},
		{
			"ends in the middle of a test", quitStream,
			"--- FAIL: TestQuit (did not finish)\n    a_test.go:3: hello\nFAIL  m/quit  0.0s\n",
			"0 passed, 1 failed, 0 skipped", "start: there are failed tests",
		},
		{
			"says it passed, with a test that has no end",
			`{"Action":"run","Package":"m","Test":"TestA"}` + "\n" + `{"Action":"pass","Package":"m"}` + "\n",
			"--- FAIL: TestA (did not finish)\nFAIL  m  0.0s\n",
			"0 passed, 1 failed, 0 skipped", "start: there are failed tests",
		},
		{
			"the stream breaks off", strings.Join(strings.SplitAfter(failStream, "\n")[:5], ""),
			"--- FAIL: TestA (did not finish)\n--- FAIL: TestB (did not finish)\n    a_test.go:4: quiet\nFAIL  m/bad  0.0s\n",
			"0 passed, 2 failed, 0 skipped", "start: there are failed tests",
		},
		{"no tests", noneStream, "none  m/none  has no tests\n", "0 passed, 0 failed, 0 skipped", "start: no test ran"},
		{"nothing", "", "", "0 passed, 0 failed, 0 skipped", "start: no test ran"},
		{
			"a line that is no event", "go: updates to go.mod needed\n" + passStream + "[]\n{}\nno newline",
			"go: updates to go.mod needed\nok    m/ok  0.1s\n[]\n{}\nno newline\n", "2 passed, 0 failed, 0 skipped", "",
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			// The pieces in which a stream arrives must make no difference.
			for _, size := range []int{1, 7, 1 << 20} {
				var out bytes.Buffer
				ta := &tally{out: &out}
				for rest := []byte(tt.stream); len(rest) > 0; {
					n := min(size, len(rest))
					if got, err := ta.Write(rest[:n]); got != n || err != nil {
						t.Fatalf("Write = %d, %v", got, err)
					}
					rest = rest[n:]
				}
				ta.close()
				if out.String() != tt.out {
					t.Errorf("pieces of %d printed:\n%s\nwant:\n%s", size, &out, tt.out)
				}
				if got := ta.summary(); got != tt.summary {
					t.Errorf("pieces of %d: summary %q, want %q", size, got, tt.summary)
				}
				verdict := ""
				if err := ta.verdict(); err != nil {
					verdict = err.Error()
				}
				if verdict != tt.verdict {
					t.Errorf("pieces of %d: verdict %q, want %q", size, verdict, tt.verdict)
				}
			}
		})
	}
}

// Packages run side by side: the lines of one must not tear those of another apart.
func TestTallyKeepsPackagesApart(t *testing.T) {
	a, b := strings.SplitAfter(failStream, "\n"), strings.SplitAfter(skipStream, "\n")
	var mixed strings.Builder
	for i := range max(len(a), len(b)) {
		if i < len(a) {
			mixed.WriteString(a[i])
		}
		if i < len(b) {
			mixed.WriteString(b[i])
		}
	}
	var out bytes.Buffer
	ta := &tally{out: &out}
	ta.Write([]byte(mixed.String()))
	ta.close()
	want := "--- SKIP: TestA (0.00s)\n    a_test.go:3: no display\nok    m/skip  0.0s\n" +
		"--- FAIL: TestA (0.25s)\n--- FAIL: TestA/x (0.25s)\n    a_test.go:3: got 1, want 2\nFAIL  m/bad  0.3s\n"
	if out.String() != want {
		t.Errorf("printed:\n%s\nwant:\n%s", &out, want)
	}
	if got, want := ta.summary(), "1 passed, 2 failed, 1 skipped"; got != want {
		t.Errorf("summary %q, want %q", got, want)
	}
}
