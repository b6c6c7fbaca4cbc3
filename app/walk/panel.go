// SPDX-License-Identifier: MIT

// Package walk is where a walk is shaped by hand: its gait as a diagram whose
// bars are dragged, the swing of a foot to scale, and the command in numbers.
package walk

import (
	"fmt"
	"image"

	"gioui.org/layout"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/motion/workfile"
)

// Panel is the right column for walks. The zero value is ready.
type Panel struct {
	Beside layout.Widget // stands beside the choice of the page, nil for nothing

	gaits   control.Choice
	pages   control.Choice
	numbers [numbers]control.Number
	diagram diagram
	swing   swing
	facts   facts
	polar   polar
}

// What the panel shows beside the numbers.
const (
	gaitPage = iota
	swingPage
	commandPage
)

// The numbers of a walk.
const (
	forward = iota
	side
	turn
	cycles
	period
	duty
	height
	sway
	numbers
)

// about says how a number is labelled, stepped and bounded.
var about = [numbers]struct {
	label, unit    string
	decimals       int
	step, min, max float64
}{
	forward: {"forward", "mm/s", 0, 5, -1000, 1000},
	side:    {"to the left", "mm/s", 0, 5, -1000, 1000},
	turn:    {"turn left", "°/s", 1, 1, -360, 360},
	cycles:  {"cycles", "", 1, 1, 1, 1000},
	period:  {"period", "ms", 0, 50, 50, 60000},
	duty:    {"duty factor", "", 3, 0.01, 0.01, 0.99},
	height:  {"step height", "mm", 0, 1, 0, 500},
	sway:    {"sway", "mm", 0, 1, 0, 200},
}

// place is which entry of the sequence is shaped, and its gait.
type place struct {
	entry, gait int
	changes     bool // it takes its command from the walk before
}

// find gives the walk at the present time, else the first one.
func find(d *document.Document, at *document.Place) (p place, ok bool) {
	f, t := d.File(), d.Result().Trajectory
	entry := -1
	if i := t.PartAt(at.Time); i >= 0 && walks(f, t.Parts[i].Index) {
		entry = t.Parts[i].Index
	}
	for i := 0; entry < 0 && i < len(f.Sequence); i++ {
		if walks(f, i) {
			entry = i
		}
	}
	if entry < 0 {
		return p, false
	}
	for i := range f.Gaits {
		if f.Gaits[i].Name == f.Sequence[entry].Gait {
			return place{entry, i, f.Sequence[entry].Kind == "change"}, true
		}
	}
	return p, false
}

func walks(f *workfile.File, entry int) bool {
	return entry >= 0 && entry < len(f.Sequence) && (f.Sequence[entry].Kind == "walk" || f.Sequence[entry].Kind == "change")
}

// number points at a number of the walk in f, nil where there is none. A
// command that the file leaves out is 0; with make it is written.
func number(f *workfile.File, p place, n int, make bool) *float64 {
	e, g := &f.Sequence[p.entry], &f.Gaits[p.gait]
	opt := func(v **float64) *float64 {
		if *v == nil {
			zero := new(float64)
			if make {
				*v = zero
			}
			return zero
		}
		return *v
	}
	switch n {
	case forward, side, turn:
		if p.changes {
			return nil
		}
		return opt([...]**float64{&e.Forward, &e.Side, &e.Turn}[n])
	case cycles:
		return opt(&e.Cycles)
	case period:
		return &g.Period
	case duty:
		return &g.Duty
	case height:
		return &g.StepHeight
	case sway:
		return &g.Sway
	}
	return nil
}

// Layout fills the constraints.
func (p *Panel) Layout(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) layout.Dimensions {
	size := gtx.Constraints.Max
	draw.Rect(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	w, ok := find(d, at)
	if !ok {
		return layout.UniformInset(16).Layout(gtx, func(gtx layout.Context) layout.Dimensions {
			l := th.Label(look.Body, th.Dim, "The sequence has no walk yet. Add an entry of kind \"walk\" to the workfile to shape one here.")
			l.MaxLines = 0
			return l.Layout(gtx)
		})
	}
	row := func(c layout.Widget) layout.FlexChild {
		return layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			return layout.Inset{Left: 10, Right: 10, Top: 6}.Layout(gtx, c)
		})
	}
	canvas := func(weight float32, c layout.Widget) layout.FlexChild {
		return layout.Flexed(weight, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints = layout.Exact(gtx.Constraints.Max)
			return c(gtx)
		})
	}
	p.pages.Update(gtx)
	p.facts.update(d, w)
	all := []layout.FlexChild{
		row(func(gtx layout.Context) layout.Dimensions { return p.head(gtx, th, d, w) }),
		row(func(gtx layout.Context) layout.Dimensions { return p.bar(gtx, th) }),
		layout.Rigid(layout.Spacer{Height: 8}.Layout),
		canvas(1, func(gtx layout.Context) layout.Dimensions {
			wide := min(gtx.Dp(factsWidth), gtx.Constraints.Max.X/2)
			return layout.Flex{}.Layout(gtx,
				canvas(1, func(gtx layout.Context) layout.Dimensions {
					switch p.pages.Value {
					case swingPage:
						return p.swing.layout(gtx, th, d, w)
					case commandPage:
						return p.polar.layout(gtx, th, &p.facts, d, w)
					}
					return p.diagram.layout(gtx, th, d, at, w)
				}),
				layout.Rigid(func(gtx layout.Context) layout.Dimensions {
					gtx.Constraints = layout.Exact(image.Pt(wide, gtx.Constraints.Max.Y))
					return p.facts.layout(gtx, th, d)
				}),
			)
		}),
	}
	switch p.pages.Value {
	case swingPage:
		all = append(all, row(p.pair(th, d, w, height, sway)))
	case commandPage:
		all = append(all, row(p.pair(th, d, w, forward, side)), row(p.pair(th, d, w, turn, cycles)))
	default:
		all = append(all, row(p.pair(th, d, w, period, duty)))
	}
	all = append(all, layout.Rigid(layout.Spacer{Height: 10}.Layout))
	layout.Flex{Axis: layout.Vertical}.Layout(gtx, all...)
	return layout.Dimensions{Size: size}
}

// pages names what the panel shows.
func pages() []control.Option {
	o := control.Options("gait", "swing", "command")
	o[gaitPage].Hint = "When each leg stands: phases, period, duty factor"
	o[swingPage].Hint = "How a foot swings: step height, handles, sway"
	o[commandPage].Hint = "Where to and how fast, and the fastest in each direction"
	return o
}

// bar chooses the page.
func (p *Panel) bar(gtx layout.Context, th *look.Theme) layout.Dimensions {
	pick := control.Pick(th, &p.pages, pages()...).Layout
	if p.Beside == nil {
		return pick(gtx)
	}
	return layout.Flex{Alignment: layout.Middle, Spacing: layout.SpaceBetween}.Layout(gtx, layout.Rigid(pick), layout.Rigid(p.Beside))
}

// head names the entry and chooses its gait.
func (p *Panel) head(gtx layout.Context, th *look.Theme, d *document.Document, w place) layout.Dimensions {
	f := d.File()
	p.gaits.Value = w.gait
	if p.gaits.Update(gtx) {
		name := f.Gaits[p.gaits.Value].Name
		d.Change("choose another gait", func(f *workfile.File) { f.Sequence[w.entry].Gait = name })
	}
	var names []string
	for i := range f.Gaits {
		names = append(names, f.Gaits[i].Name)
	}
	name := f.Sequence[w.entry].Name
	if name == "" {
		name = fmt.Sprintf("entry %d", w.entry+1)
	}
	return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
		layout.Flexed(1, th.Strong(name).Layout),
		layout.Rigid(control.Pick(th, &p.gaits, control.Options(names...)...).Layout),
	)
}

// pair lays two numbers side by side.
func (p *Panel) pair(th *look.Theme, d *document.Document, w place, a, b int) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
			layout.Flexed(1, p.field(th, d, w, a)), look.Gap(4), layout.Flexed(1, p.field(th, d, w, b)))
	}
}

func (p *Panel) field(th *look.Theme, d *document.Document, w place, n int) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		c, k := &p.numbers[n], &about[n]
		c.Decimals, c.Step, c.Unit, c.Min, c.Max = k.decimals, k.step, k.unit, k.min, k.max
		v := number(d.File(), w, n, false)
		if v != nil {
			if c.Update(gtx) {
				to := c.Value
				d.Change("type the "+k.label, func(f *workfile.File) { *number(f, w, n, true) = to })
				v = number(d.File(), w, n, false)
			}
			c.Value = *v
		}
		return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
			layout.Flexed(1, th.Label(look.Body, th.Dim, k.label).Layout),
			layout.Rigid(func(gtx layout.Context) layout.Dimensions {
				s := control.Amount(th, c, k.label).When(v != nil)
				s.Width = 92
				return s.Layout(gtx)
			}),
		)
	}
}

// Typing tells whether one of the panel's number fields has the keys.
func (p *Panel) Typing(gtx layout.Context) bool {
	for i := range p.numbers {
		if p.numbers[i].Focused(gtx) {
			return true
		}
	}
	return false
}
