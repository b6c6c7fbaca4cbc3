// SPDX-License-Identifier: MIT

package pace_test

import (
	"os"
	"testing"

	"gaitwright/motion/pace"
	"gaitwright/motion/workfile"
)

// read builds one of the workfiles that come with the program.
func read(t testing.TB, name string) *workfile.Built {
	t.Helper()
	text, err := os.ReadFile("../../assets/" + name)
	if err != nil {
		t.Fatal(err)
	}
	f, err := workfile.Read(name, text)
	if err != nil {
		t.Fatal(err)
	}
	b, err := f.Build()
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func drummer(t testing.TB) *workfile.Built { return read(t, "drummer.toml") }

// built gives the pace of a gait of a workfile, by the workfile's thresholds.
func built(t testing.TB, b *workfile.Built, gait int) *pace.Pace {
	t.Helper()
	p, err := pace.New(&b.Robot, b.Height, &b.Gaits[gait], pace.Limits{SpeedShare: b.Limits.SpeedShare, Clearance: b.Limits.Clearance})
	if err != nil {
		t.Fatal(err)
	}
	return p
}
