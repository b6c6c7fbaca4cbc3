// SPDX-License-Identifier: MIT

package control

import (
	"errors"
	"fmt"
	"image"
	"math"
	"strings"
	"testing"
	"time"

	"gioui.org/f32"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/layout"
	"gioui.org/unit"

	"gaitwright/app/drive"
	"gaitwright/app/look"
)

// stage lays parts out below each other.
func stage(t *testing.T, parts ...func(gtx layout.Context, th *look.Theme) layout.Dimensions) *drive.Tester {
	t.Helper()
	th := look.New(false)
	return drive.For(t, drive.New(image.Pt(400, 300), func(gtx layout.Context) layout.Dimensions {
		var all []layout.Widget
		for _, p := range parts {
			all = append(all, Natural(func(gtx layout.Context) layout.Dimensions { return p(gtx, th) }))
		}
		gtx.Constraints.Min = image.Point{}
		return Column(gtx, 1, all...)
	}))
}

func TestButton(t *testing.T) {
	for _, before := range []bool{true, false} {
		var b Button
		hits, off := 0, false
		d := stage(t, func(gtx layout.Context, th *look.Theme) layout.Dimensions {
			if before && b.Update(gtx) {
				hits++
			}
			dim := Push(th, &b, "Go").When(!off).Layout(gtx)
			if !before && b.Update(gtx) {
				hits++
			}
			return dim
		})
		d.Click("Go")
		d.Settle()
		if hits != 1 {
			t.Errorf("before=%v: %d hits of one click", before, hits)
		}
		d.Tab(false)
		if !d.Focused(b.Tag()) {
			t.Error("Tab does not reach the button")
		}
		d.Press(key.NameSpace, 0)
		d.Press(key.NameReturn, 0)
		d.Settle()
		if hits != 3 {
			t.Errorf("before=%v: %d hits after two keys", before, hits)
		}
		off = true
		d.Frame()
		d.ClickAt(d.Centre("Go"))
		d.Press(key.NameSpace, 0)
		if hits != 3 {
			t.Error("a disabled button was pushed")
		}
		if !d.MustFind("Go").Desc.Disabled {
			t.Error("not disabled for others")
		}
	}
}

// A click that nobody asked about does not come up later.
func TestStaleClickIsForgotten(t *testing.T) {
	var b Button
	ask, hits := false, 0
	d := stage(t, func(gtx layout.Context, th *look.Theme) layout.Dimensions {
		if ask && b.Update(gtx) {
			hits++
		}
		return Push(th, &b, "Go").Layout(gtx)
	})
	d.Click("Go")
	d.Settle()
	d.Frame()
	ask = true
	// The click of the last frame may still be asked about, older ones not.
	d.Frame()
	d.Frame()
	if hits != 0 {
		t.Errorf("%d hits", hits)
	}
}

func TestHint(t *testing.T) {
	var b Button
	d := stage(t, func(gtx layout.Context, th *look.Theme) layout.Dimensions {
		return Push(th, &b, "Go").WithHint("starts the walk").Layout(gtx)
	})
	shown := func() bool {
		for _, n := range d.Nodes() {
			if n.Desc.Label == "starts the walk" {
				return true
			}
		}
		return false
	}
	d.MoveTo(d.Centre("Go"))
	if shown() {
		t.Error("shown at once")
	}
	if at, again := d.Awake(); !again || at.Sub(d.Now) != hintDelay {
		t.Errorf("wakes at %v", at.Sub(d.Now))
	}
	d.Settle()
	if !shown() {
		t.Error("not shown to a resting pointer")
	}
	d.MoveTo(f32.Pt(390, 290))
	d.Settle()
	if shown() {
		t.Error("still shown after the pointer left")
	}
	d.MoveTo(d.Centre("Go"))
	d.Click("Go")
	d.Now = d.Now.Add(time.Second)
	d.Settle()
	if shown() {
		t.Error("shown after a click")
	}
}

func TestChoice(t *testing.T) {
	var c Choice
	changes := 0
	d := stage(t, func(gtx layout.Context, th *look.Theme) layout.Dimensions {
		if c.Update(gtx) {
			changes++
		}
		return Pick(th, &c, Options("Free", "Side", "Above")...).Layout(gtx)
	})
	d.Click("Side")
	if c.Value != 1 || changes != 1 || !d.Focused(&c) {
		t.Errorf("value %d, %d changes", c.Value, changes)
	}
	d.Click("Side")
	if changes != 1 {
		t.Error("the same option counts as a change")
	}
	d.Press(key.NameRightArrow, 0)
	d.Press(key.NameRightArrow, 0)
	if c.Value != 2 || changes != 2 {
		t.Errorf("value %d, %d changes", c.Value, changes)
	}
	d.Press(key.NameHome, 0)
	d.Settle()
	if !d.MustFind("Free").Desc.Selected || d.MustFind("Above").Desc.Selected {
		t.Errorf("selection is wrong in\n%s", d.Dump())
	}
}

func TestToggle(t *testing.T) {
	var g Toggle
	changes := 0
	d := stage(t, func(gtx layout.Context, th *look.Theme) layout.Dimensions {
		if g.Update(gtx) {
			changes++
		}
		return Check(th, &g, "Repeat").Layout(gtx)
	})
	d.Click("Repeat")
	d.Tab(false)
	d.Press(key.NameSpace, 0)
	d.Press(key.NameSpace, 0)
	d.Settle()
	if !g.Value || changes != 3 || !d.MustFind("Repeat").Desc.Selected {
		t.Errorf("value %v, %d changes", g.Value, changes)
	}
}

func number(t *testing.T, n *Number) (*drive.Tester, *int) {
	changes := new(int)
	var other Button
	return stage(t,
		func(gtx layout.Context, th *look.Theme) layout.Dimensions {
			if n.Update(gtx) {
				*changes++
			}
			return Amount(th, n, "Step height").Layout(gtx)
		},
		func(gtx layout.Context, th *look.Theme) layout.Dimensions {
			return Push(th, &other, "Other").Layout(gtx)
		},
	), changes
}

func TestNumberTyped(t *testing.T) {
	n := Number{Value: 32, Min: 5, Max: 80, Unit: "mm", Decimals: 1}
	d, changes := number(t, &n)
	d.Click("Step height")
	d.Type("41.26")
	if n.Value != 32 {
		t.Errorf("value %v while typing", n.Value)
	}
	d.Press(key.NameReturn, 0)
	d.Settle()
	if n.Value != 41.26 || *changes != 1 || n.entry.editor.Text() != "41.3" {
		t.Errorf("value %v, text %q, %d changes", n.Value, n.entry.editor.Text(), *changes)
	}
	// Enter on the rounded text must not change the value.
	d.Press(key.NameReturn, 0)
	d.Settle()
	if n.Value != 41.26 || *changes != 1 {
		t.Errorf("value %v, %d changes", n.Value, *changes)
	}
	// Leaving the field takes the text.
	d.Type("50 mm")
	d.Tab(false)
	d.Settle()
	if n.Value != 50 || *changes != 2 {
		t.Errorf("value %v, %d changes", n.Value, *changes)
	}
}

func TestNumberEscape(t *testing.T) {
	n := Number{Value: 32}
	d, changes := number(t, &n)
	d.Click("Step height")
	d.Type("77")
	d.Press(key.NameEscape, 0)
	d.Settle()
	if n.Value != 32 || n.entry.editor.Text() != "32" || *changes != 0 {
		t.Errorf("value %v, text %q, %d changes", n.Value, n.entry.editor.Text(), *changes)
	}
	if !d.Focused(n.Tag()) {
		t.Error("Escape lost the keys")
	}
}

func TestNumberRefusesInWords(t *testing.T) {
	for _, tc := range []struct{ typed, want string }{
		{"abc", "“abc” is not a number"},
		{"4", "must lie from 5 to 80 mm"},
		{"81", "must lie from 5 to 80 mm"},
		{"3,5", "write the decimals with a point, such as 3.5"},
		{"nan", "“nan” is not a number"},
		{"inf", "“inf” is not a number"},
		{"0x20", "“0x20” is not a number"},
		{"1e999", "“1e999” is not a number"},
		{"mm", "type a number"},
		{"thirty-two millimetres", "“thirty-two milli…” is not a number"},
	} {
		t.Run(tc.typed, func(t *testing.T) {
			n := Number{Value: 32, Min: 5, Max: 80, Unit: "mm"}
			d, changes := number(t, &n)
			d.Click("Step height")
			d.Type(tc.typed)
			d.Press(key.NameReturn, 0)
			d.Settle()
			d.MustFind(tc.want)
			if n.Value != 32 || *changes != 0 || n.entry.editor.Text() != tc.typed {
				t.Errorf("value %v, text %q", n.Value, n.entry.editor.Text())
			}
			d.Tab(false) // the text and the reason stay
			d.Settle()
			d.MustFind(tc.want)
			// A value set by the window puts them away.
			n.Value = 40
			d.Settle()
			d.MustMiss(tc.want)
			if n.entry.editor.Text() != "40" || n.Err() != nil {
				t.Errorf("text %q, error %v", n.entry.editor.Text(), n.Err())
			}
		})
	}
}

func TestNumberSteps(t *testing.T) {
	n := Number{Value: 0.1, Min: 0, Max: 1, Step: 0.1, Decimals: 1}
	d, changes := number(t, &n)
	d.Click("Step height")
	for range 2 {
		d.Press(key.NameUpArrow, 0)
	}
	if n.Value != 0.30000000000000004 && n.Value != 0.3 || *changes != 2 {
		t.Errorf("value %v, %d changes", n.Value, *changes)
	}
	d.Press(key.NameUpArrow, key.ModShift)
	if n.Value != 1 {
		t.Errorf("value %v past the end", n.Value)
	}
	d.Press(key.NameUpArrow, 0)
	if *changes != 3 {
		t.Errorf("%d changes; a step at the end is none", *changes)
	}
	d.Type("0.5")
	d.Press(key.NameDownArrow, 0)
	d.Settle()
	if math.Abs(n.Value-0.4) > 1e-12 || n.entry.editor.Text() != "0.4" {
		t.Errorf("value %v from a typed 0.5", n.Value)
	}
}

func TestNumberShowsNoNaN(t *testing.T) {
	n := Number{Value: math.NaN()}
	d, changes := number(t, &n)
	d.Settle()
	if n.entry.editor.Text() != "–" {
		t.Errorf("text %q", n.entry.editor.Text())
	}
	d.Click("Step height")
	d.Press(key.NameReturn, 0)
	d.Press(key.NameUpArrow, 0)
	d.Settle()
	if n.Value != 1 || *changes != 1 {
		t.Errorf("value %v, %d changes", n.Value, *changes)
	}
}

func TestText(t *testing.T) {
	x := Text{Value: "strike", Check: func(s string) error {
		if strings.TrimSpace(s) == "" {
			return errors.New("type a name")
		}
		return nil
	}}
	changes, entered := 0, 0
	d := stage(t, func(gtx layout.Context, th *look.Theme) layout.Dimensions {
		if x.Update(gtx) {
			changes++
		}
		if x.Entered() {
			entered++
		}
		return Words(th, &x, "Name").Layout(gtx)
	})
	d.Click("Name")
	d.Type("bow")
	if x.Typed() != "bow" || x.Value != "strike" {
		t.Errorf("typed %q, value %q", x.Typed(), x.Value)
	}
	d.Press(key.NameReturn, 0)
	d.Settle()
	if x.Value != "bow" || changes != 1 || entered != 1 {
		t.Errorf("value %q, %d changes, %d entered", x.Value, changes, entered)
	}
	d.Press(key.NameReturn, 0)
	if changes != 1 || entered != 2 {
		t.Errorf("%d changes, %d entered", changes, entered)
	}
	d.Type(" ")
	d.Press(key.NameReturn, 0)
	d.Settle()
	d.MustFind("type a name")
	if x.Value != "bow" {
		t.Errorf("value %q", x.Value)
	}
	d.Press(key.NameEscape, 0)
	d.Settle()
	if x.Typed() != "bow" || x.Err() != nil {
		t.Errorf("typed %q, %v", x.Typed(), x.Err())
	}
}

func TestSlider(t *testing.T) {
	s := Slider{Value: 1, Min: 0, Max: 2}
	changes, ends := 0, 0
	d := stage(t, func(gtx layout.Context, th *look.Theme) layout.Dimensions {
		if s.Update(gtx) {
			changes++
		}
		if s.Released() {
			ends++
		}
		return Slide(th, &s, "Speed").Layout(gtx)
	})
	c := d.Centre("Speed")
	d.Drag(c, c.Add(f32.Pt(500, 0)), 4)
	if s.Value != 2 || ends != 1 || changes == 0 || s.Dragging() {
		t.Errorf("value %v, %d changes, %d ends", s.Value, changes, ends)
	}
	d.Press(key.NameLeftArrow, 0)
	d.Press(key.NameLeftArrow, key.ModShift)
	if math.Abs(s.Value-1.78) > 1e-12 || ends != 3 {
		t.Errorf("value %v, %d ends", s.Value, ends)
	}
	d.Press(key.NameHome, 0)
	if s.Value != 0 {
		t.Errorf("value %v", s.Value)
	}
	d.DragWith(pointer.ButtonSecondary, 0, c, c.Add(f32.Pt(50, 0)), 2)
	if s.Value != 0 {
		t.Error("the second button drags")
	}
	s.Value = math.NaN()
	d.Settle()
	d.MustFind("–")
}

func TestRows(t *testing.T) {
	var r Rows
	var got []RowEvent
	drawn := 0
	n := 1000
	th := look.New(false)
	d := drive.For(t, drive.New(image.Pt(300, 260), func(gtx layout.Context) layout.Dimensions {
		drawn = 0
		for {
			e, ok := r.Update(gtx)
			if !ok {
				break
			}
			got = append(got, e)
		}
		return Listing(th, &r, "Findings").Layout(gtx, n, func(gtx layout.Context, i int) layout.Dimensions {
			drawn++
			return Entry{Theme: th, Text: fmt.Sprintf("row %d", i)}.Layout(gtx)
		})
	}))
	if drawn > 12 {
		t.Errorf("%d rows drawn", drawn)
	}
	d.Click("row 3")
	if i, ok := r.Chosen(); !ok || i != 3 || len(got) != 1 || got[0] != (RowEvent{3, false, true}) {
		t.Errorf("chosen %d, events %v", i, got)
	}
	for range 20 {
		d.Press(key.NameDownArrow, 0)
	}
	d.Settle()
	if i, _ := r.Chosen(); i != 23 {
		t.Errorf("chosen %d", i)
	}
	d.MustFind("row 23")
	if b := d.MustFind("row 23").Desc.Bounds; b.Min.Y+16 > 260 { // the text is about 16 px high
		t.Errorf("the chosen row shows at %v", b)
	}
	got = nil
	d.Press(key.NameReturn, 0)
	if len(got) != 1 || got[0] != (RowEvent{23, true, false}) {
		t.Errorf("events %v", got)
	}
	d.Press(key.NameEnd, 0)
	d.Settle()
	d.MustFind("row 999")
	d.Press(key.NamePageUp, 0)
	if i, _ := r.Chosen(); i != 990 {
		t.Errorf("chosen %d after a page of 9", i)
	}
	d.Press(key.NameHome, 0)
	d.Settle()
	got = nil
	d.DoubleClick("row 5")
	if len(got) != 2 || got[1] != (RowEvent{5, true, true}) {
		t.Errorf("events %v", got)
	}
	r.Choose(500)
	d.Settle()
	d.MustFind("row 500")
	n = 3
	d.Settle()
	if _, ok := r.Chosen(); ok {
		t.Error("a row that went away is still chosen")
	}
	n = 0
	d.Settle()
	d.Press(key.NameDownArrow, 0)
	d.Press(key.NameReturn, 0)
	if _, ok := r.Chosen(); ok {
		t.Error("a row of an empty list is chosen")
	}
}

func TestSplit(t *testing.T) {
	s := Split{First: 100, Second: 80, Share: 0.5}
	th := look.New(false)
	var widths [2]int
	part := func(i int) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions {
			widths[i] = gtx.Constraints.Max.X
			return layout.Dimensions{Size: gtx.Constraints.Max}
		}
	}
	d := drive.For(t, drive.New(image.Pt(407, 200), func(gtx layout.Context) layout.Dimensions {
		return s.Layout(gtx, th, "handle", part(0), part(1))
	}))
	if widths != [2]int{200, 200} {
		t.Errorf("widths %v", widths)
	}
	c := d.Centre("handle")
	d.Drag(c, c.Add(f32.Pt(40, 0)), 3)
	d.Settle()
	if widths != [2]int{240, 160} {
		t.Errorf("widths %v after a drag by 40", widths)
	}
	d.Press(key.NameLeftArrow, 0)
	d.Settle()
	if widths != [2]int{232, 168} {
		t.Errorf("widths %v after a key", widths)
	}
	d.Drag(d.Centre("handle"), f32.Pt(-500, 100), 2)
	d.Settle()
	if widths != [2]int{100, 300} {
		t.Errorf("widths %v at the least", widths)
	}
	d.Drag(d.Centre("handle"), f32.Pt(900, 100), 2)
	d.Settle()
	if widths != [2]int{320, 80} {
		t.Errorf("widths %v at the most", widths)
	}
}

func TestModal(t *testing.T) {
	var m Modal
	var behind, yes Button
	pushed, left, below := 0, 0, 0
	th := look.New(false)
	d := drive.For(t, drive.New(image.Pt(500, 400), func(gtx layout.Context) layout.Dimensions {
		under := m.Under(gtx)
		if behind.Update(under) {
			below++
		}
		layout.NW.Layout(under, Push(th, &behind, "Behind").Layout)
		if yes.Update(gtx) {
			pushed++
		}
		dim := Card(th, &m, "Sure?").Layout(gtx, th.Para("Really.").Layout, Push(th, &yes, "Yes").As(Primary).Layout)
		if m.Update(gtx) {
			left++
			m.Close()
		}
		return dim
	}))
	d.Click("Behind")
	if below != 1 {
		t.Fatal("the window is dead")
	}
	m.Open(yes.Tag())
	d.Settle()
	d.MustFind("Sure?")
	if !d.Focused(yes.Tag()) {
		t.Error("the card does not have the keys")
	}
	d.ClickAt(d.Centre("Behind"))
	if below != 1 {
		t.Error("a click went through the card")
	}
	for range 4 {
		d.Tab(false)
		if d.Focused(behind.Tag()) {
			t.Error("Tab leaves the card")
		}
	}
	d.Click("Yes")
	if pushed != 1 || !m.IsOpen() {
		t.Errorf("pushed %d", pushed)
	}
	d.Press(key.NameEscape, 0)
	d.Settle()
	if left != 1 || m.IsOpen() {
		t.Errorf("left %d", left)
	}
	d.MustMiss("Sure?")
	d.Click("Behind")
	if below != 2 {
		t.Error("the window stays dead")
	}
}

func TestLineAndHeader(t *testing.T) {
	n := Number{Value: 1}
	d := stage(t,
		func(gtx layout.Context, th *look.Theme) layout.Dimensions { return Header(gtx, th, "Gait") },
		func(gtx layout.Context, th *look.Theme) layout.Dimensions {
			return Line(gtx, th, "Period", 100, Amount(th, &n, "Period").Layout)
		},
	)
	d.MustFind("Gait")
	box, err := d.Clickable("Period")
	if err != nil || box.Desc.Bounds.Min.X != 100 || box.Desc.Bounds.Dy() != int(look.Control) {
		t.Errorf("the field stands at %v, %v", box.Desc.Bounds, err)
	}
}

// The whole gallery comes to rest in both looks and at three scales, and Tab
// goes round all its stops and comes back.
func TestGallery(t *testing.T) {
	for _, dark := range []bool{false, true} {
		for _, scale := range []float32{1, 1.5, 2} {
			g := newGallery(dark)
			d := drive.For(t, drive.NewScaled(image.Pt(int(860*scale), int(660*scale)), scale, g.layout))
			d.Settle()
			stops := 0
			d.Tab(false)
			for !d.Focused(g.primary.Tag()) || stops == 0 {
				d.Tab(false)
				if stops++; stops > 100 {
					t.Fatal("Tab never comes round")
				}
			}
			if stops < 40 {
				t.Errorf("%d stops", stops)
			}
			d.Settle()
		}
	}
}

// Whatever the room, nothing panics.
func TestTinyRooms(t *testing.T) {
	g := newGallery(true)
	for _, size := range []image.Point{{}, {1, 1}, {20, 400}, {400, 20}, {3000, 3}} {
		d := drive.New(size, g.layout)
		g.modal.Open(nil)
		d.Frame()
		g.modal.Close()
		d.Frame()
	}
}

func FuzzEvents(f *testing.F) {
	f.Add([]byte{0, 50, 50, 1, 60, 60, 2, 70, 70})
	f.Add([]byte{210, 1, 0, 211, 7, 0, 230, 3, 1})
	g := newGallery(false)
	f.Fuzz(func(t *testing.T, in []byte) {
		*g = gallery{th: g.th} // one theme: fonts take long to load
		d := drive.New(image.Pt(430, 330), g.layout)
		kinds := []pointer.Kind{pointer.Press, pointer.Move, pointer.Release, pointer.Cancel, pointer.Scroll}
		names := []key.Name{
			key.NameSpace, key.NameReturn, key.NameLeftArrow, key.NameRightArrow, key.NameUpArrow, key.NameDownArrow,
			key.NameHome, key.NameEnd, key.NamePageDown, key.NameEscape,
		}
		for len(in) >= 3 {
			b, x, y := in[0], in[1], in[2]
			in = in[3:]
			switch {
			case b < 200:
				d.Queue(pointer.Event{
					Kind: kinds[int(b)%len(kinds)], Source: pointer.Mouse, PointerID: pointer.ID(b / 100),
					Buttons: pointer.Buttons(b % 8), Position: f32.Pt(float32(x)*2-40, float32(y)*2-40),
				})
			case b < 230:
				d.Queue(key.Event{Name: names[int(x)%len(names)], Modifiers: key.Modifiers(y % 32), State: key.State(b % 2)})
			case b < 245:
				d.Type(string(rune(x)))
			default:
				d.Tab(b%2 == 0)
			}
			if b%3 != 0 {
				d.Frame()
			}
		}
		d.Frame()
		for _, v := range []float64{g.step.Value, g.scrub.Value, g.slow.Value, g.split.Share} {
			if v-v != 0 {
				t.Fatal("a value is no number")
			}
		}
	})
}

func TestRoomOfUnits(t *testing.T) {
	// One spacing unit: the sizes in use are on its grid or its half.
	for _, v := range []unit.Dp{look.Row, look.Control, look.Corner} {
		if r := float64(v) / float64(look.Unit) * 2; r != math.Round(r) {
			t.Errorf("%v is off the grid", v)
		}
	}
}

func BenchmarkGallery(b *testing.B) {
	g := newGallery(true)
	d := drive.New(image.Pt(860, 660), g.layout)
	b.ReportAllocs()
	for b.Loop() {
		d.Frame()
	}
}
