// SPDX-License-Identifier: MIT

package merge

import (
	"reflect"
	"slices"
	"strconv"
	"strings"
)

// key gives the name of a struct field in the file.
func key(f reflect.StructField) string {
	k, _, _ := strings.Cut(f.Tag.Get("toml"), ",")
	return k
}

// text gives the string under a key of a table, "" when it has none.
func text(table reflect.Value, k string) string {
	for i := range table.NumField() {
		if f := table.Type().Field(i); f.Type.Kind() == reflect.String && key(f) == k {
			return table.Field(i).String()
		}
	}
	return ""
}

// names gives each table of a list a name that no other one of the list has.
func names(list reflect.Value) []string {
	out := make([]string, list.Len())
	for i := range out {
		e := list.Index(i)
		n := ""
		for _, k := range [...]string{"name", "to", "leg"} {
			if n = text(e, k); n != "" {
				break
			}
		}
		if n == "" { // an entry of the sequence: walk tripod
			n = strings.Join(slices.DeleteFunc([]string{text(e, "kind"), text(e, "gait"), text(e, "move")},
				func(s string) bool { return s == "" }), " ")
		}
		out[i] = n
		for k := 2; slices.Contains(out[:i], out[i]); k++ {
			out[i] = n + " #" + strconv.Itoa(k)
		}
	}
	return out
}

// tables tells whether a list is one of tables, which have names.
func tables(t reflect.Type) bool {
	return t.Kind() == reflect.Slice && t.Elem().Kind() == reflect.Struct
}

// within gives the path of something in a table, list or map.
func within(path, k string) string {
	if path == "" {
		return k
	}
	return path + "." + k
}

func element(path, name string) string { return path + "[" + name + "]" }
