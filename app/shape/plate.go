// SPDX-License-Identifier: MIT

package shape

import (
	"image"
	"image/color"
	"math"
	"strconv"
	"time"

	"gioui.org/f32"
	"gioui.org/io/event"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/app/plate"
	"gaitwright/app/robotview"
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
	loose   bool      // the modifier that frees it is down
	caught  string    // what it was caught on
	guide   guide
	panning bool
	serial  int           // rehearsal that the paper was last looked at for
	pressed time.Duration // when the button last went down
	alone   bool          // fills the panel's drawing area
	few     bool          // there is room for one plate only
	first   bool          // of those that show: has the small buttons
	zoomed  bool          // asks the panel to show this plate alone, or all again
	last    f32.Point
	over    bool // the pointer is on the plate,
	mouse   f32.Point

	region  region
	path    []r3.Vec
	area    draw.Batch
	corners []r3.Vec // of the body, C, m
	flat    []r2.Vec
	hull    []r2.Vec
}

// fitted is what a plate was fitted to.
type fitted struct {
	doc       *document.Document
	leg, move int
	body      bool
	size      image.Point
}

// layout handles the pointer and draws the plate.
func (w *drawing) layout(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place, t *track, part *Part) layout.Dimensions {
	if at.Track >= 0 && *part == Turn { // of another track: only the body has it
		*part = End
		gtx.Execute(op.InvalidateCmd{})
	}
	w.view.Size = gtx.Constraints.Max
	w.fitTo(gtx, d, at, t)
	w.update(gtx, d, at, t, part)
	defer clip.Rect{Max: w.view.Size}.Push(gtx.Ops).Pop()
	event.Op(gtx.Ops, w)
	control.Reachable(gtx, w)
	if _, ok := w.hovered(gtx, d, t, at, *part); ok || w.grip.Held() {
		pointer.CursorPointer.Add(gtx.Ops)
	}
	semantic.LabelOp("plate " + w.side.String()).Add(gtx.Ops)
	draw.Rect(gtx.Ops, image.Rectangle{Max: w.view.Size}, th.Canvas)
	w.paint(gtx, th, d, at, t, *part)
	if w.first {
		t.tools.layout(gtx, th, w.view.Size, t.jointOf(d, at.Span, *part).kind, t.snap)
	}
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
	if at.Track < 0 {
		for i := range t.pieces {
			w.corners = t.pieces[i].outline(w.corners[:0], &d.Result().Built.Robot, t.pieces[i].to)
			for _, p := range w.corners {
				grow(p)
			}
		}
	}
	tr := d.Result().Trajectory
	for k := tr.Index(t.part.From); k <= tr.Index(t.part.To); k += max(1, int(tr.Rate/20)) {
		for _, p := range w.leg(d, at, t, k) {
			grow(p)
		}
	}
	// More room below than above: scale and small buttons stand there in a row,
	// and the ground is not to strike them through.
	above, below := float64(gtx.Dp(12)), float64(gtx.Dp(24))
	if w.view.Fit(w.side.flat(lo), w.side.flat(hi), (above+below)/2) {
		w.view.Pan(0, (above-below)/2)
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

func (w *drawing) paint(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place, t *track, part Part) {
	px := float64(gtx.Dp(1))
	size := w.view.Size
	if t.ok {
		w.reach(gtx, th, d, at, t, part) // below the grid, which stays legible
	}
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
		// From the back to the front.
		for _, c := range [...]color.NRGBA{
			far(th), th.Ghost, th.RobotFar, th.Caution.Ink, th.Reach[look.ReachOut].Color, th.Reach[look.ReachNear].Color,
			th.Reach[look.ReachOK].Color, th.Dim, th.Accent.Ink, th.Text,
		} {
			sh.In(c)
		}
		w.others(th, d, at, t, sh, px)
		// Outside of the move the leg is shown where the move begins or ends.
		k := d.Result().Trajectory.Index(max(t.part.From, min(t.part.To, at.Time)))
		w.legs(th, d, at, t, k, sh, px)
		w.body(gtx, th, d, at, t, part, sh, px)
		w.past(gtx, th, d, t, sh, px)
		w.floor(gtx, th, d, at, t, sh, px)
		w.route(th, d, at, t, sh, px)
		w.guides(th, at, t, part, sh, px)
		w.handles(gtx, th, d, at, t, part, sh, px)
	}
	sh.Paint(gtx.Ops)
	w.words(gtx, th, d, at, t, part, step, px)
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

// route draws where the chosen foot (or the body) goes in the move: colour and
// pattern by reach.
func (w *drawing) route(th *look.Theme, d *document.Document, at *document.Place, t *track, sh *draw.Sheet, px float64) {
	tr := d.Result().Trajectory
	a, b := tr.Index(t.part.From), tr.Index(t.part.To)
	step := max(1, (b-a)/pathSteps)
	w.path = t.places(w.path[:0], d, at)
	phase := 0.0
	for n := 1; n < len(w.path); n++ {
		i, j := a+(n-1)*step, min(a+n*step, b)
		st := th.Reach[look.ReachOK]
		if at.Track >= 0 {
			st = th.Reach[robotview.Class(min(tr.Reach[i*tr.Legs+at.Leg], tr.Reach[j*tr.Legs+at.Leg]))]
		}
		l := draw.Line{Width: 2 * px, Pattern: st.Pattern, Unit: 2 * px, Phase: phase}
		phase = sh.In(st.Color).Segment(w.view.Px(w.side.flat(w.path[n-1])), w.view.Px(w.side.flat(w.path[n])), l)
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

// handles draws the control points: an end is round where the path goes on
// smoothly and square where it does not, filled when it is the chosen span's; a
// handle is a diamond.
func (w *drawing) handles(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place, t *track, part Part, sh *draw.Sheet, px float64) {
	for _, p := range t.points {
		c := w.view.Px(w.side.flat(p.pC))
		mine := p.span == at.Span
		kind := noBend
		if p.part == End {
			kind = t.joint(d, p.span).kind
		}
		if p.part == End || mine {
			say := ""
			if p.part == End {
				say = kind.words()
			}
			w.name(gtx, p, say, c, 6*px)
		}
		switch {
		case p.part == End && mine && kind == smooth:
			sh.In(th.Accent.Ink).Disc(c, 5*px)
		case p.part == End && mine:
			sh.In(th.Accent.Ink).Square(c, 4.5*px)
		case p.part == End && kind == smooth:
			sh.In(th.Dim).Ring(c, 4*px, 1.5*px)
		case p.part == End:
			box(sh.In(th.Dim), c, 3.5*px, 1.5*px)
		case mine:
			from := w.view.Px(w.side.flat(p.from))
			sh.In(th.Accent.Ink).Segment(from, c, draw.Line{Width: px})
			sh.In(th.Accent.Ink).Diamond(c, 4.5*px)
		}
		if mine && p.part == part {
			sh.In(th.Text).Ring(c, 8*px, 1.5*px)
		}
	}
}

// box adds the border of an upright square.
func box(b *draw.Batch, c r2.Vec, r, width float64) {
	l := draw.Line{Width: width}
	b.Segment(r2.Vec{X: c.X - r - width/2, Y: c.Y - r}, r2.Vec{X: c.X + r + width/2, Y: c.Y - r}, l)
	b.Segment(r2.Vec{X: c.X - r - width/2, Y: c.Y + r}, r2.Vec{X: c.X + r + width/2, Y: c.Y + r}, l)
	b.Segment(r2.Vec{X: c.X - r, Y: c.Y - r}, r2.Vec{X: c.X - r, Y: c.Y + r}, l)
	b.Segment(r2.Vec{X: c.X + r, Y: c.Y - r}, r2.Vec{X: c.X + r, Y: c.Y + r}, l)
}

// name says to the semantic tree which point is drawn at c, and of which kind
// it is.
func (w *drawing) name(gtx layout.Context, p point, kind string, c r2.Vec, reach float64) {
	w.say(gtx, c, reach, p.part.String()+" of span "+strconv.Itoa(p.span+1)+" "+w.side.String(), kind)
}

// say says to the semantic tree what is drawn at c.
func (w *drawing) say(gtx layout.Context, c r2.Vec, reach float64, what, kind string) {
	lo, hi := r2.Vec{X: -reach, Y: -reach}, r2.Vec{X: float64(w.view.Size.X) + reach, Y: float64(w.view.Size.Y) + reach}
	if !(c.X > lo.X && c.X < hi.X && c.Y > lo.Y && c.Y < hi.Y) {
		return
	}
	box := image.Rect(int(c.X-reach), int(c.Y-reach), int(c.X+reach)+1, int(c.Y+reach)+1)
	defer clip.Rect(box).Push(gtx.Ops).Pop()
	semantic.LabelOp(what).Add(gtx.Ops)
	if kind != "" {
		semantic.DescriptionOp(kind).Add(gtx.Ops)
	}
}
