// SPDX-License-Identifier: MIT

package review

import "math"

// besideMark is how far from a mark an instant still is at it, s: two samples
// of the review at its usual rate, and a little.
const besideMark = 5e-3

// mark names the mark at an instant, "" where there is none: the ends of spans
// that lie there are the points that decide.
func (c *look) mark(s float64) string {
	name, least := "", besideMark
	part := c.t.PartAt(s - 1e-6)
	for i := range c.t.Marks {
		m := &c.t.Marks[i]
		if d := math.Abs(m.At - s); d <= least && c.t.PartAt(m.At-1e-6) == part {
			name, least = m.Name, d
		}
	}
	return name
}

// there says where in a path an instant is: at a mark, by its name.
func (c *look) there(s float64) string {
	if m := c.mark(s); m != "" {
		return "at “" + m + "”"
	}
	return "there"
}

// point names a point of a path at an instant by the mark there.
func (c *look) point(what string, s float64) string {
	if m := c.mark(s); m != "" {
		return what + " “" + m + "”"
	}
	return what
}
