// SPDX-License-Identifier: MIT

package document

import "testing"

func TestGrip(t *testing.T) {
	var d Document
	var g Grip
	if g.Ask(); g.Due(&d) {
		t.Error("nothing is held, and yet something is due")
	}
	g.Take()
	if g.Due(&d) {
		t.Error("due before the pointer moved")
	}
	g.Ask()
	g.Ask()
	if !g.Due(&d) || g.Due(&d) {
		t.Error("two moves in a frame are one change")
	}
	// The document knows no drag any more: it was taken back under the hand.
	if g.Ask(); g.Due(&d) || g.Held() {
		t.Error("a drag that was taken back begins again")
	}
}
