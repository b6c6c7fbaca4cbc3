// SPDX-License-Identifier: MIT

package edit_test

import (
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gaitwright/assets"
	"gaitwright/motion/review"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// Every key of the three tables is there, once, in the bounds that the
// workfile gives it, and every word that it names is one of the review's.
func TestSettingsAreTheFilesKeys(t *testing.T) {
	all := edit.Settings()
	n := 0
	words := review.Words()
	for table, v := range map[string]any{"limits": workfile.Limits{}, "ground": workfile.Ground{}, "supply": workfile.Supply{}} {
		typ := reflect.TypeOf(v)
		for i := range typ.NumField() {
			n++
			key, _, _ := strings.Cut(typ.Field(i).Tag.Get("toml"), ",")
			k := slices.IndexFunc(all, func(s edit.Setting) bool { return s.Table == table && s.Key == key })
			if k < 0 {
				t.Errorf("%s.%s is missing", table, key)
				continue
			}
			in := typ.Field(i).Tag.Get("in")
			a, b, _ := strings.Cut(in[1:len(in)-1], ",")
			lo, _ := strconv.ParseFloat(a, 64)
			hi, _ := strconv.ParseFloat(b, 64)
			if s := &all[k]; s.Min != lo || s.Max != hi || s.Name == "" || s.Means == "" || s.Group == "" || !(s.Step > 0) {
				t.Errorf("%s: %+v, want %s", key, s, in)
			}
			for _, w := range all[k].Words {
				if !slices.Contains(words, w) {
					t.Errorf("%s governs %q, which is no word of the review", key, w)
				}
			}
		}
	}
	if n != len(all) {
		t.Errorf("%d settings for %d keys", len(all), n)
	}
}

// A number that is put reads back, plays, and is gone when it is cleared; the
// default is what holds then.
func TestPutAndClear(t *testing.T) {
	bare := opened(t, assets.Demo)
	bare.Limits, bare.Ground, bare.Supply = workfile.Limits{}, workfile.Ground{}, workfile.Supply{}
	unset, err := edit.Unset(opened(t, assets.Demo))
	if err != nil {
		t.Fatal(err)
	}
	all := edit.Settings()
	for i := range all {
		s := &all[i]
		f := bare.Clone()
		if v, set := s.Value(f); set || v != 0 {
			t.Errorf("%s is %v, set %v", s.Key, v, set)
		}
		def, words := s.Default(unset)
		to := 0.77
		if s.Key == "review_hz" {
			to = 60
		} else if s.Key == "voltage_v" {
			to = 6.5
		}
		s.Put(f, to)
		if v, set := s.Value(f); !set || v != to {
			t.Errorf("%s is %v, set %v", s.Key, v, set)
		}
		replayed(t, f)
		if math.IsNaN(def) == (words == "") {
			t.Errorf("%s: default %v, %q", s.Key, def, words)
		}
		// What is given as the default says does not change what is built.
		if words == "" {
			s.Put(f, def)
			b, err := f.Build()
			if err != nil {
				t.Fatal(err)
			}
			if again, _ := s.Default(b); again != def {
				t.Errorf("%s: %v is built as %v", s.Key, def, again)
			}
		}
		s.Clear(f)
		if !f.Equal(bare) {
			t.Errorf("%s is not cleared", s.Key)
		}
	}
}

// The defaults are those that the README states.
func TestDefaults(t *testing.T) {
	unset, err := edit.Unset(opened(t, assets.Demo))
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]float64{
		"review_hz": 500, "stability_margin_mm": 10, "clearance_mm": 3, "joint_speed_share": 0.85, "foot_slide_mm": 1, "ground_hit_mm": 0.5,
		"lopsided_mm": 1, "jump_speed_deg_s": 30, "dynamic_margin_mm": 5, "torque_derating": 0.8, "holding_share": 0.3,
		"landing_speed_mm_s": 300, "contact_time_ms": 10, "friction": 0.6, "tilt_roll_deg": 0, "tilt_pitch_deg": 0,
		"voltage_v":       6.8, // of the demo's servos
		"resistance_mohm": 0,
	}
	all := edit.Settings()
	for i := range all {
		got, words := all[i].Default(unset)
		if v, ok := want[all[i].Key]; ok && got != v {
			t.Errorf("%s: %v, want %v", all[i].Key, got, v)
		} else if !ok && words != "not judged" {
			t.Errorf("%s: %v, %q", all[i].Key, got, words)
		}
	}
}
