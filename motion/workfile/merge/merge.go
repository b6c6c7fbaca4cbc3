// SPDX-License-Identifier: MIT

package merge

import (
	"reflect"
	"slices"
	"strings"

	"gaitwright/motion/workfile"
)

// Side is one of two files that were edited apart.
type Side uint8

// The two sides.
const (
	Ours Side = iota
	Theirs
)

// Conflict is one thing that both sides changed, and not to the same.
type Conflict struct {
	Path               string // such as move[strike].mark[hit].at_ms
	Base, Ours, Theirs string // as the files have it, "" for left out or not there
}

// Result is what comes of joining two files.
type Result struct {
	File      *workfile.File
	Conflicts []Conflict
	// Clash says why the two cannot be joined although no key is in conflict,
	// as when one side takes a mark away on which a new span of the other ends.
	// File is then that of the preferred side as a whole.
	Clash error
}

// Free tells whether the two could be joined without a choice.
func (r *Result) Free() bool { return len(r.Conflicts) == 0 && r.Clash == nil }

// Join gives base with the changes of both sides. Where both changed the same
// thing to something else, the preferred side is taken and the conflict listed.
// All three files must pass their check; the result passes it too. They are not
// changed, and the result shares nothing with them. What only one side changed
// is taken over whole; lists keep the order that a side gave them, and tables
// that both sides put in at the same place come in the order of their names.
//
// Cost: a few times that of comparing the files.
func Join(base, ours, theirs *workfile.File, prefer Side) Result {
	m := joiner{prefer: prefer}
	v := m.join("", reflect.ValueOf(base).Elem(), reflect.ValueOf(ours).Elem(), reflect.ValueOf(theirs).Elem())
	f := new(workfile.File)
	reflect.ValueOf(f).Elem().Set(workfile.Copied(v))
	r := Result{File: f, Conflicts: m.found}
	if f.Equal(ours) || f.Equal(theirs) {
		return r
	}
	if r.Clash = f.Check(); r.Clash != nil {
		if r.File = ours.Clone(); prefer == Theirs {
			r.File = theirs.Clone()
		}
	}
	return r
}

type joiner struct {
	prefer Side
	found  []Conflict
}

func (m *joiner) pick(ours, theirs reflect.Value) reflect.Value {
	if m.prefer == Theirs {
		return theirs
	}
	return ours
}

// join gives the value for b that o and t made of it.
func (m *joiner) join(path string, b, o, t reflect.Value) reflect.Value {
	switch {
	case workfile.Same(o, t) || workfile.Same(t, b):
		return o
	case workfile.Same(o, b):
		return t
	}
	switch typ := b.Type(); {
	case typ.Kind() == reflect.Struct:
		out := reflect.New(typ).Elem()
		for i := range typ.NumField() {
			out.Field(i).Set(m.join(within(path, key(typ.Field(i))), b.Field(i), o.Field(i), t.Field(i)))
		}
		return out
	case typ.Kind() == reflect.Map:
		out := reflect.MakeMap(typ)
		for _, k := range keys(b, o, t) {
			i := reflect.ValueOf(k)
			if v := m.presence(element(path, k), b.MapIndex(i), o.MapIndex(i), t.MapIndex(i)); v.IsValid() {
				out.SetMapIndex(i, v)
			}
		}
		return out
	case tables(typ):
		return m.list(path, b, o, t)
	}
	m.found = append(m.found, Conflict{path, written(b), written(o), written(t)})
	return m.pick(o, t)
}

// presence joins three values of which some may not be there.
func (m *joiner) presence(path string, b, o, t reflect.Value) reflect.Value {
	same := func(x, y reflect.Value) bool {
		return x.IsValid() == y.IsValid() && (!x.IsValid() || workfile.Same(x, y))
	}
	switch {
	case b.IsValid() && o.IsValid() && t.IsValid():
		return m.join(path, b, o, t)
	case same(o, t) || same(t, b):
		return o
	case same(o, b):
		return t
	}
	say := func(v reflect.Value) string {
		switch {
		case !v.IsValid():
			return ""
		case v.Kind() != reflect.Struct:
			return written(v)
		case b.IsValid():
			return "changed"
		}
		return summary(v)
	}
	c := Conflict{Path: path, Ours: say(o), Theirs: say(t)}
	if b.IsValid() && b.Kind() != reflect.Struct {
		c.Base = written(b)
	} else if b.IsValid() {
		c.Base = "there"
	}
	m.found = append(m.found, c)
	return m.pick(o, t)
}

// named is a list of tables by name.
type named struct {
	order []string
	at    map[string]reflect.Value
}

func nameAll(list reflect.Value) named {
	n := named{names(list), map[string]reflect.Value{}}
	for i, k := range n.order {
		n.at[k] = list.Index(i)
	}
	return n
}

func (m *joiner) list(path string, b, o, t reflect.Value) reflect.Value {
	nb, no, nt := nameAll(b), nameAll(o), nameAll(t)
	kept := map[string]reflect.Value{}
	var spine []string // in all three
	for _, k := range nb.order {
		if v := m.presence(element(path, k), nb.at[k], no.at[k], nt.at[k]); v.IsValid() {
			kept[k] = v
			if no.at[k].IsValid() && nt.at[k].IsValid() {
				spine = append(spine, k)
			}
		}
	}
	for _, k := range slices.Concat(no.order, nt.order) {
		if _, done := kept[k]; done || nb.at[k].IsValid() {
			continue
		}
		if v := m.presence(element(path, k), reflect.Value{}, no.at[k], nt.at[k]); v.IsValid() {
			kept[k] = v
		}
	}
	out := reflect.MakeSlice(b.Type(), 0, len(kept))
	for _, k := range m.order(path, spine, no.order, nt.order, kept) {
		out = reflect.Append(out, kept[k])
	}
	return out
}

// order puts the names of what is kept in order: the spine as the side has it
// that changed it, and behind each of it what one side alone has there.
func (m *joiner) order(path string, spine, ours, theirs []string, kept map[string]reflect.Value) []string {
	o, t := common(ours, spine), common(theirs, spine)
	switch {
	case slices.Equal(o, spine):
		spine = t
	case slices.Equal(t, spine) || slices.Equal(o, t):
		spine = o
	default:
		say := func(s []string) string { return strings.Join(s, ", ") }
		m.found = append(m.found, Conflict{path + " order", say(spine), say(o), say(t)})
		if spine = o; m.prefer == Theirs {
			spine = t
		}
	}
	// behind gives for each name that is not of the spine the one before it.
	behind := func(order []string) (runs map[string][]string, after map[string]string) {
		runs, after = map[string][]string{}, map[string]string{}
		last := ""
		for _, k := range order {
			if _, ok := kept[k]; !ok {
				continue
			}
			if slices.Contains(spine, k) {
				last = "[" + k // no name of the spine is ""
				continue
			}
			runs[last] = append(runs[last], k)
			after[k] = last
		}
		return runs, after
	}
	ro, ao := behind(ours)
	rt, at := behind(theirs)
	var out []string
	done := map[string]bool{}
	emit := func(anchor string) {
		x, y := ro[anchor], rt[anchor]
		if len(x) > 0 && len(y) > 0 && y[0] < x[0] {
			x, y = y, x
		}
		for _, k := range slices.Concat(x, y) {
			a, inOurs := ao[k]
			b, inTheirs := at[k]
			if inOurs && inTheirs && anchor != min(a, b) {
				continue // both put it in, at different places: it comes once
			}
			if !done[k] {
				done[k] = true
				out = append(out, k)
			}
		}
	}
	emit("")
	for _, k := range spine {
		out = append(out, k)
		emit("[" + k)
	}
	for _, k := range slices.Concat(ours, theirs) { // whatever the above left out
		if _, ok := kept[k]; ok && !done[k] && !slices.Contains(spine, k) {
			done[k] = true
			out = append(out, k)
		}
	}
	return out
}
