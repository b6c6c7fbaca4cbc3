// SPDX-License-Identifier: MIT

package workfile

import "reflect"

// Clone copies a file; the two share nothing.
func (f *File) Clone() *File {
	if f == nil {
		return nil
	}
	c := new(File)
	reflect.ValueOf(c).Elem().Set(Copied(reflect.ValueOf(f).Elem()))
	return c
}

// Copied copies a value of a file; the two share nothing.
func Copied(v reflect.Value) reflect.Value {
	switch v.Kind() {
	case reflect.Pointer:
		if v.IsNil() {
			return v
		}
		p := reflect.New(v.Type().Elem())
		p.Elem().Set(Copied(v.Elem()))
		return p
	case reflect.Struct:
		s := reflect.New(v.Type()).Elem()
		for i := range v.NumField() {
			s.Field(i).Set(Copied(v.Field(i)))
		}
		return s
	case reflect.Slice:
		if v.IsNil() {
			return v
		}
		s := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		for i := range v.Len() {
			s.Index(i).Set(Copied(v.Index(i)))
		}
		return s
	case reflect.Map:
		if v.IsNil() {
			return v
		}
		m := reflect.MakeMapWithSize(v.Type(), v.Len())
		for it := v.MapRange(); it.Next(); {
			m.SetMapIndex(it.Key(), Copied(it.Value()))
		}
		return m
	}
	return v
}

// Equal tells whether two files say the same. An empty list equals none, as
// in the text; an optional key with its default differs from one left out.
func (f *File) Equal(g *File) bool {
	if f == nil || g == nil {
		return f == g
	}
	return Same(reflect.ValueOf(f).Elem(), reflect.ValueOf(g).Elem())
}

// Same tells whether two values of one type, out of two files, say the same,
// as Equal has it.
func Same(a, b reflect.Value) bool {
	switch a.Kind() {
	case reflect.Pointer:
		return a.IsNil() == b.IsNil() && (a.IsNil() || Same(a.Elem(), b.Elem()))
	case reflect.Struct:
		for i := range a.NumField() {
			if !Same(a.Field(i), b.Field(i)) {
				return false
			}
		}
		return true
	case reflect.Slice, reflect.Array:
		if a.Len() != b.Len() {
			return false
		}
		for i := range a.Len() {
			if !Same(a.Index(i), b.Index(i)) {
				return false
			}
		}
		return true
	case reflect.Map:
		if a.Len() != b.Len() {
			return false
		}
		for it := a.MapRange(); it.Next(); {
			v := b.MapIndex(it.Key())
			if !v.IsValid() || !Same(it.Value(), v) {
				return false
			}
		}
		return true
	}
	return a.Equal(b)
}
