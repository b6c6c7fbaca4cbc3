// SPDX-License-Identifier: MIT

package shape

import (
	"image"
	"math"
	"strconv"
	"time"

	"gioui.org/f32"
	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op/clip"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/app/plate"
	"gaitwright/app/robotview"
	"gaitwright/motion/workfile"
)

// Side is what a plate looks at: two of C's axes to scale.
type Side int

// The plates: from the side x and z, from above x and y, from the front y
// and z.
const (
	FromSide Side = iota
	FromAbove
	FromFront
)

// String says from where the plate looks.
func (s Side) String() string {
	switch s {
	case FromAbove:
		return "from above"
	case FromFront:
		return "from the front"
	}
	return "from the side"
}

func (s Side) flat(p r3.Vec) r2.Vec {
	switch s {
	case FromAbove:
		return r2.Vec{X: p.X, Y: p.Y}
	case FromFront:
		return r2.Vec{X: p.Y, Y: p.Z}
	}
	return r2.Vec{X: p.X, Y: p.Z}
}

func (s Side) solid(p r2.Vec) r3.Vec {
	switch s {
	case FromAbove:
		return r3.Vec{X: p.X, Y: p.Y}
	case FromFront:
		return r3.Vec{Y: p.X, Z: p.Y}
	}
	return r3.Vec{X: p.X, Z: p.Y}
}

func (s Side) axes() (h, v string) {
	switch s {
	case FromAbove:
		return "x", "y"
	case FromFront:
		return "y", "z"
	}
	return "x", "z"
}

// drawing is one plate with its view.
type drawing struct {
	side  Side
	view  plate.View
	fit   fitted
	sheet draw.Sheet

	grip    document.Grip
	held    held
	to      f32.Point // where the pointer has taken it
	grab    r2.Vec    // pointer minus point when the drag began, px
	start   [3]float64
	startC  r3.Vec
	rot     [9]float64
	panning bool
	serial  int           // rehearsal that the paper was last looked at for
	pressed time.Duration // when the button last went down
	alone   bool          // fills the panel's drawing area
	few     bool          // there is room for one plate only
	zoomed  bool          // asks the panel to show this plate alone, or all again
	last    f32.Point
}

// fitted is what a plate was fitted to.
type fitted struct {
	doc       *document.Document
	leg, move int
	body      bool
	size      image.Point
}

// held is what a drag holds: playing may choose another span meanwhile.
type held struct {
	place document.Place
	part  Part
	flip  bool
}

// layout handles the pointer and draws the plate.
func (w *drawing) layout(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place, t *track, part *Part) layout.Dimensions {
	w.view.Size = gtx.Constraints.Max
	w.fitTo(gtx, d, at, t)
	w.update(gtx, d, at, t, part)
	defer clip.Rect{Max: w.view.Size}.Push(gtx.Ops).Pop()
	event.Op(gtx.Ops, w)
	semantic.LabelOp("plate " + w.side.String()).Add(gtx.Ops)
	draw.Rect(gtx.Ops, image.Rectangle{Max: w.view.Size}, th.Canvas)
	w.paint(gtx, th, d, at, t, *part)
	if gtx.Focused(w) {
		draw.Frame(gtx.Ops, image.Rectangle{Max: w.view.Size}, gtx.Dp(2), th.Colours.Focus)
	}
	return layout.Dimensions{Size: w.view.Size}
}

// fitTo shows the leg and its whole path when another leg, move or size is
// chosen; while one edits, the paper stays still.
func (w *drawing) fitTo(gtx layout.Context, d *document.Document, at *document.Place, t *track) {
	id := fitted{d, at.Leg, at.Move, at.Track < 0, w.view.Size}
	// A point that was typed off the paper brings the paper along; one that is
	// dragged does not, nor one that was left behind by panning.
	typed := w.serial != d.Serial() && !d.Dragging() && !w.grip.Held()
	if !d.Dragging() {
		w.serial = d.Serial()
	}
	if !t.ok || w.fit == id && !(typed && w.offPaper(t)) {
		return
	}
	lo, hi := r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: 0}, r3.Vec{X: math.Inf(-1), Y: math.Inf(-1), Z: 0}
	grow := func(p r3.Vec) {
		lo = r3.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y), Z: min(lo.Z, p.Z)}
		hi = r3.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y), Z: max(hi.Z, p.Z)}
	}
	for _, p := range t.points {
		grow(p.pC)
	}
	tr := d.Result().Trajectory
	for k := tr.Index(t.part.From); k <= tr.Index(t.part.To); k += max(1, int(tr.Rate/20)) {
		for _, p := range w.leg(d, at, t, k) {
			grow(p)
		}
	}
	if w.view.Fit(w.side.flat(lo), w.side.flat(hi), float64(gtx.Dp(22))) {
		w.fit = id
	}
}

// offPaper tells whether an end of a span lies outside the plate.
func (w *drawing) offPaper(t *track) bool {
	for _, p := range t.points {
		c := w.view.Px(w.side.flat(p.pC))
		if p.part == End && !(c.X >= 0 && c.Y >= 0 && c.X <= float64(w.view.Size.X) && c.Y <= float64(w.view.Size.Y)) {
			return true
		}
	}
	return false
}

// leg gives the mount and the link ends of the chosen leg in C.
func (w *drawing) leg(d *document.Document, at *document.Place, t *track, k int) [4]r3.Vec {
	r := d.Result()
	tr := r.Trajectory
	x := tr.BodyPose(k)
	p := tr.LinkPoints(k, at.Leg)
	toC := func(pB r3.Vec) r3.Vec { return t.course.Into(tr.RWG.TMul(x.At(pB))) }
	return [4]r3.Vec{toC(r.Built.Robot.Legs[at.Leg].PBH), toC(p[0]), toC(p[1]), toC(p[2])}
}

func vec(p f32.Point) r2.Vec { return r2.Vec{X: float64(p.X), Y: float64(p.Y)} }

func (w *drawing) update(gtx layout.Context, d *document.Document, at *document.Place, t *track, part *Part) {
	for {
		ev, ok := gtx.Event(
			pointer.Filter{
				Target: w, Kinds: pointer.Press | pointer.Drag | pointer.Release | pointer.Scroll | pointer.Cancel,
				ScrollY: pointer.ScrollRange{Min: -1e6, Max: 1e6},
			},
			key.FocusFilter{Target: w},
			key.Filter{Focus: w, Name: key.NameLeftArrow, Optional: key.ModShift},
			key.Filter{Focus: w, Name: key.NameRightArrow, Optional: key.ModShift},
			key.Filter{Focus: w, Name: key.NameUpArrow, Optional: key.ModShift},
			key.Filter{Focus: w, Name: key.NameDownArrow, Optional: key.ModShift},
			key.Filter{Focus: w, Name: key.NameEscape},
			key.Filter{Focus: w, Name: key.NameReturn},
		)
		if !ok {
			w.follow(d)
			return
		}
		switch e := ev.(type) {
		case pointer.Event:
			w.point(gtx, e, d, at, t, part)
		case key.Event:
			if e.State == key.Press {
				w.follow(d)
				w.press(e, d, at, t, part)
			}
		}
	}
}

// follow moves the held point to where the pointer is: once a frame, however
// many moves it brought, since each one rehearses the motion.
func (w *drawing) follow(d *document.Document) {
	if !w.grip.Due(d) {
		return
	}
	to := w.view.M(r2.Sub(vec(w.to), w.grab))
	w.shift(d, w.side.solid(r2.Sub(to, w.side.flat(w.startC))), "move a point of the path")
}

func (w *drawing) point(gtx layout.Context, e pointer.Event, d *document.Document, at *document.Place, t *track, part *Part) {
	switch e.Kind {
	case pointer.Press:
		gtx.Execute(key.FocusCmd{Tag: w})
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
		p, ok := w.pick(t, at, *part, vec(e.Position), float64(gtx.Dp(11)))
		if !ok {
			w.panning = true
			return
		}
		at.Span, *part = p.span, p.part
		showEnd(d, at) // the leg is seen on the point that is dragged
		v, ok := Value(d.File(), at, p.part)
		if !ok {
			return
		}
		w.grip.Take()
		w.start, w.startC, w.rot = v, p.pC, p.rot
		w.held = held{place: *at, part: p.part, flip: t.flip}
		w.grab = r2.Sub(vec(e.Position), w.view.Px(w.side.flat(p.pC)))
		gtx.Execute(pointer.GrabCmd{Tag: w, ID: e.PointerID})
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
		w.to = e.Position
	case pointer.Release:
		w.follow(d)
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

// shift moves the held point from where the drag began by delta (C, m).
func (w *drawing) shift(d *document.Document, delta r3.Vec, label string) {
	m := &w.rot
	x := m[0]*delta.X + m[1]*delta.Y + m[2]*delta.Z
	y := m[3]*delta.X + m[4]*delta.Y + m[5]*delta.Z
	z := m[6]*delta.X + m[7]*delta.Y + m[8]*delta.Z
	if w.held.flip {
		y = -y
	}
	v := [3]float64{w.start[0] + x*1000, w.start[1] + y*1000, w.start[2] + z*1000}
	h := w.held
	d.Drag(label, func(f *workfile.File) { set(f, h.place, h.part, v) })
}

// press nudges the chosen point: 1 mm, 0.1 mm with Shift. Escape takes back
// the drag under way.
func (w *drawing) press(e key.Event, d *document.Document, at *document.Place, t *track, part *Part) {
	if e.Name == key.NameEscape {
		w.grip.Let()
		d.Cancel()
		return
	}
	if e.Name == key.NameReturn {
		w.zoomed = !w.grip.Held()
		return
	}
	p, ok := t.find(at.Span, *part)
	v, has := Value(d.File(), at, *part)
	if !ok || !has || w.grip.Held() {
		return
	}
	step := 0.001
	if e.Modifiers.Contain(key.ModShift) {
		step = 0.0001
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
	w.start, w.startC, w.rot = v, p.pC, p.rot
	w.held = held{place: *at, part: *part, flip: t.flip}
	w.shift(d, w.side.solid(by), "nudge a point of the path")
	d.Drop()
}

// pick finds the control point nearest to a pixel: handles only of the chosen
// span, ends of every span.
func (w *drawing) pick(t *track, at *document.Place, part Part, px r2.Vec, within float64) (best point, ok bool) {
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
	return best, ok
}

func (w *drawing) paint(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place, t *track, part Part) {
	px := float64(gtx.Dp(1))
	small := draw.Text{Shaper: th.Shaper, Size: look.Small, Color: th.Dim}
	size := w.view.Size
	step := w.view.Step(float64(gtx.Dp(28)))
	for _, x := range w.view.TicksX(step) {
		draw.Vertical(gtx.Ops, w.view.Px(r2.Vec{X: x}).X, 0, float64(size.Y), 1, th.Grid)
	}
	for _, y := range w.view.TicksY(step) {
		draw.Horizontal(gtx.Ops, 0, float64(size.X), w.view.Px(r2.Vec{Y: y}).Y, 1, th.Grid)
	}
	if w.side != FromAbove {
		draw.Horizontal(gtx.Ops, 0, float64(size.X), w.view.Px(r2.Vec{}).Y, max(1, gtx.Dp(1)), th.Edge)
	}
	sh := &w.sheet
	sh.Reset(image.Rectangle{Max: size})
	if t.ok {
		w.path(th, d, at, t, sh, px)
		// Outside of the move the leg is shown where the move begins or ends.
		k := d.Result().Trajectory.Index(max(t.part.From, min(t.part.To, at.Time)))
		w.legs(th, d, at, t, k, sh, px)
		w.floor(gtx, th, d, at, t, sh, px)
		w.handles(gtx, th, at, t, part, sh, px)
	}
	sh.Paint(gtx.Ops)
	// Title, axes and scale.
	h, v := w.side.axes()
	axes := small.At(gtx, r2.Vec{X: float64(size.X) - 6*px, Y: 5 * px}, layout.NE, h+" →  "+v+" ↑")
	small.At(gtx, r2.Vec{X: 6 * px, Y: 5 * px}, layout.NW, small.Fitting(gtx, axes.Min.X-gtx.Dp(12), w.title(), w.side.String()))
	small.At(gtx, r2.Vec{X: 6 * px, Y: float64(size.Y) - 5*px}, layout.SW, draw.Number(step*1000, plate.Decimals(step*1000))+" mm grid")
	if p, ok := t.find(at.Span, part); ok && t.ok {
		if val, ok := Value(d.File(), at, part); ok {
			q := w.view.Px(w.side.flat(p.pC))
			a, b := val[0], val[2]
			switch w.side {
			case FromAbove:
				a, b = val[0], val[1]
			case FromFront:
				a, b = val[1], val[2]
			}
			label := small
			label.Color, label.Back, label.Pad = th.Text, th.Canvas, gtx.Dp(1)
			anchor, off := layout.W, r2.Vec{X: 10 * px, Y: -15 * px}
			if q.X > float64(size.X)*0.6 {
				anchor, off.X = layout.E, -10*px
			}
			p := r2.Add(q, off)
			if in := 29 * px; q.Y > 0 && q.Y < float64(size.Y) { // clear of the titles and the scale
				p.Y = max(in, min(p.Y, float64(size.Y)-in))
			}
			label.At(gtx, p, anchor, h+" "+draw.Number(a, 1)+"  "+v+" "+draw.Number(b, 1))
		}
	}
}

// title names the plate and how to make it large or small.
func (w *drawing) title() string {
	switch {
	case w.alone:
		return w.side.String() + ", double-click shows all plates"
	case w.few:
		return w.side.String() + ", double-click: next"
	}
	return w.side.String()
}

// path draws where the chosen foot (or the body) goes in the move: colour and
// pattern by reach.
func (w *drawing) path(th *look.Theme, d *document.Document, at *document.Place, t *track, sh *draw.Sheet, px float64) {
	tr := d.Result().Trajectory
	a, b := tr.Index(t.part.From), tr.Index(t.part.To)
	step := max(1, (b-a)/240)
	pos := func(k int) r2.Vec {
		p := tr.FootAt(k, at.Leg)
		if at.Track < 0 {
			p = tr.BodyPose(k).P
		}
		return w.view.Px(w.side.flat(t.course.Into(tr.RWG.TMul(p))))
	}
	phase := 0.0
	for i := a; i < b; i += step {
		j := min(i+step, b)
		st := th.Reach[look.ReachOK]
		if at.Track >= 0 {
			st = th.Reach[robotview.Class(min(tr.Reach[i*tr.Legs+at.Leg], tr.Reach[j*tr.Legs+at.Leg]))]
		}
		l := draw.Line{Width: 2 * px, Pattern: st.Pattern, Unit: 2 * px, Phase: phase}
		phase = sh.In(st.Color).Segment(pos(i), pos(j), l)
	}
}

// legs draws the chosen leg at the present instant.
func (w *drawing) legs(th *look.Theme, d *document.Document, at *document.Place, t *track, k int, sh *draw.Sheet, px float64) {
	p := w.leg(d, at, t, k)
	ink := sh.In(th.Ghost)
	tr := d.Result().Trajectory
	if tr.Reach[k*tr.Legs+at.Leg] < 0 {
		ink = sh.In(th.Reach[look.ReachOut].Color)
	}
	for j := range 3 {
		ink.Segment(w.view.Px(w.side.flat(p[j])), w.view.Px(w.side.flat(p[j+1])), draw.Line{Width: 3 * px})
	}
	for j := range 3 {
		ink.Disc(w.view.Px(w.side.flat(p[j])), 2.5*px)
	}
	ink.Ring(w.view.Px(w.side.flat(p[3])), max(3*px, w.view.Length(d.Result().Built.Robot.Legs[at.Leg].FootRadius)), 1.2*px)
}

// floor draws the height below which the striking foot must not go.
func (w *drawing) floor(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place, t *track, sh *draw.Sheet, px float64) {
	if w.side == FromAbove || at.Track < 0 {
		return
	}
	f := d.File().Moves[at.Move].Feet[at.Track].Spans[at.Span].Floor
	if f == nil {
		return
	}
	// The line is where the foot's centre is when its underside is at the floor.
	z := *f/1000 + d.Result().Built.Robot.Legs[at.Leg].FootRadius
	y := w.view.Px(r2.Vec{Y: z}).Y
	sh.In(th.Caution.Ink).Segment(r2.Vec{X: 0, Y: y}, r2.Vec{X: float64(w.view.Size.X), Y: y}, draw.Line{Width: px, Pattern: draw.DashDot, Unit: 2 * px})
}

func (w *drawing) handles(gtx layout.Context, th *look.Theme, at *document.Place, t *track, part Part, sh *draw.Sheet, px float64) {
	for _, p := range t.points {
		c := w.view.Px(w.side.flat(p.pC))
		mine := p.span == at.Span
		if p.part == End || mine {
			w.name(gtx, p, c, 6*px)
		}
		switch {
		case p.part == End && mine:
			sh.In(th.Accent.Ink).Disc(c, 5*px)
		case p.part == End:
			sh.In(th.Dim).Ring(c, 4*px, 1.5*px)
		case mine:
			from := w.view.Px(w.side.flat(p.from))
			sh.In(th.Accent.Ink).Segment(from, c, draw.Line{Width: px})
			sh.In(th.Accent.Ink).Square(c, 3.5*px)
		}
		if mine && p.part == part {
			sh.In(th.Text).Ring(c, 8*px, 1.5*px)
		}
	}
}

// name says to the semantic tree what is drawn at c.
func (w *drawing) name(gtx layout.Context, p point, c r2.Vec, reach float64) {
	lo, hi := r2.Vec{X: -reach, Y: -reach}, r2.Vec{X: float64(w.view.Size.X) + reach, Y: float64(w.view.Size.Y) + reach}
	if !(c.X > lo.X && c.X < hi.X && c.Y > lo.Y && c.Y < hi.Y) {
		return
	}
	box := image.Rect(int(c.X-reach), int(c.Y-reach), int(c.X+reach)+1, int(c.Y+reach)+1)
	defer clip.Rect(box).Push(gtx.Ops).Pop()
	semantic.LabelOp(p.part.String() + " of span " + strconv.Itoa(p.span+1) + " " + w.side.String()).Add(gtx.Ops)
}
