// SPDX-License-Identifier: MIT

package sequence

import (
	"slices"
	"testing"

	"gioui.org/io/key"

	"gaitwright/assets"
)

// A double click, Enter and the button open what an entry plays; an entry that
// plays nothing that could be edited opens nothing.
func TestOpen(t *testing.T) {
	r := open(t, assets.Demo)
	var opened []int
	r.panel.Open = func(entry int) { opened = append(opened, entry) }
	walk, stand, move := 1, 0, 3
	if k := r.kinds(); k[walk] != "walk" || k[stand] != "stand" || k[move] != "move" {
		t.Fatalf("the demo plays %q", k)
	}
	r.DoubleClick("entry 2, walk")
	r.Settle()
	r.Press(key.NameReturn, 0)
	r.Settle()
	r.Click("entry 4, move")
	r.Settle()
	if !slices.Equal(opened, []int{walk, walk}) {
		t.Errorf("opened %v", opened)
	}
	r.Click("edit what the entry plays")
	r.Settle()
	r.DoubleClick("entry 1, stand")
	r.Press(key.NameReturn, 0)
	r.Settle()
	if !slices.Equal(opened, []int{walk, walk, move}) {
		t.Errorf("opened %v", opened)
	}
	if n := r.MustFind("edit what the entry plays"); !n.Desc.Disabled {
		t.Error("the button offers to edit standing")
	}
}
