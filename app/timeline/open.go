// SPDX-License-Identifier: MIT

package timeline

import (
	"image"

	"gioui.org/f32"

	"gaitwright/app/document"
)

// open shows what the entry at a point of the sequence's row plays, where that
// is edited; it tells whether there is one.
func (p *Panel) open(at f32.Point, d *document.Document) bool {
	if p.Open == nil || d.Showing() || !(image.Pt(int(at.X), int(at.Y))).In(p.lanes.entries) {
		return false
	}
	t := d.Result().Trajectory
	i := t.PartAt(p.timeAt(at, t.Duration()))
	if i < 0 || t.Parts[i].Index < 0 || t.Parts[i].Index >= len(d.File().Sequence) {
		return false
	}
	p.Open(t.Parts[i].Index)
	return true
}
