// SPDX-License-Identifier: MIT

package newrobot

import (
	"errors"
	"fmt"
	"testing"

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
