// SPDX-License-Identifier: MIT

// Package shape is where a move is shaped by hand: the path of the chosen
// foot on three plates to scale, its control points with their numbers, and
// the timing of each span apart from its shape.
package shape

import (
	"image"
	"strings"

	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/motion/curve"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// Panel is the right column. The zero value is ready.
type Panel struct {
	Part Part // of the chosen span

	track  track
	plates [3]drawing
	alone  int // plate shown alone, counted from 1; 0 shows all
	low    int // plate beside the timing where there is room for one
	few    bool
	turned bool // to another plate, which is to take the keys
	clock  clock
	acts   acts
	width  int // px

	tracks     control.Choice
	speed      control.Number // of the entry
	prev, next control.Button
	part       control.Choice
	hold       control.Choice
	xyz        [3]control.Number
	lean       [3]control.Number
	mark       control.Number
	presets    control.Choice
}

var holds = [...]string{"planted", "ground", "body"}

// Layout fills the constraints.
func (p *Panel) Layout(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) layout.Dimensions {
	size := gtx.Constraints.Max
	f := d.File()
	if len(f.Moves) == 0 {
		return p.empty(gtx, th, d, at)
	}
	p.width = size.X - gtx.Dp(16)
	p.plates[FromAbove].side, p.plates[FromFront].side = FromAbove, FromFront
	draw.Rect(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	row := func(w layout.Widget) layout.FlexChild {
		return layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			return layout.Inset{Left: 8, Right: 8, Top: 4}.Layout(gtx, w)
		})
	}
	plate := func(w layout.Widget) layout.FlexChild {
		return layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints = layout.Exact(gtx.Constraints.Max)
			return w(gtx)
		})
	}
	// A row before may have deleted the last move.
	some := func(w layout.Widget) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions {
			if len(d.File().Moves) == 0 {
				return layout.Dimensions{}
			}
			return w(gtx)
		}
	}
	drawing := func(s Side) layout.FlexChild {
		return plate(func(gtx layout.Context) layout.Dimensions {
			return p.plates[s].layout(gtx, th, d, at, &p.track, &p.Part)
		})
	}
	pair := func(a, b layout.FlexChild) layout.FlexChild {
		return layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			return layout.Flex{Gap: max(1, gtx.Dp(1))}.Layout(gtx, a, b)
		})
	}
	layout.Flex{Axis: layout.Vertical}.Layout(gtx,
		row(func(gtx layout.Context) layout.Dimensions { return p.moveRow(gtx, th, d, at) }),
		row(some(func(gtx layout.Context) layout.Dimensions { return p.spanRow(gtx, th, d, at) })),
		row(some(func(gtx layout.Context) layout.Dimensions { return p.stripRow(gtx, th, d, at) })),
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			return layout.Inset{Left: 8, Right: 8}.Layout(gtx, func(gtx layout.Context) layout.Dimensions { return p.note(gtx, th, d, at) })
		}),
		layout.Rigid(layout.Spacer{Height: 4}.Layout),
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			if len(d.File().Moves) == 0 { // the last one has just been deleted
				return layout.Dimensions{Size: gtx.Constraints.Max}
			}
			if p.acts.sheet {
				gtx.Constraints = layout.Exact(gtx.Constraints.Max)
				return p.valuesPage(gtx, th, d, at)
			}
			// After the rows, which may have chosen another track.
			chosen(d, at, &p.track)
			p.few = gtx.Constraints.Max.Y < 2*gtx.Dp(leastPlate)
			for i := range p.plates {
				p.plates[i].alone = p.alone == i+1
				p.plates[i].few = p.few
				p.plates[i].first = p.first(i)
			}
			p.track.update(gtx, d, at, p.Part)
			timing := plate(func(gtx layout.Context) layout.Dimensions {
				return p.clock.layout(gtx, th, d, at, &p.track)
			})
			if p.alone > 0 {
				return layout.Flex{}.Layout(gtx, drawing(Side(p.alone-1)))
			}
			if p.few {
				return layout.Flex{Gap: max(1, gtx.Dp(1))}.Layout(gtx, drawing(Side(p.low)), timing)
			}
			return layout.Flex{Axis: layout.Vertical, Gap: max(1, gtx.Dp(1))}.Layout(gtx,
				pair(drawing(FromSide), drawing(FromFront)),
				pair(drawing(FromAbove), timing),
			)
		}),
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			if p.acts.sheet || len(d.File().Moves) == 0 {
				return layout.Dimensions{}
			}
			return layout.Inset{Left: 8, Right: 8, Top: 4}.Layout(gtx, func(gtx layout.Context) layout.Dimensions { return p.pointRow(gtx, th, d, at) })
		}),
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			if f := d.File(); p.acts.sheet || len(f.Moves) == 0 || at.Track >= 0 || at.Span >= len(f.Moves[at.Move].Body) {
				return layout.Dimensions{}
			}
			return layout.Inset{Left: 8, Right: 8, Top: 4}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
				return p.leanRow(gtx, th, d, at)
			})
		}),
		row(some(func(gtx layout.Context) layout.Dimensions { return p.timeRow(gtx, th, d, at) })),
		layout.Rigid(layout.Spacer{Height: 4}.Layout),
	)
	p.enlarge(gtx)
	return layout.Dimensions{Size: size}
}

// Plate is what to give the keys to so that they move the chosen point: the
// plate from the side, or the one that shows in its place.
func (p *Panel) Plate() event.Tag {
	switch {
	case p.alone > 0:
		return &p.plates[p.alone-1]
	case p.few:
		return &p.plates[p.low]
	}
	return &p.plates[FromSide]
}

// leastPlate is the least height of a plate in two rows of them; in less room
// one plate stands beside the timing.
const leastPlate unit.Dp = 86

// enlarge shows a plate alone that was double-clicked, or all again. Where
// there is room for one it shows the next one instead.
func (p *Panel) enlarge(gtx layout.Context) {
	if p.turned { // it is there from this frame on
		p.turned = false
		gtx.Execute(key.FocusCmd{Tag: &p.plates[p.low]})
	}
	for i := range p.plates {
		if !p.plates[i].zoomed {
			continue
		}
		p.plates[i].zoomed = false
		if p.few && p.alone == 0 {
			p.low = (i + 1) % len(p.plates)
			p.turned = true
		} else if p.alone == 0 {
			p.alone = i + 1
		} else {
			p.alone = 0
		}
		gtx.Execute(op.InvalidateCmd{})
	}
}

// speedField has the speed at which the entry at hand plays the move.
func (p *Panel) speedField(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place, words string) layout.Dimensions {
	part, ok := at.MovePart(d)
	ink := th.Dim
	if err := p.speed.Err(); err != nil { // in place of the words, so that nothing moves
		words, ink = err.Error(), th.Stop.Ink
	}
	return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
		layout.Rigid(th.Label(look.Body, ink, words).Layout), look.Gap(1),
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			s := control.Amount(th, &p.speed, strings.TrimSpace("speed in "+part.Name)).When(ok).WithHint("How fast the sequence plays this move: 0.5 takes twice the time")
			s.Width, s.Brief = 66, true
			return s.Layout(gtx)
		}))
}

// takeSpeed answers the field of the entry's speed: the one at the present
// time, else the first that plays the move. The instant of the move that shows
// stays.
func (p *Panel) takeSpeed(gtx layout.Context, d *document.Document, at *document.Place) {
	n := &p.speed
	n.Decimals, n.Step, n.Unit, n.Min, n.Max = 2, 0.05, "×", 0.01, 10
	part, ok := at.MovePart(d)
	if !ok {
		return
	}
	speed := func() float64 { return d.Result().Built.Script.Seq[part.Index].Speed }
	if n.Update(gtx) {
		v, was := n.Value, speed()
		err := d.Change("change the speed of an entry", func(f *workfile.File) { f.Sequence[part.Index].Speed = &v })
		if now := speed(); err == nil && at.Time > part.From && at.Time <= part.To && now > 0 {
			at.Time = part.From + (at.Time-part.From)*was/now
		}
	}
	n.Value = speed()
}

func other(d *document.Document, leg string) string {
	legs := d.Result().Built.Robot.Legs
	for i := range legs {
		if legs[i].Name == leg && legs[i].Mirror >= 0 {
			return legs[legs[i].Mirror].Name
		}
	}
	return ""
}

// toTrackLeg chooses the leg that the chosen track names, unless its mirror
// is chosen already.
func (p *Panel) toTrackLeg(d *document.Document, at *document.Place) {
	m := &d.File().Moves[at.Move]
	if at.Track < 0 || at.Track >= len(m.Feet) {
		return
	}
	t := &m.Feet[at.Track]
	if l := d.Result().Built.Robot.LegIndex(t.Leg); l >= 0 {
		at.Leg = l
	}
}

// spans gives how many spans the chosen track has, and the mark on which the
// chosen one ends.
func spans(d *document.Document, at *document.Place) (n int, to string) {
	m := &d.File().Moves[at.Move]
	if at.Track < 0 {
		if n = len(m.Body); at.Span < n {
			to = m.Body[at.Span].To
		}
		return n, to
	}
	s := m.Feet[at.Track].Spans
	if n = len(s); at.Span < n {
		to = s[at.Span].To
	}
	return n, to
}

// showEnd brings the time to the end of the chosen span.
func showEnd(d *document.Document, at *document.Place) {
	part, ok := at.MovePart(d)
	_, to := spans(d, at)
	if !ok {
		return
	}
	e := d.Result().Built.Script.Seq[part.Index]
	for _, m := range d.File().Moves[at.Move].Marks {
		if m.Name == to && e.Speed > 0 {
			at.Playing = false
			at.Time = part.From + m.At/1000/e.Speed
		}
	}
}

// setHold changes what a span is drawn in. A planted span has no path.
func (p *Panel) setHold(d *document.Document, at *document.Place, h string) {
	to := spot(at)
	p.acts.do(d, at, "change what a span is fixed to", func(f *workfile.File) error { return edit.SetHold(f, to, h) })
}

// pointRow has the numbers of the chosen control point.
func (p *Panel) pointRow(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) layout.Dimensions {
	p.part.Value = int(p.Part)
	if p.part.Update(gtx) {
		p.Part = Part(p.part.Value)
	}
	v, ok := Value(d.File(), at, p.Part)
	for i := range p.xyz {
		n := &p.xyz[i]
		n.Decimals, n.Step, n.Min, n.Max = 1, 1, -2000, 2000
		if ok && n.Update(gtx) {
			v[i] = n.Value
			p.track.write(d, at, p.Part, v)
		}
		if ok {
			n.Value = v[i]
		}
	}
	number := func(i int, name string) layout.FlexChild {
		return layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
				layout.Rigid(th.Label(look.Body, th.Dim, name).Layout),
				look.Gap(1),
				layout.Rigid(func(gtx layout.Context) layout.Dimensions {
					s := control.Amount(th, &p.xyz[i], name+" of the "+p.Part.String()).When(ok).WithHint("x forward, y to the left, z up. The up and down keys step, with Shift ten times as far")
					s.Width = 56
					return s.Layout(gtx)
				}),
			)
		})
	}
	parts := control.Pick(th, &p.part,
		control.Option{Text: "end", Hint: "Where the span ends"},
		control.Option{Text: "start handle", Hint: "Direction and pull at the start"},
		control.Option{Text: "end handle", Hint: "Direction and pull at the end"},
	)
	xyz := func(gtx layout.Context) layout.Dimensions {
		return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
			number(0, "x"), look.Gap(1), number(1, "y"), look.Gap(1), number(2, "z"),
			look.Gap(1), layout.Rigid(th.Label(look.Body, th.Dim, "mm").Layout))
	}
	if p.width < gtx.Dp(narrow) { // one row all the same
		return layout.Flex{Alignment: layout.Middle, Spacing: layout.SpaceBetween}.Layout(gtx,
			layout.Rigid(func(gtx layout.Context) layout.Dimensions { return p.partMenu(gtx, th) }), layout.Rigid(xyz))
	}
	return fitting(gtx, []layout.Widget{parts.Layout, xyz})
}

// leanRow has the lean in which the chosen span of the body ends.
func (p *Panel) leanRow(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) layout.Dimensions {
	m := &d.File().Moves[at.Move]
	a := *at
	row := []layout.FlexChild{layout.Flexed(1, th.Label(look.Body, th.Dim, "lean at end").Layout)}
	for i, name := range [...]string{"roll", "pitch", "yaw"} {
		n := &p.lean[i]
		n.Decimals, n.Step, n.Unit, n.Min, n.Max = 1, 1, "°", -90, 90
		if n.Update(gtx) {
			v := n.Value
			d.Change("type the body's lean", func(f *workfile.File) { f.Moves[a.Move].Body[a.Span].Lean[i] = v })
			m = &d.File().Moves[at.Move]
		}
		n.Value = m.Body[at.Span].Lean[i]
		row = append(row, look.Gap(2), layout.Rigid(th.Label(look.Body, th.Dim, name).Layout), look.Gap(1),
			layout.Rigid(func(gtx layout.Context) layout.Dimensions {
				s := control.Amount(th, n, name)
				s.Width = 64
				return s.Layout(gtx)
			}))
	}
	return layout.Flex{Alignment: layout.Middle}.Layout(gtx, row...)
}

// fitting lays groups out in a row with all room left between them: those of
// the first choice that fits the width, else those of the last in as many rows
// as they take.
func fitting(gtx layout.Context, choices ...[]layout.Widget) layout.Dimensions {
	gtx.Constraints.Min = image.Point{}
	width, gap := gtx.Constraints.Max.X, gtx.Dp(look.Unit)
	type put struct {
		call op.CallOp
		size image.Point
	}
	var parts []put
	most := 1 << 14 // as wide as it likes
	for i := 0; i <= len(choices); i++ {
		c := choices[min(i, len(choices)-1)]
		if i == len(choices) {
			most = width
		}
		parts = parts[:0]
		sum := -gap
		for _, w := range c {
			g := gtx
			g.Constraints.Max.X = most
			m := op.Record(gtx.Ops)
			dim := w(g)
			parts = append(parts, put{m.Stop(), dim.Size})
			sum += dim.Size.X + gap
		}
		if sum <= width {
			break
		}
	}
	var size image.Point
	for from := 0; from < len(parts); {
		to, sum, high := from, -gap, 0
		for to < len(parts) && (to == from || sum+gap+parts[to].size.X <= width) {
			sum += gap + parts[to].size.X
			high = max(high, parts[to].size.Y)
			to++
		}
		if from > 0 {
			size.Y += gtx.Dp(look.Unit)
		}
		free, x := max(0, width-sum), 0
		for i := from; i < to; i++ {
			if i > from {
				x += gap + free/(to-from-1)
			}
			if to == len(parts) && i == to-1 && i > from {
				x = width - parts[i].size.X
			}
			o := op.Offset(image.Pt(x, size.Y+(high-parts[i].size.Y)/2)).Push(gtx.Ops)
			parts[i].call.Add(gtx.Ops)
			o.Pop()
			x += parts[i].size.X
		}
		size.Y += high
		from = to
	}
	size.X = width
	return layout.Dimensions{Size: size}
}

// presetNames are the named timings, shortest words first.
var presetNames = [...]string{"linear", "ease", "ease-in", "ease-out", "ease-in-out"}

// presets gives the choice of named timings; the short one has to name them
// by what sets them apart.
func presets(short bool) []control.Option {
	o := control.Options(presetNames[:]...)
	if short {
		for i := range o {
			o[i].Label, o[i].Hint = o[i].Text, o[i].Text
			if i > 1 {
				o[i].Text = strings.TrimPrefix(o[i].Text, "ease-")
			}
		}
	}
	return o
}

// timeRow sets when: the named timings and the time of the mark.
func (p *Panel) timeRow(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) layout.Dimensions {
	t, ok := Timing(d.File(), at)
	p.presets.Value = -1
	for i, n := range presetNames {
		if q, err := curve.ParseTiming(n); err == nil && q == t {
			p.presets.Value = i
		}
	}
	if p.acts.along.Update(gtx) {
		p.acts.stay = !p.acts.stay
	}
	if p.presets.Update(gtx) && ok {
		p.setTiming(d, at, presetNames[p.presets.Value])
		t, ok = Timing(d.File(), at)
	}
	if i, hit := p.acts.ease.Update(gtx); hit && ok && i < len(presetNames) {
		p.setTiming(d, at, presetNames[i])
		t, ok = Timing(d.File(), at)
	}
	_, to := spans(d, at)
	mark := markOf(d.File(), at.Move, to)
	p.mark.Decimals, p.mark.Step, p.mark.Unit, p.mark.Min, p.mark.Max = 0, 10, "ms", 1, 600000
	if mark != nil {
		if p.mark.Update(gtx) {
			p.retime(d, at, p.mark.Value)
			mark = markOf(d.File(), at.Move, to)
		}
		p.mark.Value = mark.At
	}
	ease := func(short bool) layout.Widget {
		s := control.Pick(th, &p.presets, presets(short)...)
		s.Disabled = !ok
		return s.Layout
	}
	when := func(before string) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions {
			return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
				layout.Rigid(th.Label(look.Body, th.Dim, before).Layout), look.Gap(1),
				layout.Rigid(func(gtx layout.Context) layout.Dimensions {
					s := control.Amount(th, &p.mark, "time of the mark "+to).When(mark != nil).WithHint("When the span ends, counted from the beginning of the move. " + p.acts.alongWords())
					s.Width = 74
					return s.Layout(gtx)
				}),
				look.Gap(1),
				layout.Rigid(func(gtx layout.Context) layout.Dimensions {
					s := control.Sign(th, &p.acts.along, look.Along, "later marks move along").Lit(!p.acts.stay)
					s.Hint = p.acts.alongWords()
					return s.Layout(gtx)
				}))
		}
	}
	name := "at"
	if mark != nil {
		name = "“" + shortened(to, 16) + "” at"
	}
	if p.width < gtx.Dp(narrow) {
		return layout.Flex{Alignment: layout.Middle, Spacing: layout.SpaceBetween}.Layout(gtx,
			layout.Rigid(func(gtx layout.Context) layout.Dimensions { return p.timingMenu(gtx, th, t, ok) }), layout.Rigid(when(name)))
	}
	return fitting(gtx,
		[]layout.Widget{ease(false), when(name)},
		[]layout.Widget{ease(true), when(name)},
		[]layout.Widget{ease(true), when("at")},
	)
}

func markOf(f *workfile.File, move int, name string) *workfile.Mark {
	if move < 0 || move >= len(f.Moves) {
		return nil
	}
	for i := range f.Moves[move].Marks {
		if f.Moves[move].Marks[i].Name == name {
			return &f.Moves[move].Marks[i]
		}
	}
	return nil
}

// Typing tells whether one of the panel's number fields has the keys.
func (p *Panel) Typing(gtx layout.Context) bool {
	for i := range p.xyz {
		if p.xyz[i].Focused(gtx) || p.lean[i].Focused(gtx) {
			return true
		}
	}
	return p.mark.Focused(gtx) || p.speed.Focused(gtx) || p.acts.name.Focused(gtx) || p.acts.values.typing(gtx)
}

// Tags are what to give the keyboard focus to: the plates from the side, from
// above and from the front, and the timing.
func (p *Panel) Tags() [4]any {
	return [4]any{&p.plates[FromSide], &p.plates[FromAbove], &p.plates[FromFront], &p.clock}
}
