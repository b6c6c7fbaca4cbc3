// SPDX-License-Identifier: MIT

package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gaitwright/assets"
)

// slippery is the demo on ice, with a gait that walks backwards: it can be
// walked, and to change from the one to the other cannot be done.
func slippery(t *testing.T) string {
	t.Helper()
	text := string(assets.Demo)
	head, rest, _ := strings.Cut(text, "[[gait]]")
	gait, _, _ := strings.Cut(rest, "[[gait]]")
	back := strings.NewReplacer(`"tripod"`, `"back"`, "period_ms = 1000", "period_ms = 1001").Replace(gait)
	walk := "[[sequence]]\nkind = \"walk\"\ngait = \"tripod\"\ncycles = 2\nforward_mm_s = 120\n"
	text = strings.Replace(head, "friction = 0.7", "friction = 0.06", 1) + "[[gait]]" + gait + "[[gait]]" + back +
		walk + strings.NewReplacer(`"tripod"`, `"back"`, "= 120", "= -120").Replace(walk)
	return place(t, "slippery.toml", []byte(text))
}

// The demo's sweep says of each gait and each change what it came to.
func TestSweep(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new", "folder")
	out := fine(t, "sweep", "--instants", "4", "--out", dir)
	for _, line := range []string{
		"no stop found in 36 runs\ndemo: stage drummer, 4 instants of the cycle a change, 100 samples a second\n",
		`80 mm/s forward (entry "to the drum")`, "mm/s forward (0.6 of the fastest ahead)",
		"\ntripod to ripple  ", "\nwave, move strike  ", "  none\n", filepath.Join(dir, "sweep-margin.svg") + "\n",
	} {
		if !strings.Contains(out, line) {
			t.Errorf("no %q in\n%s", line, out)
		}
	}
	if strings.Contains(out, "NaN") || strings.Contains(out, "Inf") {
		t.Errorf("a number that is none:\n%s", out)
	}
	read := func(name string) []byte {
		text, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		return text
	}
	if _, err := png.Decode(bytes.NewReader(read("sweep-margin.png"))); err != nil {
		t.Error(err)
	}
	if svg := string(read("sweep-margin.svg")); !strings.Contains(svg, "wave, move strike") || !strings.HasSuffix(strings.TrimSpace(svg), "</svg>") {
		t.Error("the SVG is not whole")
	}
	rows, err := csv.NewReader(bytes.NewReader(read("sweep-margin.csv"))).ReadAll()
	if err != nil || len(rows) != 37 || rows[0][0] != "from" || rows[36][2] != "strike" || rows[36][3] != "0.75" {
		t.Errorf("%v: %d rows, the last %q", err, len(rows), rows[len(rows)-1])
	}
	if all, _ := os.ReadDir(dir); len(all) != 3 {
		t.Errorf("files %v", all)
	}
}

// The JSON has the keys it says, all of them, and null for what is not known.
func TestSweepJSON(t *testing.T) {
	text := fine(t, "sweep", "--instants", "2", "--json")
	var r sweepJSON
	strict(t, text, &r)
	if r.File != "demo" || r.Partial || r.Runs != 18 || r.Total != 18 || r.Instants != 2 || r.Rate != 100 || len(r.Gaits) != 3 || len(r.Changes) != 9 {
		t.Errorf("%+v", r)
	}
	top := keys(t, []byte(text), "file robot partial instants rate_hz runs total gaits changes")
	keys(t, items(t, top["gaits"])[0], "gait forward_mm_s side_mm_s turn_deg_s command_of_entry can_be_walked word why static_margin_m dynamic_margin_m slip_m joint_speed_share")
	c := keys(t, items(t, top["changes"])[0], "from to move worst runs")
	keys(t, c["worst"], "static_margin_m dynamic_margin_m dynamic_margin_phase slip_m joint_speed_share in_force_s back_s runs_with_stop word why")
	run := keys(t, items(t, c["runs"])[1],
		"phase run static_margin_m dynamic_margin_m dynamic_margin_at_s slip_m joint_speed_share in_force_s back_s stops cautions word why fault")
	if string(run["back_s"]) != "null" || string(run["phase"]) != "0.5" || string(run["run"]) != "true" {
		t.Errorf("run %s", items(t, c["runs"])[1])
	}
	last := r.Changes[8]
	if last.From != "wave" || last.To != "" || last.Move != "strike" || last.Runs[0].Back == nil || last.Worst.Time == nil {
		t.Errorf("%+v", last)
	}
}

// A change that may not be done ends with status 1, and so does a gait that
// cannot be walked; both are named.
func TestSweepStops(t *testing.T) {
	dir := t.TempDir()
	r := call("sweep", slippery(t), "--instants", "3", "--out", dir)
	if r.code != exitStop || !strings.HasPrefix(r.out, "stop: ") || !strings.Contains(r.out, ": foot-slides\n") ||
		!strings.Contains(r.out, "tripod to back, asked for at ") || !strings.Contains(r.out, "friction") {
		t.Errorf("status %d:\n%s%s", r.code, r.out, r.errout)
	}
	if _, err := os.Stat(filepath.Join(dir, "sweep-margin.svg")); err != nil {
		t.Error("what is bad is not drawn")
	}
	hopeless := strings.Replace(string(assets.Walker), "step_height_mm = 28", "step_height_mm = 500", 1)
	r = call("sweep", place(t, "hopeless.toml", []byte(hopeless)), "--instants", "3", "--out", dir)
	if r.code != exitStop || !strings.HasPrefix(r.out, "stop: 1 gait cannot be walked; ") || !strings.Contains(r.out, "\ncrawl cannot be walked, and is in no change: ") ||
		!strings.Contains(r.errout, "nothing to draw") {
		t.Errorf("status %d:\n%s%s", r.code, r.out, r.errout)
	}
	r = call("sweep", place(t, "hopeless.toml", []byte(hopeless)), "--json")
	var s sweepJSON
	strict(t, r.out, &s)
	if g := s.Gaits[0]; r.code != exitStop || g.Walks || g.Word == "" || g.Why == "" || len(s.Changes) != 0 {
		t.Errorf("status %d: %+v", r.code, s)
	}
}

func TestSweepUnusable(t *testing.T) {
	gaitless, _, _ := strings.Cut(string(assets.Walker), "# A crawl lifts")
	file := place(t, "file", nil)
	for _, c := range []struct {
		args []string
		says string
	}{
		{[]string{"--instants", "0"}, "--instants 0: give a number from 1 to 10000"},
		{[]string{"--instants", "20000"}, "from 1 to"},
		{[]string{"--instants", "many"}, "--instants"},
		{[]string{filepath.Join(t.TempDir(), "missing.toml")}, "gaitwright new"},
		{[]string{place(t, "gaitless.toml", []byte(gaitless))}, "add a [[gait]]"},
		{[]string{place(t, "bad.toml", []byte("format = 1\n[robot\n"))}, "bad.toml:2:"},
		{[]string{"--out", filepath.Join(file, "below")}, "cannot make the folder"},
	} {
		r := call(append([]string{"sweep"}, c.args...)...)
		if r.code != exitUnable || r.out != "" || !strings.Contains(r.errout, c.says) {
			t.Errorf("%v: status %d, %q, %q", c.args, r.code, r.out, r.errout)
		}
	}
}

// stopper ends what goes on when something is written that tells how far it
// has come.
type stopper struct {
	bytes.Buffer
	stop func()
}

func (s *stopper) Write(p []byte) (int, error) {
	if bytes.Contains(p, []byte("%")) {
		s.stop()
	}
	return s.Buffer.Write(p)
}

// Interrupted, a sweep says what it has, says that it is partial, and leaves
// the files alone.
func TestSweepInterrupted(t *testing.T) {
	for _, args := range [][]string{{"sweep"}, {"sweep", "--json"}} {
		dir := t.TempDir()
		o := newOutside()
		s := &stopper{}
		o.terminal, o.env.stderr = true, s
		o.interrupted = func(ctx context.Context) (context.Context, context.CancelFunc) {
			ctx, stop := context.WithCancel(ctx)
			s.stop = stop
			return ctx, stop
		}
		code := run(append(args, "--out", dir), &o.env)
		if code != exitInterrupted || !strings.Contains(s.String(), "interrupted after ") || !strings.Contains(s.String(), "sweeping demo: ") {
			t.Errorf("%v: status %d, %q", args, code, s)
		}
		out := o.out.String()
		if len(args) == 1 && (!strings.HasPrefix(out, "partial: no stop found in the first ") || !strings.Contains(out, " of 100 run)")) {
			t.Errorf("%s", out)
		}
		if len(args) == 2 {
			var r sweepJSON
			strict(t, out, &r)
			if !r.Partial || !(r.Runs > 0 && r.Runs < r.Total) || r.Changes[8].Runs[99].Run {
				t.Errorf("partial=%v, %d of %d", r.Partial, r.Runs, r.Total)
			}
		}
		if all, _ := os.ReadDir(dir); len(all) != 0 {
			t.Errorf("files %v", all)
		}
	}
	// Before anything is known.
	o := newOutside()
	o.interrupted = func(ctx context.Context) (context.Context, context.CancelFunc) {
		ctx, stop := context.WithCancel(ctx)
		stop()
		return ctx, stop
	}
	if code := run([]string{"sweep"}, &o.env); code != exitInterrupted || !strings.HasPrefix(o.out.String(), "partial: ") {
		t.Errorf("status %d: %s", code, &o.out)
	}
}

func TestSweepHelp(t *testing.T) {
	if all := fine(t, "--help"); !strings.Contains(all, "sweep") || !strings.Contains(all, "130") {
		t.Error(all)
	}
	if one := fine(t, "sweep", "--help"); !strings.Contains(one, "--instants") || !strings.Contains(one, "heat map") {
		t.Error(one)
	}
}
