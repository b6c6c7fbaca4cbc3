// SPDX-License-Identifier: MIT

package merge

import (
	"reflect"
	"slices"
	"strings"

	"gaitwright/motion/workfile"
)

// Kind says what became of something.
type Kind uint8

// The kinds of difference.
const (
	Changed Kind = iota // a value; Before or After is "" where it is left out
	Added               // a table of a list
	Removed             // a table of a list
	Moved               // the order of a list
)

// Difference is one thing in which two files differ.
type Difference struct {
	Path          string // such as move[strike].mark[hit].at_ms
	Kind          Kind
	Before, After string // as the file has it
}

// longest is how much of an order is told, in letters.
const longest = 80

// absent stands for a key that is left out.
const absent = "not given"

// String tells the difference on one line.
func (d Difference) String() string {
	or := func(s string) string {
		if s == "" {
			return absent
		}
		return s
	}
	behind := func(word, s string) string {
		if s == "" {
			return d.Path + " " + word
		}
		return d.Path + " " + word + " (" + s + ")"
	}
	switch d.Kind {
	case Added:
		return behind("added", d.After)
	case Removed:
		return behind("removed", d.Before)
	case Moved:
		after := d.After
		if r := []rune(after); len(r) > longest {
			after = string(r[:longest]) + "…"
		}
		return d.Path + " in another order: " + after
	}
	return d.Path + " " + or(d.Before) + " → " + or(d.After)
}

// Diff tells in what b differs from a, in the order of the file. Files that are
// Equal do not differ.
func Diff(a, b *workfile.File) []Difference {
	var d differ
	d.walk("", reflect.ValueOf(a).Elem(), reflect.ValueOf(b).Elem())
	return d.found
}

type differ struct{ found []Difference }

func (d *differ) add(path string, k Kind, before, after string) {
	d.found = append(d.found, Difference{path, k, before, after})
}

func (d *differ) walk(path string, a, b reflect.Value) {
	if workfile.Same(a, b) {
		return
	}
	switch t := a.Type(); {
	case t.Kind() == reflect.Struct:
		for i := range t.NumField() {
			d.walk(within(path, key(t.Field(i))), a.Field(i), b.Field(i))
		}
	case t.Kind() == reflect.Map:
		for _, k := range keys(a, b) {
			x, y := a.MapIndex(reflect.ValueOf(k)), b.MapIndex(reflect.ValueOf(k))
			d.pair(element(path, k), x, y)
		}
	case tables(t):
		x, y := names(a), names(b)
		for i, n := range x {
			if j := slices.Index(y, n); j >= 0 {
				d.walk(element(path, n), a.Index(i), b.Index(j))
			} else {
				d.pair(element(path, n), a.Index(i), reflect.Value{})
			}
		}
		for j, n := range y {
			if !slices.Contains(x, n) {
				d.pair(element(path, n), reflect.Value{}, b.Index(j))
			}
		}
		p, q := common(x, y), common(y, x)
		if !slices.Equal(p, q) {
			d.add(path, Moved, strings.Join(p, ", "), strings.Join(q, ", "))
		}
	default:
		d.add(path, Changed, written(a), written(b))
	}
}

// pair compares two values of which one may not be there.
func (d *differ) pair(path string, a, b reflect.Value) {
	switch {
	case a.IsValid() && b.IsValid():
		d.walk(path, a, b)
	case a.IsValid() && a.Kind() == reflect.Struct:
		d.add(path, Removed, summary(a), "")
	case b.IsValid() && b.Kind() == reflect.Struct:
		d.add(path, Added, "", summary(b))
	case a.IsValid():
		d.add(path, Changed, written(a), "")
	case b.IsValid():
		d.add(path, Changed, "", written(b))
	}
}

// keys gives the keys of maps in order.
func keys(maps ...reflect.Value) []string {
	var all []string
	for _, m := range maps {
		for _, k := range m.MapKeys() {
			all = append(all, k.String())
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// common gives what of x is also in y, in the order of x.
func common(x, y []string) []string {
	var out []string
	for _, n := range x {
		if slices.Contains(y, n) {
			out = append(out, n)
		}
	}
	return out
}
