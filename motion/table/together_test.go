// SPDX-License-Identifier: MIT

package table_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"gaitwright/assets"
	"gaitwright/motion/table"
)

// Player and link as one robot: who moves the servos, and when nobody does.
// The channels' numbers are not in the order of the joints.
func TestTogether(t *testing.T) {
	b, p := built(t, assets.Demo)
	for i := range b.Channels {
		for j := range b.Channels[i] {
			c := &b.Channels[i][j]
			c.Number = 100 + (c.Number*7)%18 // 7 and 18 have no common factor
		}
	}
	clips, err := table.Clips(b, p, table.Which{Moves: true, Walks: true})
	if err != nil {
		t.Fatal(err)
	}
	var files []string
	add := func(name string, u table.Unit) {
		for i := range clips {
			if clips[i].Name != name {
				continue
			}
			set, err := table.NewSet(b, clips[i:i+1], table.SheetOptions{Rate: 50, Interpolation: table.Cubic, Unit: u}, table.Options{Name: "demo"})
			if err != nil {
				t.Fatal(err)
			}
			bytes, err := set.Sheets[0].Binary()
			if err != nil {
				t.Fatal(err)
			}
			path := filepath.Join(t.TempDir(), "table")
			if err := os.WriteFile(path, bytes, 0o644); err != nil {
				t.Fatal(err)
			}
			files = append(files, path)
		}
	}
	add("to_the_drum", table.Unit{Bits: 2})
	add("strike", table.Unit{Bits: 3})
	add("strike", table.Unit{Kind: table.TenthDegree})
	program := compiled(t, "testdata/together.c", firmware+"/gait_robot.c", firmware+"/gait_link.c", firmware+"/gait_player.c")
	out, err := exec.Command(program, files...).CombinedOutput()
	if err != nil || strings.TrimSpace(string(out)) != "fine" {
		t.Errorf("%v\n%s", err, out)
	}
}
