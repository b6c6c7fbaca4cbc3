// SPDX-License-Identifier: MIT

package strips

import (
	"image"

	"gioui.org/f32"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/app/timeline"
)

// Panel is the state of the strips. The zero value is ready. What the person
// opened and folded is kept as long as the document is open; it is no part of
// the file.
type Panel struct {
	list tag // takes the keys
	area tag // takes the pointer

	show    control.Choice
	derived derived
	ghost   ghost

	chosen map[string]bool // opened or folded by the person, by the strip's name
	auto   map[string]bool // open by itself
	doc    *document.Document

	rows   []row
	head   int // height of the line of choices, px
	scroll int // px
	length int // of all rows, px
	at     int // row that the keys act on

	tags    []*tag
	held    bool      // the button went down on a plot
	over    bool      // the pointer is over the rows
	mouse   f32.Point // px of the panel
	pending bool      // bring the row of the keys into view

	drawings map[string]*drawing
	lines    drawer
}

// tag is a target of events. It has a size, so that each has an address of its
// own.
type tag struct{ _ byte }

// row is where a strip lies on the panel, px.
type row struct {
	strip int // index into derived.strips
	open  bool
	box   image.Rectangle
	worst image.Rectangle // the words of the worst value, of a folded row
}

// Heights.
const (
	headHeight   unit.Dp = 30
	foldedHeight unit.Dp = 17
	openHeight   unit.Dp = 62  // least of an open one
	grownHeight  unit.Dp = 150 // most of an open one

	// Least is the height that shows the line of choices and two folded rows.
	Least = headHeight + 2*foldedHeight + 2
)

const (
	mostOpen   = 3 // strips that open by themselves
	leastShown = 2 // folded rows that what opens beside the first leaves in view
)

// Layout draws the panel, filling its constraints. It calls Update.
func (p *Panel) Layout(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place, time *timeline.Panel) layout.Dimensions {
	p.Update(gtx, d, at, time)
	size := gtx.Constraints.Max
	defer clip.Rect{Max: size}.Push(gtx.Ops).Pop()
	draw.Rect(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	w := painter{Panel: p, gtx: gtx, th: th, d: d, place: at, size: size, axis: time.Axis(d), hair: max(gtx.Dp(1), 1)}
	p.head = headOf(gtx, size.Y)
	if p.head > 0 {
		w.header()
	}
	p.arrange(gtx, size)
	w.rows()
	return layout.Dimensions{Size: size}
}

// Update takes the events for the panel. Layout calls it; a caller that draws
// other views before this panel calls it first.
func (p *Panel) Update(gtx layout.Context, d *document.Document, at *document.Place, time *timeline.Panel) {
	if p.doc != d {
		p.doc, p.chosen, p.auto, p.at, p.scroll = d, nil, nil, 0, 0
	}
	p.show.Update(gtx)
	p.derive(d)
	if p.derived.choose(d.Result(), at.Leg) {
		delete(p.drawings, stepDownName)
	}
	p.ghost.update(view(p.show.Value), at.Leg)
	p.takeEvents(gtx, d, at, time)
}

// derive works out what the strips show. While something is dragged the
// step-down reserves are left out if their strip is folded.
func (p *Panel) derive(d *document.Document) {
	p.derived.update(d, view(p.show.Value), !d.Dragging() || p.isOpen(stepDownName))
}

// Height gives the height that the panel likes to have, of most there is, px:
// room for the strips that matter, open, and all others folded.
func (p *Panel) Height(gtx layout.Context, d *document.Document, most int) int {
	p.derive(d)
	n, open := len(p.derived.taken), p.derived.wants // angles have to do with the same room
	return min(most, gtx.Dp(headHeight)+open*gtx.Dp(openHeight)+(n-open)*gtx.Dp(foldedHeight))
}

// headOf gives the height of the line of choices, px: none on a panel so low
// that the rows need its room.
func headOf(gtx layout.Context, height int) int {
	head := gtx.Dp(headHeight)
	if height < head+2*gtx.Dp(foldedHeight) {
		return 0
	}
	return head
}

// choose decides what opens by itself: in the order of the rows what a finding
// points at, stability, and what is near its limit, as long as there is room.
// While something is dragged nothing opens or folds.
func (p *Panel) choose(gtx layout.Context, room int) {
	if p.auto != nil && p.doc.Dragging() {
		return
	}
	if p.auto == nil {
		p.auto = map[string]bool{}
	}
	clear(p.auto)
	open := 0
	for n, i := range p.derived.order {
		if p.derived.strips[i].free {
			continue // nothing to open it for, and it is in nobody's way
		}
		rest := min(len(p.derived.order)-n-1, leastShown) + n - open
		if n == 0 {
			rest = 0
		}
		if open >= mostOpen || !p.derived.matters(i) || (open+1)*gtx.Dp(openHeight)+rest*gtx.Dp(foldedHeight) > room {
			return
		}
		p.auto[p.derived.strips[i].name] = true
		open++
	}
}

// share gives the height of an open strip, px: all that folded rows leave free,
// evenly, within bounds.
func (p *Panel) share(gtx layout.Context, room int) int {
	open := 0
	for i := range p.derived.strips {
		if p.isOpen(p.derived.strips[i].name) {
			open++
		}
	}
	free := room - (len(p.derived.strips)-open)*gtx.Dp(foldedHeight)
	return max(gtx.Dp(openHeight), min(free/max(open, 1), gtx.Dp(grownHeight)))
}

// isOpen tells whether a strip is open.
func (p *Panel) isOpen(name string) bool {
	if open, ok := p.chosen[name]; ok {
		return open
	}
	return p.auto[name]
}

// set opens or folds a strip because the person wants it.
func (p *Panel) set(name string, open bool) {
	if p.chosen == nil {
		p.chosen = map[string]bool{}
	}
	p.chosen[name] = open
}

// arrange lays the rows out.
func (p *Panel) arrange(gtx layout.Context, size image.Point) {
	room := max(size.Y-p.head, 0)
	p.choose(gtx, room)
	p.rows = p.rows[:0]
	tall := p.share(gtx, room)
	y := 0
	for _, i := range p.derived.order {
		r := row{strip: i, open: p.isOpen(p.derived.strips[i].name)}
		h := gtx.Dp(foldedHeight)
		if r.open {
			h = tall
		}
		r.box = image.Rect(0, y, size.X, y+h)
		y += h
		p.rows = append(p.rows, r)
	}
	p.length = y
	p.at = max(0, min(p.at, len(p.rows)-1))
	if p.pending && len(p.rows) > 0 {
		b := p.rows[p.at].box
		p.scroll = max(min(p.scroll, b.Min.Y), b.Max.Y-room)
		p.pending = false
	}
	p.scroll = max(0, min(p.scroll, p.length-room))
	for i := range p.rows {
		p.rows[i].box = p.rows[i].box.Add(image.Pt(0, p.head-p.scroll))
	}
}

// overflow tells whether the rows need more room than there is.
func (p *Panel) overflow(height int) bool { return p.length > height-p.head }

// Tag is what to give the keyboard focus to.
func (p *Panel) Tag() any { return &p.list }

// painter draws one frame.
type painter struct {
	*Panel
	gtx   layout.Context
	th    *look.Theme
	d     *document.Document
	place *document.Place
	size  image.Point
	axis  timeline.Axis
	hair  int // px
}

// offset moves what follows down.
func offset(ops *op.Ops, y int) op.TransformStack { return op.Offset(image.Pt(0, y)).Push(ops) }
