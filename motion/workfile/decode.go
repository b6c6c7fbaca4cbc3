// SPDX-License-Identifier: MIT

package workfile

import (
	"fmt"
	"reflect"
	"slices"
	"sort"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// The struct tags of File say, beside the key:
//
//	in:"(0,2000]"   interval of each number
//	len:"4,12"      number of elements, least and most
//	one:"up down"   words that a text may be
//
// A key without omitempty must be there.

// key is a field as the file knows it.
type key struct {
	name  string
	index int
	need  bool
	in    string
	len   string
	one   string
}

// keysOf lists the keys of a table in order.
func keysOf(t reflect.Type) []key {
	keys := make([]key, t.NumField())
	for i := range keys {
		f := t.Field(i)
		name, opts, _ := strings.Cut(f.Tag.Get("toml"), ",")
		need := !strings.Contains(opts, "omitempty")
		if f.Type.Kind() == reflect.Struct {
			need = need && slices.ContainsFunc(keysOf(f.Type), func(k key) bool { return k.need })
		}
		keys[i] = key{name, i, need, f.Tag.Get("in"), f.Tag.Get("len"), f.Tag.Get("one")}
	}
	return keys
}

// counts gives the least and the greatest number of elements.
func (k key) counts() (lo, hi int) {
	if k.len == "" {
		return 0, 1 << 30
	}
	a, b, _ := strings.Cut(k.len, ",")
	lo, _ = strconv.Atoi(a)
	hi, _ = strconv.Atoi(b)
	return lo, hi
}

// decode fills the file from what go-toml decoded.
func (c *checker) decode(values map[string]any) {
	c.table(values, reflect.ValueOf(c.file).Elem(), nil)
	c.shaky = len(c.found) > 0
}

// table fills a struct and reports unknown and missing keys. An unknown key
// that looks like a missing one is read as that, so that one slip gives one
// message; the file is refused all the same.
func (c *checker) table(m map[string]any, dst reflect.Value, p path) {
	keys := keysOf(dst.Type())
	names := make([]string, len(keys))
	for i, k := range keys {
		names[i] = k.name
	}
	meant := map[string]string{}
	for _, name := range sorted(m) {
		if slices.Contains(names, name) {
			continue
		}
		text := fmt.Sprintf("unknown key %s", shown(name))
		if near := nearest(name, names); near != "" {
			text += fmt.Sprintf("; did you mean %s?", shown(near))
			if _, taken := m[near]; !taken && meant[near] == "" {
				meant[near] = name
			}
		} else {
			text += "; known here are " + strings.Join(names, ", ")
		}
		c.addAt(p.with(name), -1, "%s", text)
	}
	for _, k := range keys {
		name := k.name
		if other := meant[name]; other != "" {
			name = other
		}
		v, ok := m[name]
		switch {
		case ok:
			c.value(v, dst.Field(k.index), p.with(name), k)
		case k.need:
			c.add(p.with(k.name), "missing; %s", remedy(dst.Type().Field(k.index).Type, p, k))
		}
	}
}

// value fills any field.
func (c *checker) value(v any, dst reflect.Value, p path, k key) {
	wrong := func() {
		c.add(p, "%s where %s is wanted", kindOf(v), describe(dst.Type(), k))
	}
	switch dst.Kind() {
	case reflect.Pointer:
		e := reflect.New(dst.Type().Elem())
		c.value(v, e.Elem(), p, k)
		dst.Set(e)
	case reflect.Struct:
		if m, ok := v.(map[string]any); ok {
			c.table(m, dst, p)
		} else {
			wrong()
		}
	case reflect.Map:
		m, ok := v.(map[string]any)
		if !ok {
			wrong()
			return
		}
		if _, hi := k.counts(); len(m) > hi {
			c.add(p, "%d entries; %d is the most", len(m), hi)
			return
		}
		dst.Set(reflect.MakeMap(dst.Type()))
		for _, name := range sorted(m) {
			e := reflect.New(dst.Type().Elem()).Elem()
			c.value(m[name], e, p.with(name), key{in: k.in})
			dst.SetMapIndex(reflect.ValueOf(name), e)
		}
	case reflect.Slice:
		a, ok := v.([]any)
		if !ok {
			wrong()
			return
		}
		if _, hi := k.counts(); len(a) > hi {
			c.add(p, "%d of them; %d is the most", len(a), hi)
			return
		}
		dst.Set(reflect.MakeSlice(dst.Type(), len(a), len(a)))
		for i, e := range a {
			c.value(e, dst.Index(i), p.with(strconv.Itoa(i)), key{in: k.in})
		}
	case reflect.Array:
		a, ok := v.([]any)
		if !ok {
			wrong()
			return
		}
		if len(a) != dst.Len() {
			c.add(p, "%d numbers; give %d", len(a), dst.Len())
			return
		}
		for i, e := range a {
			c.value(e, dst.Index(i), p, k)
		}
	case reflect.Float64:
		switch n := v.(type) {
		case int64:
			dst.SetFloat(float64(n))
		case float64:
			dst.SetFloat(n)
		default:
			wrong()
		}
	case reflect.Int:
		if n, ok := v.(int64); ok {
			dst.SetInt(n)
		} else {
			wrong()
		}
	case reflect.Bool:
		if b, ok := v.(bool); ok {
			dst.SetBool(b)
		} else {
			wrong()
		}
	case reflect.String:
		s, ok := v.(string)
		switch {
		case !ok:
			wrong()
		case s == "":
			text := "empty text; give " + describe(dst.Type(), k)
			if !k.need {
				text += " or leave the key out"
			}
			c.add(p, "%s", text)
		default:
			dst.SetString(s)
		}
	default:
		panic("workfile: field of kind " + dst.Kind().String())
	}
}

func sorted[V any](m map[string]V) []string {
	names := make([]string, 0, len(m))
	for n := range m {
		names = append(names, n)
	}
	sort.Strings(names)
	return names
}

// kindOf says what a decoded value is.
func kindOf(v any) string {
	switch v := v.(type) {
	case string:
		return "the text " + shown(v)
	case int64:
		return fmt.Sprintf("the number %d", v)
	case float64:
		return fmt.Sprintf("the number %v", v)
	case bool:
		return fmt.Sprintf("%t", v)
	case []any:
		return "a list"
	case map[string]any:
		return "a table"
	case toml.LocalDate, toml.LocalDateTime, toml.LocalTime:
		return "a date or time"
	}
	return "a date"
}

// describe says what a field wants.
func describe(t reflect.Type, k key) string {
	switch t.Kind() {
	case reflect.Pointer:
		return describe(t.Elem(), k)
	case reflect.Struct:
		return "a table"
	case reflect.Map:
		if t.Elem().Kind() == reflect.Struct {
			return "a table of tables"
		}
		return "a table of numbers, one for each leg"
	case reflect.Array:
		return fmt.Sprintf("a list of %d numbers", t.Len())
	case reflect.Slice:
		if t.Elem().Kind() == reflect.Struct {
			return "a list of tables"
		}
		return "a list of pairs of numbers"
	case reflect.Bool:
		return "true or false"
	case reflect.Int:
		return "a whole number"
	case reflect.String:
		if k.one != "" {
			return choose(strings.Fields(k.one))
		}
		return "a text"
	}
	if k.in != "" {
		return "a number " + interval(k)
	}
	return "a number"
}

// remedy says how to add a missing key.
func remedy(t reflect.Type, p path, k key) string {
	switch full := keyText(append(p[:len(p):len(p)], k.name)); {
	case t.Kind() == reflect.Struct:
		return "add a table [" + full + "]"
	case t.Kind() == reflect.Map && t.Elem().Kind() == reflect.Struct:
		return "add a table [" + full + ".NAME]"
	case t.Kind() == reflect.Slice && len(p) == 0:
		return "add a table [[" + full + "]]"
	}
	return "add " + k.name + " = ..., " + describe(t, k)
}

// units gives the unit for the end of a key.
var units = [...]struct{ end, unit string }{
	{"_m_s2", "m/s²"}, {"_kg_mm2", "kg·mm²"}, {"_mohm", "mΩ"}, {"_mm_s", "mm/s"}, {"_deg_s", "°/s"}, {"_mm", "mm"}, {"_per_deg", "µs/°"}, {"_per_60deg", "s/60°"},
	{"_deg", "°"}, {"_ms", "ms"}, {"_us", "µs"}, {"_kgf_cm", "kgf·cm"}, {"_nm", "N·m"}, {"_g", "g"}, {"_v", "V"}, {"_a", "A"}, {"_hz", "Hz"},
}

// interval says a key's interval in words: from 0 to 10 mm, above 0 and at most 2000 mm.
func interval(k key) string {
	lo, hi, openLo, openHi := bounds(k.in)
	from, to := "from "+bound(lo), "to "+bound(hi)
	if openLo {
		from, to = "above "+bound(lo), "and at most "+bound(hi)
	}
	if openHi {
		to = "to below " + bound(hi)
		if openLo {
			to = "and below " + bound(hi)
		}
	}
	for _, u := range units {
		if strings.HasSuffix(k.name, u.end) {
			return from + " " + to + " " + u.unit
		}
	}
	return from + " " + to
}

// bound writes an end of an interval; one whose zeros nobody would count as
// TOML may have it, such as 1e9.
func bound(v float64) string {
	if max(v, -v) < 1e9 {
		return number(v)
	}
	return strings.Replace(strconv.FormatFloat(v, 'e', -1, 64), "e+0", "e", 1)
}

// bounds takes an interval tag apart.
func bounds(in string) (lo, hi float64, openLo, openHi bool) {
	a, b, _ := strings.Cut(in[1:len(in)-1], ",")
	lo, _ = strconv.ParseFloat(a, 64)
	hi, _ = strconv.ParseFloat(b, 64)
	return lo, hi, in[0] == '(', in[len(in)-1] == ')'
}

// index reads a path's index.
func index(s string) (int, bool) {
	i, err := strconv.Atoi(s)
	return i, err == nil && i >= 0
}

// keyOf writes a path for people: elements by name where they have one, else
// counted from 1.
func (c *checker) keyOf(p path) string {
	var b strings.Builder
	v := reflect.ValueOf(c.file).Elem()
	for _, s := range p {
		for v.Kind() == reflect.Pointer && !v.IsNil() {
			v = v.Elem()
		}
		switch v.Kind() {
		case reflect.Slice:
			i, _ := index(s)
			if i >= v.Len() {
				fmt.Fprintf(&b, "[%d]", i+1)
				v = reflect.Value{}
				continue
			}
			v = v.Index(i)
			name := ""
			if v.Kind() == reflect.Struct {
				for _, k := range keysOf(v.Type()) {
					if k.name == "name" || k.name == "leg" {
						name = v.Field(k.index).String()
					}
				}
			}
			if name == "" {
				name = strconv.Itoa(i + 1)
			}
			b.WriteString("[" + plain(name) + "]")
			continue
		case reflect.Struct:
			t := v
			v = reflect.Value{}
			for _, k := range keysOf(t.Type()) {
				if k.name == s {
					v = t.Field(k.index)
				}
			}
		case reflect.Map:
			v = v.MapIndex(reflect.ValueOf(s))
		default:
			v = reflect.Value{}
		}
		if b.Len() > 0 {
			b.WriteByte('.')
		}
		b.WriteString(plain(s))
	}
	return b.String()
}

func keyText(k []string) string {
	parts := make([]string, len(k))
	for i, s := range k {
		parts[i] = plain(s)
	}
	return strings.Join(parts, ".")
}

// plain gives a key or name as it is when it is plain, quoted otherwise.
func plain(s string) string {
	if q := shown(s); q != `"`+s+`"` || strings.ContainsAny(s, " .[]:=#") {
		return q
	}
	return s
}
