// SPDX-License-Identifier: MIT

package document

import (
	"reflect"

	"gaitwright/motion/workfile"
)

// delta is what one edit changed in a file: the values before and after, and
// where they stand. It keeps nothing else of the two files, so that a step of
// undo is as small as the edit.
type delta []change

// change is one place of a delta: a value that was replaced, or a run of a
// list or of a table's keys that took another's place.
type change struct {
	path          []int // of struct fields and list elements
	at            int   // first element of the run, -1 for a value as a whole
	before, after reflect.Value
}

// between finds what turns a into b. Both must not change afterwards.
func between(a, b *workfile.File) delta {
	var d delta
	d.find(nil, reflect.ValueOf(a).Elem(), reflect.ValueOf(b).Elem())
	return d
}

// apply gives the file that f becomes by the delta, or by its reverse. The
// delta must have been made from a file equal to f, or to what f becomes.
func (d delta) apply(f *workfile.File, reverse bool) *workfile.File {
	g := f.Clone()
	for i := range d {
		c := &d[i]
		from, to := c.before, c.after
		if reverse {
			from, to = to, from
		}
		v := reflect.ValueOf(g).Elem()
		for _, k := range c.path {
			if v.Kind() == reflect.Struct {
				v = v.Field(k)
			} else {
				v = v.Index(k)
			}
		}
		if c.at < 0 {
			v.Set(workfile.Copied(to))
			continue
		}
		n := v.Len() - from.Len() + to.Len()
		s := reflect.MakeSlice(v.Type(), 0, n)
		s = reflect.AppendSlice(s, v.Slice(0, c.at))
		s = reflect.AppendSlice(s, workfile.Copied(to))
		s = reflect.AppendSlice(s, v.Slice(c.at+from.Len(), v.Len()))
		v.Set(s)
	}
	return g
}

func (d *delta) find(at []int, a, b reflect.Value) {
	switch a.Kind() {
	case reflect.Struct:
		for i := range a.NumField() {
			d.find(append(at, i), a.Field(i), b.Field(i))
		}
		return
	case reflect.Slice:
		n, m := a.Len(), b.Len()
		if n == m && n > 0 {
			for i := range n {
				d.find(append(at, i), a.Index(i), b.Index(i))
			}
			return
		}
		if n != m && n > 0 && m > 0 {
			lead := 0
			for lead < min(n, m) && workfile.Same(a.Index(lead), b.Index(lead)) {
				lead++
			}
			tail := 0
			for tail < min(n, m)-lead && workfile.Same(a.Index(n-1-tail), b.Index(m-1-tail)) {
				tail++
			}
			d.note(at, lead, a.Slice(lead, n-tail), b.Slice(lead, m-tail))
			return
		}
		if n == 0 && m == 0 && a.IsNil() == b.IsNil() {
			return
		}
		d.note(at, -1, a, b)
		return
	}
	if !workfile.Same(a, b) {
		d.note(at, -1, a, b)
	}
}

// note keeps copies: a value of a file would keep all that stands beside it.
func (d *delta) note(at []int, first int, before, after reflect.Value) {
	*d = append(*d, change{append([]int(nil), at...), first, kept(before), kept(after)})
}

func kept(v reflect.Value) reflect.Value {
	k := reflect.New(v.Type()).Elem()
	k.Set(workfile.Copied(v))
	return k
}
