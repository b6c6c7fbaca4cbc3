// SPDX-License-Identifier: MIT

package newrobot

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"gaitwright/motion/rehearsal"
	"gaitwright/motion/review"
	"gaitwright/motion/workfile"
)

func standard() workfile.Servo {
	return workfile.Servo{StallKgfCm: given(20), Speed: 0.16, Voltage: 6, Mass: 55}
}

// TestMake makes robots of every number of legs and of many sizes: the file
// reads as it is written, the robot stands and walks, and nothing stops it.
func TestMake(t *testing.T) {
	var tried []Answers
	for legs := 4; legs <= 12; legs += 2 {
		a := Usual(legs)
		a.Servo = standard()
		tried = append(tried, a)
		for _, size := range []float64{0.6, 0.8, 1.3} {
			b := a
			b.Length, b.Width, b.Coxa, b.Femur, b.Tibia = size*a.Length, size*a.Width, size*a.Coxa, size*a.Femur, size*a.Tibia
			tried = append(tried, b)
		}
		b := a
		b.Femur, b.Tibia = 60, 60
		tried = append(tried, b)
		b.Femur, b.Tibia, b.Coxa = 50, 140, 25
		tried = append(tried, b)
	}
	for _, a := range tried {
		t.Run(fmt.Sprintf("%d legs, body %v x %v, links %v %v %v", a.Legs, a.Length, a.Width, a.Coxa, a.Femur, a.Tibia), func(t *testing.T) {
			r, err := Make(a)
			if err != nil {
				t.Fatal(err)
			}
			text, err := r.File.Encode()
			if err != nil {
				t.Fatal(err)
			}
			if back, err := workfile.Read("made.toml", text); err != nil {
				t.Fatalf("%v\n%s", err, text)
			} else if !back.Equal(r.File) {
				t.Errorf("the file reads back as another one\n%s", text)
			}
			for _, f := range r.Rehearsal.Findings {
				t.Logf("%v %s %s: %s", f.Level, f.Word, f.Unit, f.Why)
			}
			if len(r.File.Sequence) > 1 {
				t.Logf("%v at %v mm/s", r.File.Sequence[1].Name, *r.File.Sequence[1].Forward)
			}
			if !r.Walks {
				t.Errorf("it does not walk")
			}
		})
	}
}

// TestExtremes: whatever the answers within their range, a robot is made or the
// answer at fault is named; where it does not walk there is a finding or a
// reason, and where it does, the review at other rates has no stop either.
func TestExtremes(t *testing.T) {
	for _, c := range []struct {
		legs                              int
		length, width, coxa, femur, tibia float64
		why                               string // "" where a walk is made
	}{
		{12, 20, 100, 40, 40, 115, "comes too near to leg"}, // all mounts nearly in a row across the body
		{6, 500, 150, 1, 60, 115, "comes too near to the body"},
		{4, 1000, 20, 300, 10, 50, "would have to turn faster than its servo can"},
		{4, 1000, 1000, 300, 500, 500, ""},
		{4, 20, 20, 0, 10, 10, "comes too near to the body"},
		{6, 300, 100, 40, 75, 115, ""},
	} {
		a := Answers{Legs: c.legs, Length: c.length, Width: c.width, Coxa: c.coxa, Femur: c.femur, Tibia: c.tibia, Servo: standard()}
		r, err := Make(a)
		if err != nil {
			t.Errorf("%+v: %v", a, err)
			continue
		}
		if err := r.File.Check(); err != nil {
			t.Errorf("%+v: %v", a, err)
		}
		if walked := len(r.File.Sequence) > 1; r.Walks && !walked || walked != (r.Why == "") || !strings.Contains(r.Why, c.why) {
			t.Errorf("%+v: walks %v, %d entries, %q, want %q", a, r.Walks, len(r.File.Sequence), r.Why, c.why)
		}
		if !r.Walks {
			continue
		}
		for _, hz := range []float64{50, 137} {
			again, err := rehearsal.Run(r.File, rehearsal.Options{Rate: hz})
			if err != nil {
				t.Fatal(err)
			}
			if n := review.Stops(again.Findings); n > 0 {
				t.Errorf("%+v: %d stops at %v Hz", a, n, hz)
			}
		}
	}
}

func TestFaults(t *testing.T) {
	for _, c := range []struct {
		field  string
		change func(*Answers)
	}{
		{"legs", func(a *Answers) { a.Legs = 5 }},
		{"legs", func(a *Answers) { a.Legs = 2 }},
		{"length", func(a *Answers) { a.Length = -1 }},
		{"width", func(a *Answers) { a.Width = 1e9 }},
		{"femur", func(a *Answers) { a.Femur = 0 }},
		{"tibia", func(a *Answers) { a.Femur, a.Tibia = 100, 40 }},
		{"servo", func(a *Answers) { a.Servo = workfile.Servo{} }},
	} {
		a := Usual(6)
		a.Servo = standard()
		c.change(&a)
		_, err := Make(a)
		var f *Fault
		if !errors.As(err, &f) || f.Field != c.field {
			t.Errorf("want a fault of %s, got %v", c.field, err)
		}
	}
}
