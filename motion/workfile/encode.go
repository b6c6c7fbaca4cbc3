// SPDX-License-Identifier: MIT

package workfile

import (
	"bytes"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// Encode writes the file as text: keys in the order of the struct, joints,
// phases, marks and foot spans on one line each, numbers with at most 12
// significant digits. Where rounding to 12 digits would make a good file a
// bad one (two marks would fall together), all digits are written. The text
// says format Version, whatever f.Format is.
//
// Only a file that passes Check gives a text that Read takes; any other file
// of finite numbers is written as it is.
func (f *File) Encode() ([]byte, error) { return f.encode(nil) }

// encode keeps the headers of the empty tables named.
func (f *File) encode(empty []string) ([]byte, error) {
	g := f.Clone()
	g.Format = Version
	r := g.Clone()
	round(reflect.ValueOf(r).Elem())
	if r.Check() == nil || g.Check() != nil {
		g = r
	}
	text, err := toml.Marshal(g)
	if err != nil {
		return nil, fmt.Errorf("workfile: cannot write the file as TOML: %w", err)
	}
	return tidy(text, empty), nil
}

// round brings every number to what number writes.
func round(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			round(v.Elem())
		}
	case reflect.Struct:
		for i := range v.NumField() {
			round(v.Field(i))
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			round(v.Index(i))
		}
	case reflect.Map:
		for _, k := range v.MapKeys() {
			e := reflect.New(v.Type().Elem()).Elem()
			e.Set(v.MapIndex(k))
			round(e)
			v.SetMapIndex(k, e)
		}
	case reflect.Float64:
		if x, err := strconv.ParseFloat(number(v.Float()), 64); err == nil {
			v.SetFloat(x)
		}
	}
}

// tidy turns go-toml's layout into the one that people write by hand: 70 for
// 70.0, double quotes where nothing needs escaping, room inside braces, a
// comma behind the last of several lines, an empty line above each table, no
// header for a table that holds nothing but tables.
func tidy(text []byte, empty []string) []byte {
	lines := strings.Split(strings.TrimRight(string(text), "\n"), "\n")
	var out []string
	for i, line := range lines {
		next := ""
		if i+1 < len(lines) {
			next = lines[i+1]
		}
		switch {
		case line == "":
			continue
		case line[0] == '[':
			if hollow := next == "" || next[0] == '['; hollow && !slices.Contains(empty, line) {
				continue
			}
			if len(out) > 0 {
				out = append(out, "")
			}
		case line[0] == ' ' && next == "]":
			line += ","
		}
		out = append(out, tidyLine(line))
	}
	return []byte(strings.Join(out, "\n") + "\n")
}

// tidyLine looks at one line, outside texts.
func tidyLine(s string) string {
	var b bytes.Buffer
	for i := 0; i < len(s); {
		switch c := s[i]; {
		case c == '\'' || c == '"':
			end := i + 1
			for end < len(s) && s[end] != c {
				if c == '"' && s[end] == '\\' {
					end++
				}
				end++
			}
			end = min(end, len(s)-1)
			if t := s[i+1 : end]; c == '\'' && !strings.ContainsAny(t, `"\`) {
				b.WriteString(`"` + t + `"`)
			} else {
				b.WriteString(s[i : end+1])
			}
			i = end + 1
		case c == '{' && s[i+1] != '}':
			b.WriteString("{ ")
			i++
		case c == '}' && s[i-1] != '{':
			b.WriteString(" }")
			i++
		case c == '-' || c >= '0' && c <= '9':
			end := i + 1
			for end < len(s) && strings.IndexByte("0123456789.eE+-", s[end]) >= 0 {
				end++
			}
			b.WriteString(tidyNumber(s[i:end]))
			i = end
		case c == '_' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z':
			// A bare key or word may hold digits.
			end := i + 1
			for end < len(s) && strings.IndexByte(" =.,]}", s[end]) < 0 {
				end++
			}
			b.WriteString(s[i:end])
			i = end
		default:
			b.WriteByte(c)
			i++
		}
	}
	return b.String()
}

// tidyNumber writes a number of go-toml's as exact does. What is not one, as
// a key of digits, it leaves.
func tidyNumber(s string) string {
	if !strings.Contains(s, ".") {
		return s
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return s
	}
	if v == 0 {
		return "0"
	}
	return exact(v)
}
