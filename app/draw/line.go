// SPDX-License-Identifier: MIT

package draw

import "math"

// Pattern is the way a line is broken up.
type Pattern uint8

// The patterns. In print they are the line types of drawing practice: a
// continuous, a dashed, a dotted and a long-dashed dotted line (ISO 128).
const (
	Solid Pattern = iota
	Dashed
	Dotted
	DashDot
)

// String names the pattern.
func (p Pattern) String() string {
	switch p {
	case Dashed:
		return "dashed"
	case Dotted:
		return "dotted"
	case DashDot:
		return "dash-dot"
	}
	return "solid"
}

// Line says how a line is drawn.
type Line struct {
	Width   float64 // across the line, px
	Pattern Pattern
	Unit    float64 // length unit of the pattern, px; zero takes the width
	Phase   float64 // distance into the pattern at the start, px
}

// spans returns the drawn and the open lengths of a pattern in turn, in units.
func (p Pattern) spans() []float64 {
	switch p {
	case Dashed:
		return dashed[:]
	case Dotted:
		return dotted[:]
	case DashDot:
		return dashDot[:]
	}
	return nil
}

var (
	dashed  = [2]float64{5, 3.5}
	dotted  = [2]float64{1.2, 2.3}
	dashDot = [4]float64{7, 2.5, 1.2, 2.5}
)

// each calls f for the drawn pieces between the distances from and to along a
// segment, px, when the pattern stands at phase where the segment starts.
// Cost: one call a piece between from and to, whatever lies before.
func (l Line) each(phase, from, to float64, f func(from, to float64)) {
	spans := l.Pattern.spans()
	unit := l.Unit
	if unit <= 0 {
		unit = math.Max(l.Width, 1)
	}
	if spans == nil || !(unit > 1e-3) || math.IsInf(unit, 0) || phase-phase != 0 {
		f(from, to)
		return
	}
	period := 0.0
	for _, s := range spans {
		period += s * unit
	}
	at := from - math.Mod(math.Mod(phase+from, period)+period, period) // where a period began
	for at < to {
		for i, s := range spans {
			end := at + s*unit
			if i%2 == 0 {
				if a, b := math.Max(at, from), math.Min(end, to); b > a {
					f(a, b)
				}
			}
			at = end
		}
	}
}
