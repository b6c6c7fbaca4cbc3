// SPDX-License-Identifier: MIT

// Package limits is where the thresholds of the review, the ground and the supply
// are edited.
package limits

import (
	"image"
	"math"
	"strings"

	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// Panel is the right column for the limits. The zero value is ready.
type Panel struct {
	all    []edit.Setting
	rows   []row
	scroll control.Scroll
	said   string // why the last edit was refused
	due    int    // setting to set back, plus one
	sought string // key of the setting that is to have the keys, "" for none

	doc    *document.Document
	serial int
	unset  *workfile.Built // what holds where nothing is given
}

// row is the state of a setting.
type row struct {
	field control.Number
	back  control.Button
}

// Layout fills the constraints.
func (p *Panel) Layout(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) layout.Dimensions {
	size := gtx.Constraints.Max
	draw.Rect(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	p.update(gtx, d)
	if tag := p.found(); tag != nil { // once its field is laid out
		defer gtx.Execute(key.FocusCmd{Tag: tag})
	}
	top := layout.Inset{Left: 10, Right: 10, Top: 6, Bottom: 2}
	if p.said != "" {
		return layout.Flex{Axis: layout.Vertical}.Layout(gtx,
			layout.Rigid(func(gtx layout.Context) layout.Dimensions {
				return top.Layout(gtx, func(gtx layout.Context) layout.Dimensions { return p.refusal(gtx, th) })
			}),
			layout.Flexed(1, func(gtx layout.Context) layout.Dimensions { return p.list(gtx, th, d) }))
	}
	return p.list(gtx, th, d)
}

// Seek brings the field of a setting, by its key, into view and gives it the
// keys from the next frame on.
func (p *Panel) Seek(key string) { p.sought = key }

// Tag is what has the keys while the field of a setting, by its key, has them;
// nil before the first layout.
func (p *Panel) Tag(key string) any {
	for i := range p.all {
		if p.all[i].Key == key {
			return p.rows[i].field.Tag()
		}
	}
	return nil
}

// found brings the setting that is sought into view, and returns its field's
// tag, nil for none.
func (p *Panel) found() any {
	want := p.sought
	p.sought = ""
	for i := range p.all {
		if want != "" && p.all[i].Key == want {
			p.scroll.Show(i)
			return p.rows[i].field.Tag()
		}
	}
	return nil
}

// list shows all settings under the headings of their groups.
func (p *Panel) list(gtx layout.Context, th *look.Theme, d *document.Document) layout.Dimensions {
	size := gtx.Constraints.Max
	var parts []layout.Widget
	for i := range p.all {
		row := func(gtx layout.Context) layout.Dimensions {
			return layout.Inset{Left: 10, Right: 10, Bottom: 8}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
				return p.row(gtx, th, d, i)
			})
		}
		g := p.all[i].Group
		if i > 0 && g == p.all[i-1].Group {
			parts = append(parts, row)
			continue
		}
		// The heading goes with its first row: Tab finds its way over one part
		// that does not show, not over one in which nothing takes the keys.
		parts = append(parts, func(gtx layout.Context) layout.Dimensions {
			return layout.Flex{Axis: layout.Vertical}.Layout(gtx,
				layout.Rigid(func(gtx layout.Context) layout.Dimensions {
					return layout.Inset{Left: 10, Right: 10, Top: 4, Bottom: 6}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
						return control.Header(gtx, th, g)
					})
				}),
				layout.Rigid(row))
		})
	}
	gtx.Constraints = layout.Exact(size)
	p.scroll.Area(gtx, th, parts...)
	return layout.Dimensions{Size: size}
}

// refusal says why an edit was not taken.
func (p *Panel) refusal(gtx layout.Context, th *look.Theme) layout.Dimensions {
	l := th.Label(look.Body, th.Stop.Ink, p.said)
	l.MaxLines = 3
	return layout.Flex{}.Layout(gtx,
		layout.Rigid(func(gtx layout.Context) layout.Dimensions { return th.Glyph(gtx, look.Warning, 16, th.Stop.Ink) }),
		look.Gap(1.5), layout.Flexed(1, l.Layout))
}

// update takes what was typed and what is set back.
func (p *Panel) update(gtx layout.Context, d *document.Document) {
	if p.all == nil {
		p.all = edit.Settings()
		p.rows = make([]row, len(p.all))
		for i := range p.all {
			s, c := &p.all[i], &p.rows[i].field
			c.Decimals, c.Step, c.Unit, c.Min, c.Max = s.Decimals, s.Step, s.Unit, s.Min, s.Max
		}
	}
	if p.doc != d {
		p.said, p.due = "", 0
	}
	for i := range p.all {
		s, r := &p.all[i], &p.rows[i]
		changed, cleared := r.field.Update(gtx), r.field.Cleared()
		switch {
		case p.doc != d:
		case cleared:
			p.back(d, i)
		case changed:
			to := r.field.Value
			p.change(d, "set the "+s.Name, func(f *workfile.File) { s.Put(f, to) })
		}
	}
	if i := p.due - 1; i >= 0 {
		p.due = 0
		p.back(d, i)
	}
	for i := range p.rows {
		if b := &p.rows[i].back; b.Update(gtx) {
			if !p.Typing(gtx) {
				p.back(d, i)
				continue
			}
			// A push leaves the keys with the field: that is left first.
			p.due = i + 1
			gtx.Execute(key.FocusCmd{Tag: b.Tag()})
			gtx.Execute(op.InvalidateCmd{})
		}
	}
	if p.doc == d && p.serial == d.Serial() {
		return
	}
	p.doc, p.serial = d, d.Serial()
	if b, err := edit.Unset(d.File()); err == nil { // a file that is open builds
		p.unset = b
	}
}

// back leaves a key out again.
func (p *Panel) back(d *document.Document, i int) {
	p.change(d, "set the "+p.all[i].Name+" back", p.all[i].Clear)
}

// change makes one undo step; what is refused is said.
func (p *Panel) change(d *document.Document, label string, do func(*workfile.File)) {
	p.said = document.Reason(d.Change(label, do))
}

// amount writes a number of a setting with its unit.
func amount(s *edit.Setting, v float64) string {
	text := draw.Number(v, s.Decimals)
	switch s.Unit {
	case "":
		return text
	case "°", "°/s":
		return text + s.Unit
	}
	return text + " " + s.Unit
}

// row is a setting: its name and number, and below it what it means and which
// words of the review it governs.
func (p *Panel) row(gtx layout.Context, th *look.Theme, d *document.Document, i int) layout.Dimensions {
	s, r := &p.all[i], &p.rows[i]
	v, set := s.Value(d.File())
	def, words := math.NaN(), ""
	if p.unset != nil {
		def, words = s.Default(p.unset)
	}
	plain := words
	if plain == "" {
		plain = amount(s, def)
	}
	r.field.Optional, r.field.Absent, r.field.Value = true, !set, def
	if set {
		r.field.Value = v
	}
	about := s.Means
	if len(s.Words) > 0 {
		about += " Governs " + strings.Join(s.Words, ", ") + "."
	} else {
		about += " Governs every word."
	}
	if set {
		about += " Default: " + plain + "."
	}
	more := th.Note(about)
	more.MaxLines = 2
	return layout.Flex{Axis: layout.Vertical}.Layout(gtx,
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
				layout.Flexed(1, th.Plain(s.Name).Layout),
				layout.Rigid(func(gtx layout.Context) layout.Dimensions {
					gtx.Constraints.Min.X = 0
					f := control.Amount(th, &r.field, s.Name)
					f.Width = 104
					return f.Layout(gtx)
				}),
				look.Gap(2),
				layout.Rigid(func(gtx layout.Context) layout.Dimensions {
					size := image.Pt(gtx.Dp(backWidth), gtx.Dp(look.Control))
					gtx.Constraints = layout.Exact(size)
					if !set {
						note := "default"
						if words != "" {
							note = words
						}
						return layout.W.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
							gtx.Constraints.Min.Y = 0
							return th.Note(note).Layout(gtx)
						})
					}
					b := control.Push(th, &r.back, "Set back").WithHint("Set the " + s.Name + " back to " + plain)
					b.Label = "set the " + s.Name + " back"
					return layout.W.Layout(gtx, b.Layout)
				}))
		}),
		layout.Rigid(layout.Spacer{Height: 2}.Layout),
		layout.Rigid(more.Layout),
	)
}

// backWidth is the room behind a number, dp.
const backWidth = 84

// Typing tells whether a field of the panel has the keys.
func (p *Panel) Typing(gtx layout.Context) bool {
	for i := range p.rows {
		if p.rows[i].field.Focused(gtx) {
			return true
		}
	}
	return false
}
