// SPDX-License-Identifier: MIT

package sequence

import (
	"fmt"
	"image"
	"math"

	"gioui.org/font"
	"gioui.org/gesture"
	"gioui.org/io/pointer"
	"gioui.org/layout"
	"gioui.org/op/clip"
	"gioui.org/text"
	"gioui.org/unit"
	"gioui.org/widget/material"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// Widths in a row.
const (
	numberWidth unit.Dp = 20
	kindWidth   unit.Dp = 54
	lengthWidth unit.Dp = 66
	spanWidth   unit.Dp = 84
	wide        unit.Dp = 430 // from here on a row has room for details
)

// list shows the entries in order.
func (p *Panel) list(gtx layout.Context, th *look.Theme, d *document.Document) layout.Dimensions {
	f := d.File()
	s := control.Listing(th, &p.rows, "entries of the sequence")
	s.Name = func(i int) string { return fmt.Sprintf("entry %d, %s", i+1, f.Sequence[i].Kind) }
	p.carry.height = gtx.Dp(s.Height)
	draw.Rect(gtx.Ops, image.Rectangle{Max: gtx.Constraints.Max}, th.Canvas)
	seen := map[int]bool{}
	dims := s.Layout(gtx, len(f.Sequence), func(gtx layout.Context, i int) layout.Dimensions {
		seen[i] = true
		return p.row(gtx, th, d, i)
	})
	for i := range p.carry.drags {
		if !seen[i] {
			delete(p.carry.drags, i)
			p.carry.on = p.carry.on && p.carry.from != i
		}
	}
	return dims
}

// row draws an entry, and takes its drags.
func (p *Panel) row(gtx layout.Context, th *look.Theme, d *document.Document, i int) layout.Dimensions {
	size := gtx.Constraints.Max
	e := &d.File().Sequence[i]
	span := ""
	if q, ok := part(d, i); ok {
		span = draw.Number(q.From, 2) + "–" + draw.Number(q.To, 2) + " s"
	}
	cell := func(width unit.Dp, l material.LabelStyle, right bool) layout.FlexChild {
		return layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min.X, gtx.Constraints.Max.X = gtx.Dp(width), gtx.Dp(width)
			if right {
				l.Alignment = text.End
			}
			return l.Layout(gtx)
		})
	}
	name := th.Plain(title(e))
	if e.Kind == "move" {
		name.Font.Weight = font.Bold
	}
	all := []layout.FlexChild{
		cell(numberWidth, th.Note(fmt.Sprint(i+1)), true), look.Gap(2),
		cell(kindWidth, th.Quiet(e.Kind), false),
	}
	if size.X >= gtx.Dp(wide) {
		all = append(all,
			layout.Rigid(func(gtx layout.Context) layout.Dimensions {
				gtx.Constraints.Min.X = 0
				gtx.Constraints.Max.X = min(gtx.Constraints.Max.X, gtx.Dp(104))
				return name.Layout(gtx)
			}),
			look.Gap(2),
			layout.Flexed(1, th.Note(details(e)).Layout))
	} else {
		all = append(all, layout.Flexed(1, name.Layout))
	}
	all = append(all, cell(lengthWidth, th.Label(look.Small, th.Text, lengthOf(e)), true), cell(spanWidth, th.Note(span), true))
	layout.W.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		gtx.Constraints.Min.Y = 0
		return layout.Flex{Alignment: layout.Baseline}.Layout(gtx, all...)
	})
	p.carryRow(gtx, th, i, size)
	return layout.Dimensions{Size: size}
}

// carryRow gives a row its drag, and draws where the entry under way goes.
func (p *Panel) carryRow(gtx layout.Context, th *look.Theme, i int, size image.Point) {
	if p.carry.drags == nil {
		p.carry.drags = map[int]*gesture.Drag{}
	}
	g := p.carry.drags[i]
	if g == nil {
		g = new(gesture.Drag)
		p.carry.drags[i] = g
	}
	area := clip.Rect{Max: size}.Push(gtx.Ops)
	if gtx.Enabled() {
		g.Add(gtx.Ops)
		if p.carry.on {
			pointer.CursorGrabbing.Add(gtx.Ops)
		} else {
			pointer.CursorPointer.Add(gtx.Ops)
		}
	}
	area.Pop()
	if c := &p.carry; c.on && i == c.to && c.to != c.from {
		thick := max(2, gtx.Dp(2))
		y := 0
		if c.to > c.from {
			y = size.Y - thick
		}
		draw.Rect(gtx.Ops, image.Rect(0, y, size.X, y+thick), th.Accent.Ink)
	}
}

// carrying answers the drags of rows: a row that is dragged goes where it is
// let go, as one undo step.
func (p *Panel) carrying(gtx layout.Context, d *document.Document, at *document.Place) {
	c := &p.carry
	n := len(d.File().Sequence)
	for i, g := range c.drags {
		for {
			e, ok := g.Update(gtx.Metric, gtx.Source, gesture.Vertical)
			if !ok {
				break
			}
			switch e.Kind {
			case pointer.Press:
				c.on = false
			case pointer.Drag:
				if i >= n || c.height <= 0 || e.Priority < pointer.Grabbed {
					continue
				}
				if !c.on {
					c.on, c.from = true, i
					p.choose(i)
				}
				c.to = max(0, min(n-1, i+int(math.Floor(float64(e.Position.Y)/float64(c.height)))))
			case pointer.Release:
				if c.on && c.from == i {
					c.on = false
					p.take(d, at, c.from, c.to)
				}
			case pointer.Cancel:
				c.on = false
			}
		}
	}
}
