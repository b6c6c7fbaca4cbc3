// SPDX-License-Identifier: MIT

package machine

import (
	"errors"
	"image"
	"math"
	"strings"

	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/look"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// amount is a number of the workfile as the panel edits it.
type amount struct {
	name         string // spoken
	section, key string // whose interval holds
	unit         string
	decimals     int
	step         float64
	get          func(f *workfile.File) (v float64, absent bool) // absent: v is the default
	set          func(f *workfile.File, v float64)
	clear        func(f *workfile.File) // back to the default; nil for a key that is needed
	fault        func(v float64) string // what is wrong with a number inside the interval; may be nil
}

// field is the state of a number field, with the amount that it showed last:
// what was typed belongs to that, whatever is chosen meanwhile.
type field struct {
	n    control.Number
	a    amount
	seen int // frame in which it was laid out last
}

// words is the same for a text.
type words struct {
	t    control.Text
	take func(string)
	seen int
}

// fields are all fields of the panel, by a name of each.
type fields struct {
	numbers map[string]*field
	texts   map[string]*words
	frame   int
}

// update takes what was typed since the last frame, also in a field that is
// not laid out any more, and forgets such fields.
func (s *fields) update(gtx layout.Context, p *Panel, d *document.Document) {
	s.frame++
	for id, f := range s.numbers {
		if f.n.Update(gtx) {
			v, a := f.n.Value, f.a
			if a.fault != nil {
				if why := a.fault(v); why != "" {
					p.took(errors.New(why))
					p.noteOf = a.name
					continue
				}
			}
			p.took(d.Change("type the "+a.name, func(f *workfile.File) { a.set(f, v) }))
			p.noteOf = a.name
		}
		if f.n.Cleared() && f.a.clear != nil {
			p.took(d.Change("take the default for the "+f.a.name, f.a.clear))
		}
		if f.seen < s.frame-1 && !f.n.Focused(gtx) {
			delete(s.numbers, id)
		}
	}
	for id, w := range s.texts {
		if w.t.Update(gtx) && w.take != nil {
			w.take(w.t.Value)
		}
		if w.seen < s.frame-1 && !w.t.Focused(gtx) {
			delete(s.texts, id)
		}
	}
}

// typing tells whether one of them has the keys.
func (s *fields) typing(gtx layout.Context) bool {
	for _, f := range s.numbers {
		if f.n.Focused(gtx) {
			return true
		}
	}
	for _, w := range s.texts {
		if w.t.Focused(gtx) {
			return true
		}
	}
	return false
}

// number gives the field of an amount, with the present value.
func (s *fields) number(f *workfile.File, id string, a amount) *control.Number {
	if s.numbers == nil {
		s.numbers = map[string]*field{}
	}
	n := s.numbers[id]
	if n == nil {
		n = new(field)
		s.numbers[id] = n
	}
	n.a, n.seen = a, s.frame
	c := &n.n
	if lo, hi, ok := workfile.Range(a.section, a.key); ok {
		c.Min, c.Max = lo, hi
	}
	c.Unit, c.Step = a.unit, a.step
	c.Optional = a.clear != nil
	c.Value, c.Absent = a.get(f)
	c.Decimals = decimals(c.Value, a.decimals)
	return c
}

// decimals gives how many decimals show v as it is: at least the usual ones,
// and three at most.
func decimals(v float64, usual int) int {
	const most = 3
	for n := usual; n < most; n++ {
		if k := math.Pow10(n); math.Abs(math.Round(v*k)/k-v) < 1e-9 {
			return n
		}
	}
	return max(usual, most)
}

// text gives the field of a text, with the present value.
func (s *fields) text(id, value string, check func(string) error, take func(string)) *control.Text {
	if s.texts == nil {
		s.texts = map[string]*words{}
	}
	w := s.texts[id]
	if w == nil {
		w = new(words)
		s.texts[id] = w
	}
	w.take, w.seen = take, s.frame
	w.t.Value, w.t.Check = value, check
	return &w.t
}

// took notes what came of a change: the reader's own sentence when it was
// refused.
func (p *Panel) took(err error) {
	p.note, p.noteOf = "", ""
	var r *edit.Refused
	switch {
	case errors.As(err, &r):
		p.note = edit.Words(err)
	case err != nil:
		p.note, _, _ = strings.Cut(err.Error(), "\n")
	}
}

// try makes a change that may be refused before it is made.
func (p *Panel) try(d *document.Document, what string, edit func(*workfile.File) error) {
	if err := edit(d.File().Clone()); err != nil {
		p.took(err)
		return
	}
	p.took(d.Change(what, func(f *workfile.File) { _ = edit(f) }))
}

// fieldWidth is the width of a number field.
const fieldWidth unit.Dp = 88

// amount lays out the field of an amount.
func (p *Panel) amount(gtx layout.Context, th *look.Theme, d *document.Document, id string, a amount, wide unit.Dp, brief bool) layout.Dimensions {
	s := control.Amount(th, p.fields.number(d.File(), id, a), a.name)
	s.Width, s.Brief = wide, brief
	gtx.Constraints.Min = image.Point{}
	return s.Layout(gtx)
}

// typed is the number on a drawing that is being typed.
type typed struct {
	canvas  *canvas
	id      string
	opened  bool // it has been laid out, and may take the keys
	focused bool
}

// typeSpot opens a field where a number on the drawing was clicked, and lays
// it out while it has the keys.
func (p *Panel) typeSpot(gtx layout.Context, th *look.Theme, d *document.Document, c *canvas) {
	if c.open != "" {
		p.typed = typed{canvas: c, id: c.open}
		gtx.Execute(op.InvalidateCmd{})
	}
	if p.typed.canvas != c || p.typed.id == "" {
		return
	}
	for _, s := range c.spots {
		if s.id != p.typed.id {
			continue
		}
		n := p.fields.number(d.File(), "on "+s.id, s.a)
		has := n.Focused(gtx)
		switch {
		case !p.typed.opened:
			p.typed.opened = true
			gtx.Execute(key.FocusCmd{Tag: n.Tag()})
			gtx.Execute(op.InvalidateCmd{})
		case has:
			p.typed.focused = true
		case p.typed.focused && n.Err() == nil:
			p.typed = typed{}
			return
		}
		w, h := gtx.Dp(fieldWidth), gtx.Dp(look.Control)
		mid := s.box.Min.Add(s.box.Max).Div(2)
		at := image.Pt(
			max(0, min(mid.X-w/2, gtx.Constraints.Max.X-w)),
			max(0, min(mid.Y-h/2, gtx.Constraints.Max.Y-h)),
		)
		defer op.Offset(at).Push(gtx.Ops).Pop()
		p.amount(gtx, th, d, "on "+s.id, s.a, fieldWidth, true)
		return
	}
	p.typed = typed{}
}
