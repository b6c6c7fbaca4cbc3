// SPDX-License-Identifier: MIT

package strips

import (
	"image"
	"math"

	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/layout"

	"gaitwright/app/document"
	"gaitwright/app/timeline"
)

// keys are the keys that the rows take while they have the focus.
var keys = [...]key.Name{
	key.NameLeftArrow, key.NameRightArrow, key.NameUpArrow, key.NameDownArrow,
	key.NameHome, key.NameEnd, key.NameReturn, key.NameEnter,
}

// takeEvents answers the pointer and the keys.
func (p *Panel) takeEvents(gtx layout.Context, d *document.Document, at *document.Place, time *timeline.Panel) {
	if !gtx.Enabled() {
		p.over, p.held = false, false // a card over the window has the pointer
	}
	filters := [2 + len(keys)]event.Filter{
		pointer.Filter{
			Target:  &p.area,
			Kinds:   pointer.Press | pointer.Drag | pointer.Release | pointer.Cancel | pointer.Move | pointer.Enter | pointer.Leave | pointer.Scroll,
			ScrollX: pointer.ScrollRange{Min: -far, Max: far},
			ScrollY: pointer.ScrollRange{Min: -far, Max: far},
		},
		key.FocusFilter{Target: &p.list},
	}
	for i, n := range keys {
		filters[2+i] = key.Filter{Focus: &p.list, Name: n, Optional: key.ModShift}
	}
	for {
		ev, ok := gtx.Event(filters[:]...)
		if !ok {
			return
		}
		switch e := ev.(type) {
		case pointer.Event:
			p.pointer(gtx, e, d, at, time)
		case key.Event:
			if e.State == key.Press {
				p.key(e, d, at)
			}
		}
	}
}

func (p *Panel) pointer(gtx layout.Context, e pointer.Event, d *document.Document, at *document.Place, time *timeline.Panel) {
	p.mouse = e.Position
	x0, _ := time.Axis(d).Ends()
	names := int(e.Position.X) < x0-gtx.Dp(edge)
	switch e.Kind {
	case pointer.Enter, pointer.Move:
		p.over = true
	case pointer.Leave:
		p.over = false
	case pointer.Cancel:
		p.over, p.held = false, false
		time.Guide(gtx, e, d, at)
	case pointer.Press:
		i, ok := p.rowAt(e.Position.Round())
		primary := e.Buttons == pointer.ButtonPrimary
		if !ok || names {
			if ok && primary {
				gtx.Execute(key.FocusCmd{Tag: &p.list})
				p.at = i
				p.toggle(i)
			}
			return
		}
		s := &p.derived.strips[p.rows[i].strip]
		if primary {
			p.at = i
			if e.Position.Round().In(p.rows[i].worst) {
				gtx.Execute(key.FocusCmd{Tag: &p.list})
				p.goToWorst(s, d, at)
				return
			}
			if s.leg >= 0 {
				at.Choose(d, s.leg)
			}
		}
		p.held = true
		time.Guide(gtx, e, d, at)
	case pointer.Drag:
		if p.held {
			time.Guide(gtx, e, d, at)
		}
	case pointer.Release:
		if e.Buttons == 0 {
			p.held = false
		}
		time.Guide(gtx, e, d, at)
	case pointer.Scroll:
		if !e.Modifiers.Contain(key.ModShift) && names {
			most := float64(gtx.Dp(openHeight)) // a notch is 10 on some systems and 120 on others
			p.scroll += int(math.Round(max(-most, min(2*float64(e.Scroll.Y), most))))
			e.Scroll.Y = 0
		}
		time.Guide(gtx, e, d, at)
	}
}

// edge is how far outside the axis a press still counts as at its end, dp.
const edge = 6

func (p *Panel) key(e key.Event, d *document.Document, at *document.Place) {
	if len(p.rows) == 0 {
		return
	}
	p.at = max(0, min(p.at, len(p.rows)-1))
	s := &p.derived.strips[p.rows[p.at].strip]
	switch e.Name {
	case key.NameUpArrow:
		p.at--
	case key.NameDownArrow:
		p.at++
	case key.NameHome:
		p.at = 0
	case key.NameEnd:
		p.at = len(p.rows) - 1
	case key.NameLeftArrow:
		p.set(s.name, false)
	case key.NameRightArrow:
		p.set(s.name, true)
	case key.NameReturn, key.NameEnter:
		if e.Modifiers.Contain(key.ModShift) {
			p.goToWorst(s, d, at)
			return
		}
		p.toggle(p.at)
	}
	p.at = max(0, min(p.at, len(p.rows)-1))
	p.pending = true
}

// toggle opens or folds a row.
func (p *Panel) toggle(i int) {
	s := &p.derived.strips[p.rows[i].strip]
	p.set(s.name, !p.isOpen(s.name))
	p.pending = true
}

// goToWorst goes to the worst instant of a strip, and to its leg.
func (p *Panel) goToWorst(s *strip, d *document.Document, at *document.Place) {
	if !s.worst.ok {
		return
	}
	at.Playing = false
	if s.worst.leg >= 0 {
		at.Choose(d, s.worst.leg)
	}
	at.GoTo(d, s.worst.at)
}

// rowAt gives the row at a point.
func (p *Panel) rowAt(q image.Point) (int, bool) {
	if q.Y < p.head {
		return 0, false
	}
	for i := range p.rows {
		if q.In(p.rows[i].box) {
			return i, true
		}
	}
	return 0, false
}
