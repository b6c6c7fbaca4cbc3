// SPDX-License-Identifier: MIT

package strips

import (
	"math"

	"gaitwright/app/draw"
)

// amount writes a value of a strip with its unit.
func (s *strip) amount(v float64) string {
	switch s.unit {
	case "%":
		return percent(v)
	case "A":
		return draw.Number(v, 1) + " A"
	case "°":
		return s.amountOf(v, 1)
	}
	return draw.Number(v, 1) + " " + s.unit
}

// amountOf writes a value with so many digits, its unit close to it as with an
// angle.
func (s *strip) amountOf(v float64, digits int) string { return draw.Number(v, digits) + s.unit }

// shows says what the strips of the legs are of.
func (v *derived) shows() string {
	switch {
	case v.view != angle:
		return "% of each joint's limit"
	case v.log.rec == nil:
		return "degrees; a robot's log (page link) shows beside them"
	case len(v.log.cmp.Follow) == 0:
		return "degrees; the robot's log has no joint positions"
	}
	return "degrees; the joint farthest off comes first"
}

// percent writes a share. What has no bound is not a number to write.
func percent(v float64) string {
	const most = 999
	if v > most {
		return "over 999 %"
	}
	return draw.Number(v, 0) + " %"
}

// says is what is worst about a strip, and when.
func (s *strip) says() string {
	if !s.worst.ok && s.angle {
		return "drawn from " + draw.Number(s.drawn[0], 1) + " to " + s.amount(s.drawn[1])
	}
	if !s.worst.ok {
		if len(s.gaps) > 0 {
			return "no number: " + s.gaps[0].why
		}
		if s.free {
			return "worked out when you let go"
		}
		return "no number"
	}
	words := s.worst.line + " " + s.amount(s.worst.value) + " at " + draw.Number(s.worst.at, 2) + " s"
	if s.noted != fine {
		words += "; " + s.note
	}
	return words
}

// until gives the end of the stretch near or past the limit that a time is in,
// or the time.
func (s *strip) until(at float64) float64 {
	for _, in := range [2][][2]float64{s.past, s.near} {
		for _, v := range in {
			if v[0] <= at && at <= v[1] {
				return v[1]
			}
		}
	}
	return at
}

// short writes a limit without its unit, with a decimal only where it has one.
func short(v float64) string {
	if math.Abs(v-math.Round(v)) < 0.05 {
		return draw.Number(v, 0)
	}
	return draw.Number(v, 1)
}
