// SPDX-License-Identifier: MIT

package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gaitwright/assets"
)

// What cannot be used ends with status 2, a message that names the place or
// the remedy, and nothing on standard output.
func TestUnusable(t *testing.T) {
	dir := t.TempDir()
	demo := string(assets.Demo)
	bad := place(t, "bad.toml", []byte(strings.Replace(demo, "body_mass_g", "body_mas_g", 1)))
	newer := place(t, "newer.toml", []byte(strings.Replace(demo, "format = 1", "format = 99", 1)))
	broken := place(t, "broken.toml", []byte("format = 1\n[robot\n"))
	empty := place(t, "empty.toml", nil)
	missing := filepath.Join(dir, "missing.toml")
	out := filepath.Join(dir, "out")
	for _, c := range []struct {
		args []string
		says []string
	}{
		{[]string{"--nonsense"}, []string{"--nonsense", "--help"}},
		{[]string{"check", "--nonsense"}, []string{"--nonsense"}},
		{[]string{"chek"}, []string{"chek", "check, trace, describe"}},
		{[]string{"check", "a", "b"}, []string{"unexpected argument b"}},
		{[]string{"new"}, []string{"FILE"}},
		{[]string{"export"}, []string{"--format", "--out"}},
		{[]string{"export", "--format", "hex", "--rate", "50", "--out", out}, []string{"--format", "hex", "avr"}},
		{[]string{"export", "--format", "c", "--rate", "0", "--out", out}, []string{"--rate", "greater than 0"}},
		{[]string{"export", "--format", "c", "--rate", "1e9", "--out", out}, []string{"demo", "lower the rate"}},
		{[]string{"trace", "--rate", "-5"}, []string{"--rate"}},
		{[]string{"trace", "--rate=-5"}, []string{"--rate", "greater than 0"}},
		{[]string{"trace", "--rate", "NaN"}, []string{"--rate", "greater than 0"}},
		{[]string{"trace", "--rate", "Inf"}, []string{"--rate", "greater than 0"}},
		{[]string{"trace", "--rate", "fast"}, []string{"--rate", "fast"}},
		{[]string{"trace", "--rate", "1e8"}, []string{"demo", "lower the rate"}},
		{[]string{"trace", "--out", dir}, []string{dir, "folder"}},
		{[]string{"trace", "--out", filepath.Join(missing, "t.csv")}, []string{missing}},
		{[]string{"picture"}, []string{"--out"}},
		{[]string{"picture", "--out", out, "--at", "1e6"}, []string{"--at", "from 0 to"}},
		{[]string{"picture", "--out", out, "--at=-1"}, []string{"--at", "from 0 to"}},
		{[]string{"picture", "--out", out, "--at", "NaN"}, []string{"--at", "from 0 to"}},
		{[]string{"picture", "--out", out, "--size", "1280"}, []string{"--size", "1280x800"}},
		{[]string{"picture", "--out", out, "--size", "0x800"}, []string{"--size"}},
		{[]string{"picture", "--out", out, "--size", "9999x800"}, []string{"--size", "8192"}},
		{[]string{"check", missing}, []string{missing, "gaitwright new"}},
		{[]string{"check", dir}, []string{dir}},
		{[]string{"check", bad}, []string{bad + ":", "body_mas_g"}},
		{[]string{"check", "--json", bad}, []string{bad + ":"}},
		{[]string{"check", newer}, []string{newer + ":", "99"}},
		{[]string{"check", broken}, []string{broken + ":2:"}},
		{[]string{"check", empty}, []string{empty}},
		{[]string{"trace", bad}, []string{bad + ":"}},
		{[]string{"describe", bad}, []string{bad + ":"}},
		{[]string{"export", bad, "--format", "c", "--rate", "50", "--out", out}, []string{bad + ":"}},
		{[]string{"picture", bad, "--out", out}, []string{bad + ":"}},
		{[]string{bad}, []string{bad + ":"}},
		{[]string{missing}, []string{missing, "the commands are"}},
	} {
		t.Run(strings.Join(c.args, " "), func(t *testing.T) {
			r := call(c.args...)
			if r.code != exitUnable || r.out != "" {
				t.Errorf("status %d, stdout %q, stderr %q", r.code, r.out, r.errout)
			}
			for _, s := range c.says {
				if !strings.Contains(r.errout, s) {
					t.Errorf("stderr does not say %q:\n%s", s, r.errout)
				}
			}
			if !strings.HasPrefix(r.errout, "gaitwright:") || !strings.HasSuffix(r.errout, "\n") {
				t.Errorf("stderr %q", r.errout)
			}
		})
	}
	if _, err := os.Stat(out); err == nil {
		t.Error("something was written all the same")
	}
}

func TestHelp(t *testing.T) {
	for _, args := range [][]string{{"--help"}, {"-h"}, {"check", "--help"}, {"export", "--help"}, {"weigh", "--help"}} {
		out := fine(t, args...)
		if !strings.Contains(out, "Usage: gaitwright") {
			t.Errorf("%v: %s", args, out)
		}
	}
	all := fine(t, "--help")
	for _, word := range []string{"check", "trace", "describe", "export", "picture", "sweep", "gaits", "weigh", "size", "sheet", "link", "compare", "new", "demo"} {
		if !strings.Contains(all, word) {
			t.Errorf("no word of %s:\n%s", word, all)
		}
	}
}

func TestWindow(t *testing.T) {
	path := place(t, "walker.toml", assets.Walker)
	for _, c := range []struct {
		args []string
		file string
		src  []byte
	}{{nil, "", assets.Demo}, {[]string{path}, path, assets.Walker}} {
		o := newOutside()
		if code := run(c.args, &o.env); code != exitFine || o.opened != 1 || o.file != c.file || string(o.src) != string(c.src) {
			t.Errorf("%v: status %d, opened %d times on %q: %s", c.args, code, o.opened, o.file, &o.errout)
		}
	}
	o := newOutside()
	o.fault = errNoScreen
	if code := run(nil, &o.env); code != exitUnable || !strings.Contains(o.errout.String(), errNoScreen.Error()) {
		t.Errorf("no screen: status %d, %q", code, &o.errout)
	}
}

// On a terminal one line tells what is going on, and it is gone at the end.
func TestProgress(t *testing.T) {
	o := newOutside()
	o.terminal = true
	if code := run([]string{"trace", "--rate", "1000", "--out", filepath.Join(t.TempDir(), "t.csv")}, &o.env); code != exitFine {
		t.Fatalf("status %d: %s", code, &o.errout)
	}
	text := o.errout.String()
	if !strings.Contains(text, "reviewing demo") || !strings.Contains(text, " %") || strings.Contains(text, "\n") {
		t.Errorf("progress %q", text)
	}
	lines := strings.Split(text, "\r")
	if last := lines[len(lines)-2]; strings.TrimSpace(last) != "" || lines[len(lines)-1] != "" {
		t.Errorf("the line is not wiped: %q", text)
	}
}
