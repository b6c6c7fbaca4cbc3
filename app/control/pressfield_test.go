// SPDX-License-Identifier: MIT

package control

import (
	"strconv"
	"testing"
	"time"

	"gioui.org/f32"
	"gioui.org/io/key"
	"gioui.org/io/pointer"

	"gaitwright/app/drive"
)

// push presses and releases as a hand does: some frames apart, the pointer not
// quite at rest, and long after the last time.
func push(d *drive.Tester, p f32.Point, shake float32) {
	d.Now = d.Now.Add(time.Minute)
	ev := pointer.Event{Source: pointer.Mouse, Buttons: pointer.ButtonPrimary, Position: p, Time: d.Now.Sub(time.Unix(0, 0))}
	for i, kind := range []pointer.Kind{pointer.Press, pointer.Move, pointer.Release} {
		ev.Kind, ev.Time = kind, ev.Time+60*time.Millisecond
		ev.Position.X += shake
		if i == 2 {
			ev.Buttons = 0
		}
		d.Queue(ev)
		d.Frame()
		d.Settle()
	}
}

// Wherever in a field one clicks, on its digits, beside them or on its edge, steadily or not,
// what is typed takes the place of the old number.
func TestClickThenType(t *testing.T) {
	for _, shake := range []float32{0, 2, -9} {
		for x := float32(-36); x <= 40; x += 8 {
			d, n, _ := numbers(t)
			p := d.Centre("second").Add(f32.Pt(x, 0))
			for _, want := range []float64{77, 31} { // again after Enter, the keys still there
				push(d, p, shake)
				d.Type(strconv.FormatFloat(want, 'f', 0, 64))
				d.Press(key.NameReturn, 0)
				d.Settle()
				if n[1].Value != want {
					t.Errorf("%+v px beside the middle, shaking by %v: %v (%v), want %v", x, shake, n[1].Value, n[1].Err(), want)
				}
			}
		}
	}
}

// A press in a field that is being edited sets the cursor, so that a digit can
// be mended.
func TestClickSetsCursor(t *testing.T) {
	d, n, _ := numbers(t)
	p := d.Centre("second")
	push(d, p, 0)
	d.Type("1945")
	push(d, p.Add(f32.Pt(-30, 0)), 0) // before the digits
	d.Press(key.NameDeleteForward, 0)
	d.Press(key.NameReturn, 0)
	d.Settle()
	if n[1].Value != 945 {
		t.Errorf("%v, want 945", n[1].Value)
	}
}
