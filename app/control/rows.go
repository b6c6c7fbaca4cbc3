// SPDX-License-Identifier: MIT

package control

import (
	"image"

	"gioui.org/gesture"
	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op/clip"
	"gioui.org/unit"
	"gioui.org/widget"

	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// Rows is the state of a list of rows of equal height, of which one may be
// chosen. Only the rows that show are laid out. The list is one stop of the Tab
// key; the arrow keys move the choice, Enter or a double click opens the row.
type Rows struct {
	list   widget.List
	chosen int // index of the chosen row plus one
	clicks map[int]*gesture.Click
	events []RowEvent
	n      int // rows at the last Layout
	height int // of a row at the last Layout, px
	room   int // height of the list at the last Layout, px
}

// RowEvent says what the person did to a row.
type RowEvent struct {
	Index   int
	Open    bool // by Enter or double click; else it was chosen
	Pointer bool // by the pointer, not by a key
}

// Chosen returns the index of the chosen row, if any.
func (r *Rows) Chosen() (int, bool) { return r.chosen - 1, r.chosen > 0 }

// Choose chooses a row and brings it into view; a negative index chooses none.
func (r *Rows) Choose(i int) {
	r.chosen = max(i+1, 0)
	if i >= 0 {
		r.reveal(i)
	}
}

// Tag is what to give the keyboard focus to.
func (r *Rows) Tag() any { return r }

// Focused reports whether the list has the keys.
func (r *Rows) Focused(gtx layout.Context) bool { return gtx.Focused(r) }

// Update returns the next thing that the person did.
func (r *Rows) Update(gtx layout.Context) (RowEvent, bool) {
	r.pull(gtx)
	if len(r.events) == 0 {
		return RowEvent{}, false
	}
	e := r.events[0]
	r.events = r.events[1:]
	return e, true
}

func (r *Rows) pull(gtx layout.Context) {
	for i, c := range r.clicks {
		for {
			e, ok := c.Update(gtx.Source)
			if !ok {
				break
			}
			switch e.Kind {
			case gesture.KindPress:
				gtx.Execute(key.FocusCmd{Tag: r})
			case gesture.KindClick:
				if i < r.n {
					r.chosen = i + 1
					r.events = append(r.events, RowEvent{i, e.NumClicks == 2, true})
				}
			}
		}
	}
	for {
		ev, ok := gtx.Event(
			key.FocusFilter{Target: r},
			key.Filter{Focus: r, Name: key.NameUpArrow}, key.Filter{Focus: r, Name: key.NameDownArrow},
			key.Filter{Focus: r, Name: key.NamePageUp}, key.Filter{Focus: r, Name: key.NamePageDown},
			key.Filter{Focus: r, Name: key.NameHome}, key.Filter{Focus: r, Name: key.NameEnd},
			key.Filter{Focus: r, Name: key.NameReturn}, key.Filter{Focus: r, Name: key.NameEnter},
		)
		if !ok {
			return
		}
		if e, ok := ev.(key.Event); ok && e.State == key.Press {
			r.press(e.Name)
		}
	}
}

func (r *Rows) press(name key.Name) {
	if r.n == 0 {
		return
	}
	page := max(r.room/max(r.height, 1)-1, 1)
	at := r.chosen - 1
	to := at
	switch name {
	case key.NameUpArrow:
		to = at - 1
	case key.NameDownArrow:
		to = at + 1
	case key.NamePageUp:
		to = at - page
	case key.NamePageDown:
		to = at + page
	case key.NameHome:
		to = 0
	case key.NameEnd:
		to = r.n - 1
	default:
		if at >= 0 && at < r.n {
			r.events = append(r.events, RowEvent{Index: at, Open: true})
		}
		return
	}
	if to = min(max(to, 0), r.n-1); to != at {
		r.chosen = to + 1
		r.events = append(r.events, RowEvent{Index: to})
	}
	r.reveal(to)
}

// reveal scrolls as little as brings row i into view.
func (r *Rows) reveal(i int) {
	if r.height <= 0 || r.room <= 0 {
		return
	}
	top := r.list.Position.First*r.height + r.list.Position.Offset
	want := top
	if y := i * r.height; y < top {
		want = y
	} else if y+r.height > top+r.room {
		want = y + r.height - r.room
	}
	if want != top {
		want = max(want, 0)
		r.list.Position.First, r.list.Position.Offset = want/r.height, want%r.height
		r.list.Position.BeforeEnd = true
	}
}

// RowsStyle is the look of a list in this frame.
type RowsStyle struct {
	Theme  *look.Theme
	Rows   *Rows
	Label  string  // spoken name
	Height unit.Dp // of a row
	Empty  string  // words in place of rows when there are none
	// Name gives the spoken name of a row; may be nil when the row's own text
	// says it.
	Name func(i int) string
}

// Listing returns the style of a list. The label is its spoken name.
func Listing(th *look.Theme, r *Rows, label string) RowsStyle {
	return RowsStyle{Theme: th, Rows: r, Label: label, Height: look.Row}
}

// Layout draws n rows in the room given; row draws the contents of one.
func (s RowsStyle) Layout(gtx layout.Context, n int, row layout.ListElement) layout.Dimensions {
	r, th := s.Rows, s.Theme
	r.events = r.events[:0]
	r.n = n
	if r.chosen > n {
		r.chosen = 0
	}
	r.pull(gtx)
	size := gtx.Constraints.Max
	r.height = max(gtx.Dp(s.Height), 1)
	r.room = size.Y
	if r.clicks == nil {
		r.clicks = make(map[int]*gesture.Click)
	}

	defer clip.Rect{Max: size}.Push(gtx.Ops).Pop()
	semantic.LabelOp(s.Label).Add(gtx.Ops)
	// The tag of the keys has an area of its own: see pressable.
	keys := clip.Rect{Max: size}.Push(gtx.Ops)
	event.Op(gtx.Ops, r)
	Reachable(gtx, r)
	keys.Pop()
	if n == 0 && s.Empty != "" {
		g := gtx
		g.Constraints.Min = image.Point{}
		look.Inset(3).Layout(g, th.Quiet(s.Empty).Layout)
	}
	seen := make(map[int]bool)
	r.list.Axis = layout.Vertical
	scrolling(th, &r.list).Layout(gtx, n, func(gtx layout.Context, i int) layout.Dimensions {
		seen[i] = true
		return s.row(gtx, i, row)
	})
	for i := range r.clicks {
		if !seen[i] {
			delete(r.clicks, i)
		}
	}
	if r.Focused(gtx) {
		ring(gtx, th, image.Rectangle{Max: size}, 0)
	}
	return layout.Dimensions{Size: size}
}

func (s RowsStyle) row(gtx layout.Context, i int, row layout.ListElement) layout.Dimensions {
	r, th := s.Rows, s.Theme
	c := r.clicks[i]
	if c == nil {
		c = new(gesture.Click)
		r.clicks[i] = c
		c.Update(gtx.Source) // asks for clicks from this frame on
	}
	size := image.Pt(gtx.Constraints.Max.X, r.height)
	box := image.Rectangle{Max: size}
	defer clip.Rect(box).Push(gtx.Ops).Pop()
	chosen := i == r.chosen-1
	semantic.Button.Add(gtx.Ops)
	if s.Name != nil {
		semantic.LabelOp(s.Name(i)).Add(gtx.Ops)
	}
	semantic.SelectedOp(chosen).Add(gtx.Ops)
	semantic.EnabledOp(gtx.Enabled()).Add(gtx.Ops)
	if gtx.Enabled() {
		c.Add(gtx.Ops)
		pointer.CursorPointer.Add(gtx.Ops)
	}
	switch {
	case chosen:
		draw.Rect(gtx.Ops, box, th.Chosen)
		draw.Rect(gtx.Ops, image.Rect(0, 0, gtx.Dp(3), size.Y), th.Accent.Ink)
	case c.Hovered():
		draw.Rect(gtx.Ops, box, th.Hover)
	}
	left, right := gtx.Dp(look.Unit*4), gtx.Dp(look.Unit*2)
	o := offset(gtx, left, 0)
	exactly(gtx, image.Pt(max(size.X-left-right, 0), size.Y), func(gtx layout.Context) layout.Dimensions { return row(gtx, i) })
	o.Pop()
	return layout.Dimensions{Size: size}
}

// Entry is the usual content of a row: a glyph, a text, and a note at the right
// end.
type Entry struct {
	Theme *look.Theme
	Glyph look.Glyph
	Tone  *look.Tone // of the glyph; nil takes the text's colour
	Text  string
	Note  string
	Dim   bool
}

// Layout draws the entry in the row's exact size.
func (e Entry) Layout(gtx layout.Context) layout.Dimensions {
	th := e.Theme
	ink := th.Text
	if e.Dim {
		ink = th.Dim
	}
	size := gtx.Constraints.Max
	x, end := 0, size.X
	gap := gtx.Dp(look.Unit * 2)
	if e.Glyph != look.NoGlyph {
		c := th.Dim
		if e.Tone != nil {
			c = e.Tone.Ink
		}
		g := gtx.Dp(16)
		put(gtx, image.Pt(0, (size.Y-g)/2), recordGlyph(gtx, th, e.Glyph, 16, c))
		x = g + gap
	}
	if e.Note != "" {
		d, call := sizeOf(gtx, th.Label(look.Small, th.Dim, e.Note).Layout)
		put(gtx, image.Pt(end-d.Size.X, (size.Y-d.Size.Y)/2), call)
		end -= d.Size.X + gap
	}
	g := gtx
	g.Constraints = layout.Constraints{Max: image.Pt(max(end-x, 0), size.Y)}
	d, call := sizeOf(g, th.Label(look.Body, ink, e.Text).Layout)
	put(gtx, image.Pt(x, (size.Y-d.Size.Y)/2), call)
	return layout.Dimensions{Size: size}
}
