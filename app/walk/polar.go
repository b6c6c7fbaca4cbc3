// SPDX-License-Identifier: MIT

package walk

import (
	"image"
	"math"

	"gioui.org/io/event"
	"gioui.org/io/key"
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
	"gaitwright/motion/pace"
	"gaitwright/motion/workfile"
)

// directions is how many directions of the plot are worked out, and perFrame
// how many of them in one frame, so that no frame waits for all.
const directions, perFrame = 72, 6

// rose is the fastest command in each direction, and turning on the spot.
type rose struct {
	of   *subject
	all  []pace.Result
	turn [2]pace.Result // to the left, to the right; zero where no foot moves
}

// polar is the plot of the fastest commands, seen from above with forward up.
// The command is a dot in it that can be dragged.
type polar struct {
	shown, made rose
	lost        bool // the person's drag made another gait than the one shown

	sheet draw.Sheet
	box   image.Rectangle // of the plot itself, px
	mid   r2.Vec          // px
	scale float64         // px for a m/s
	grip  document.Grip
	grab  r2.Vec // from the dot to the pointer, px
	to    r2.Vec // forward and side to take, m/s
}

// update works on the plot of v's pace: some directions a frame. While
// something is dragged the old one stays.
func (p *polar) update(gtx layout.Context, v *facts, d *document.Document) {
	p.lost = p.shown.of != v.of
	if !p.lost || v.err != nil || d.Dragging() && p.shown.of != nil {
		return
	}
	if p.made.of != v.of {
		p.made = rose{of: v.of}
	}
	for range perFrame {
		if len(p.made.all) == directions {
			break
		}
		psi := 2 * math.Pi * float64(len(p.made.all)) / directions
		p.made.all = append(p.made.all, v.pace.Fastest(pace.Ahead(psi)))
	}
	if len(p.made.all) == directions {
		turns := false
		for i := range v.of.robot.Legs {
			s := v.of.robot.Legs[i].Stand
			turns = turns || math.Hypot(s.X, s.Y) > 1e-6
		}
		if turns {
			left := pace.About(r3.Vec{})
			right := left
			right.Turn = -1
			p.made.turn = [2]pace.Result{v.pace.Fastest(left), v.pace.Fastest(right)}
		}
		p.shown, p.made, p.lost = p.made, rose{}, false
	}
	gtx.Execute(op.InvalidateCmd{})
}

// Heights in the plot.
const (
	turnHeight = 34 // dp, of the bar for turning
	keyHeight  = 15 // dp, of a line of the key
)

func (p *polar) layout(gtx layout.Context, th *look.Theme, v *facts, d *document.Document, w place) layout.Dimensions {
	size := gtx.Constraints.Max
	p.box = image.Rect(0, gtx.Dp(18), size.X, size.Y-gtx.Dp(turnHeight))
	if !p.grip.Held() {
		p.fit(v)
	}
	p.take(gtx, v, d, w)
	p.update(gtx, v, d)
	defer clip.Rect{Max: size}.Push(gtx.Ops).Pop()
	event.Op(gtx.Ops, p)
	control.Reachable(gtx, p)
	semantic.LabelOp("fastest in each direction").Add(gtx.Ops)
	draw.Rect(gtx.Ops, image.Rectangle{Max: size}, th.Canvas)
	p.paint(gtx, th, v, d, w, size)
	if gtx.Focused(p) {
		draw.Frame(gtx.Ops, image.Rectangle{Max: size}, gtx.Dp(2), th.Colours.Focus)
	}
	return layout.Dimensions{Size: size}
}

// fit chooses the scale: all of the plot shows, and the command.
func (p *polar) fit(v *facts) {
	most := math.Hypot(v.command.Forward, v.command.Side)
	for i := range p.shown.all {
		if s := p.shown.all[i].Speed; !math.IsInf(s, 0) {
			most = max(most, s)
		}
	}
	most = max(most, 0.02)
	p.mid = r2.Vec{X: float64(p.box.Min.X+p.box.Max.X) / 2, Y: float64(p.box.Min.Y+p.box.Max.Y) / 2}
	p.scale = max(1, float64(min(p.box.Dx(), p.box.Dy()))/2) * 0.88 / most
}

// px gives the pixel of a command: forward is up, left is left.
func (p *polar) px(forward, side float64) r2.Vec {
	return r2.Vec{X: p.mid.X - side*p.scale, Y: p.mid.Y - forward*p.scale}
}

// take answers the pointer and the keys.
func (p *polar) take(gtx layout.Context, v *facts, d *document.Document, w place) {
	for {
		ev, ok := gtx.Event(
			pointer.Filter{Target: p, Kinds: pointer.Press | pointer.Drag | pointer.Release | pointer.Cancel},
			key.FocusFilter{Target: p},
			key.Filter{Focus: p, Name: key.NameLeftArrow, Optional: key.ModShift},
			key.Filter{Focus: p, Name: key.NameRightArrow, Optional: key.ModShift},
			key.Filter{Focus: p, Name: key.NameUpArrow, Optional: key.ModShift},
			key.Filter{Focus: p, Name: key.NameDownArrow, Optional: key.ModShift},
			key.Filter{Focus: p, Name: key.NameEscape},
		)
		if !ok {
			p.follow(d, w)
			return
		}
		now := r2.Vec{X: v.command.Forward, Y: v.command.Side}
		switch e := ev.(type) {
		case pointer.Event:
			switch e.Kind {
			case pointer.Press:
				gtx.Execute(key.FocusCmd{Tag: p})
				p.grip.Let()
				dot := p.px(now.X, now.Y)
				if off := r2.Sub(vec(e.Position), dot); !w.fixed() && r2.Norm(off) < float64(gtx.Dp(16)) {
					p.grab = off
					p.grip.Take()
					gtx.Execute(pointer.GrabCmd{Tag: p, ID: e.PointerID})
				}
			case pointer.Drag:
				p.grip.Ask()
				at := r2.Sub(vec(e.Position), p.grab)
				p.to = r2.Vec{X: (p.mid.Y - at.Y) / p.scale, Y: (p.mid.X - at.X) / p.scale}
			case pointer.Release:
				p.follow(d, w)
				p.grip.Let()
				d.Drop()
			case pointer.Cancel:
				p.grip.Cancel(d)
			}
		case key.Event:
			if e.State != key.Press || p.grip.Held() && e.Name != key.NameEscape {
				continue
			}
			step := 0.005
			if e.Modifiers.Contain(key.ModShift) {
				step = 0.001
			}
			switch e.Name {
			case key.NameEscape:
				p.grip.Let()
				d.Cancel()
				continue
			case key.NameUpArrow:
				now.X += step
			case key.NameDownArrow:
				now.X -= step
			case key.NameLeftArrow:
				now.Y += step
			case key.NameRightArrow:
				now.Y -= step
			}
			if !w.fixed() {
				p.put(d, w, now)
				d.Drop()
			}
		}
	}
}

// follow takes what the drag asks for: once a frame, however many events came.
func (p *polar) follow(d *document.Document, w place) {
	if p.grip.Due(d) && !w.fixed() {
		p.put(d, w, p.to)
	}
}

// put sets the command's forward and side, to a millimetre a second.
func (p *polar) put(d *document.Document, w place, to r2.Vec) {
	set := func(v float64, n int) float64 {
		lo, hi, _ := workfile.Range(about[n].table, about[n].key)
		return max(lo, min(hi, math.Round(v*milli)))
	}
	x, y := set(to.X, forward), set(to.Y, side)
	d.Drag("change the command", func(f *workfile.File) {
		*number(f, w, forward, true) = x
		*number(f, w, side, true) = y
	})
}

// patternOf gives the line of a limit.
func patternOf(word string) draw.Pattern {
	switch word {
	case "out-of-reach":
		return draw.Dotted
	case "joint-limit":
		return draw.Dashed
	case "legs-touch":
		return draw.DashDot
	}
	return draw.Solid
}

func wordOf(r *pace.Result) string {
	if r.Limit == nil {
		return "no limit"
	}
	return r.Limit.Word
}

func (p *polar) paint(gtx layout.Context, th *look.Theme, v *facts, d *document.Document, w place, size image.Point) {
	px := float64(gtx.Dp(1))
	small := draw.Text{Shaper: th.Shaper, Size: look.Small, Color: th.Dim}
	head := []string{"fastest in each direction: drag the dot", "fastest in each direction", "fastest"}
	switch {
	case v.err != nil:
		head = []string{"no plot: this gait cannot be walked"}
	case p.lost && p.shown.of != nil:
		head = []string{"fastest, of the gait before this change", "of the gait before this change", "of the gait before"}
	case p.shown.of == nil:
		head = []string{"working it out …"}
	case w.entry < 0:
		head = []string{"fastest; not played yet", "fastest in each direction", "fastest"}
	case w.changes:
		head = []string{"fastest; the command is that of the walk before", "fastest in each direction", "fastest"}
	}
	small.At(gtx, r2.Vec{X: 6 * px, Y: 4 * px}, layout.NW, small.Fitting(gtx, size.X-gtx.Dp(12), head...))

	p.sheet.Reset(image.Rectangle{Max: size})
	step := plate.Round(float64(gtx.Dp(16)) / p.scale)
	half := float64(min(p.box.Dx(), p.box.Dy())) / 2
	grid := p.sheet.In(th.GridStrong)
	for k := 1; k <= 8 && step*float64(k)*p.scale <= half; k++ {
		grid.Ring(p.mid, step*float64(k)*p.scale, max(1, px*0.75))
	}
	grid.Segment(r2.Vec{X: p.mid.X - half, Y: p.mid.Y}, r2.Vec{X: p.mid.X + half, Y: p.mid.Y}, draw.Line{Width: max(1, px*0.75)})
	grid.Segment(r2.Vec{X: p.mid.X, Y: p.mid.Y - half}, r2.Vec{X: p.mid.X, Y: p.mid.Y + half}, draw.Line{Width: max(1, px*0.75)})
	words := p.curve(th, px)
	p.dot(th, v, w, px, gtx.Focused(p))
	p.sheet.Paint(gtx.Ops)

	// The key at the left, and what the first ring is at the right.
	y := float64(p.box.Max.Y) - 3*px
	for i := len(words) - 1; i >= 0; i-- {
		p.sheet.Reset(image.Rectangle{Max: size})
		p.sheet.In(th.Text).Segment(r2.Vec{X: 6 * px, Y: y - 5*px}, r2.Vec{X: 30 * px, Y: y - 5*px}, draw.Line{Width: 2 * px, Pattern: patternOf(words[i])})
		p.sheet.Paint(gtx.Ops)
		small.At(gtx, r2.Vec{X: 35 * px, Y: y - 5*px}, layout.W, words[i])
		y -= keyHeight * px
	}
	small.At(gtx, r2.Vec{X: float64(size.X) - 6*px, Y: float64(p.box.Max.Y) - 3*px}, layout.SE, draw.Number(step*milli, plate.Decimals(step*milli))+" mm/s a ring")
	small.At(gtx, r2.Vec{X: p.mid.X + 5*px, Y: p.mid.Y - half}, layout.NW, "ahead")
	p.turning(gtx, th, v, size, px)
}

// curve draws the fastest commands, the line by what limits them, and gives
// the words that occur.
func (p *polar) curve(th *look.Theme, px float64) (words []string) {
	n := len(p.shown.all)
	seen := map[string]bool{}
	at := func(k int) r2.Vec {
		r := &p.shown.all[k%n]
		return p.px(r.Command.Forward, r.Command.Side)
	}
	ink := p.sheet.In(th.Text)
	for k := 0; k < n; {
		word := wordOf(&p.shown.all[k])
		if !seen[word] {
			seen[word] = true
			words = append(words, word)
		}
		// One chain for as long as the word stays, so that its pattern goes on.
		chain := []r2.Vec{r2.Scale(0.5, r2.Add(at(k+n-1), at(k)))}
		for ; k < n && wordOf(&p.shown.all[k]) == word; k++ {
			chain = append(chain, at(k))
		}
		chain = append(chain, r2.Scale(0.5, r2.Add(at(k-1), at(k))))
		ink.Polyline(chain, draw.Line{Width: 2 * px, Pattern: patternOf(word)})
	}
	return words
}

// dot draws the command: a disc within the fastest, a crossed ring beyond.
func (p *polar) dot(th *look.Theme, v *facts, w place, px float64, keys bool) {
	c := p.px(v.command.Forward, v.command.Side)
	tone := &th.Accent
	if !v.verdict.Can {
		tone = &th.Stop
	}
	ink := p.sheet.In(tone.Ink)
	ink.Segment(p.mid, c, draw.Line{Width: 1.5 * px})
	if v.verdict.Can {
		ink.Disc(c, 5*px)
	} else {
		ink.Ring(c, 6*px, 2*px)
		ink.Cross(c, 4*px, 2*px)
	}
	if keys && !w.fixed() {
		p.sheet.In(th.Text).Ring(c, 9*px, 1.5*px)
	}
}

// turning draws how fast the robot can turn on the spot to both sides, and how
// fast it is asked to.
func (p *polar) turning(gtx layout.Context, th *look.Theme, v *facts, size image.Point, px float64) {
	left, right := p.shown.turn[0].Speed, p.shown.turn[1].Speed
	if !(max(left, right) > 0) {
		return
	}
	small := draw.Text{Shaper: th.Shaper, Size: look.Small, Color: th.Dim}
	const deg = 180 / math.Pi
	most := max(left, right, math.Abs(v.command.Turn))
	y := float64(size.Y) - 10*px
	mid := float64(size.X) / 2
	half := mid - 46*px
	x := func(turn float64) float64 { return mid - turn/most*half }
	draw.Rect(gtx.Ops, image.Rect(int(x(left)), int(y-3*px), int(x(-right)), int(y+3*px)), th.Ghost)
	draw.Vertical(gtx.Ops, mid, y-6*px, y+6*px, max(1, gtx.Dp(1)), th.Text)
	small.At(gtx, r2.Vec{X: 6 * px, Y: y}, layout.W, draw.Number(left*deg, 0)+"°/s")
	small.At(gtx, r2.Vec{X: float64(size.X) - 6*px, Y: y}, layout.E, draw.Number(right*deg, 0)+"°/s")
	small.At(gtx, r2.Vec{X: mid, Y: y - 8*px}, layout.S, small.Fitting(gtx, size.X-gtx.Dp(12), "turning on the spot, to the left and to the right", "turning on the spot"))
	p.sheet.Reset(image.Rectangle{Max: size})
	ink := p.sheet.In(th.Accent.Ink)
	ink.Diamond(r2.Vec{X: x(v.command.Turn), Y: y}, 5*px)
	p.sheet.Paint(gtx.Ops)
}
