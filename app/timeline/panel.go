// SPDX-License-Identifier: MIT

package timeline

import (
	"image"

	"gioui.org/f32"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"

	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// Panel is the state of the timeline. The zero value is ready.
type Panel struct {
	Open func(entry int) // answers a double click on an entry, nil for nothing

	canvas    tag
	transport transport
	clock     clock
	window    window
	derived   derived
	lanes     lanes

	grip   grip
	bar    shaping // held
	length stretching
	flag   retiming  // held
	marks  tag       // the lane of marks, for the keys
	chosen int       // mark that the keys move
	typed  string    // time typed for it
	last   press     // last press of the primary button
	held   float64   // time under the pointer when panning began, s
	drop   float32   // scroll plus pointer height when panning began, px
	over   bool      // the pointer is over the canvas
	mouse  f32.Point // where the pointer is, px of the canvas
	scroll int       // how far the rows are scrolled, px

	measured measured
	seen     seen // what the last frame showed

	spots []spot
	tags  []*tag
	taken []int // px of the glyphs drawn in a lane so far

	glyphs [levels]draw.Batch // by level
	flags  draw.Batch
}

// tag is a target of events. It has a size, so that each has an address of its
// own.
type tag struct{ _ byte }

// grip says what a drag does.
type grip uint8

const (
	resting grip = iota
	scrubbing
	panning
	barGrip
	endGrip  // the end of an entry
	flagGrip // a mark
)

// seen is what was shown, to notice what others changed.
type seen struct {
	time float64
	leg  int
}

// height of the line of buttons.
const transportHeight unit.Dp = 38

// Layout draws the panel, filling its constraints, and calls Update.
func (p *Panel) Layout(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) layout.Dimensions {
	p.Update(gtx, d, at)
	size := gtx.Constraints.Max
	defer clip.Rect{Max: size}.Push(gtx.Ops).Pop()
	draw.Rect(gtx.Ops, image.Rectangle{Max: size}, th.Panel)

	top := min(gtx.Dp(transportHeight), size.Y)
	bar := gtx
	bar.Constraints = layout.Exact(image.Pt(size.X, top))
	p.transport.layout(bar, th, d, at, p.window.all(), func(gtx layout.Context) layout.Dimensions { return p.legend(gtx, th) })

	low := gtx
	low.Constraints = layout.Exact(image.Pt(size.X, size.Y-top))
	o := op.Offset(image.Pt(0, top)).Push(gtx.Ops)
	p.drawCanvas(low, th, d, at)
	o.Pop()
	return layout.Dimensions{Size: size}
}

// Update takes the events for the panel and, while playing, moves the present
// time on. Layout calls it; a caller that draws other views before this panel
// calls it first, so that all show the same instant.
func (p *Panel) Update(gtx layout.Context, d *document.Document, at *document.Place) {
	at.Tidy(d)
	p.derived.update(d)
	length := d.Result().Trajectory.Duration()
	if p.grip != flagGrip {
		p.window.tidy(length)
	}
	p.takeButtons(gtx, d, at)
	p.takeEvents(gtx, d, at)
	p.takeFlagKeys(gtx, d, at)
	p.play(gtx, d, at)
	p.follow(at, length)
}

// follow keeps the present time and the chosen leg in view when they change.
func (p *Panel) follow(at *document.Place, length float64) {
	if at.Time != p.seen.time {
		from, to := p.window.bounds(length)
		switch {
		case p.grip == flagGrip:
		case p.grip == scrubbing:
			p.window.reveal(at.Time, 0, length)
		case at.Playing && (at.Time < from || at.Time > to):
			// Turn the page, with the present time near its left edge.
			start := at.Time - (to-from)/20
			p.window.set(start, start+to-from, length)
		default:
			p.window.reveal(at.Time, 0.1, length)
		}
	}
	if at.Leg != p.seen.leg {
		p.scroll = p.lanes.revealing(at.Leg, p.scroll)
	}
	p.seen = seen{at.Time, at.Leg}
}

// ShowAll shows the whole motion.
func (p *Panel) ShowAll() { p.window = window{} }

// Tag is what to give the keyboard focus to.
func (p *Panel) Tag() any { return &p.canvas }
