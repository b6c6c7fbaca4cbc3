// SPDX-License-Identifier: MIT

package table

import (
	"errors"
	"fmt"
	"math"

	"gaitwright/motion/workfile"
)

// miss is the worst instant of a joint that cannot follow.
type miss struct {
	by     float64 // how far outside, µs; 0 for none; +Inf for an angle that no table can hold
	at     float64 // s
	entry  string
	us     float64 // pulse asked for, µs
	tenth  float64 // angle asked for, 0.1 degree
	lo, hi float64 // the channel's range, µs
}

// worst collects what joints cannot follow: one instant a joint.
type worst struct {
	at []miss // one a joint
}

// slack is how far a pulse may lie outside its range by rounding alone, µs.
const slack = 1e-6

// note looks at one joint in one frame.
func (w *worst) note(joint int, at float64, entry string, us, tenth float64, c *workfile.Channel) {
	r := math.Round(us)
	by := max(c.Min-us, us-c.Max)
	if by <= slack {
		// The rounded pulse is what the servo gets.
		by = max(0, c.Min-r, r-c.Max, -r, r-math.MaxUint16)
	}
	if !(math.Abs(tenth) <= math.MaxInt16) || math.IsNaN(us) {
		by = math.Inf(1)
	}
	if m := &w.at[joint]; by > m.by {
		*m = miss{by: by, at: at, entry: entry, us: us, tenth: tenth, lo: c.Min, hi: c.Max}
	}
}

// err names each joint that cannot follow, nil when all can.
func (w *worst) err(t *Table) error {
	var all []error
	for i := range w.at {
		m, j := &w.at[i], &t.Joints[i]
		where := fmt.Sprintf("leg %s, %s, %s at %.3f s", j.Leg, j.Name, m.entry, m.at)
		switch {
		case math.IsInf(m.by, 1):
			all = append(all, fmt.Errorf("%w: %s: an angle of %g tenths of a degree does not fit a table: check the move's path there", ErrJoint, where, m.tenth))
		case m.by > 0:
			all = append(all, fmt.Errorf("%w: %s: a pulse of %.1f µs is outside the channel's %g to %g µs: "+
				"change the move, or the joint's centre_us, us_per_deg, trim_deg or range_us after measuring the servo", ErrJoint, where, m.us, m.lo, m.hi))
		}
	}
	return errors.Join(all...)
}
