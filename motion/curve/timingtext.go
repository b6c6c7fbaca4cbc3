// SPDX-License-Identifier: MIT

package curve

import (
	"fmt"
	"strconv"
	"strings"
)

// keyword is a timing with a name.
type keyword struct {
	name string
	t    Timing
}

// keywords lists the names of CSS Easing Functions Level 1 that have their curve
// in [0,1], and hold.
func keywords() [6]keyword {
	return [...]keyword{
		{"linear", Timing{}},
		{"hold", Timing{Kind: Hold}},
		{"ease", Timing{CubicBezier, 0.25, 0.1, 0.25, 1}},
		{"ease-in", Timing{CubicBezier, 0.42, 0, 1, 1}},
		{"ease-out", Timing{CubicBezier, 0, 0, 0.58, 1}},
		{"ease-in-out", Timing{CubicBezier, 0.42, 0, 0.58, 1}},
	}
}

// Keywords returns the words that [ParseTiming] knows, in the order to show them.
func Keywords() []string {
	var names []string
	for _, k := range keywords() {
		names = append(names, k.name)
	}
	return names
}

// String returns the timing as ParseTiming reads it: a keyword when it equals
// one, otherwise cubic-bezier(x1, y1, x2, y2) with the fewest digits that give the
// same numbers back.
func (t Timing) String() string {
	switch t.Kind {
	case Linear:
		return "linear"
	case Hold:
		return "hold"
	case CubicBezier:
	default:
		return "unknown timing " + strconv.Itoa(int(t.Kind))
	}
	for _, k := range keywords() {
		if t == k.t {
			return k.name
		}
	}
	num := func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
	return "cubic-bezier(" + num(t.X1) + ", " + num(t.Y1) + ", " + num(t.X2) + ", " + num(t.Y2) + ")"
}

// ParseTiming reads a keyword (linear, hold, ease, ease-in, ease-out, ease-in-out)
// or cubic-bezier(x1, y1, x2, y2). Space around words and numbers and the case of
// letters do not matter, as in CSS. A timing that Check refuses is an error.
func ParseTiming(s string) (Timing, error) {
	word := strings.ToLower(strings.TrimSpace(s))
	for _, k := range keywords() {
		if word == k.name {
			return k.t, nil
		}
	}
	inner, ok := strings.CutPrefix(word, "cubic-bezier(")
	if !ok {
		return Timing{}, fmt.Errorf("curve: timing %s: use %s or cubic-bezier(x1, y1, x2, y2)",
			shown(s), strings.Join(Keywords(), ", "))
	}
	inner, ok = strings.CutSuffix(inner, ")")
	if !ok {
		return Timing{}, fmt.Errorf("curve: timing %s: end it with a closing bracket", shown(s))
	}
	fields := strings.Split(inner, ",")
	if len(fields) != 4 {
		return Timing{}, fmt.Errorf("curve: timing %s: has %d numbers: give four, x1, y1, x2, y2", shown(s), len(fields))
	}
	var v [4]float64
	for i, f := range fields {
		f = strings.TrimSpace(f)
		n, err := strconv.ParseFloat(f, 64)
		// ParseFloat also reads inf, nan, hexadecimal and digits with underscores.
		if err != nil || strings.Trim(f, "0123456789+-.e") != "" {
			return Timing{}, fmt.Errorf("curve: timing %s: number %d is %s: give a decimal number from 0 to 1",
				shown(s), i+1, shown(f))
		}
		v[i] = n
	}
	return NewCubic(v[0], v[1], v[2], v[3])
}

// shown quotes what was read, cut to a length that fits a message.
func shown(s string) string {
	const most = 60
	if len(s) <= most {
		return strconv.Quote(s)
	}
	return strconv.Quote(s[:most]) + "..."
}
