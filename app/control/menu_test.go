// SPDX-License-Identifier: MIT

package control

import (
	"image"
	"slices"
	"testing"

	"gioui.org/f32"
	"gioui.org/io/key"
	"gioui.org/layout"

	"gaitwright/app/drive"
	"gaitwright/app/look"
)

// menuRig is a menu above a button.
type menuRig struct {
	*drive.Tester
	menu  Menu
	below Button
	items []MenuItem
	took  []int
	hits  int
	off   bool
}

func newMenuRig(t *testing.T, items ...MenuItem) *menuRig {
	r := &menuRig{items: items}
	r.Tester = stage(t, func(gtx layout.Context, th *look.Theme) layout.Dimensions {
		if i, ok := r.menu.Update(gtx); ok {
			r.took = append(r.took, i)
		}
		return Drop(th, &r.menu, "Do", r.items...).When(!r.off).Layout(gtx)
	}, func(gtx layout.Context, th *look.Theme) layout.Dimensions {
		if r.below.Update(gtx) {
			r.hits++
		}
		return Push(th, &r.below, "Below").Layout(gtx)
	})
	return r
}

func abc() []MenuItem {
	return []MenuItem{{Text: "first"}, {Text: "second", Off: true, Note: "not now"}, {Text: "third", Apart: true, Glyph: look.Mirror}}
}

func TestMenuByPointer(t *testing.T) {
	r := newMenuRig(t, abc()...)
	r.MustMiss("first")
	r.Click("Do")
	r.Settle()
	r.MustFind("first")
	r.Click("third")
	r.Settle()
	if !slices.Equal(r.took, []int{2}) || r.menu.IsOpen() {
		t.Errorf("took %v, open=%v", r.took, r.menu.IsOpen())
	}
	r.MustMiss("first")
	if !r.Focused(r.menu.Tag()) {
		t.Error("the button has not got the keys back")
	}
	// One that cannot be taken is not, and the list stays.
	r.Click("Do")
	r.Settle()
	n := r.MustFind("second")
	if !n.Desc.Disabled || n.Desc.Description != "not now" {
		t.Errorf("%+v", n.Desc)
	}
	r.ClickAt(r.Centre("second"))
	r.Settle()
	if len(r.took) != 1 || !r.menu.IsOpen() {
		t.Errorf("took %v, open=%v", r.took, r.menu.IsOpen())
	}
	// A press elsewhere closes it and does nothing else.
	r.ClickAt(f32.Pt(390, 290))
	r.Settle()
	if len(r.took) != 1 || r.menu.IsOpen() {
		t.Errorf("took %v, open=%v", r.took, r.menu.IsOpen())
	}
	r.Click("Do")
	r.Settle()
	r.ClickAt(r.Centre("Do"))
	r.Settle()
	if r.menu.IsOpen() {
		t.Error("a second click on the button does not close the list")
	}
}

// The list lies above what is below the button: its clicks go to the list.
func TestMenuCoversWhatIsBelow(t *testing.T) {
	r := newMenuRig(t, abc()...)
	p := r.Centre("Below")
	r.Click("Do")
	r.Settle()
	r.ClickAt(p)
	r.Settle()
	if r.hits != 0 {
		t.Error("the button below the list was pushed")
	}
}

func TestMenuByKeys(t *testing.T) {
	r := newMenuRig(t, abc()...)
	r.Tab(false)
	for _, open := range []key.Name{key.NameReturn, key.NameSpace, key.NameDownArrow} {
		r.took = nil
		r.Press(open, 0)
		r.Settle()
		if !r.menu.IsOpen() || !r.Focused(&r.menu) {
			t.Fatalf("%s: open=%v", open, r.menu.IsOpen())
		}
		r.Press(key.NameDownArrow, 0) // past the one that cannot be taken
		r.Press(key.NameReturn, 0)
		r.Settle()
		if !slices.Equal(r.took, []int{2}) {
			t.Errorf("%s: took %v", open, r.took)
		}
		if !r.Focused(r.menu.Tag()) {
			t.Errorf("%s: the button has not got the keys back", open)
		}
	}
	for _, s := range []struct {
		keys []key.Name
		want int
	}{
		{[]key.Name{key.NameEnd, key.NameSpace}, 2},
		{[]key.Name{key.NameEnd, key.NameHome, key.NameReturn}, 0},
		{[]key.Name{key.NameUpArrow, key.NameReturn}, 2}, // round
		{[]key.Name{key.NameUpArrow, key.NameDownArrow, key.NameReturn}, 0},
	} {
		r.took = nil
		r.Press(key.NameReturn, 0)
		r.Settle()
		for _, k := range s.keys {
			r.Press(k, 0)
			r.Settle()
		}
		if !slices.Equal(r.took, []int{s.want}) {
			t.Errorf("%v: took %v, want %d", s.keys, r.took, s.want)
		}
	}
	r.took = nil
	r.Press(key.NameReturn, 0)
	r.Settle()
	r.Press(key.NameEscape, 0)
	r.Settle()
	if r.menu.IsOpen() || r.took != nil || !r.Focused(r.menu.Tag()) {
		t.Errorf("escape: open=%v took=%v", r.menu.IsOpen(), r.took)
	}
	// The keys go elsewhere: it closes.
	r.Press(key.NameReturn, 0)
	r.Settle()
	r.Tab(false)
	r.Settle()
	if r.menu.IsOpen() {
		t.Error("open although the keys are elsewhere")
	}
}

// What holds now is marked, and the keys begin there.
func TestMenuShowsWhatHolds(t *testing.T) {
	r := newMenuRig(t, MenuItem{Text: "a"}, MenuItem{Text: "b"}, MenuItem{Text: "c", On: true})
	r.Click("Do")
	r.Settle()
	if !r.MustFind("c").Desc.Selected || r.MustFind("a").Desc.Selected {
		t.Error("not spoken")
	}
	r.Press(key.NameUpArrow, 0)
	r.Press(key.NameReturn, 0)
	r.Settle()
	if !slices.Equal(r.took, []int{1}) {
		t.Errorf("took %v", r.took)
	}
}

// A list longer than its room scrolls with the keys and the wheel.
func TestLongMenuScrolls(t *testing.T) {
	var items []MenuItem
	for i := range 40 {
		items = append(items, MenuItem{Text: string(rune('A'+i/26)) + string(rune('a'+i%26))})
	}
	r := newMenuRig(t, items...)
	r.Click("Do")
	r.Settle()
	r.MustFind("Aa")
	r.MustMiss("Bn")
	r.Press(key.NameEnd, 0)
	r.Settle()
	r.MustFind("Bn")
	r.MustMiss("Aa")
	r.Scroll(r.Centre("Bm"), -10000, 0)
	r.Settle()
	r.MustFind("Aa")
}

func TestMenuThatCannotOpen(t *testing.T) {
	r := newMenuRig(t, abc()...)
	r.Click("Do")
	r.Settle()
	r.off = true
	r.Frame()
	r.Settle()
	if r.menu.IsOpen() {
		t.Error("stays open while its button is disabled")
	}
	r.ClickAt(middleOf(r.MustFind("Do").Desc.Bounds))
	r.Settle()
	if r.menu.IsOpen() {
		t.Error("a disabled menu opened")
	}
	r.off, r.items = false, nil
	r.Frame()
	r.Settle()
	r.Press(key.NameDownArrow, 0)
	r.Settle()
	if r.menu.IsOpen() {
		t.Error("an empty menu opened")
	}
}

func middleOf(b image.Rectangle) f32.Point {
	return f32.Pt(float32(b.Min.X+b.Max.X)/2, float32(b.Min.Y+b.Max.Y)/2)
}
