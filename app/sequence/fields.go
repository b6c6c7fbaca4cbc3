// SPDX-License-Identifier: MIT

package sequence

import (
	"gioui.org/layout"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/look"
	"gaitwright/motion/workfile"
)

// The numbers of an entry.
const (
	duration = iota
	cycles
	forward
	side
	turn
	speed
	numbers
)

// about says how a number is labelled and stepped, and which key it is.
var about = [numbers]struct {
	label, act, unit, key string
	decimals              int
	step, without         float64
}{
	duration: {"length", "change the length", "ms", "duration_ms", 0, 50, 600}, // a stand without one lasts that long
	cycles:   {"cycles", "change the cycles", "", "cycles", 2, 0.5, 0},
	forward:  {"forward", "change the command", "mm/s", "forward_mm_s", 1, 5, 0},
	side:     {"to the left", "change the command", "mm/s", "side_mm_s", 1, 5, 0},
	turn:     {"turn left", "change the command", "°/s", "turn_deg_s", 1, 1, 0},
	speed:    {"speed", "change the speed of an entry", "×", "speed", 2, 0.05, 1},
}

// number points at a number of an entry.
func number(e *workfile.Entry, n int) **float64 {
	return [numbers]**float64{&e.Duration, &e.Cycles, &e.Forward, &e.Side, &e.Turn, &e.Speed}[n]
}

// fields are those that the kind of the chosen entry takes, two by two.
func (p *Panel) fields(th *look.Theme, d *document.Document, at *document.Place) []layout.Widget {
	f := d.File()
	if p.chosen >= len(f.Sequence) {
		return nil
	}
	num := func(n int) layout.Widget { return p.field(th, d, at, n) }
	all := []layout.Widget{p.nameField(th, d, at)}
	switch f.Sequence[p.chosen].Kind {
	case "stand", "wait":
		all = append(all, num(duration))
	case "walk":
		all = append(all, p.gaitField(th, d, at), num(forward), num(side), num(turn), num(cycles))
	case "change":
		all = append(all, p.gaitField(th, d, at), num(cycles), nil)
	case "move":
		all = append(all, p.moveField(th, d, at), num(speed), nil)
	case "recover":
		all = append(all, p.gaitField(th, d, at))
	}
	var pairs []layout.Widget
	for i := 0; i+1 < len(all); i += 2 {
		a, b := all[i], all[i+1]
		if b == nil {
			b = func(gtx layout.Context) layout.Dimensions { return layout.Dimensions{} }
		}
		pairs = append(pairs, func(gtx layout.Context) layout.Dimensions {
			return layout.Flex{Alignment: layout.Middle}.Layout(gtx, layout.Flexed(1, a), look.Gap(4), layout.Flexed(1, b))
		})
	}
	return pairs
}

// labelled lays a control behind its name, at the right end of the room.
func labelled(th *look.Theme, label string, w layout.Widget) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
			layout.Rigid(th.Label(look.Body, th.Dim, label).Layout),
			look.Gap(2),
			layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
				gtx.Constraints.Min.X = gtx.Constraints.Max.X
				return layout.E.Layout(gtx, w)
			}))
	}
}

// typed takes what was typed into a field: before anything else of a frame may
// choose another entry.
func (p *Panel) typed(gtx layout.Context, d *document.Document, at *document.Place) {
	i := p.chosen
	here := p.seen.doc == d && i < len(d.File().Sequence)
	for n := range p.numbers {
		k, c := &about[n], &p.numbers[n]
		c.Decimals, c.Step, c.Unit = k.decimals, k.step, k.unit
		if !(c.Min < c.Max) {
			c.Min, c.Max, _ = workfile.Range("sequence", k.key)
		}
		if c.Update(gtx) && here {
			to := c.Value
			p.change(d, at, k.act, i, func(f *workfile.File) { *number(&f.Sequence[i], n) = &to })
		}
	}
	if p.name.Update(gtx) && here {
		to := p.name.Value
		p.change(d, at, "name an entry", i, func(f *workfile.File) { f.Sequence[i].Name = to })
	}
}

func (p *Panel) field(th *look.Theme, d *document.Document, at *document.Place, n int) layout.Widget {
	k, c := &about[n], &p.numbers[n]
	return labelled(th, k.label, func(gtx layout.Context) layout.Dimensions {
		c.Value = k.without
		if v := *number(&d.File().Sequence[p.chosen], n); v != nil {
			c.Value = *v
		}
		gtx.Constraints.Min.X = 0
		s := control.Amount(th, c, k.label+" of the entry")
		s.Width = 104
		return s.Layout(gtx)
	})
}

func (p *Panel) nameField(th *look.Theme, d *document.Document, at *document.Place) layout.Widget {
	return labelled(th, "name", func(gtx layout.Context) layout.Dimensions {
		p.name.Value = d.File().Sequence[p.chosen].Name
		gtx.Constraints.Min.X = gtx.Constraints.Max.X
		s := control.Words(th, &p.name, "name of the entry")
		s.Hint = "none"
		return s.Layout(gtx)
	})
}

// legs is what a recovery without a gait does.
const legs = "as many legs as leave it standing"

func (p *Panel) gaitField(th *look.Theme, d *document.Document, at *document.Place) layout.Widget {
	return labelled(th, "gait", func(gtx layout.Context) layout.Dimensions {
		i := p.chosen
		free := 0 // items before the gaits
		if d.File().Sequence[i].Kind == "recover" {
			free = 1
		}
		if k, ok := p.gait.Update(gtx); ok && k-free < len(d.File().Gaits) {
			name := ""
			if k >= free {
				name = d.File().Gaits[k-free].Name
			}
			p.change(d, at, "choose another gait", i, func(f *workfile.File) { f.Sequence[i].Gait = name })
		}
		f := d.File()
		now := f.Sequence[p.chosen].Gait
		var items []control.MenuItem
		if free > 0 {
			items = append(items, control.MenuItem{Text: legs, On: now == ""})
		}
		for g := range f.Gaits {
			items = append(items, control.MenuItem{Text: f.Gaits[g].Name, On: f.Gaits[g].Name == now})
		}
		shown := now
		if now == "" {
			shown = "any legs"
		}
		return upwards(gtx, th, &p.gait, shown, "gait of the entry", items)
	})
}

func (p *Panel) moveField(th *look.Theme, d *document.Document, at *document.Place) layout.Widget {
	return labelled(th, "move", func(gtx layout.Context) layout.Dimensions {
		i := p.chosen
		if k, ok := p.move.Update(gtx); ok && k < len(d.File().Moves) {
			name := d.File().Moves[k].Name
			p.change(d, at, "choose another move", i, func(f *workfile.File) { f.Sequence[i].Move = name })
		}
		f := d.File()
		now := f.Sequence[p.chosen].Move
		var items []control.MenuItem
		for m := range f.Moves {
			items = append(items, control.MenuItem{Text: f.Moves[m].Name, On: f.Moves[m].Name == now})
		}
		return upwards(gtx, th, &p.move, now, "move of the entry", items)
	})
}

// upwards lays out a menu whose list goes up, since it stands low.
func upwards(gtx layout.Context, th *look.Theme, m *control.Menu, text, label string, items []control.MenuItem) layout.Dimensions {
	gtx.Constraints.Min = gtx.Constraints.Max
	gtx.Constraints.Min.Y = 0
	s := control.Drop(th, m, text, items...)
	s.Face.Label = label
	s.Above, s.Ends, s.Most = true, true, 240
	return s.Layout(gtx)
}
