// SPDX-License-Identifier: MIT

package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestCompareCommand holds a log against the walker: its left front foot is
// always on the ground, and its coxa stands 2 degrees off.
func TestCompareCommand(t *testing.T) {
	dir := t.TempDir()
	log := filepath.Join(dir, "log.csv")
	var b strings.Builder
	b.WriteString("motion_s,LF_down,LF_coxa_deg\n")
	for k := range 50 { // while it stands
		fmt.Fprintf(&b, "%.2f,1,2\n", float64(k)/100)
	}
	if err := os.WriteFile(log, []byte(b.String()), 0o666); err != nil {
		t.Fatal(err)
	}
	out := fine(t, "compare", "../../assets/walker.toml", log)
	for _, want := range []string{"50 rows", "LF coxa", "+2.0"} {
		if !strings.Contains(out, want) {
			t.Errorf("no %q in\n%s", want, out)
		}
	}
	var got compareJSON
	if err := json.Unmarshal([]byte(fine(t, "compare", "../../assets/walker.toml", log, "--json")), &got); err != nil {
		t.Fatal(err)
	}
	if len(got.Joints) != 1 || got.Joints[0].Lag != nil || got.Joints[0].Mean < 0.0349 || got.Joints[0].Mean > 0.035 || len(got.Feet) != 1 {
		t.Errorf("%+v", got)
	}
	if r := call("compare", "../../assets/walker.toml", filepath.Join(dir, "none")); r.code != exitUnable || !strings.Contains(r.errout, "cannot read the log") {
		t.Errorf("status %d, %s", r.code, r.errout)
	}
	if err := os.WriteFile(log, []byte("time,x\n1,2\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	if r := call("compare", "../../assets/walker.toml", log); r.code != exitUnable || !strings.Contains(r.errout, "motion_s") || !strings.Contains(r.errout, log) {
		t.Errorf("status %d, %s", r.code, r.errout)
	}
}

// TestCompareRefuses: an offset that is none, and a log too large to be one.
func TestCompareRefuses(t *testing.T) {
	log := filepath.Join(t.TempDir(), "log.csv")
	if err := os.WriteFile(log, []byte("motion_s,LF_down\n0,1\n0.1,1\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	for _, offset := range []string{"NaN", "Inf", "1e300"} {
		if r := call("compare", "../../assets/walker.toml", log, "--offset", offset); r.code != exitUnable || !strings.Contains(r.errout, "--offset must lie") || len(r.errout) > 200 {
			t.Errorf("%s: status %d, %s", offset, r.code, r.errout)
		}
	}
	if err := os.Truncate(log, mostLog+10); err != nil { // the rest are zeros, which take no room
		t.Fatal(err)
	}
	if r := call("compare", "../../assets/walker.toml", log); r.code != exitUnable || !strings.Contains(r.errout, "512 MiB") {
		t.Errorf("status %d, %.300s", r.code, r.errout)
	}
}
