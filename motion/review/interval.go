// SPDX-License-Identifier: MIT

package review

import "math"

// joined is the longest pause within one finding, s. Common practice: shorter
// than anything a person tells apart on the timeline.
const joined = 0.030

// interval is a time in which one thing is wrong.
type interval struct {
	from, to, worst float64 // s
	score           float64 // at worst; greater is worse
	part            int
	level           Level
	stops           bool // a caution that holds a stop within
	open            bool
}

// track gathers the violating instants of one word, leg and joint into
// intervals. Instants come in order. A caution that grows into a stop is told
// once, as the stop. The zero value is ready.
type track struct {
	stop, any interval
	done      []interval
}

// add takes one violating instant.
func (c *look) add(t *track, s, score float64, level Level) {
	part := c.t.PartAt(s)
	c.heard(c.t.Index(s))
	if level == Stop {
		c.grow(t, &t.stop, s, score, part, Stop)
		c.grow(t, &t.any, s, score, part, Caution)
		t.any.stops = true
		return
	}
	c.grow(t, &t.any, s, score, part, Caution)
}

// grow adds an instant to an open interval, or closes it and opens another.
func (c *look) grow(t *track, v *interval, s, score float64, part int, level Level) {
	gap := max(joined, 1/c.t.Rate) + 1e-9
	if v.open && part == v.part && s >= v.to && s-v.to <= gap {
		v.to = s
		if score > v.score+1e-9*math.Abs(v.score) { // not by rounding
			v.score, v.worst = score, s
		}
		return
	}
	t.close(v)
	*v = interval{from: s, to: s, worst: s, score: score, part: part, level: level, open: true}
}

func (t *track) close(v *interval) {
	if v.open && !v.stops {
		t.done = append(t.done, *v)
	}
	v.open = false
}

// intervals closes the track.
func (t *track) intervals() []interval {
	t.close(&t.stop)
	t.close(&t.any)
	return t.done
}
