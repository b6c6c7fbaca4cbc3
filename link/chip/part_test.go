// SPDX-License-Identifier: MIT

package chip

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

const (
	clock  = 16e6   // Hz
	frame  = 320000 // cycles of 20 ms
	pins   = 18
	fwPath = "../../assets/firmware"
)

// bench is what all tests here need: the simulator, the program, and what the
// program exports of the demo.
type bench struct {
	part    string // the compiled simulator
	program string // the built program
	tables  string // the folder that it has written
}

func newBench(t *testing.T) *bench {
	t.Helper()
	dir := t.TempDir()
	b := &bench{part: filepath.Join(dir, "part"), program: filepath.Join(dir, "gaitwright"), tables: filepath.Join(dir, "tables")}
	tool(t, "", nil, "cc", "-std=gnu99", "-O2", "-Wall", "-Wextra", "-Werror", "-o", b.part, "testdata/part.c", "-lsimavr", "-lelf")
	tool(t, "", []string{"CGO_ENABLED=0"}, "go", "build", "-tags", "headless", "-buildvcs=false", "-o", b.program, "gaitwright/cmd/gaitwright")
	tool(t, "", nil, b.program, "export", "--format", "player", "--walks", "--interpolate", "cubic", "--within-us", "0.5", "--packed",
		"--part", "atmega2560", "--with-player", "--out", b.tables)
	return b
}

// tool runs a program and gives what it wrote.
func tool(t *testing.T, dir string, env []string, name string, args ...string) string {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 5*time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, name, args...)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), env...)
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%s %s: %v (\"go run ./cmd/start test\" installs what is missing)\n%s", name, strings.Join(args, " "), err, out)
	}
	return string(out)
}

// firmware compiles sources of a folder of tables into an ELF file. Names of
// tables replace what gait_tables.h lists.
func (b *bench) firmware(t *testing.T, folder string, tables []string, sources ...string) string {
	t.Helper()
	dir := t.TempDir()
	list := "#include \"demo_tables.h\"\n#define GAIT_TABLES "
	for i, n := range tables {
		if i > 0 {
			list += ", "
		}
		list += "&demo_" + n
		sources = append(sources, "demo_"+n+".c")
	}
	list += fmt.Sprintf("\n#define GAIT_TABLE_COUNT %d\n", len(tables))
	write(t, filepath.Join(dir, "gait_tables.h"), list)
	elf := filepath.Join(dir, "firmware.elf")
	args := []string{"-mmcu=atmega2560", "-Os", "-std=c99", "-pedantic", "-Wall", "-Wextra", "-Werror", "-I" + dir, "-I.", "-Iexample_avr", "-o", elf}
	tool(t, folder, nil, "avr-gcc", append(args, sources...)...)
	return elf
}

func write(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// part is a simulated microcontroller that runs.
type part struct {
	t    *testing.T
	cmd  *exec.Cmd
	in   interface{ Close() error }
	say  func(string) error
	out  *bufio.Scanner
	log  string
	bad  strings.Builder
	over bool
}

func (b *bench) start(t *testing.T, elf string) *part {
	t.Helper()
	p := &part{t: t, log: filepath.Join(t.TempDir(), "log")}
	p.cmd = exec.Command(b.part, "atmega2560", "16000000", elf, p.log)
	in, err := p.cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := p.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	p.cmd.Stderr = &p.bad
	if err := p.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	p.in, p.out = in, bufio.NewScanner(out)
	p.say = func(s string) error { _, err := fmt.Fprintln(in, s); return err }
	t.Cleanup(func() {
		if !p.over {
			in.Close()
			_ = p.cmd.Wait() // the test has failed already
		}
	})
	return p
}

// do gives a command and returns the cycle after it, and what else was
// answered.
func (p *part) do(format string, args ...any) (cycle uint64, more string) {
	p.t.Helper()
	if err := p.say(fmt.Sprintf(format, args...)); err != nil {
		p.t.Fatalf("the simulated part has died: %v\n%s", err, &p.bad)
	}
	if !p.out.Scan() {
		p.t.Fatalf("the simulated part has died\n%s", &p.bad)
	}
	w := strings.Fields(p.out.Text())
	if len(w) < 2 || w[0] != "." {
		p.t.Fatalf("answer %q", p.out.Text())
	}
	cycle, err := strconv.ParseUint(w[1], 10, 64)
	if err != nil {
		p.t.Fatal(err)
	}
	if len(w) > 2 {
		more = w[2]
	}
	return cycle, more
}

// pulse is a pulse of one pin.
type pulse struct {
	from uint64 // cycle of the rise
	us   float64
}

// stamped is a byte on the line.
type stamped struct {
	at uint64 // cycle
	b  byte
}

// record is all that happened.
type record struct {
	pulses  [pins][]pulse
	program []stamped // sent by the program
	robot   []stamped // sent by the part
	came    []stamped // what of it reached the part
	marks   []stamped
	longest map[int]int // vector: cycles
	end     uint64
}

// end stops the part and reads its log.
func (p *part) end() *record {
	p.t.Helper()
	cycle, _ := p.do("run 0")
	p.over = true
	_ = p.say("quit")
	if err := p.cmd.Wait(); err != nil {
		p.t.Fatalf("the simulated part: %v\n%s", err, &p.bad)
	}
	f, err := os.Open(p.log)
	if err != nil {
		p.t.Fatal(err)
	}
	defer f.Close()
	r := &record{longest: map[int]int{}, end: cycle}
	var rise [pins]uint64
	for s := bufio.NewScanner(f); s.Scan(); {
		var kind string
		var a, b, c uint64
		n, _ := fmt.Sscan(s.Text(), &kind, &a, &b, &c)
		switch {
		case kind == "e" && n == 4 && b < pins && c == 1:
			rise[b] = a
		case kind == "e" && n == 4 && b < pins:
			if rise[b] > 0 {
				r.pulses[b] = append(r.pulses[b], pulse{rise[b], float64(a-rise[b]) / clock * 1e6})
				rise[b] = 0
			}
		case kind == "p" && n == 3:
			r.program = append(r.program, stamped{a, byte(b)})
		case kind == "o" && n == 3:
			r.robot = append(r.robot, stamped{a, byte(b)})
		case kind == "m" && n == 3:
			r.marks = append(r.marks, stamped{a, byte(b)})
		case kind == "i" && n == 3: // after the damage
			r.came = append(r.came, stamped{a, byte(b)})
		case kind == "v" && n == 3:
			r.longest[int(a)] = int(b)
		default:
			p.t.Fatalf("log: %q", s.Text())
		}
	}
	return r
}
