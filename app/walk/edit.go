// SPDX-License-Identifier: MIT

package walk

import (
	"math"

	"gaitwright/app/document"
	"gaitwright/motion/gait"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// Bounds of a duty factor set by hand.
const leastDuty, mostDuty = 0.05, 0.95

// DragPhase sets a leg's phase in a gait, to a thousandth of a cycle, as part
// of a drag.
func DragPhase(d *document.Document, gaitIndex int, leg string, v float64) {
	v = math.Mod(math.Round(gait.Frac(v)*1000)/1000, 1)
	d.Drag("change a leg's phase", func(f *workfile.File) { edit.SetPhase(&f.Gaits[gaitIndex], leg, v) })
}

// DragDuty sets the duty factor of a leg in a gait, to a thousandth, as part
// of a drag: that of all legs without one of their own, where it has none.
func DragDuty(d *document.Document, gaitIndex int, leg string, v float64) {
	v = max(leastDuty, min(mostDuty, math.Round(v*1000)/1000))
	d.Drag("change the duty factor", func(f *workfile.File) { edit.SetDuty(&f.Gaits[gaitIndex], leg, v) })
}
