// SPDX-License-Identifier: MIT

package workfile

import "reflect"

// Range gives the interval that a key's numbers may lie in, in the key's
// unit; its ends may be open, see [File.Check]. The section is the table that
// the key stands in: "robot", "ground", "limits", "supply", "servo", "leg",
// "joint", "gait", "move", "mark", "body", "foot", "span" or "sequence".
// For a key without an interval, or one that does not exist, ok is false.
func Range(section, key string) (lo, hi float64, ok bool) {
	t, known := sections()[section]
	if !known {
		return 0, 0, false
	}
	for _, k := range keysOf(t) {
		if k.name == key && k.in != "" {
			lo, hi, _, _ = bounds(k.in)
			return lo, hi, true
		}
	}
	return 0, 0, false
}

// sections names the tables of a workfile.
func sections() map[string]reflect.Type {
	return map[string]reflect.Type{
		"robot": reflect.TypeFor[Robot](), "ground": reflect.TypeFor[Ground](),
		"limits": reflect.TypeFor[Limits](), "supply": reflect.TypeFor[Supply](),
		"servo": reflect.TypeFor[Servo](), "leg": reflect.TypeFor[Leg](), "joint": reflect.TypeFor[Joint](),
		"gait": reflect.TypeFor[Gait](), "move": reflect.TypeFor[Move](), "mark": reflect.TypeFor[Mark](),
		"body": reflect.TypeFor[BodySpan](), "foot": reflect.TypeFor[FootTrack](), "span": reflect.TypeFor[FootSpan](),
		"sequence": reflect.TypeFor[Entry](),
	}
}
