// SPDX-License-Identifier: MIT

package control

import (
	"image"

	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op/clip"
	"gioui.org/unit"
	"gioui.org/widget"
	"gioui.org/widget/material"

	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// Modal is the state of a card over the window that must be answered first.
// While it is open, lay the window out with Under, so that nothing behind the
// card takes the pointer or the keys.
type Modal struct {
	open   bool
	first  any // tag that gets the keys when the card appears
	scrim  int // its address is the tag of the area behind the card
	closed bool
	scroll widget.List // of a body that is higher than its room
}

// Open shows the card; first gets the keyboard focus and may be nil.
func (m *Modal) Open(first any) { m.open, m.first, m.closed = true, first, false }

// Close hides the card.
func (m *Modal) Close() { m.open, m.first = false, nil }

// IsOpen reports whether the card shows.
func (m *Modal) IsOpen() bool { return m.open }

// Under returns the context for what lies behind the card.
func (m *Modal) Under(gtx layout.Context) layout.Context {
	if m.open {
		return gtx.Disabled()
	}
	return gtx
}

// Update reports whether the person left the card by Escape. Call it after
// Layout, so that a field in the card sees Escape first. The card stays open
// until Close.
func (m *Modal) Update(gtx layout.Context) bool {
	for m.open {
		ev, ok := gtx.Event(key.Filter{Name: key.NameEscape})
		if !ok {
			break
		}
		if e, ok := ev.(key.Event); ok && e.State == key.Press {
			m.closed = true
		}
	}
	c := m.closed
	m.closed = false
	return c
}

// ModalStyle is the look of a card in this frame.
type ModalStyle struct {
	Theme *look.Theme
	Modal *Modal
	Title string
	Tone  *look.Tone // of the title's glyph
	Glyph look.Glyph
	Width unit.Dp
	Fits  bool // the body makes do with the room that there is; else it scrolls where there is less than it needs
	Top   bool // near the upper edge, for a card whose height changes; else in the middle
}

// Card returns the style of a card with a title.
func Card(th *look.Theme, m *Modal, title string) ModalStyle {
	return ModalStyle{Theme: th, Modal: m, Title: title, Width: 420}
}

// WithGlyph sets a glyph before the title.
func (s ModalStyle) WithGlyph(g look.Glyph, t *look.Tone) ModalStyle {
	s.Glyph, s.Tone = g, t
	return s
}

// Layout draws the card in the middle of the room given: the title, the body,
// and the buttons in a row at the right end, the last one outermost.
func (s ModalStyle) Layout(gtx layout.Context, body layout.Widget, buttons ...layout.Widget) layout.Dimensions {
	m, th := s.Modal, s.Theme
	size := gtx.Constraints.Max
	if !m.open {
		return layout.Dimensions{Size: size}
	}
	for { // what hits the scrim ends there
		if _, ok := gtx.Event(pointer.Filter{
			Target: &m.scrim, Kinds: pointer.Press | pointer.Release | pointer.Drag | pointer.Move | pointer.Scroll,
			ScrollX: pointer.ScrollRange{Min: -1 << 20, Max: 1 << 20}, ScrollY: pointer.ScrollRange{Min: -1 << 20, Max: 1 << 20},
		}); !ok {
			break
		}
	}
	whole := clip.Rect{Max: size}.Push(gtx.Ops)
	event.Op(gtx.Ops, &m.scrim)
	draw.Rect(gtx.Ops, image.Rectangle{Max: size}, th.Scrim)
	whole.Pop()

	pad := gtx.Dp(look.Unit * 5)
	margin := gtx.Dp(look.Unit * 4)
	g := gtx
	width := max(min(gtx.Dp(s.Width), size.X-2*margin)-2*pad, 1)
	g.Constraints = layout.Constraints{Min: image.Pt(width, 0), Max: image.Pt(width, max(size.Y-2*margin-2*pad, 1))}
	d, call := recorded(g, func(gtx layout.Context) layout.Dimensions { return s.content(gtx, body, buttons) })

	box := image.Rectangle{Max: d.Size.Add(image.Pt(2*pad, 2*pad))}
	at := size.Sub(box.Size()).Div(2)
	if s.Top {
		at.Y = min(at.Y, gtx.Dp(look.Unit*12))
	}
	box = box.Add(at)
	radius := gtx.Dp(look.Corner * 2)
	draw.RoundFrame(gtx.Ops, box, radius, hair(gtx), look.Mix(th.Line, th.Edge, 0.5), th.Panel)
	area := clip.Rect(box).Push(gtx.Ops)
	semantic.LabelOp(s.Title).Add(gtx.Ops)
	put(gtx, box.Min.Add(image.Pt(pad, pad)), call)
	area.Pop()
	if m.first != nil {
		gtx.Execute(key.FocusCmd{Tag: m.first})
		m.first = nil
	}
	return layout.Dimensions{Size: size}
}

// likedBody is the height that a body is laid out with where there is less, dp.
const likedBody unit.Dp = 560

// scrolled lays the body out with the height that it needs, and scrolls it
// where there is less.
func (s ModalStyle) scrolled(gtx layout.Context, body layout.Widget) layout.Dimensions {
	room := gtx.Constraints.Max.Y
	g := gtx
	g.Constraints.Max.Y = max(room, g.Dp(likedBody))
	d, call := recorded(g, body)
	l := &s.Modal.scroll
	l.Axis = layout.Vertical
	if d.Size.Y <= room {
		l.Position = layout.Position{}
		call.Add(gtx.Ops)
		return d
	}
	bar := scrolling(s.Theme, l)
	bar.AnchorStrategy = material.Overlay
	g.Constraints = layout.Exact(image.Pt(gtx.Constraints.Max.X+gtx.Dp(look.Unit*4), room)) // the bar stands in the card's edge
	bar.Layout(g, 1, func(gtx layout.Context, _ int) layout.Dimensions {
		call.Add(gtx.Ops)
		return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, d.Size.Y)}
	})
	return layout.Dimensions{Size: image.Pt(d.Size.X, room)}
}

func (s ModalStyle) content(gtx layout.Context, body layout.Widget, buttons []layout.Widget) layout.Dimensions {
	th := s.Theme
	return layout.Flex{Axis: layout.Vertical}.Layout(gtx,
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
				layout.Rigid(func(gtx layout.Context) layout.Dimensions {
					if s.Glyph == look.NoGlyph {
						return layout.Dimensions{}
					}
					ink := th.Text
					if s.Tone != nil {
						ink = s.Tone.Ink
					}
					return layout.Inset{Right: look.Unit * 2}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
						return th.Glyph(gtx, s.Glyph, 20, ink)
					})
				}),
				layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
					l := th.Head(s.Title)
					l.MaxLines = 3
					return l.Layout(gtx)
				}),
			)
		}),
		look.Gap(3),
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min.Y = 0
			if s.Fits {
				return body(gtx)
			}
			return s.scrolled(gtx, body)
		}),
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			if len(buttons) == 0 {
				return layout.Dimensions{}
			}
			return layout.Inset{Top: look.Unit * 5}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
				gtx.Constraints.Min.X = gtx.Constraints.Max.X
				return layout.E.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
					return Bar(gtx, 2, buttons...)
				})
			})
		}),
	)
}
