// SPDX-License-Identifier: MIT

package machine

import (
	"math"

	"gaitwright/app/document"
	"gaitwright/kin"
)

// uses is what the motion asks of each joint: the least and the greatest angle
// in the whole trajectory, rad.
type uses struct {
	doc    *document.Document
	serial int
	legs   [][kin.Joints]kin.Range
}

// update looks at the trajectory again when it is another one.
func (u *uses) update(d *document.Document) {
	if u.doc == d && u.serial == d.Serial() {
		return
	}
	u.doc, u.serial = d, d.Serial()
	t := d.Result().Trajectory
	u.legs = u.legs[:0]
	for i := range t.Legs {
		var r [kin.Joints]kin.Range
		for j := range r {
			r[j] = kin.Range{Lo: math.Inf(1), Hi: math.Inf(-1)}
		}
		for k := range t.N {
			for j, q := range t.JointsAt(k, i) {
				r[j] = kin.Range{Lo: min(r[j].Lo, q), Hi: max(r[j].Hi, q)}
			}
		}
		u.legs = append(u.legs, r)
	}
}

// of gives what the motion asks of a joint; not ok without a motion.
func (u *uses) of(leg, joint int) (kin.Range, bool) {
	if leg < 0 || leg >= len(u.legs) {
		return kin.Range{}, false
	}
	r := u.legs[leg][joint]
	return r, r.Lo <= r.Hi
}
