// SPDX-License-Identifier: MIT

package document

// Grip is the drag of one view: whether something is held, and whether the
// document has yet to hear where it went. A frame may bring many moves of the
// pointer; each change rehearses the motion, so the view asks at every move
// and changes the document once a frame. The zero value holds nothing.
type Grip struct {
	held, due, told bool
}

// Take begins a drag.
func (g *Grip) Take() { *g = Grip{held: true} }

// Held tells whether something is held.
func (g *Grip) Held() bool { return g.held }

// Ask notes that the pointer has moved.
func (g *Grip) Ask() { g.due = g.held }

// Due tells, once, whether the document is to hear where the drag is now. A
// drag that was taken back or saved under the hand is let go instead of being
// begun again.
func (g *Grip) Due(d *Document) bool {
	if !g.due {
		return false
	}
	g.due = false
	if g.told && !d.Dragging() {
		g.held = false
		return false
	}
	g.told = true
	return true
}

// Let lets go without a word to the document.
func (g *Grip) Let() { *g = Grip{} }

// Cancel lets go and puts back what was there before the drag.
func (g *Grip) Cancel(d *Document) {
	if g.held {
		d.Cancel()
	}
	g.Let()
}
