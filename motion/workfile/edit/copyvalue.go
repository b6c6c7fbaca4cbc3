// SPDX-License-Identifier: MIT

package edit

import (
	"reflect"

	"gaitwright/motion/workfile"
)

// CopyLegValue gives every other leg the key of a number of one leg, both ends
// of a range and all three of a place, as CopyLeg does for all of them.
func CopyLegValue(f *workfile.File, from int, n LegNumber) {
	if !has(f, from) {
		return
	}
	w := f.Whole(from)
	for i := range f.Legs {
		if i != from || f.Legs[i].Mirrors != "" {
			n.copyTo(f, &w, from, i)
		}
	}
}

// LegsDiffer tells whether CopyLegValue would change any leg.
func LegsDiffer(f *workfile.File, from int, n LegNumber) bool {
	if !has(f, from) {
		return false
	}
	v := n.slot(ref(f.Whole(from)))
	for i := range f.Legs {
		if i == from {
			continue
		}
		want := v
		if !v.IsNil() && otherSide(f, from, i) {
			want = n.turned(f, from, i, v)
		}
		if !reflect.DeepEqual(n.slot(ref(f.Whole(i))).Interface(), want.Interface()) {
			return true
		}
	}
	return false
}

func ref(l workfile.Leg) *workfile.Leg { return &l }

// otherSide tells whether two legs sit on different sides of the body.
func otherSide(f *workfile.File, i, j int) bool {
	right := func(i int) bool {
		l := f.Whole(i)
		return l.Mount != nil && l.Mount[1] < 0
	}
	return right(i) != right(j)
}

// copyTo gives leg i the key that leg from has as w, turned to its side. A leg
// that mirrors another one has it from there.
func (n LegNumber) copyTo(f *workfile.File, w *workfile.Leg, from, i int) {
	v, s := n.slot(w), n.slot(&f.Legs[i])
	if f.Legs[i].Mirrors != "" || v.IsNil() {
		s.Set(reflect.Zero(s.Type()))
		return
	}
	if otherSide(f, from, i) {
		v = n.turned(f, from, i, v)
	}
	p := reflect.New(v.Type().Elem())
	p.Elem().Set(v.Elem())
	s.Set(p)
}
