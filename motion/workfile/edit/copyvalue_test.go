// SPDX-License-Identifier: MIT

package edit

import (
	"testing"

	"gaitwright/kin"
)

// One number for all legs: each leg has it then, turned to its side, and
// nothing else has changed.
func TestCopyLegValue(t *testing.T) {
	tibia := LegNumber{Joint: Whole, Key: "tibia_mm"}
	coxa := LegNumber{Joint: kin.Coxa, Key: "range_deg"}
	f := drummer(t)
	if LegsDiffer(f, lf, tibia) {
		t.Error("the legs of the drummer are not alike")
	}
	SetLegValue(f, lf, tibia, 125)
	SetLegValue(f, lf, coxa, -40)
	if !LegsDiffer(f, lf, tibia) || !LegsDiffer(f, lm, tibia) || !LegsDiffer(f, lf, coxa) {
		t.Error("the leg that was changed is like the others")
	}
	g := f.Clone()
	CopyLegValue(g, lf, tibia)
	for i := range g.Legs {
		if v, _ := LegValue(g, i, tibia); v != 125 {
			t.Errorf("leg %s has %v", g.Legs[i].Name, v)
		}
		if v, _ := LegValue(g, i, LegNumber{Joint: Whole, Key: "femur_mm"}); v != *f.Legs[lf].FemurLength {
			t.Errorf("leg %s has the femur %v", g.Legs[i].Name, v)
		}
	}
	if LegsDiffer(g, lf, tibia) || !LegsDiffer(g, lf, coxa) {
		t.Error("what was copied differs, or what was not is the same")
	}
	CopyLegValue(g, lf, coxa)
	b := plays(t, g)
	for i := range b.Robot.Legs {
		l := &b.Robot.Legs[i]
		r, want := l.Limits[kin.Coxa], b.Robot.Legs[lf].Limits[kin.Coxa]
		if l.PBH.Y < 0 {
			want = kin.Range{Lo: -want.Hi, Hi: -want.Lo}
		}
		if r != want {
			t.Errorf("leg %s turns in %v, want %v", l.Name, r, want)
		}
	}
	// From a leg that mirrors another one and has a value of its own.
	h := f.Clone()
	mirrored := -1
	for i := range h.Legs {
		if h.Legs[i].Mirrors != "" {
			mirrored = i
			break
		}
	}
	OwnLegValue(h, mirrored, tibia)
	SetLegValue(h, mirrored, tibia, 111)
	CopyLegValue(h, mirrored, tibia)
	for i := range h.Legs {
		if v, _ := LegValue(h, i, tibia); v != 111 {
			t.Errorf("leg %s has %v", h.Legs[i].Name, v)
		}
	}
	CopyLegValue(h, 99, tibia) // a leg that there is not
	if LegsDiffer(h, -1, tibia) {
		t.Error("a leg that there is not differs")
	}
}
