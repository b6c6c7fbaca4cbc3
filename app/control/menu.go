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
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"

	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// Menu is the state of a button that opens a list of things to do or to choose
// from. The list lies above everything else; it closes by Escape, by a press
// elsewhere, when the keys go elsewhere, and when an item is taken.
//
// The button is a stop of the Tab key and opens the list by Enter, Space or the
// down key. In the list the up and down keys, Home and End move, Enter or Space
// takes. Afterwards the button has the keys again.
type Menu struct {
	button Button
	open   bool
	fresh  bool // opened in this frame: it has yet to get the keys
	at     int  // item that the keys or the pointer are on, -1 for none
	under  int  // item under the pointer, plus one
	scroll int  // px
	clicks []*gesture.Click
	items  []MenuItem // at the last Layout
	picked int        // item taken, plus one
	list   tag
	scrim  tag
	room   int // height of the list at the last Layout, px
	row    int // height of an item, px
	total  int // height of all items, px
}

// tag is a target of events with an address of its own.
type tag struct{ _ byte }

// MenuItem is one line of a menu.
type MenuItem struct {
	Text  string
	Glyph look.Glyph
	Note  string // at the right end: a key, or why it cannot be taken
	On    bool   // it holds now; shown by a tick and spoken
	Off   bool   // cannot be taken now
	Apart bool   // a line above it
}

// Update reports which item was taken.
func (m *Menu) Update(gtx layout.Context) (i int, ok bool) {
	m.pull(gtx)
	i = m.picked - 1
	m.picked = 0
	return i, i >= 0
}

// IsOpen reports whether the list shows.
func (m *Menu) IsOpen() bool { return m.open }

// Open shows the list.
func (m *Menu) Open() {
	m.open, m.fresh, m.scroll, m.under = true, true, 0, 0
	m.at = -1
	for i := range m.items {
		if m.items[i].On && !m.items[i].Off {
			m.at = i
		}
	}
	if m.at < 0 {
		m.move(1)
	}
}

// Close hides the list.
func (m *Menu) Close() { m.open, m.fresh = false, false }

// Focused reports whether the button or its list has the keys.
func (m *Menu) Focused(gtx layout.Context) bool { return m.button.Focused(gtx) || gtx.Focused(m) }

// Tag is what to give the keyboard focus to.
func (m *Menu) Tag() any { return m.button.Tag() }

func (m *Menu) pull(gtx layout.Context) {
	if m.button.Update(gtx) {
		m.Open()
	}
	for {
		ev, ok := gtx.Event(key.Filter{Focus: m.button.Tag(), Name: key.NameDownArrow})
		if !ok {
			break
		}
		if e, ok := ev.(key.Event); ok && e.State == key.Press {
			m.Open()
		}
	}
	m.pullList(gtx)
}

// pullList answers the keys and the pointer while the list shows.
func (m *Menu) pullList(gtx layout.Context) {
	for i, c := range m.clicks {
		for {
			e, ok := c.Update(gtx.Source)
			if !ok {
				break
			}
			if e.Kind == gesture.KindClick {
				m.take(gtx, i)
			}
		}
		if c.Hovered() != (m.under == i+1) { // only a pointer that moves takes the bar along
			if m.under == i+1 {
				m.under = 0
			} else if m.open {
				m.under, m.at = i+1, i
			}
		}
	}
	const far = 1 << 20
	wheel := pointer.ScrollRange{Min: -far, Max: far}
	for { // what hits the area behind the list ends there, and a press closes it
		ev, ok := gtx.Event(pointer.Filter{
			Target: &m.scrim, Kinds: pointer.Press | pointer.Release | pointer.Drag | pointer.Move | pointer.Scroll,
			ScrollX: wheel, ScrollY: wheel,
		})
		if !ok {
			break
		}
		if e, ok := ev.(pointer.Event); ok && e.Kind == pointer.Press && m.open {
			m.leave(gtx)
		}
	}
	for {
		ev, ok := gtx.Event(pointer.Filter{Target: &m.list, Kinds: pointer.Press | pointer.Scroll, ScrollX: wheel, ScrollY: wheel})
		if !ok {
			break
		}
		if e, ok := ev.(pointer.Event); ok && e.Kind == pointer.Scroll {
			m.scroll = max(0, min(m.scroll+int(e.Scroll.Y), m.total-m.room))
		}
	}
	for {
		ev, ok := gtx.Event(
			key.FocusFilter{Target: m},
			key.Filter{Focus: m, Name: key.NameUpArrow}, key.Filter{Focus: m, Name: key.NameDownArrow},
			key.Filter{Focus: m, Name: key.NameLeftArrow}, key.Filter{Focus: m, Name: key.NameRightArrow},
			key.Filter{Focus: m, Name: key.NameHome}, key.Filter{Focus: m, Name: key.NameEnd},
			key.Filter{Focus: m, Name: key.NameReturn}, key.Filter{Focus: m, Name: key.NameEnter},
			key.Filter{Focus: m, Name: key.NameSpace}, key.Filter{Focus: m, Name: key.NameEscape},
		)
		if !ok {
			break
		}
		if e, ok := ev.(key.Event); ok && e.State == key.Press && m.open {
			m.key(gtx, e.Name)
		}
	}
}

func (m *Menu) key(gtx layout.Context, name key.Name) {
	switch name {
	case key.NameUpArrow:
		m.move(-1)
	case key.NameDownArrow:
		m.move(1)
	case key.NameHome:
		m.at = -1
		m.move(1)
	case key.NameEnd:
		m.at = len(m.items)
		m.move(-1)
	case key.NameReturn, key.NameEnter, key.NameSpace:
		m.take(gtx, m.at)
	case key.NameEscape:
		m.leave(gtx)
	}
}

// move goes to the next item that can be taken, round at the ends.
func (m *Menu) move(by int) {
	n := len(m.items)
	for range n {
		m.at = ((m.at+by)%n + n) % n
		if !m.items[m.at].Off {
			m.reveal()
			return
		}
	}
}

// reveal scrolls as little as brings the item into view.
func (m *Menu) reveal() {
	if m.row <= 0 || m.room <= 0 {
		return
	}
	y := m.at * m.row
	m.scroll = max(0, min(min(max(m.scroll, y+m.row-m.room), y), m.total-m.room))
}

// take takes an item and closes the list.
func (m *Menu) take(gtx layout.Context, i int) {
	if !m.open || i < 0 || i >= len(m.items) || m.items[i].Off {
		return
	}
	m.picked = i + 1
	m.leave(gtx)
}

// leave closes the list and gives the keys back to the button.
func (m *Menu) leave(gtx layout.Context) {
	m.Close()
	gtx.Execute(key.FocusCmd{Tag: m.button.Tag()})
	gtx.Execute(op.InvalidateCmd{})
}

// MenuStyle is the look of a menu in this frame.
type MenuStyle struct {
	Menu  *Menu
	Face  ButtonStyle // the button
	Items []MenuItem
	Ends  bool    // the list ends where the button ends, for one near the right edge
	Above bool    // the list lies above the button, for one near the lower edge
	Most  unit.Dp // height of the list, which scrolls when it is longer
}

// Drop returns the style of a menu below a button with a text.
func Drop(th *look.Theme, m *Menu, text string, items ...MenuItem) MenuStyle {
	f := Push(th, &m.button, text)
	f.Tail = look.Open
	return MenuStyle{Menu: m, Face: f, Items: items, Most: 320}
}

// DropSign returns the style of a menu below a quiet button with a glyph only.
func DropSign(th *look.Theme, m *Menu, g look.Glyph, words string, items ...MenuItem) MenuStyle {
	return MenuStyle{Menu: m, Face: Sign(th, &m.button, g, words), Items: items, Most: 320}
}

// When disables the menu unless ok.
func (s MenuStyle) When(ok bool) MenuStyle { s.Face.Disabled = !ok; return s }

// AtEnd lets the list end where the button ends.
func (s MenuStyle) AtEnd() MenuStyle { s.Ends = true; return s }

// Layout draws the button, and the list above everything else.
func (s MenuStyle) Layout(gtx layout.Context) layout.Dimensions {
	m := s.Menu
	m.items = s.Items
	for len(m.clicks) < len(m.items) {
		m.clicks = append(m.clicks, new(gesture.Click))
	}
	m.picked = 0
	if s.Face.Disabled || len(s.Items) == 0 || !gtx.Enabled() {
		s.Face.Disabled = true
		m.Close()
	}
	if !s.Face.Disabled {
		m.pull(gtx)
	}
	if m.open && !m.fresh && !gtx.Focused(m) { // the keys went elsewhere
		m.Close()
	}
	s.Face = s.Face.Lit(m.open)
	if m.open {
		s.Face.Hint = "" // it would lie on the list
	}
	d := s.Face.Layout(gtx)
	if s.Face.Disabled {
		return d
	}
	m.pull(gtx) // the button may have been pushed in the events seen by its Layout
	if m.open {
		s.popUp(gtx, d.Size)
	}
	return d
}

// popUp draws the list below a button of the given size.
func (s MenuStyle) popUp(gtx layout.Context, button image.Point) {
	m, th := s.Menu, s.Face.Theme
	gtx.Constraints = layout.Constraints{Max: image.Pt(gtx.Dp(420), gtx.Dp(s.Most))}
	m.row = gtx.Dp(look.Row)
	m.total = m.row * len(m.items)
	pad := gtx.Dp(look.Unit)
	m.room = min(m.total, max(gtx.Dp(s.Most)-2*pad, m.row))
	if m.fresh {
		m.reveal()
	}
	m.scroll = max(0, min(m.scroll, m.total-m.room))
	width := button.X
	for i := range m.items {
		width = max(width, s.width(gtx, &m.items[i]))
	}
	box := image.Rect(0, 0, width, m.room+2*pad)
	at := image.Pt(0, button.Y+pad)
	if s.Above {
		at.Y = -pad - box.Dy()
	}
	if s.Ends {
		at.X = button.X - width
	}

	rec := op.Record(gtx.Ops)
	const far = 1 << 20
	behind := clip.Rect{Min: image.Pt(-far, -far), Max: image.Pt(far, far)}.Push(gtx.Ops)
	event.Op(gtx.Ops, &m.scrim)
	behind.Pop()
	o := op.Offset(at).Push(gtx.Ops)
	draw.RoundFrame(gtx.Ops, box, corner(gtx), hair(gtx), th.Edge, th.Raised)
	area := clip.Rect(box).Push(gtx.Ops)
	event.Op(gtx.Ops, &m.list)
	keys := clip.Rect(box).Push(gtx.Ops)
	event.Op(gtx.Ops, m)
	Reachable(gtx, m)
	semantic.LabelOp("list of " + s.Face.name()).Add(gtx.Ops)
	keys.Pop()
	rows := clip.Rect(image.Rect(hair(gtx), pad, width-hair(gtx), pad+m.room)).Push(gtx.Ops)
	for i := range m.items {
		y := pad + i*m.row - m.scroll
		if y+m.row <= pad || y >= pad+m.room {
			continue
		}
		r := op.Offset(image.Pt(0, y)).Push(gtx.Ops)
		s.item(gtx, i, image.Pt(width, m.row))
		r.Pop()
	}
	rows.Pop()
	if over := m.total - m.room; over > 0 { // how much of the list shows
		long := max(m.room*m.room/m.total, gtx.Dp(12))
		y := pad + (m.room-long)*m.scroll/over
		draw.Rect(gtx.Ops, image.Rect(width-gtx.Dp(6), y, width-gtx.Dp(3), y+long), th.Edge)
	}
	area.Pop()
	o.Pop()
	op.Defer(gtx.Ops, rec.Stop())
	if m.fresh {
		m.fresh = false
		m.pullList(gtx) // asks for the keys from this frame on
		gtx.Execute(key.FocusCmd{Tag: m})
		gtx.Execute(op.InvalidateCmd{})
	}
}

// glyphRoom tells whether some item has a glyph or a tick, so that all texts
// begin at one edge.
func (s MenuStyle) glyphRoom() bool {
	for i := range s.Items {
		if s.Items[i].Glyph != look.NoGlyph || s.Items[i].On {
			return true
		}
	}
	return false
}

func (s MenuStyle) width(gtx layout.Context, it *MenuItem) int {
	th := s.Face.Theme
	d, _ := sizeOf(gtx, th.Plain(it.Text).Layout)
	w := d.Size.X + gtx.Dp(look.Unit*6)
	if s.glyphRoom() {
		w += gtx.Dp(look.Unit * 6)
	}
	if it.Note != "" {
		d, _ := sizeOf(gtx, th.Note(it.Note).Layout)
		w += d.Size.X + gtx.Dp(look.Unit*4)
	}
	return w
}

func (s MenuStyle) item(gtx layout.Context, i int, size image.Point) {
	m, th, it := s.Menu, s.Face.Theme, &s.Items[i]
	box := image.Rectangle{Max: size}
	defer clip.Rect(box).Push(gtx.Ops).Pop()
	semantic.Button.Add(gtx.Ops)
	semantic.LabelOp(it.Text).Add(gtx.Ops)
	if it.Note != "" {
		semantic.DescriptionOp(it.Note).Add(gtx.Ops)
	}
	semantic.SelectedOp(it.On).Add(gtx.Ops)
	semantic.EnabledOp(!it.Off).Add(gtx.Ops)
	ink, dim := th.Text, th.Dim
	switch {
	case it.Off:
		ink = th.Faint
	case i == m.at:
		draw.Rect(gtx.Ops, box, th.Chosen)
		draw.Rect(gtx.Ops, image.Rect(hair(gtx), 0, hair(gtx)+gtx.Dp(3), size.Y), th.Accent.Ink)
	}
	if !it.Off {
		m.clicks[i].Add(gtx.Ops)
		pointer.CursorPointer.Add(gtx.Ops)
	}
	if it.Apart && i > 0 {
		draw.Rect(gtx.Ops, image.Rect(0, 0, size.X, hair(gtx)), th.Line)
	}
	x := gtx.Dp(look.Unit * 3)
	if s.glyphRoom() {
		g := it.Glyph
		if it.On {
			g = look.Tick
		}
		if g != look.NoGlyph {
			px := gtx.Dp(16)
			put(gtx, image.Pt(x, (size.Y-px)/2), recordGlyph(gtx, th, g, 16, ink))
		}
		x += gtx.Dp(look.Unit * 6)
	}
	d, call := sizeOf(gtx, th.Label(look.Body, ink, it.Text).Layout)
	put(gtx, image.Pt(x, (size.Y-d.Size.Y)/2), call)
	if it.Note != "" {
		d, call := sizeOf(gtx, th.Label(look.Small, dim, it.Note).Layout)
		put(gtx, image.Pt(size.X-gtx.Dp(look.Unit*3)-d.Size.X, (size.Y-d.Size.Y)/2), call)
	}
}
