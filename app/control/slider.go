// SPDX-License-Identifier: MIT

package control

import (
	"image"
	"math"

	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op/clip"
	"gioui.org/unit"
	"gonum.org/v1/gonum/spatial/r2"

	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// Slider is the state of a number set by dragging along a line. Values outside
// the range are drawn at its end.
type Slider struct {
	Value    float64
	Min, Max float64 // range; 0 to 1 unless Min < Max
	Step     float64 // of the arrow keys; zero means a hundredth of the range

	left, width float64 // track at the last Layout, px
	pid         pointer.ID
	dragging    bool
	over        bool
	changed     bool
	released    bool
}

// Update reports whether the person moved the slider.
func (s *Slider) Update(gtx layout.Context) bool {
	s.pull(gtx)
	changed := s.changed
	s.changed = false
	return changed
}

// Dragging reports whether the pointer holds the slider.
func (s *Slider) Dragging() bool { return s.dragging }

// Released reports, once, that a drag ended or a key moved the slider: the end
// of one change.
func (s *Slider) Released() bool {
	r := s.released
	s.released = false
	return r
}

// Focused reports whether the slider has the keys.
func (s *Slider) Focused(gtx layout.Context) bool { return gtx.Focused(s) }

// Range returns the ends in force.
func (s *Slider) Range() (lo, hi float64) {
	if s.Min < s.Max {
		return s.Min, s.Max
	}
	return 0, 1
}

func (s *Slider) pull(gtx layout.Context) {
	for {
		ev, ok := gtx.Event(
			pointer.Filter{Target: s, Kinds: pointer.Press | pointer.Drag | pointer.Release | pointer.Cancel | pointer.Enter | pointer.Leave},
			key.FocusFilter{Target: s},
			key.Filter{Focus: s, Name: key.NameLeftArrow, Optional: key.ModShift},
			key.Filter{Focus: s, Name: key.NameRightArrow, Optional: key.ModShift},
			key.Filter{Focus: s, Name: key.NameHome}, key.Filter{Focus: s, Name: key.NameEnd},
		)
		if !ok {
			return
		}
		switch e := ev.(type) {
		case pointer.Event:
			s.point(gtx, e)
		case key.Event:
			if e.State == key.Press {
				s.press(e)
			}
		}
	}
}

func (s *Slider) point(gtx layout.Context, e pointer.Event) {
	switch e.Kind {
	case pointer.Enter:
		s.over = true
	case pointer.Leave:
		s.over = false
	case pointer.Press:
		if s.dragging || e.Source == pointer.Mouse && e.Buttons != pointer.ButtonPrimary {
			return
		}
		s.dragging, s.pid = true, e.PointerID
		gtx.Execute(key.FocusCmd{Tag: s})
		gtx.Execute(pointer.GrabCmd{Tag: s, ID: e.PointerID})
		s.to(float64(e.Position.X))
	case pointer.Drag:
		if s.dragging && e.PointerID == s.pid {
			s.to(float64(e.Position.X))
		}
	case pointer.Release:
		if s.dragging && e.PointerID == s.pid {
			s.dragging, s.released = false, true
		}
	case pointer.Cancel:
		s.released = s.released || s.dragging
		s.dragging, s.over = false, false
	}
}

// to sets the value under the pixel x.
func (s *Slider) to(x float64) {
	if s.width <= 0 {
		return
	}
	lo, hi := s.Range()
	s.put(lo + (hi-lo)*(x-s.left)/s.width)
}

func (s *Slider) press(e key.Event) {
	lo, hi := s.Range()
	step := s.Step
	if !(step > 0) {
		step = (hi - lo) / 100
	}
	if e.Modifiers.Contain(key.ModShift) {
		step *= 10
	}
	was := s.Value
	switch e.Name {
	case key.NameLeftArrow:
		s.put(s.Value - step)
	case key.NameRightArrow:
		s.put(s.Value + step)
	case key.NameHome:
		s.put(lo)
	case key.NameEnd:
		s.put(hi)
	}
	s.released = s.released || s.Value != was
}

func (s *Slider) put(v float64) {
	lo, hi := s.Range()
	if v-v != 0 {
		v = lo
	}
	if v = min(max(v, lo), hi); v != s.Value {
		s.Value, s.changed = v, true
	}
}

// SliderStyle is the look of a slider in this frame.
type SliderStyle struct {
	Theme    *look.Theme
	Slider   *Slider
	Label    string  // spoken name
	Text     string  // spoken value
	Width    unit.Dp // when the constraints leave it open
	Marks    []float64
	Disabled bool
}

// Slide returns the style of a slider. The label is its spoken name.
func Slide(th *look.Theme, s *Slider, label string) SliderStyle {
	return SliderStyle{Theme: th, Slider: s, Label: label, Width: 160}
}

// Layout draws the slider.
func (y SliderStyle) Layout(gtx layout.Context) layout.Dimensions {
	s, th := y.Slider, y.Theme
	if y.Disabled || reading(gtx) {
		gtx = gtx.Disabled()
	}
	s.changed = false
	s.pull(gtx)

	size := image.Pt(max(gtx.Constraints.Min.X, min(gtx.Dp(y.Width), gtx.Constraints.Max.X)), gtx.Dp(look.Control))
	r := float64(gtx.Dp(7))
	mid := float64(size.Y) / 2
	s.left, s.width = r, max(float64(size.X)-2*r, 1)

	defer clip.Rect{Max: size}.Push(gtx.Ops).Pop()
	semantic.LabelOp(y.Label).Add(gtx.Ops)
	text := y.Text
	if text == "" {
		text = draw.Number(s.Value, 2)
	}
	semantic.DescriptionOp(text).Add(gtx.Ops)
	semantic.EnabledOp(gtx.Enabled()).Add(gtx.Ops)
	if gtx.Enabled() { // see pressable
		event.Op(gtx.Ops, s)
		Reachable(gtx, s)
		pointer.CursorPointer.Add(gtx.Ops)
	}

	lo, hi := s.Range()
	place := func(v float64) float64 {
		t := (v - lo) / (hi - lo)
		if t-t != 0 {
			t = 0
		}
		return s.left + s.width*min(max(t, 0), 1)
	}
	x := place(s.Value)
	track, done, thumb, edge := th.Line, th.Accent.Ink, th.Raised, th.Accent.Ink
	switch {
	case !gtx.Enabled():
		done, thumb, edge = th.Line, th.Panel, th.Faint
	case s.dragging:
		thumb = th.Accent.Ink
	case s.over:
		thumb = th.Accent.Wash
	}
	half := max(gtx.Dp(3)/2, 1)
	bar := func(x0, x1 float64) image.Rectangle {
		return image.Rect(int(math.Round(x0)), int(mid)-half, int(math.Round(x1)), int(mid)+half)
	}
	draw.Rect(gtx.Ops, bar(s.left, s.left+s.width), track)
	for _, m := range y.Marks {
		at := int(math.Round(place(m)))
		draw.Rect(gtx.Ops, image.Rect(at, int(mid)-3*half, at+hair(gtx), int(mid)+3*half), th.Edge)
	}
	draw.Rect(gtx.Ops, bar(s.left, x), done)
	var b draw.Batch
	view := image.Rectangle{Max: size}
	c := r2.Vec{X: x, Y: mid}
	w := float64(gtx.Dp(2))
	b.Reset(view)
	b.Disc(c, r)
	b.Paint(gtx.Ops, edge)
	b.Reset(view)
	b.Disc(c, r-w)
	b.Paint(gtx.Ops, thumb)
	if s.Focused(gtx) {
		ring(gtx, th, view, corner(gtx))
	}
	return layout.Dimensions{Size: size}
}
