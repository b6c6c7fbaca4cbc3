// SPDX-License-Identifier: MIT

package walk

import (
	"gioui.org/layout"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/look"
	"gaitwright/motion/workfile"
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
	early
	late
	numbers
)

// about says how a number is labelled and stepped, and which key it is.
var about = [numbers]struct {
	label, unit, table, key string
	decimals                int
	step                    float64
}{
	forward: {"forward", "mm/s", "sequence", "forward_mm_s", 1, 5},
	side:    {"to the left", "mm/s", "sequence", "side_mm_s", 1, 5},
	turn:    {"turn left", "°/s", "sequence", "turn_deg_s", 1, 1},
	cycles:  {"cycles", "", "sequence", "cycles", 2, 0.5},
	period:  {"period", "ms", "gait", "period_ms", 0, 50},
	duty:    {"duty factor", "", "gait", "duty_factor", 3, 0.01},
	height:  {"step height", "mm", "gait", "step_height_mm", 1, 1},
	sway:    {"sway", "mm", "gait", "sway_mm", 1, 1},
	early:   {"early lift", "", "gait", "early_lift", 2, 0.05},
	late:    {"late touch", "", "gait", "late_touch", 2, 0.05},
}

// number points at a number of the walk in f, nil where there is none. A
// command that the file leaves out is 0; with make it is written.
func number(f *workfile.File, w place, n int, make bool) *float64 {
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
	case forward, side, turn, cycles:
		if w.entry < 0 || w.changes && n != cycles {
			return nil
		}
		e := &f.Sequence[w.entry]
		return opt([...]**float64{&e.Forward, &e.Side, &e.Turn, &e.Cycles}[n])
	}
	g := &f.Gaits[w.gait]
	switch n {
	case period:
		return &g.Period
	case duty:
		return &g.Duty
	case height:
		return &g.StepHeight
	case sway:
		return &g.Sway
	case early:
		return &g.EarlyLift
	case late:
		return &g.LateTouch
	}
	return nil
}

// typed takes what was typed into a field: before anything else of a frame may
// choose another walk.
func (p *Panel) typed(gtx layout.Context, d *document.Document) {
	w := p.last
	here := p.lastFound && p.seen.doc == d && w.there(d.File())
	for n := range p.numbers {
		c, k := &p.numbers[n], &about[n]
		c.Decimals, c.Step, c.Unit = k.decimals, k.step, k.unit
		if !(c.Min < c.Max) {
			c.Min, c.Max, _ = workfile.Range(k.table, k.key)
		}
		if c.Update(gtx) && here && number(d.File(), w, n, false) != nil {
			to := c.Value
			p.change(d, "type the "+k.label, func(f *workfile.File) { *number(f, w, n, true) = to })
		}
	}
	p.legs.typed(gtx, p, d, w, here)
	p.shares.typed(gtx, p, d, w, here)
}

// change makes one undo step; what is refused is said.
func (p *Panel) change(d *document.Document, label string, do func(*workfile.File)) bool {
	err := d.Change(label, do)
	p.said, p.news = document.Reason(err), ""
	return err == nil
}

// pair lays two numbers side by side.
func (p *Panel) pair(th *look.Theme, d *document.Document, w place, a, b int) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
			layout.Flexed(1, p.field(th, d, w, a, 92)), look.Gap(4), layout.Flexed(1, p.field(th, d, w, b, 92)))
	}
}

// field is a number behind its name.
func (p *Panel) field(th *look.Theme, d *document.Document, w place, n int, width float32) layout.Widget {
	c, label := &p.numbers[n], about[n].label
	return named(th, label, func(gtx layout.Context) layout.Dimensions {
		v := number(d.File(), w, n, false)
		c.Value = 0
		if v != nil {
			c.Value = *v
		}
		s := control.Amount(th, c, label).When(v != nil)
		s.Width = dp(width)
		return s.Layout(gtx)
	})
}
