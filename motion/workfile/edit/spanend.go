// SPDX-License-Identifier: MIT

package edit

import (
	"math"

	"gaitwright/motion/workfile"
)

// EndSpan puts the end of a foot span at a point, from the leg's standing
// point, mm, rounded to a thousandth. Its handles stay as they are.
func EndSpan(f *workfile.File, s Spot, end [3]float64) error {
	_, t, err := trackAt(f, s.Move, s.Track)
	if err != nil {
		return err
	}
	if _, _, err := spanAt(f, s); err != nil {
		return err
	}
	const most = 2000 // as the file may have it
	for i := range end {
		if !(math.Abs(end[i]) <= most) {
			return refuse("choose a point nearer to the robot", "%g mm is farther off than the file may say", end[i])
		}
		end[i] = micro(end[i])
	}
	p := &t.Spans[s.Span]
	if p.Hold == "planted" {
		return refuse("choose a span in which it moves", "the foot is planted in span %d", s.Span+1)
	}
	p.End = &end
	return nil
}
