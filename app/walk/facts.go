// SPDX-License-Identifier: MIT

package walk

import (
	"fmt"
	"image"
	"math"
	"reflect"
	"slices"

	"gioui.org/layout"
	"gioui.org/unit"
	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/glossary"
	"gaitwright/app/look"
	"gaitwright/kin"
	"gaitwright/motion"
	"gaitwright/motion/gait"
	"gaitwright/motion/pace"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/review"
	"gaitwright/motion/sequence"
	"gaitwright/motion/workfile/edit"
)

// subject is what a pace is worked out from.
type subject struct {
	robot  kin.Robot
	gait   gait.Gait
	height float64 // m
	limits pace.Limits
}

// facts is what the walk amounts to, made anew when the document was rehearsed
// since.
type facts struct {
	doc    *document.Document
	serial int
	at     place

	of      *subject // replaced by another one when robot or gait change
	pace    *pace.Pace
	command motion.Twist
	numbers pace.Numbers
	verdict pace.Verdict
	cost    float64 // of transport
	costs   bool    // it is known
	scroll  control.Scroll
	stops   int // findings in the entries that walk with the gait
	tips    map[string]*control.Tip
	down    float64 // least step-down reserve, m
	downs   bool    // there is one
	err     error
}

// update works the numbers out for the walk at w.
func (v *facts) update(d *document.Document, w place) {
	if v.doc == d && v.serial == d.Serial() && v.at == w {
		return
	}
	v.doc, v.serial, v.at = d, d.Serial(), w
	r := d.Result()
	b := r.Built
	s := subject{b.Robot, b.Gaits[w.gait], b.Height, pace.Limits{SpeedShare: b.Limits.SpeedShare, Clearance: b.Limits.Clearance}}
	if v.of == nil || !reflect.DeepEqual(*v.of, s) {
		v.of = &s
		v.pace, v.err = pace.New(&b.Robot, b.Height, &b.Gaits[w.gait], s.limits)
	}
	if v.err != nil {
		return
	}
	v.stops = stopsOf(d, b.Gaits[w.gait].Name)
	v.command = commandOf(r, w.entry)
	if w.entry < 0 { // as it would be added to the sequence
		v.command = motion.Twist{Forward: edit.EasyOf(v.pace) / milli}
	}
	v.numbers = v.pace.Numbers(v.command)
	v.verdict = v.pace.Judge(v.command)
	v.cost, v.costs = transport(r, w.entry)
	v.down, _, v.downs = v.pace.Down(v.command)
}

// stopsOf counts what stops the entries that walk with a gait.
func stopsOf(d *document.Document, gait string) (n int) {
	f, r := d.File(), d.Result()
	for i := range r.Findings {
		g := &r.Findings[i]
		if g.Level != review.Stop || g.Part < 0 || g.Part >= len(r.Trajectory.Parts) {
			continue
		}
		if e := r.Trajectory.Parts[g.Part].Index; e >= 0 && e < len(f.Sequence) && edit.Walks(&f.Sequence[e]) && f.Sequence[e].Gait == gait {
			n++
		}
	}
	return n
}

// commandOf gives the command of an entry that walks: a change goes on with
// that of the walk before it.
func commandOf(r *rehearsal.Rehearsal, entry int) motion.Twist {
	seq := r.Built.Script.Seq
	for i := min(entry, len(seq)-1); i >= 0; i-- {
		if seq[i].Kind == sequence.Walk {
			return seq[i].Command
		}
	}
	return motion.Twist{}
}

// transport gives the cost of transport of an entry as it is played, with its
// start and its stop: the electrical energy for the weight and the way of the
// course. Not ok where the supply's voltage or the way is not known.
func transport(r *rehearsal.Rehearsal, entry int) (cost float64, ok bool) {
	t, l := r.Trajectory, r.Loads
	i := slices.IndexFunc(t.Parts, func(p motion.Part) bool { return p.Index == entry })
	if i < 0 || !(l.Supply.Voltage > 0) {
		return 0, false
	}
	from, to := t.Index(t.Parts[i].From), t.Index(t.Parts[i].To)
	if to <= from {
		return 0, false
	}
	power, ok := pace.Electrical(l.Current[from:to+1], l.Voltage[from:to+1])
	if !ok {
		return 0, false
	}
	way := 0.0
	at := func(k int) r3.Vec {
		c := r.Plan.BodyAt(t.Time(k)).CourseAt(t.Time(k))
		return r3.Vec{X: c.X, Y: c.Y}
	}
	last := at(from)
	for k := from + 1; k <= to; k++ {
		p := at(k)
		way += r3.Norm(r3.Sub(p, last))
		last = p
	}
	if way < 1e-3 {
		return 0, false // it does not go anywhere
	}
	return pace.Transport(power, l.Mass, l.Gravity, way/(t.Time(to)-t.Time(from)))
}

// fact is a row of the numbers.
type fact struct{ name, value, unit string }

const milli = 1000

// rows gives the numbers in words.
func (v *facts) rows() []fact {
	n := &v.numbers
	least, most := slices.Min(n.Stroke), slices.Max(n.Stroke)
	stroke := draw.Number(least*milli, 1)
	if s := draw.Number(most*milli, 1); s != stroke {
		stroke += " to " + s
	}
	up := 0
	for _, s := range n.Standing {
		up = max(up, s.Feet)
	}
	feet := fmt.Sprint(n.Least)
	if up != n.Least {
		feet = fmt.Sprintf("%d to %d", n.Least, up)
	}
	out := []fact{
		{"speed", draw.Number(n.Speed*milli, 1), "mm/s"},
	}
	if f := v.verdict.Factor; f > 0 && !math.IsInf(f, 0) {
		switch {
		case n.Speed > 1e-9:
			out = append(out, fact{"fastest this way", draw.Number(n.Speed/f*milli, 1), "mm/s"})
		case v.command.Turn != 0:
			out = append(out, fact{"fastest this way", draw.Number(math.Abs(v.command.Turn)/f*180/math.Pi, 1), "°/s"})
		}
	}
	out = append(out, []fact{
		{"stride", draw.Number(n.Stride*milli, 1), "mm"},
		{"stroke", stroke, "mm"},
		{"mean duty", draw.Number(n.Duty, 3), ""},
		{"feet down", feet, ""},
		{"Froude number", draw.Number(n.Froude, 4), ""},
	}...)
	margin := fact{"longitudinal margin", "–", "mm"}
	if n.Defined {
		margin.value = draw.Number(n.Longitudinal*milli, 1)
	}
	down := fact{"step-down reserve", "none", ""}
	if v.downs {
		down = fact{"step-down reserve", draw.Number(v.down*milli, 1), "mm"}
	}
	out = append(out, margin, down)
	if v.costs {
		out = append(out, fact{"cost of transport", draw.Figures(v.cost, 3), ""})
	}
	return out
}

// About says how a command stands to the fastest one in its direction, and
// what limits that one.
func About(v *pace.Verdict, r *kin.Robot) string {
	limit := "nothing limits it"
	if l := v.Limit; l != nil {
		limit = "limited by " + l.Word + " of leg " + r.Legs[l.Leg].Name
		if l.Other >= 0 {
			limit += " and leg " + r.Legs[l.Other].Name
		}
	}
	switch {
	case math.IsInf(v.Factor, 1):
		return "not even stepping on the spot can be done, " + limit
	case v.Factor == 0:
		return "stepping on the spot"
	case !v.Can && v.Factor < 1.005:
		return "just beyond the fastest, " + limit
	case !v.Can:
		return fmt.Sprintf("%s times the fastest: beyond it, %s", draw.Figures(v.Factor, 3), limit)
	}
	return fmt.Sprintf("%s %% of the fastest, %s", draw.Number(math.Floor(100*v.Factor+1e-3), 0), limit)
}

// Sizes of the numbers.
const (
	factsWidth unit.Dp = 206
	factHeight unit.Dp = 16 // of a row
	leastFact  unit.Dp = 13 // where there is little room
	saidHeight unit.Dp = 36 // of the sentence
	unitWidth  unit.Dp = 32
)

// layout writes the numbers below each other, those to the right aligned, and
// the sentence above them, or what stands in its place.
func (v *facts) layout(gtx layout.Context, th *look.Theme, d *document.Document, instead layout.Widget) layout.Dimensions {
	size := gtx.Constraints.Max
	draw.Rect(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	inner := gtx
	inner.Constraints.Min = image.Point{}
	layout.Inset{Left: 8, Right: 8, Top: 4}.Layout(inner, func(gtx layout.Context) layout.Dimensions {
		if v.err != nil {
			l := th.Label(look.Small, th.Caution.Ink, v.err.Error())
			l.MaxLines = 0
			return l.Layout(gtx)
		}
		var parts []layout.Widget
		line := func(w layout.Widget) { parts = append(parts, w) }
		said := th.Label(look.Small, th.Text, About(&v.verdict, &d.Result().Built.Robot))
		said.MaxLines = 3
		glyph, ink := look.Tick, th.Fine.Ink
		switch {
		case v.stops > 0: // the pace alone is not the whole of it
			glyph, ink = look.Halt, th.Stop.Ink
			said.Text = fmt.Sprintf("the review stops this walk: %d; ", v.stops) + said.Text
		case !v.verdict.Can:
			glyph, ink = look.Warning, th.Caution.Ink
		}
		if instead != nil {
			line(instead)
		} else {
			line(func(gtx layout.Context) layout.Dimensions {
				return layout.Flex{}.Layout(gtx,
					layout.Rigid(func(gtx layout.Context) layout.Dimensions { return th.Glyph(gtx, glyph, 12, ink) }),
					look.Gap(1), layout.Flexed(1, said.Layout))
			})
		}
		line(layout.Spacer{Height: 4}.Layout)
		rows := v.rows()
		tall := max(gtx.Dp(leastFact), min(gtx.Dp(factHeight), (size.Y-gtx.Dp(saidHeight))/len(rows)))
		for _, f := range rows {
			line(func(gtx layout.Context) layout.Dimensions {
				gtx.Constraints = layout.Exact(image.Pt(gtx.Constraints.Max.X, tall))
				return v.tip(f.name).Layout(gtx, th, meaning(f.name), func(gtx layout.Context) layout.Dimensions { return f.layout(gtx, th) })
			})
		}
		if least := gtx.Dp(saidHeight) + gtx.Dp(8) + tall*len(rows); least > size.Y {
			return v.scroll.Area(gtx, th, parts...)
		}
		return control.Column(gtx, 0, parts...)
	})
	return layout.Dimensions{Size: size}
}

// layout writes the fact in a row of the exact size.
func (f *fact) layout(gtx layout.Context, th *look.Theme) layout.Dimensions {
	return layout.Flex{Alignment: layout.Baseline}.Layout(gtx,
		layout.Flexed(1, th.Label(look.Small, th.Dim, f.name).Layout),
		layout.Rigid(th.Label(look.Small, th.Text, f.value).Layout),
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min.X, gtx.Constraints.Max.X = gtx.Dp(unitWidth), gtx.Dp(unitWidth)
			return layout.Inset{Left: 4}.Layout(gtx, th.Label(look.Small, th.Dim, f.unit).Layout)
		}),
	)
}

// tip is the hint of a row.
func (v *facts) tip(name string) *control.Tip {
	if v.tips == nil {
		v.tips = map[string]*control.Tip{}
	}
	if v.tips[name] == nil {
		v.tips[name] = new(control.Tip)
	}
	return v.tips[name]
}

// meaning says what a number tells, by the glossary where it is a term.
func meaning(name string) string {
	switch name {
	case "speed":
		return "How fast the body goes over the ground"
	case "fastest this way":
		return "The fastest command in this direction that the joints, the legs' reach and their room allow"
	case "feet down":
		return "How many feet stand at once, the fewest to the most over the cycle"
	}
	return glossary.Hint(name)
}
