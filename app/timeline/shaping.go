// SPDX-License-Identifier: MIT

package timeline

import (
	"fmt"
	"image"
	"sort"

	"gioui.org/f32"
	"gioui.org/layout"
	"gioui.org/unit"

	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/walk"
	"gaitwright/motion/workfile/edit"
)

// bar is a stance of a walk in the row of a leg: part of a gait diagram. It is
// dragged to change the leg's phase, at its end to change the duty factor.
type bar struct {
	leg, gait int
	end       bool    // it is held at its end
	from      float64 // time under the pointer, s
	value     float64 // phase or duty factor
	period    float64 // s
	row       image.Rectangle
}

// shaping is a drag of a bar.
type shaping struct {
	bar
	grip  document.Grip
	axis  axis // when it began: the motion's length may change under the hand
	press float32
	moved bool
	to    float64 // phase or duty factor to take
}

const (
	endReach  unit.Dp = 6 // how near to its end a bar is held there
	dragReach unit.Dp = 4 // how far the pointer goes before a press is a drag
)

// barAt gives the bar under a point, none where no walk of the file shows.
func (p *Panel) barAt(gtx layout.Context, q f32.Point, d *document.Document) (b bar, ok bool) {
	at := q.Round()
	if d.Showing() || at.X < p.lanes.x0 || !at.In(p.lanes.rows) || p.lanes.row <= 0 {
		return b, false
	}
	r := d.Result()
	t := r.Trajectory
	b.leg = (at.Y - p.lanes.rows.Min.Y + p.lanes.scroll) / p.lanes.row
	if b.leg < 0 || b.leg >= len(p.derived.stance) || b.leg >= len(d.File().Legs) {
		return b, false
	}
	a := p.axis(t.Duration())
	b.from = max(0, min(a.time(float64(q.X)), t.Duration()))
	b.row = p.lanes.leg(b.leg)
	runs := p.derived.stance[b.leg]
	reach := float64(gtx.Dp(endReach))
	i := sort.Search(len(runs), func(i int) bool { return a.px(runs[i].to)+reach >= float64(q.X) })
	if i == len(runs) || float64(q.X) < a.px(runs[i].from) {
		return b, false
	}
	// The entry is that in which the stance ends, held there, or else the one
	// under the pointer.
	b.end = abs(q.X-float32(a.px(runs[i].to))) <= float32(reach)
	in := b.from
	if b.end {
		in = runs[i].to - 0.5/t.Rate
	}
	k := t.PartAt(in)
	if k < 0 || t.Parts[k].Kind != "walk" && t.Parts[k].Kind != "change" {
		return b, false
	}
	seq := r.Built.Script.Seq
	if e := t.Parts[k].Index; e < 0 || e >= len(seq) || seq[e].Gait < 0 || seq[e].Gait >= len(d.File().Gaits) {
		return b, false
	} else {
		b.gait = seq[e].Gait
	}
	b.period = r.Built.Gaits[b.gait].Period
	g, name := &d.File().Gaits[b.gait], d.File().Legs[b.leg].Name
	b.value, _ = edit.PhaseOf(g, name)
	if b.end {
		b.value = edit.DutyOf(g, name)
	}
	return b, true
}

// hold begins a drag of a bar.
func (p *Panel) hold(b bar, q f32.Point, d *document.Document, at *document.Place) {
	length := d.Result().Trajectory.Duration()
	p.grip = barGrip
	p.bar = shaping{bar: b, axis: p.axis(length), press: q.X, to: b.value}
	p.bar.grip.Take()
	at.Choose(d, b.leg)
	at.GoTo(d, b.from)
}

// drag moves the bar that is held.
func (p *Panel) drag(gtx layout.Context, q f32.Point) {
	s := &p.bar
	s.moved = s.moved || abs(q.X-s.press) > float32(gtx.Dp(dragReach))
	if s.moved {
		s.to = s.value + (s.axis.time(float64(q.X))-s.axis.time(float64(s.press)))/s.period
		s.grip.Ask()
	}
}

// apply takes what the drag asks for: once a frame, however many events came.
func (p *Panel) apply(d *document.Document) {
	s := &p.bar
	if !s.grip.Due(d) || s.gait >= len(d.File().Gaits) || s.leg >= len(d.File().Legs) {
		return
	}
	name := d.File().Legs[s.leg].Name
	if s.end {
		walk.DragDuty(d, s.gait, name, s.to)
	} else {
		walk.DragPhase(d, s.gait, name, s.to)
	}
}

// letGo ends the drag and makes it one undo step.
func (p *Panel) letGo(d *document.Document) {
	if p.bar.grip.Held() {
		p.apply(d)
		p.bar.grip.Let()
		d.Drop()
	}
}

// tell says in words what the bar under the pointer, or the one held, is.
func (w *painter) tell() {
	b, held := w.bar.bar, w.grip == barGrip
	if !held {
		var ok bool
		if b, ok = w.barAt(w.gtx, w.mouse, w.d); !ok {
			return
		}
	}
	f := w.d.File()
	if b.gait >= len(f.Gaits) || b.leg >= len(f.Legs) {
		return
	}
	g, name := &f.Gaits[b.gait], f.Legs[b.leg].Name
	phase, _ := edit.PhaseOf(g, name)
	text := fmt.Sprintf("%s in %s: phase %s", name, g.Name, draw.Number(phase, 3))
	if b.end {
		text = fmt.Sprintf("%s in %s: duty factor %s", name, g.Name, draw.Number(edit.DutyOf(g, name), 3))
	}
	switch {
	case held:
	case b.end:
		text += " (drag this end to change it)"
	default:
		text += " (drag to change it; its end for the duty factor)"
	}
	x := int(w.mouse.X)
	w.card(spot{box: b.row, x: x}, text)
}
