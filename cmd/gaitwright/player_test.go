// SPDX-License-Identifier: MIT

package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gaitwright/assets"
	"gaitwright/motion/table"
)

// Tables for the player, with it, all in one folder.
func TestExportPlayer(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "tables")
	out := fine(t, "export", "--format", "player", "--walks", "--interpolate", "cubic", "--within-us", "2", "--within-mm", "0.3", "--packed",
		"--part", "atmega2560", "--with-player", "--out", dir)
	for _, name := range []string{
		"demo_tables.h", "gait_tables.h", "demo_strike.c", "demo_to_the_drum.c", "demo_to_the_drum_start.c", "demo_to_the_drum_stop.c", "demo_last_steps.c",
		"gait_player.h", "gait_player.c", "gait_link.h", "gait_link.c", "gait_robot.h", "gait_robot.c", "README.md", "FORMAT.md", "PROTOCOL.md",
		"example_avr/main.c", "example_avr/link.c", "example_avr/pulses.h", "example_avr/pulses.c",
		"example_arm/main.c", "example_arm/link.c", "example_arm/startup.c", "example_arm/part.ld",
	} {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if !strings.Contains(out, path+"\n") {
			t.Errorf("not told: %s", path)
		}
		text, err := os.ReadFile(path)
		if err != nil {
			t.Error(err)
		}
		if (strings.HasSuffix(name, ".c") || strings.HasSuffix(name, ".h")) && strings.HasPrefix(name, "demo") && !bytes.Contains(text, []byte("CAUTION")) {
			t.Errorf("%s has no cautions", name)
		}
	}
	// Binary files of the same.
	fine(t, "export", "--format", "bin", "--rate", "50", "--unit", "count", "--out", dir)
	b, err := os.ReadFile(filepath.Join(dir, "demo_strike.bin"))
	if err != nil {
		t.Fatal(err)
	}
	s, err := table.Decode(b)
	if err != nil || s.Frames != 207 || s.Unit.Kind != table.PWMCount || s.Unit.Bits != 3 || s.Interpolation != table.Linear || s.CoolDown != 0.3 {
		t.Errorf("%v: %+v", err, s)
	}
	if text, err := os.ReadFile(filepath.Join(dir, "demo.txt")); err != nil || !bytes.Contains(text, []byte("prescale 121")) {
		t.Errorf("%v: %s", err, text)
	}
	for _, demo := range [][]byte{assets.Walker, assets.New} {
		fine(t, "export", place(t, "other.toml", demo), "--format", "player", "--rate", "40", "--walks", "--unit", "step", "--out", t.TempDir())
	}
}

// Options that do not go together, and tables that do not fit, write nothing.
func TestExportPlayerRefuses(t *testing.T) {
	taken := t.TempDir()
	if err := os.Mkdir(filepath.Join(taken, "demo_strike.c"), 0o755); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args string
		says string
	}{
		{"--format player", "--within-us"},
		{"--format avr", "--rate"},
		{"--format avr --rate 50 --packed", "--packed belongs to the formats player and bin"},
		{"--format csv --rate 50 --within-us 1", "--within-us belongs"},
		{"--format c --rate 50 --with-player", "--with-player belongs"},
		{"--format player --rate 50 --part z80", "atmega2560"},
		{"--format player --rate 200 --whole --part atmega328p", "lower the rate"},
		{"--format player --within-us 0.01", "allow more"},
		{"--format player --rate 50 --fraction 9", "fraction bits"},
		{"--format player --rate 50 --interpolate best", "hold"},
		{"--format player --rate 50 --unit count --pwm-hz 5000", "prescale"},
		{"--format player --rate 50 --unit step --step-range-deg 0", "positive range"},
		{"--format player --rate=-4", "no rate"},
	} {
		dir := filepath.Join(t.TempDir(), "out")
		r := call(append(append([]string{"export"}, strings.Fields(c.args)...), "--out", dir)...)
		if r.code != exitUnable || !strings.Contains(r.errout, c.says) {
			t.Errorf("%s: status %d, %q; want %q", c.args, r.code, r.errout, c.says)
		}
		if _, err := os.Stat(dir); err == nil {
			t.Errorf("%s: a folder was made", c.args)
		}
	}
	if r := call("export", "--format", "player", "--rate", "50", "--out", taken); r.code != exitUnable || !strings.Contains(r.errout, "demo_strike.c") || r.out != "" {
		t.Errorf("over a folder: %d, %q, %q", r.code, r.out, r.errout)
	}
	if all, err := os.ReadDir(taken); err != nil || len(all) != 1 {
		t.Errorf("%v: left %v", err, all)
	}
}

func TestSize(t *testing.T) {
	if a, b := fine(t, "size"), fine(t, "size", "--rate", "50"); a != b {
		t.Errorf("without options it is not that of 50 Hz:\n%s\n%s", a, b)
	}
	out := fine(t, "size", "--within-us", "1", "--interpolate", "cubic", "--packed")
	for _, want := range []string{"strike", "atmega328p", "atmega2560", "rp2040", "esp32", "32768", "262144", "270336", "datasheet", "fits", "DS40002061"} {
		if !strings.Contains(out, want) {
			t.Errorf("nothing of %q in\n%s", want, out)
		}
	}
	if r := call("size", "--rate", "300", "--whole", "--part", "atmega328p"); r.code != exitUnable || !strings.Contains(r.out, "does not fit") || !strings.Contains(r.errout, "lower the rate") {
		t.Errorf("what does not fit: status %d, %q, %q", r.code, r.out, r.errout)
	}
}
