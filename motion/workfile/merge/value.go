// SPDX-License-Identifier: MIT

package merge

import (
	"reflect"
	"strconv"
	"strings"
)

// written gives a value as the file has it, "" for one that is left out.
func written(v reflect.Value) string {
	switch v.Kind() {
	case reflect.Pointer:
		if v.IsNil() {
			return ""
		}
		return written(v.Elem())
	case reflect.Float64:
		return number(v.Float())
	case reflect.Int:
		return strconv.FormatInt(v.Int(), 10)
	case reflect.Bool:
		return strconv.FormatBool(v.Bool())
	case reflect.String:
		if v.String() == "" {
			return ""
		}
		return strconv.Quote(v.String())
	case reflect.Array, reflect.Slice:
		parts := make([]string, v.Len())
		for i := range parts {
			parts[i] = written(v.Index(i))
		}
		return "[" + strings.Join(parts, ", ") + "]"
	}
	return v.Kind().String()
}

// number gives at most 12 significant digits, as the file has them.
func number(v float64) string {
	if v == 0 {
		return "0" // also for minus zero
	}
	if r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 12, 64), 64); err == nil {
		v = r
	}
	if a := max(v, -v); a < 1e-6 || a >= 1e15 {
		return strconv.FormatFloat(v, 'e', -1, 64)
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// told is how many keys of a table that was added or removed are told.
const told = 3

// summary gives the first keys of a table.
func summary(table reflect.Value) string {
	var d differ
	zero := reflect.New(table.Type()).Elem()
	d.walk("", zero, table)
	var parts []string
	for _, f := range d.found {
		if f.Kind != Changed || f.Path == "name" || f.Path == "to" || f.Path == "leg" {
			continue
		}
		if len(parts) == told {
			parts = append(parts, "…")
			break
		}
		parts = append(parts, f.Path+" "+f.After)
	}
	return strings.Join(parts, ", ")
}
