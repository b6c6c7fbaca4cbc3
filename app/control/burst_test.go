// SPDX-License-Identifier: MIT

package control

import (
	"image"
	"testing"

	"gioui.org/io/key"
	"gioui.org/layout"

	"gaitwright/app/drive"
	"gaitwright/app/look"
)

// numbers shows three fields one below the other, laid out more than once in a
// frame as a row does that looks for what fits, and notes what each is set to.
func numbers(t *testing.T) (*drive.Tester, *[3]Number, *[3][]float64) {
	t.Helper()
	n := new([3]Number)
	took := new([3][]float64)
	doc := [3]float64{45, 1145, 7} // what the fields show is set anew in each frame, as a panel does
	var parts []func(layout.Context, *look.Theme) layout.Dimensions
	for i, name := range [...]string{"first", "second", "third"} {
		parts = append(parts, func(gtx layout.Context, th *look.Theme) layout.Dimensions {
			if n[i].Update(gtx) {
				doc[i] = n[i].Value
				took[i] = append(took[i], n[i].Value)
			}
			n[i].Value = doc[i]
			n[i].Max = 2000
			s := Amount(th, &n[i], name)
			s.Layout(gtx)
			return s.Layout(gtx)
		})
	}
	th, order := look.New(false), new(Order)
	return drive.For(t, drive.New(image.Pt(400, 300), func(gtx layout.Context) layout.Dimensions {
		gtx = order.In(gtx)
		var all []layout.Widget
		for _, p := range parts {
			all = append(all, Natural(func(gtx layout.Context) layout.Dimensions { return p(gtx, th) }))
		}
		gtx.Constraints.Min = image.Point{}
		return Column(gtx, 1, all...)
	})), n, took
}

// Whatever is typed counts, wherever the frames fall: each field gets its own
// number, once, and in place of the old one.
func TestBurst(t *testing.T) {
	const typed = "12\t345\t6\t"
	for at := range len(typed) {
		for to := at; to < len(typed); to++ {
			d, n, took := numbers(t)
			d.Click("first")
			for _, s := range []string{typed[:at], typed[at:to], typed[to:]} {
				d.Burst(s)
				d.Frame()
			}
			d.Settle()
			for i, want := range []float64{12, 345, 6} {
				if n[i].Value != want || len(took[i]) != 1 || took[i][0] != want {
					t.Errorf("%q %q %q: field %d: %v, took %v, want %v once", typed[:at], typed[at:to], typed[to:], i, n[i].Value, took[i], want)
				}
			}
			if !d.Focused(n[0].Tag()) {
				t.Errorf("%q %q %q: Tab does not lead round", typed[:at], typed[at:to], typed[to:])
			}
		}
	}
}

// A shortcut behind the number, in the same frame, takes the keys away before
// the field has read its letters; they may even have come in that frame.
func TestBurstThenShortcut(t *testing.T) {
	for _, tab := range []bool{false, true} {
		n := [2]Number{{Value: 45}, {Value: 1145}}
		var took [2][]float64
		var at [2]float64 // numbers of the fields when the shortcut came to do its work
		d := stage(t, func(gtx layout.Context, th *look.Theme) layout.Dimensions {
			pressed := false
			for gtx.Focused(n[0].Tag()) || gtx.Focused(n[1].Tag()) {
				e, ok := gtx.Event(key.Filter{Name: "S", Required: key.ModShortcut})
				if !ok {
					break
				}
				if e.(key.Event).State == key.Press {
					pressed = true
					gtx.Execute(key.FocusCmd{})
				}
			}
			var parts []layout.Widget
			for i, name := range [...]string{"first", "second"} {
				if n[i].Update(gtx) {
					took[i] = append(took[i], n[i].Value)
				}
				parts = append(parts, Amount(th, &n[i], name).Layout)
			}
			dim := Column(gtx, 1, parts...)
			if pressed {
				at = [2]float64{n[0].Value, n[1].Value}
			}
			return dim
		})
		d.Click("first")
		want := [2]float64{88, 1145}
		if tab {
			want = [2]float64{45, 88}
			d.Router().MoveFocus(key.FocusForward)
		}
		d.Burst("88")
		d.Press("S", key.ModShortcut)
		d.Settle()
		if got := [2]float64{n[0].Value, n[1].Value}; at != want || got != want || len(took[0])+len(took[1]) != 1 {
			t.Errorf("tab=%v: values %v, at the shortcut %v, took %v", tab, got, at, took)
		}
	}
}

// Back to the field before: that one is asked for its text before the one that
// the keys leave.
func TestBurstBackwards(t *testing.T) {
	d, n, took := numbers(t)
	d.Click("second")
	d.Burst("88")
	d.Frame()
	d.Router().MoveFocus(key.FocusBackward)
	d.Burst("54")
	d.Frame()
	d.Settle()
	if n[0].Value != 45 || n[1].Value != 88 || n[0].entry.editor.Text() != "54" {
		t.Errorf("values %v and %v, text %q", n[0].Value, n[1].Value, n[0].entry.editor.Text())
	}
	d.Press(key.NameReturn, 0)
	d.Settle()
	if n[0].Value != 54 || len(took[0]) != 1 || len(took[1]) != 1 {
		t.Errorf("value %v, took %v", n[0].Value, *took)
	}
}

// Coming to a field without typing changes nothing in it, and selects all of
// it, so that the next letter replaces it.
func TestBurstThrough(t *testing.T) {
	d, n, took := numbers(t)
	d.Click("first")
	d.Router().MoveFocus(key.FocusForward)
	d.Router().MoveFocus(key.FocusForward)
	d.Settle()
	d.Router().MoveFocus(key.FocusBackward)
	d.Frame()
	d.Settle()
	if s := n[1].entry.editor.SelectedText(); s != "1145" {
		t.Errorf("selected %q", s)
	}
	d.Type("9")
	d.Press(key.NameReturn, 0)
	d.Settle()
	if n[0].Value != 45 || n[1].Value != 9 || n[2].Value != 7 || len(took[0])+len(took[2]) != 0 {
		t.Errorf("values %v %v %v", n[0].Value, n[1].Value, n[2].Value)
	}
	// Enter in the frame in which the field gets the keys keeps its number.
	d.Router().MoveFocus(key.FocusForward)
	d.Press(key.NameReturn, 0)
	d.Settle()
	if n[2].Value != 7 || n[2].Err() != nil || len(took[2]) != 0 {
		t.Errorf("value %v, %v", n[2].Value, n[2].Err())
	}
}
