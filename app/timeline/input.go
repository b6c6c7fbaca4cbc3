// SPDX-License-Identifier: MIT

package timeline

import (
	"image"
	"math"
	"slices"
	"time"

	"gioui.org/f32"
	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/layout"
	"gioui.org/unit"

	"gaitwright/app/document"
)

// spot is a place on the canvas that a click takes somewhere.
type spot struct {
	kind  kind
	index int             // of the leg, mark, entry or finding
	row   int             // leg whose row it is in, -1 for none
	box   image.Rectangle // px
	x     int             // px of its instant; of a finding, of the crowd it is in
	n     int             // steps that it stands for
}

type kind uint8

const (
	noSpot kind = iota
	legSpot
	markSpot
	stepSpot
	findingSpot
)

// press is where and when the primary button went down.
type press struct {
	at   f32.Point
	time time.Duration
	set  bool
}

// A second press counts as a double click within this time and distance.
const (
	doubleTime  = 350 * time.Millisecond
	doubleReach = 5 // dp
)

// wheelStep is how far the wheel turns for one step of zoom: a notch is 10 on
// some systems and 120 on others, so one event counts for a step and a half at
// most.
const (
	wheelStep = 10
	wheelMost = 1.5
	zoomStep  = 1.25
)

// keys are the keys that the canvas takes while it has the focus.
var keys = [...]key.Name{
	key.NameLeftArrow, key.NameRightArrow, key.NameUpArrow, key.NameDownArrow,
	key.NameHome, key.NameEnd, key.NameSpace, "+", "=", "-", "0",
}

// takeEvents answers the pointer and the keys on the canvas.
func (p *Panel) takeEvents(gtx layout.Context, d *document.Document, at *document.Place) {
	const far = 1 << 20
	filters := []event.Filter{
		pointer.Filter{
			Target:  &p.canvas,
			Kinds:   pointer.Press | pointer.Drag | pointer.Release | pointer.Cancel | pointer.Move | pointer.Enter | pointer.Leave | pointer.Scroll,
			ScrollX: pointer.ScrollRange{Min: -far, Max: far},
			ScrollY: pointer.ScrollRange{Min: -far, Max: far},
		},
		key.FocusFilter{Target: &p.canvas},
	}
	for _, n := range keys {
		filters = append(filters, key.Filter{Focus: &p.canvas, Name: n, Optional: key.ModShift})
	}
	if p.grip == barGrip || p.grip == endGrip || p.grip == flagGrip {
		filters = append(filters, key.Filter{Focus: &p.canvas, Name: key.NameEscape})
	}
	for {
		ev, ok := gtx.Event(filters...)
		if !ok {
			p.apply(d)
			p.applyEnd(d)
			p.applyFlag(d, at)
			break
		}
		switch e := ev.(type) {
		case pointer.Event:
			p.pointer(gtx, e, d, at)
		case key.Event:
			if e.State == key.Press {
				p.key(e, d, at)
			}
		}
	}
}

func (p *Panel) pointer(gtx layout.Context, e pointer.Event, d *document.Document, at *document.Place) {
	length := d.Result().Trajectory.Duration()
	p.mouse = e.Position
	switch e.Kind {
	case pointer.Enter, pointer.Move:
		p.over = true
	case pointer.Leave:
		p.over = false
	case pointer.Press:
		gtx.Execute(key.FocusCmd{Tag: &p.canvas})
		p.letGoEnd(d)
		p.letGoFlag(d, at)
		p.letGo(d) // another button under the hand
		switch {
		case e.Buttons == pointer.ButtonPrimary:
			p.press(gtx, e, d, at)
		case e.Buttons.Contain(pointer.ButtonSecondary), e.Buttons.Contain(pointer.ButtonTertiary):
			p.grip = panning
			p.held = p.axis(length).time(float64(e.Position.X))
			p.drop = e.Position.Y + float32(p.lanes.scroll)
		}
	case pointer.Drag:
		if p.grip == barGrip {
			p.drag(gtx, e.Position)
		}
		if p.grip == endGrip {
			p.dragEnd(gtx, e.Position)
		}
		if p.grip == flagGrip {
			p.dragFlag(gtx, e)
		}
		p.slide(e, d, at)
		if p.grip == panning {
			p.scroll = int(p.drop - e.Position.Y)
		}
	case pointer.Release:
		if e.Buttons == 0 {
			p.letGo(d)
			p.letGoEnd(d)
			p.letGoFlag(d, at)
			p.grip = resting
		}
	case pointer.Cancel:
		p.bar.grip.Cancel(d)
		p.length.grip.Cancel(d)
		p.cancelFlag(d)
		p.grip, p.over = resting, false
	case pointer.Scroll:
		p.wheel(e, length)
	}
}

// slide answers a drag along the axis.
func (p *Panel) slide(e pointer.Event, d *document.Document, at *document.Place) {
	length := d.Result().Trajectory.Duration()
	switch p.grip {
	case scrubbing:
		at.GoTo(d, p.timeAt(e.Position, length))
	case panning:
		p.window.pan(p.held-p.axis(length).time(float64(e.Position.X)), length)
	}
}

// doubled tells whether a press is the second one of a double click.
func (p *Panel) doubled(gtx layout.Context, e pointer.Event) bool {
	again := p.last.set && e.Time-p.last.time < doubleTime &&
		max(abs(e.Position.X-p.last.at.X), abs(e.Position.Y-p.last.at.Y)) < float32(gtx.Dp(doubleReach))
	p.last = press{e.Position, e.Time, !again}
	return again
}

// press answers the primary button going down.
func (p *Panel) press(gtx layout.Context, e pointer.Event, d *document.Document, at *document.Place) {
	length := d.Result().Trajectory.Duration()
	s, hit := p.spotAt(e.Position)
	again := p.doubled(gtx, e)
	b, held := p.barAt(gtx, e.Position, d)
	end, _, atEnd := p.endAt(gtx, e.Position, d)
	p.last.set = p.last.set && !hit
	switch {
	case hit && s.kind == legSpot:
		at.Choose(d, s.index)
	case hit && s.kind == markSpot:
		at.Playing = false
		at.GoTo(d, p.derived.marks[s.index].At)
		p.holdFlag(s.index, e.Position, d)
	case hit && s.kind == findingSpot:
		p.goToFinding(d, at, p.pick(gtx, s, at))
	case hit && s.kind == stepSpot:
		p.goToStep(d, at, s.index)
	case int(e.Position.X) < p.lanes.x0-gtx.Dp(edge):
	case again && p.open(e.Position, d):
		p.grip = resting
	case again:
		p.grip = resting
		p.ShowAll()
	case held:
		p.hold(b, e.Position, d, at)
	case atEnd:
		p.holdEnd(end, e.Position, d, at)
	default:
		p.grip = scrubbing
		at.GoTo(d, p.timeAt(e.Position, length))
	}
}

// edge is how far outside the axis a press still counts as at its end.
const edge unit.Dp = 6

// goToFinding goes to the worst instant of a finding, and to its leg.
func (p *Panel) goToFinding(d *document.Document, at *document.Place, i int) {
	f := &p.derived.findings[i]
	at.Playing = false
	if f.Leg >= 0 {
		at.Choose(d, f.Leg)
	}
	at.GoTo(d, f.Worst)
	at.Finding = i
}

// pile gives the findings that lie under a spot, in order of time.
func (p *Panel) pile(gtx layout.Context, s spot) []int {
	near := gtx.Dp(crowd)
	a := p.axis(p.derived.length)
	var out []int
	for _, i := range p.derived.within(a) {
		f := &p.derived.findings[i]
		if c := a.column(f.Worst); c < s.x-near || c > s.x+near {
			continue
		}
		if s.row < 0 || slices.Contains(legsOf(f, p.lanes.legs), s.row) {
			out = append(out, i)
		}
	}
	return out
}

// pick gives the finding that a click on a spot takes: its own, or the next of
// the pile when one of it is chosen already.
func (p *Panel) pick(gtx layout.Context, s spot, at *document.Place) int {
	pile := p.pile(gtx, s)
	if k := slices.Index(pile, at.Finding); k >= 0 && at.Time == p.derived.findings[at.Finding].Worst {
		return pile[(k+1)%len(pile)]
	}
	return s.index
}

// wheel scrolls the rows over the names, and turns the axis elsewhere.
func (p *Panel) wheel(e pointer.Event, length float64) {
	if y := float64(e.Scroll.Y); y != 0 && !e.Modifiers.Contain(key.ModShift) &&
		int(e.Position.X) < p.lanes.x0 && p.lanes.overflow() > 0 {
		p.scroll = p.lanes.scroll + int(math.Round(turns(y)*float64(p.lanes.row)))
		e.Scroll.Y = 0
	}
	p.turn(e, length)
}

// turns is how many steps the wheel goes.
func turns(v float64) float64 { return max(-wheelMost, min(v/wheelStep, wheelMost)) }

// turn zooms about the pointer, and pans with shift or sideways.
func (p *Panel) turn(e pointer.Event, length float64) {
	x, y := float64(e.Scroll.X), float64(e.Scroll.Y)
	if e.Modifiers.Contain(key.ModShift) {
		x, y = x+y, 0
	}
	if x != 0 {
		from, to := p.window.bounds(length)
		p.window.pan(turns(x)*(to-from)/10, length)
	}
	if y != 0 {
		p.window.zoom(math.Pow(zoomStep, -turns(y)), p.timeAt(e.Position, length), length)
	}
}

func (p *Panel) key(e key.Event, d *document.Document, at *document.Place) {
	n := 1
	if e.Modifiers.Contain(key.ModShift) {
		n = 10
	}
	length := d.Result().Trajectory.Duration()
	if e.Name == key.NameEscape {
		p.bar.grip.Cancel(d)
		p.length.grip.Cancel(d)
		p.cancelFlag(d)
		p.grip = resting
		return
	}
	switch e.Name {
	case key.NameLeftArrow:
		p.Step(d, at, -n)
	case key.NameRightArrow:
		p.Step(d, at, n)
	case key.NameUpArrow:
		at.Choose(d, max(at.Leg-1, 0))
	case key.NameDownArrow:
		at.Choose(d, min(at.Leg+1, p.lanes.legs-1))
	case key.NameHome:
		p.Home(d, at)
	case key.NameEnd:
		p.End(d, at)
	case key.NameSpace:
		p.TogglePlay(d, at)
	case "+", "=":
		p.window.zoom(zoomStep, at.Time, length)
	case "-":
		p.window.zoom(1/zoomStep, at.Time, length)
	case "0":
		p.ShowAll()
	}
}

// axis is the scale of time as last drawn.
func (p *Panel) axis(length float64) axis { return p.lanes.axis(p.window.bounds(length)) }

// timeAt gives the time under a point, within the motion, s.
func (p *Panel) timeAt(q f32.Point, length float64) float64 {
	return max(0, min(p.axis(length).time(float64(q.X)), length))
}

// spotAt gives the spot at a point: of several the one whose instant is
// nearest, and of those the last one drawn.
func (p *Panel) spotAt(q f32.Point) (best spot, ok bool) {
	for _, s := range p.spots {
		if !q.Round().In(s.box) || !p.has(s) {
			continue
		}
		if !ok || s.kind > best.kind || s.kind == best.kind && abs(q.X-float32(s.x)) <= abs(q.X-float32(best.x)) {
			best, ok = s, true
		}
	}
	return best, ok
}

// has tells whether there still is what a spot stands for: spots are of the
// last frame drawn, and another rehearsal may show since.
func (p *Panel) has(s spot) bool {
	v := &p.derived
	switch s.kind {
	case stepSpot:
		return s.index < len(p.measured.steps) && p.measured.steps[s.index].Leg < len(v.legs)
	case legSpot:
		return s.index < len(v.legs)
	case markSpot:
		return s.index < len(v.marks)
	case findingSpot:
		return s.index < len(v.findings)
	}
	return false
}

func abs(v float32) float32 { return max(v, -v) }
