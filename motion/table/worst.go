// SPDX-License-Identifier: MIT

package table

import (
	"fmt"
	"math"
	"strings"

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

// faults names each joint that cannot follow.
func (w *worst) faults(t *Table) (all []string) {
	for i := range w.at {
		m, j := &w.at[i], &t.Joints[i]
		where := fmt.Sprintf("leg %s, %s, %s at %.3f s", j.Leg, j.Name, m.entry, m.at)
		switch {
		case math.IsInf(m.by, 1):
			all = append(all, fmt.Sprintf("%s: an angle of %g tenths of a degree does not fit a table: check the move's path there", where, m.tenth))
		case m.by > 0:
			all = append(all, fmt.Sprintf("%s: a pulse of %.1f µs is outside the channel's %g to %g µs: "+
				"change the move, or measure the servo and set its centre_us, us_per_deg, trim_deg or range_us", where, m.us, m.lo, m.hi))
		}
	}
	return all
}

// JointError tells which joints cannot follow. It wraps ErrJoint.
type JointError struct {
	Faults []string // one a joint: where, what, and the remedy
}

// Error gives a line for each joint, one alone on the first.
func (e *JointError) Error() string {
	if len(e.Faults) == 1 {
		return ErrJoint.Error() + ": " + e.Faults[0]
	}
	return fmt.Sprintf("table: %d joints cannot follow:\n  %s", len(e.Faults), strings.Join(e.Faults, "\n  "))
}

// Unwrap gives ErrJoint.
func (e *JointError) Unwrap() error { return ErrJoint }
