// SPDX-License-Identifier: MIT

package shape

import (
	"math"
	"time"

	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/layout"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/app/document"
	"gaitwright/kin"
	"gaitwright/motion/workfile"
)

// held is what a drag holds: playing may choose another span meanwhile.
type held struct {
	place document.Place
	part  Part
	flip  bool
	rot   kin.Rot
	start [3]float64 // as the file has it, mm
	from  r3.Vec     // where it lay, C, m
	grab  r2.Vec     // pointer minus point when the drag began, px
	line  hold
	all   []magnet
	left  [2]bool // the coordinates that have been away from where they began
	turn  turning
	lead  float64 // angle of the pointer minus that of the body's axis, rad
}

func (w *drawing) update(gtx layout.Context, d *document.Document, at *document.Place, t *track, part *Part) {
	for {
		ev, ok := gtx.Event(
			pointer.Filter{
				Target: w, Kinds: pointer.Press | pointer.Drag | pointer.Release | pointer.Scroll | pointer.Cancel |
					pointer.Move | pointer.Enter | pointer.Leave,
				ScrollY: pointer.ScrollRange{Min: -1e6, Max: 1e6},
			},
			key.FocusFilter{Target: w},
			key.Filter{Focus: w, Name: key.NameLeftArrow, Optional: key.ModShift},
			key.Filter{Focus: w, Name: key.NameRightArrow, Optional: key.ModShift},
			key.Filter{Focus: w, Name: key.NameUpArrow, Optional: key.ModShift},
			key.Filter{Focus: w, Name: key.NameDownArrow, Optional: key.ModShift},
			key.Filter{Focus: w, Name: key.NamePageUp},
			key.Filter{Focus: w, Name: key.NamePageDown},
			key.Filter{Focus: w, Name: "S"},
			key.Filter{Focus: w, Name: "R", Optional: key.ModShift},
			key.Filter{Focus: w, Name: key.NameEscape},
			key.Filter{Focus: w, Name: key.NameReturn},
		)
		if !ok {
			w.follow(gtx, d, t)
			return
		}
		switch e := ev.(type) {
		case pointer.Event:
			w.point(gtx, e, d, at, t, part)
		case key.Event:
			if e.State == key.Press {
				w.follow(gtx, d, t)
				w.press(gtx, e, d, at, t, part)
			}
		}
	}
}

// follow moves the held point to where the pointer is: once a frame, however
// many moves it brought, since each one rehearses the motion.
func (w *drawing) follow(gtx layout.Context, d *document.Document, t *track) {
	if !w.grip.Due(d) {
		return
	}
	h := &w.held
	within := w.within(gtx)
	snap := t.snap
	if w.loose {
		snap = Free
	}
	w.guide, w.caught = guide{}, ""
	if h.part == Turn {
		seen := h.turn.angle(vec(w.to)) - h.lead
		w.turn(d, snap, h.turn.turned(seen), float64(gtx.Dp(catch)), "turn the body")
		return
	}
	to := w.view.M(r2.Sub(vec(w.to), h.grab))
	if snap != Free {
		to, w.guide = pull(h.all, w.side, w.view, to, w.side.flat(h.from), within, &h.left)
		w.caught = w.guide.words()
	}
	w.shift(d, snap, w.side.solid(r2.Sub(to, w.side.flat(h.from))), within, "move a point of the path")
}

func (w *drawing) point(gtx layout.Context, e pointer.Event, d *document.Document, at *document.Place, t *track, part *Part) {
	w.over, w.mouse = e.Kind != pointer.Leave && e.Kind != pointer.Cancel, e.Position
	switch e.Kind {
	case pointer.Press:
		gtx.Execute(key.FocusCmd{Tag: w})
		t.tools.why = ""
		if e.Buttons == pointer.ButtonPrimary {
			moved := e.Position.Sub(w.last)
			near := float32(gtx.Dp(4))
			if w.pressed > 0 && e.Time-w.pressed < 350*time.Millisecond && moved.X*moved.X+moved.Y*moved.Y < near*near {
				w.zoomed, w.pressed, w.last = true, 0, e.Position
				return
			}
			w.pressed = e.Time
		}
		w.last = e.Position
		w.panning = e.Buttons != pointer.ButtonPrimary
		if w.panning {
			return
		}
		p, ok := w.pick(gtx, d, t, at, *part, vec(e.Position))
		if !ok {
			w.panning = true
			return
		}
		at.Span, *part = p.span, p.part
		showEnd(d, at) // the leg is seen on the point that is dragged
		if w.take(gtx, d, at, t, p) {
			w.grip.Take()
			w.held.grab = r2.Sub(vec(e.Position), w.view.Px(w.side.flat(p.pC)))
			w.held.lead = w.held.turn.angle(vec(e.Position)) - w.held.turn.seen
			t.remember(d, at, &w.grip, p.pC)
			gtx.Execute(pointer.GrabCmd{Tag: w, ID: e.PointerID})
		}
	case pointer.Drag:
		if d := e.Position.Sub(w.last); d.X*d.X+d.Y*d.Y >= float32(gtx.Dp(4)*gtx.Dp(4)) {
			w.pressed = 0 // a drag is no first half of a double click
		}
		if w.panning {
			w.view.Pan(float64(e.Position.X-w.last.X), float64(e.Position.Y-w.last.Y))
			w.last = e.Position
			return
		}
		w.grip.Ask()
		w.to, w.loose = e.Position, e.Modifiers.Contain(key.ModShortcut)
	case pointer.Release:
		w.follow(gtx, d, t)
		w.grip.Let()
		w.panning = false
		d.Drop()
	case pointer.Cancel:
		w.grip.Cancel(d)
		w.panning = false
	case pointer.Scroll:
		w.view.Zoom(math.Exp(-float64(e.Scroll.Y)/100), vec(e.Position))
	}
}

// take notes where a drag of p begins, false where there is nothing to move.
func (w *drawing) take(gtx layout.Context, d *document.Document, at *document.Place, t *track, p point) bool {
	w.guide, w.caught = guide{}, ""
	h := held{place: *at, part: p.part, flip: t.flip, rot: p.rot, from: p.pC}
	ok := false
	if p.part == Turn {
		if h.turn, ok = w.turning(gtx, d, at, t); !ok {
			return false
		}
	} else {
		if h.start, ok = Value(d.File(), at, p.part); !ok {
			return false
		}
		h.line = t.holding(d, p.span, p.part)
		h.all = t.magnets(d, at, p)
	}
	w.held = h
	return true
}

// shift moves the held point from where the drag began by delta (C, m).
func (w *drawing) shift(d *document.Document, snap Snap, delta r3.Vec, within float64, label string) {
	h := w.held
	by := h.rot.TMul(delta)
	if h.flip {
		by.Y = -by.Y
	}
	v := [3]float64{h.start[0] + by.X*1000, h.start[1] + by.Y*1000, h.start[2] + by.Z*1000}
	if snap != Free {
		// What was caught stays; on axes that are turned against the plate's all
		// of it does.
		var kept [3]bool
		for i, m := range w.guide {
			if m == nil {
				continue
			}
			if h.rot != kin.Identity {
				kept = [3]bool{true, true, true}
				break
			}
			kept[w.side.shows()[i]] = true
		}
		v = snap.round(v, h.start, within*1000/w.view.Length(1), kept)
	}
	d.Drag(label, func(f *workfile.File) {
		set(f, h.place, h.part, v)
		h.line.keep(f)
	})
}

// press answers a key: the arrows nudge the chosen point, 1 mm or 1°, a tenth
// with Shift. Escape takes back the drag under way.
func (w *drawing) press(gtx layout.Context, e key.Event, d *document.Document, at *document.Place, t *track, part *Part) {
	switch e.Name {
	case key.NameEscape:
		w.grip.Let()
		d.Cancel()
		return
	case key.NameReturn:
		w.zoomed = !w.grip.Held()
		return
	case "R":
		by := Snap(1)
		if e.Modifiers.Contain(key.ModShift) {
			by = snaps - 1
		}
		t.snap = (t.snap + by) % snaps
		return
	}
	if w.grip.Held() {
		return
	}
	switch e.Name {
	case "S":
		t.tools.why = ""
		t.switchBend(d, at, *part)
		return
	case key.NamePageUp:
		t.next(d, at, part, -1)
		return
	case key.NamePageDown:
		t.next(d, at, part, 1)
		return
	}
	p, ok := t.find(at.Span, *part)
	if *part == Turn {
		p, ok = point{span: at.Span, part: Turn}, true
	}
	if !ok || !w.take(gtx, d, at, t, p) {
		return
	}
	step := 1.0
	if e.Modifiers.Contain(key.ModShift) {
		step = 0.1
	}
	var by r2.Vec
	switch e.Name {
	case key.NameLeftArrow:
		by.X = -step
	case key.NameRightArrow:
		by.X = step
	case key.NameUpArrow:
		by.Y = step
	case key.NameDownArrow:
		by.Y = -step
	}
	if *part == Turn {
		h := &w.held.turn
		w.turn(d, Free, h.lean[h.axis]+by.X+by.Y, 0, "nudge the body's lean")
	} else {
		w.shift(d, Free, w.side.solid(r2.Scale(0.001, by)), 0, "nudge a point of the path")
	}
	d.Drop()
}

// next chooses the control point before or behind the chosen one, along the
// path.
func (t *track) next(d *document.Document, at *document.Place, part *Part, by int) {
	order := []Part{Out, In, End}
	if at.Track < 0 {
		order = append(order, Turn)
	}
	type stop struct {
		span int
		part Part
	}
	var all []stop
	here := -1
	for i := range t.pieces {
		for _, p := range order {
			if _, ok := t.find(t.pieces[i].span, p); !ok && p != Turn {
				continue
			}
			if t.pieces[i].span == at.Span && p == *part {
				here = len(all)
			}
			all = append(all, stop{t.pieces[i].span, p})
		}
	}
	if len(all) == 0 {
		return
	}
	to := here + by
	if here < 0 { // in a planted span: the nearest point on that side
		for to = 0; to < len(all)-1 && all[to].span < at.Span; to++ {
		}
		if by < 0 && all[to].span > at.Span {
			to--
		}
	}
	s := all[max(0, min(len(all)-1, to))]
	at.Span, *part = s.span, s.part
	showEnd(d, at)
}

// pick finds the control point nearest to a pixel: handles only of the chosen
// span, ends of every span. The body itself is taken by its end.
func (w *drawing) pick(gtx layout.Context, d *document.Document, t *track, at *document.Place, part Part, px r2.Vec) (best point, ok bool) {
	within := float64(gtx.Dp(11))
	if h, can := w.turning(gtx, d, at, t); can {
		if far := r2.Norm(r2.Sub(px, h.at)); far < within {
			best, ok = t.find(at.Span, End)
			within, best.part = far, Turn
		}
	}
	for _, p := range t.points {
		if p.part != End && p.span != at.Span {
			continue
		}
		d := r2.Norm(r2.Sub(px, w.view.Px(w.side.flat(p.pC))))
		// Of points that coincide the chosen span's, of those the chosen part,
		// else the end.
		if p.span == at.Span {
			d -= 1.5
			switch p.part {
			case part:
				d -= 1
			case End:
				d -= 0.5
			}
		}
		if d < within {
			within, best, ok = d, p, true
		}
	}
	if !ok && w.inside(d, at, t, px) {
		return t.find(at.Span, End)
	}
	return best, ok
}
