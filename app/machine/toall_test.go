// SPDX-License-Identifier: MIT

package machine

import (
	"testing"

	"gaitwright/assets"
	"gaitwright/motion/workfile/edit"
)

// A number that other legs have otherwise has a sign beside it, which gives it
// to all of them in one step.
func TestNumberForAllLegs(t *testing.T) {
	r := open(t, assets.Demo, legOf)
	const sign = "Another leg has another tibia length: use that of LF for all legs"
	r.MustMiss(sign)
	r.enter("LF tibia length", "121")
	r.Click(sign)
	r.Settle()
	tibia := edit.LegNumber{Joint: edit.Whole, Key: "tibia_mm"}
	for i, l := range r.doc.File().Legs {
		if v, _ := edit.LegValue(r.doc.File(), i, tibia); v != 121 {
			t.Errorf("leg %s has %v", l.Name, v)
		}
	}
	r.MustMiss(sign)
	r.doc.Undo()
	r.Settle()
	r.MustFind(sign)
	r.doc.Undo()
	r.Settle()
	r.MustMiss(sign)
}
