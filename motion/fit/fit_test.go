// SPDX-License-Identifier: MIT

package fit_test

import (
	"testing"

	"gaitwright/assets"
	"gaitwright/motion/fit"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// TestLibraryOnFourLegs: the crawl and a wave stand on the usher with some sway,
// and would not without; a trot, on two feet, cannot be helped by it.
func TestLibraryOnFourLegs(t *testing.T) {
	f, err := workfile.Read("walker", assets.Walker)
	if err != nil {
		t.Fatal(err)
	}
	all, err := edit.Library(f)
	if err != nil {
		t.Fatal(err)
	}
	wave, err := edit.Wave(f, 0.9)
	if err != nil {
		t.Fatal(err)
	}
	for _, g := range append(all, wave) {
		g.Sway = 0
		x, err := fit.Gait(f, g)
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%s: sway %v, period %v, %v mm/s, %d findings", g.Name, x.Gait.Sway, x.Gait.Period, x.Speed, len(x.Findings))
		for _, v := range x.Findings {
			t.Logf("  %s %s", v.Word, v.Why)
		}
		switch g.Name {
		case "crawl", "wave":
			if !x.Walks() || x.Gait.Sway < 10 || x.Speed < 5 {
				t.Errorf("%s does not walk: %+v", g.Name, x.Gait)
			}
		}
		if x.Gait.Name != g.Name || x.Gait.Duty != g.Duty {
			t.Errorf("%s became %s with duty factor %v", g.Name, x.Gait.Name, x.Gait.Duty)
		}
	}
}

// TestSixLegs: all gaits of the library walk on the demo's robot as they are.
func TestSixLegs(t *testing.T) {
	f, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	all, err := edit.Library(f)
	if err != nil {
		t.Fatal(err)
	}
	for _, g := range all {
		x, err := fit.Gait(f, g)
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%s: sway %v, period %v, %v mm/s, %d findings", g.Name, x.Gait.Sway, x.Gait.Period, x.Speed, len(x.Findings))
		if !x.Walks() || x.Gait.Sway != g.Sway {
			t.Errorf("%s: %+v", g.Name, x)
		}
	}
}
