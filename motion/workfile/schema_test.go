// SPDX-License-Identifier: MIT

package workfile

import (
	"encoding/json"
	"reflect"
	"slices"
	"strings"
	"testing"

	"gaitwright/assets"
)

// schema is the part of JSON Schema 2020-12 that the workfile's uses.
type schema struct {
	Draft       string            `json:"$schema"`
	Ref         string            `json:"$ref"`
	Description string            `json:"description"`
	Type        string            `json:"type"`
	Const       any               `json:"const"`
	Enum        []string          `json:"enum"`
	Required    []string          `json:"required"`
	Properties  map[string]schema `json:"properties"`
	Additional  json.RawMessage   `json:"additionalProperties"`
	Items       *schema           `json:"items"`
	MinItems    int               `json:"minItems"`
	MaxItems    int               `json:"maxItems"`
	Min         *float64          `json:"minimum"`
	Max         *float64          `json:"maximum"`
	Above       *float64          `json:"exclusiveMinimum"`
	Below       *float64          `json:"exclusiveMaximum"`
	Defs        map[string]schema `json:"$defs"`
}

// The schema lists exactly the keys of the struct, with the types, intervals,
// counts and words that Read asks for, and a description of each.
func TestSchema(t *testing.T) {
	var root schema
	if err := json.Unmarshal(assets.Schema, &root); err != nil {
		t.Fatal(err)
	}
	if root.Draft != "https://json-schema.org/draft/2020-12/schema" {
		t.Errorf("draft %s", root.Draft)
	}
	s := schemaTest{t, root.Defs, map[string]bool{}}
	s.table(root, reflect.TypeFor[File](), "")
	for name := range root.Defs {
		if !s.used[name] {
			t.Errorf("definition %s is not used", name)
		}
	}
	if root.Properties["format"].Const != float64(Version) {
		t.Errorf("format is %v, want %d", root.Properties["format"].Const, Version)
	}
}

type schemaTest struct {
	*testing.T
	defs map[string]schema
	used map[string]bool
}

func (t *schemaTest) table(s schema, typ reflect.Type, at string) {
	if s.Ref != "" {
		name := strings.TrimPrefix(s.Ref, "#/$defs/")
		t.used[name] = true
		s = t.defs[name]
	}
	if s.Type != "object" || string(s.Additional) != "false" {
		t.Errorf("%s: type %q, additional properties %s: want a closed table", at, s.Type, s.Additional)
	}
	keys := keysOf(typ)
	var need []string
	for _, k := range keys {
		p, ok := s.Properties[k.name]
		if !ok {
			t.Errorf("%s.%s is not in the schema", at, k.name)
			continue
		}
		if p.Description == "" {
			t.Errorf("%s.%s has no description", at, k.name)
		}
		t.value(p, typ.Field(k.index).Type, k, at+"."+k.name)
		if k.need {
			need = append(need, k.name)
		}
	}
	if len(s.Properties) != len(keys) {
		t.Errorf("%s: the schema has %d keys, the struct %d", at, len(s.Properties), len(keys))
	}
	slices.Sort(need)
	slices.Sort(s.Required)
	if !slices.Equal(need, s.Required) {
		t.Errorf("%s: the schema requires %q, Read %q", at, s.Required, need)
	}
}

func (t *schemaTest) value(s schema, typ reflect.Type, k key, at string) {
	kind := ""
	switch typ.Kind() {
	case reflect.Pointer:
		t.value(s, typ.Elem(), k, at)
		return
	case reflect.Struct:
		t.table(s, typ, at)
		return
	case reflect.Map:
		kind = "object"
		var each schema
		if err := json.Unmarshal(s.Additional, &each); err != nil {
			t.Errorf("%s: %v", at, err)
			return
		}
		t.value(each, typ.Elem(), key{in: k.in}, at)
	case reflect.Slice:
		kind = "array"
		if lo, hi := k.counts(); s.MinItems != lo || s.MaxItems != hi {
			t.Errorf("%s: %d to %d in the schema, %d to %d in Read", at, s.MinItems, s.MaxItems, lo, hi)
		}
		t.value(*s.Items, typ.Elem(), key{in: k.in}, at)
	case reflect.Array:
		kind = "array"
		if s.MinItems != typ.Len() || s.MaxItems != typ.Len() {
			t.Errorf("%s: %d to %d numbers in the schema, %d in Read", at, s.MinItems, s.MaxItems, typ.Len())
		}
		t.value(*s.Items, reflect.TypeFor[float64](), k, at)
	case reflect.Float64:
		kind = "number"
	case reflect.Int:
		if kind = "integer"; k.in == "" {
			return
		}
	case reflect.Bool:
		kind = "boolean"
	case reflect.String:
		kind = "string"
		if !slices.Equal(s.Enum, strings.Fields(k.one)) {
			t.Errorf("%s: words %q in the schema, %q in Read", at, s.Enum, k.one)
		}
	}
	if s.Type != kind {
		t.Errorf("%s: type %q, want %q", at, s.Type, kind)
	}
	if kind != "number" && kind != "integer" {
		return
	}
	if k.in == "" {
		t.Errorf("%s has no interval", at)
		return
	}
	lo, hi, openLo, openHi := bounds(k.in)
	from, to := s.Min, s.Max
	if openLo {
		from = s.Above
	}
	if openHi {
		to = s.Below
	}
	if from == nil || to == nil || *from != lo || *to != hi {
		t.Errorf("%s: the schema's interval is not %s", at, k.in)
	}
}
