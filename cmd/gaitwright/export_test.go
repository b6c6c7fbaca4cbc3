// SPDX-License-Identifier: MIT

package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"gaitwright/assets"
)

func TestExportDemo(t *testing.T) {
	sum := sha256.Sum256(assets.Demo)
	for format, files := range map[string][]string{
		"c":    {"demo.h", "demo_pulse.c", "demo_angle.c"},
		"avr":  {"demo.h", "demo_pulse.c", "demo_angle.c"},
		"csv":  {"demo.csv"},
		"json": {"demo.json"},
	} {
		dir := filepath.Join(t.TempDir(), "new", "folder")
		out := fine(t, "export", "--format", format, "--rate", "50", "--out", dir)
		var want []string
		for _, f := range files {
			want = append(want, filepath.Join(dir, f))
			text, err := os.ReadFile(filepath.Join(dir, f))
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Contains(text, []byte(hex.EncodeToString(sum[:]))) {
				t.Errorf("%s %s: no SHA-256 of the workfile", format, f)
			}
		}
		if got := strings.Fields(out); strings.Join(got, " ") != strings.Join(want, " ") {
			t.Errorf("%s: told %v, want %v", format, got, want)
		}
	}
}

// The other workfiles that come with the program can be exported too.
func TestExportOthers(t *testing.T) {
	for name, text := range map[string][]byte{"walker": assets.Walker, "new": assets.New} {
		fine(t, "export", place(t, name+".toml", text), "--format", "avr", "--rate", "50", "--out", t.TempDir())
	}
}

// The angles exported are those of the trace at the same rate, in the move's
// time, within half a unit; so are those of the whole sequence.
func TestExportAgreesWithTrace(t *testing.T) {
	for _, whole := range []bool{false, true} {
		exportAgrees(t, whole)
	}
}

// exportAgrees compares the tables of the demo's moves, or of its whole
// sequence with walks that change without stopping.
func exportAgrees(t *testing.T, whole bool) {
	t.Helper()
	const rate = 40
	d := descriptionOf(t)
	tr := read(t, fine(t, "trace", "--rate", "40"))
	dir := t.TempDir()
	args := []string{"export", "--format", "csv", "--rate", "40", "--out", dir}
	if whole {
		args = append(args, "--whole")
	}
	fine(t, args...)
	text, err := os.ReadFile(filepath.Join(dir, "demo.csv"))
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(bytes.NewReader(text))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	column := map[string]int{}
	for i, h := range rows[0] {
		column[h] = i
	}
	row := 1
	entries := d.Sequence
	if whole {
		entries = entries[:1]
		entries[0].Entry, entries[0].Kind, entries[0].To = "all", "move", d.Duration
	}
	for _, e := range entries {
		if e.Kind != "move" {
			continue
		}
		first := int(math.Ceil(e.From*rate - 1e-6))
		for k := first; float64(k)/rate <= e.To+1e-9; k++ {
			if row >= len(rows) {
				t.Fatalf("the table ends before %s", e.Entry)
			}
			for _, l := range d.Robot.Legs {
				for _, joint := range []string{"coxa", "femur", "tibia"} {
					got, err := strconv.Atoi(rows[row][column[l.Name+"_"+joint+"_tenth_deg"]])
					if err != nil {
						t.Fatal(err)
					}
					want := tr.num(t, k, l.Name+"_"+joint+"_rad") * 1800 / math.Pi
					if !(math.Abs(float64(got)-want) <= 0.5+1e-9) {
						t.Fatalf("%s, frame %d, %s %s: got %d, the trace says %v", e.Entry, k-first, l.Name, joint, got, want)
					}
				}
			}
			row++
		}
	}
	if row != len(rows) || row == 1 {
		t.Errorf("%d of %d rows belong to a move", row-1, len(rows)-1)
	}
}

// A stop keeps the table from being written, and the flag overrules it.
func TestExportStop(t *testing.T) {
	// The demo made slow of joint.
	slow := bytes.ReplaceAll(assets.Demo, []byte("speed_s_per_60deg = 0."), []byte("speed_s_per_60deg = 3."))
	file := place(t, "slow.toml", slow)
	if r := call("check", file); r.code != exitStop {
		t.Fatalf("no stop in the slowed demo: %s%s", r.out, r.errout)
	}
	dir := filepath.Join(t.TempDir(), "tables")
	args := []string{"export", file, "--format", "avr", "--rate", "50", "--out", dir}
	r := call(args...)
	if r.code != exitStop || r.out != "" || !strings.Contains(r.errout, "joint-speed") || !strings.Contains(r.errout, "--despite-findings") || strings.Contains(r.errout, "caution") {
		t.Errorf("status %d, stdout %q, stderr %q", r.code, r.out, r.errout)
	}
	if _, err := os.Stat(dir); err == nil {
		t.Error("something was written all the same")
	}
	fine(t, append(args, "--despite-findings")...)
	text, err := os.ReadFile(filepath.Join(dir, "slow.h"))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"EXPORTED DESPITE FINDINGS", "joint-speed", "stop"} {
		if !bytes.Contains(text, []byte(want)) {
			t.Errorf("the comment does not say %q", want)
		}
	}
}

// What a table cannot hold is refused with the name of the file.
func TestExportRefuses(t *testing.T) {
	narrow := bytes.ReplaceAll(assets.Demo, []byte("channel = 0 "), []byte("channel = 0, range_us = [1499, 1501] "))
	if bytes.Equal(narrow, assets.Demo) {
		t.Fatal("the demo has no channel 0")
	}
	file := place(t, "narrow.toml", narrow)
	dir := filepath.Join(t.TempDir(), "tables")
	r := call("export", file, "--despite-findings", "--format", "c", "--rate", "50", "--out", dir)
	if r.code != exitUnable || !strings.Contains(r.errout, "narrow.toml") || !strings.Contains(r.errout, "coxa") || !strings.Contains(r.errout, "1501") {
		t.Errorf("status %d, stderr %q", r.code, r.errout)
	}
	if _, err := os.Stat(dir); err == nil {
		t.Error("something was written all the same")
	}
	taken := place(t, "taken", nil)
	if r := call("export", "--format", "csv", "--rate", "50", "--out", taken); r.code != exitUnable || !strings.Contains(r.errout, taken) {
		t.Errorf("a file where the folder should be: status %d, %q", r.code, r.errout)
	}
}
