// SPDX-License-Identifier: MIT

package timeline

import (
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/layout"

	"gaitwright/app/document"
)

// Axis is the scale of time of a timeline, for panels that lie straight below
// it and show the same stretch. It is a value that may be compared.
type Axis struct{ a axis }

// Axis gives the scale of time as last drawn.
func (p *Panel) Axis(d *document.Document) Axis {
	return Axis{p.axis(d.Result().Trajectory.Duration())}
}

// Between gives the stretch of time that shows, s.
func (a Axis) Between() (from, to float64) { return a.a.from, a.a.to }

// Ends gives the pixels of both ends.
func (a Axis) Ends() (x0, x1 int) { return a.a.x0, a.a.x1 }

// Px gives the pixel of a time (s), not rounded.
func (a Axis) Px(t float64) float64 { return a.a.px(t) }

// Column gives the pixel of a time (s), kept on the axis.
func (a Axis) Column(t float64) int { return a.a.column(t) }

// Time gives the time of a pixel, s.
func (a Axis) Time(x float64) float64 { return a.a.time(x) }

// Shows tells whether a time (s) is on the axis.
func (a Axis) Shows(t float64) bool { return a.a.shows(t) }

// Bars calls f with the pixel columns of stretches of time (from and to, s),
// which must be in order and apart; see bars.
func (a Axis) Bars(in [][2]float64, f func(x0, x1 int)) {
	all := make([]stretch, len(in))
	for i, s := range in {
		all[i] = stretch{s[0], s[1]}
	}
	a.a.bars(all, f)
}

// Guide answers the pointer on a panel that shares the axis as the timeline
// does on its own canvas: the primary button goes to the time and drags it, a
// double click shows all, another button moves the stretch that shows, the
// wheel zooms about the pointer. A press gives the keys to the timeline, so
// that the arrows step through time.
func (p *Panel) Guide(gtx layout.Context, e pointer.Event, d *document.Document, at *document.Place) {
	length := d.Result().Trajectory.Duration()
	switch e.Kind {
	case pointer.Press:
		gtx.Execute(key.FocusCmd{Tag: &p.canvas})
		switch {
		case e.Buttons == pointer.ButtonPrimary:
			if p.doubled(gtx, e) {
				p.grip = resting
				p.ShowAll()
				return
			}
			p.grip = scrubbing
			at.GoTo(d, p.timeAt(e.Position, length))
		case e.Buttons.Contain(pointer.ButtonSecondary), e.Buttons.Contain(pointer.ButtonTertiary):
			p.grip = panning
			p.held = p.axis(length).time(float64(e.Position.X))
		}
	case pointer.Drag:
		p.slide(e, d, at)
	case pointer.Release:
		if e.Buttons == 0 {
			p.grip = resting
		}
	case pointer.Cancel:
		p.grip = resting
	case pointer.Scroll:
		p.turn(e, length)
	}
}
