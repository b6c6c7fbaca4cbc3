// SPDX-License-Identifier: MIT

package walk

import (
	"math"

	"gaitwright/app/document"
	"gaitwright/motion/gait"
	"gaitwright/motion/workfile"
)

// Bounds of a duty factor set by hand.
const leastDuty, mostDuty = 0.05, 0.95

// Duty gives the duty factor of a leg: its own, or that of the gait.
func Duty(g *workfile.Gait, leg string) float64 {
	if v, ok := g.Duties[leg]; ok {
		return v
	}
	return g.Duty
}

// DragPhase sets a leg's phase in a gait, to a thousandth of a cycle, as part
// of a drag.
func DragPhase(d *document.Document, gaitIndex int, leg string, v float64) {
	v = math.Mod(math.Round(gait.Frac(v)*1000)/1000, 1)
	d.Drag("change a leg's phase", func(f *workfile.File) { f.Gaits[gaitIndex].Phase[leg] = v })
}

// DragDuty sets the duty factor of a leg in a gait, to a thousandth, as part
// of a drag: that of all legs without one of their own, where it has none.
func DragDuty(d *document.Document, gaitIndex int, leg string, v float64) {
	v = max(leastDuty, min(mostDuty, math.Round(v*1000)/1000))
	d.Drag("change the duty factor", func(f *workfile.File) {
		g := &f.Gaits[gaitIndex]
		if _, own := g.Duties[leg]; own {
			g.Duties[leg] = v
			return
		}
		g.Duty = v
	})
}
