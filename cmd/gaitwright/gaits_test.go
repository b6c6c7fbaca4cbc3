// SPDX-License-Identifier: MIT

package main

import (
	"regexp"
	"strings"
	"testing"

	"gaitwright/assets"
	"gaitwright/motion/gait"
	"gaitwright/motion/workfile"
)

// The gaits written are those of the library, read back from a workfile that
// they were put into.
func TestGaits(t *testing.T) {
	for _, c := range []struct {
		src   []byte
		args  []string
		names string
	}{
		{assets.Demo, nil, "wave ripple tetrapod tripod"},
		{assets.Walker, nil, "crawl trot pace bound"},
		{assets.Walker, []string{"--duty", "0.8"}, "wave"},
	} {
		path := place(t, "w.toml", c.src)
		out := fine(t, append([]string{"gaits", path}, c.args...)...)
		// In place of the file's own gaits; nothing plays them.
		text := regexp.MustCompile(`(?s)\n\[\[gait\]\].*?\n\n(\[\[gait\]\].*?\n\n)*`).ReplaceAllString(string(c.src), "\n")
		text = text[:strings.Index(text, "[[sequence]]")]
		f, err := workfile.Read("back", []byte(text+out))
		if err != nil {
			t.Fatalf("%v: %v", c.args, err)
		}
		b, err := f.Build()
		if err != nil {
			t.Fatal(err)
		}
		var names []string
		left, right, err := gait.Sides(&b.Robot)
		if err != nil {
			t.Fatal(err)
		}
		for i := range b.Gaits {
			g := &b.Gaits[i]
			names = append(names, g.Name)
			var want gait.Gait
			if len(c.args) > 0 {
				want, err = gait.WaveOf(left, right, 0.8)
			} else {
				var all []gait.Gait
				all, err = gait.Library(left, right)
				want = all[i]
			}
			if err != nil {
				t.Fatal(err)
			}
			if d := g.Duty - want.Duty; d > 1e-11 || d < -1e-11 {
				t.Errorf("%s: duty factor %v, want %v", g.Name, g.Duty, want.Duty)
			}
			for l := range g.Phase {
				if d := g.Phase[l] - want.Phase[l]; d > 1e-11 || d < -1e-11 {
					t.Errorf("%s: phase %v of leg %d, want %v", g.Name, g.Phase[l], l, want.Phase[l])
				}
			}
		}
		if got := strings.Join(names, " "); got != c.names {
			t.Errorf("got %s, want %s", got, c.names)
		}
	}
	for _, bad := range []string{"0.4", "1", "NaN", "x", "0.7 0.8"} {
		if r := call("gaits", "--duty", bad); r.code != exitUnable || !strings.Contains(r.errout, "0.5 to below 1") {
			t.Errorf("--duty %s: status %d, %s", bad, r.code, r.errout)
		}
	}
}

// The letters of a leg's name may be of any alphabet, the bare keys of TOML may
// not.
func TestGaitsOfForeignLetters(t *testing.T) {
	src := strings.NewReplacer(`"LF"`, `"Löwe"`, "LF = ", `"Löwe" = `).Replace(string(assets.Walker))
	out := fine(t, "gaits", place(t, "w.toml", []byte(src)))
	if _, err := workfile.Read("back", []byte(src[:strings.Index(src, "[[gait]]")]+out)); err != nil {
		t.Errorf("%v in\n%s", err, out)
	}
}
