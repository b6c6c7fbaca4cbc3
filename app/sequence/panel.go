// SPDX-License-Identifier: MIT

// Package sequence is where the order of what is played is edited: entries with
// their lengths, commands and speeds.
package sequence

import (
	"fmt"
	"image"

	"gioui.org/gesture"
	"gioui.org/layout"
	"gioui.org/unit"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/motion"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// Panel is the right column for the sequence. The zero value is ready.
type Panel struct {
	Open func(entry int) // shows what an entry plays where that is edited; nil for nothing

	rows   control.Rows
	add    control.Menu
	first  [6]control.Button // what may be played where nothing is
	double control.Button
	up     control.Button
	down   control.Button
	remove control.Button
	shape  control.Button

	name    control.Text
	gait    control.Menu
	move    control.Menu
	numbers [numbers]control.Number

	chosen int // entry
	seen   seen
	carry  carry
	due    act
	said   string // why the last edit was refused
}

// seen is what the last frame showed, to notice what others changed.
type seen struct {
	doc    *document.Document
	serial int
	time   float64
}

// carry is an entry on its way to another place of the list.
type carry struct {
	drags  map[int]*gesture.Drag
	on     bool
	from   int
	to     int
	height int // of a row, px
}

// margin is the room left and right of everything.
const margin unit.Dp = 8

// Layout fills the constraints.
func (p *Panel) Layout(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) layout.Dimensions {
	size := gtx.Constraints.Max
	draw.Rect(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	p.typed(gtx, d, at)
	p.follow(d, at)
	p.update(gtx, d, at)
	if len(d.File().Sequence) == 0 {
		p.empty(gtx, th, d)
		p.note(d, at)
		return layout.Dimensions{Size: size}
	}
	row := func(w layout.Widget) layout.FlexChild {
		return layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			return layout.Inset{Left: margin, Right: margin, Top: 4}.Layout(gtx, w)
		})
	}
	all := []layout.FlexChild{
		row(func(gtx layout.Context) layout.Dimensions { return p.bar(gtx, th, d, at) }),
		layout.Rigid(layout.Spacer{Height: 4}.Layout),
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints = layout.Exact(gtx.Constraints.Max)
			return p.list(gtx, th, d)
		}),
	}
	if p.said != "" {
		all = append(all, row(func(gtx layout.Context) layout.Dimensions { return refusal(gtx, th, p.said) }))
	}
	for _, pair := range p.fields(th, d, at) {
		all = append(all, row(pair))
	}
	all = append(all, layout.Rigid(layout.Spacer{Height: 8}.Layout))
	layout.Flex{Axis: layout.Vertical}.Layout(gtx, all...)
	p.note(d, at)
	return layout.Dimensions{Size: size}
}

// refusal says why an edit was not taken.
func refusal(gtx layout.Context, th *look.Theme, why string) layout.Dimensions {
	return control.Refusal(th, why)(gtx)
}

// follow chooses the entry at the present time when that has changed.
func (p *Panel) follow(d *document.Document, at *document.Place) {
	n := len(d.File().Sequence)
	moved := p.seen.doc != d || p.seen.serial == d.Serial() && p.seen.time != at.Time
	if p.seen.doc != d {
		p.said, p.carry.on = "", false
	}
	if t := d.Result().Trajectory; moved && n > 0 {
		if i := t.PartAt(at.Time); i >= 0 && t.Parts[i].Index < n && t.Parts[i].Index != p.chosen {
			p.choose(t.Parts[i].Index)
			p.said = ""
		}
	}
	if p.chosen >= n || p.chosen < 0 {
		p.choose(max(0, min(p.chosen, n-1)))
	}
	if i, ok := p.rows.Chosen(); n > 0 && (!ok || i != p.chosen) {
		p.rows.Choose(p.chosen)
	}
}

// note keeps what was shown.
func (p *Panel) note(d *document.Document, at *document.Place) {
	p.seen = seen{d, d.Serial(), at.Time}
}

// choose takes an entry and brings it into view.
func (p *Panel) choose(i int) {
	p.chosen = i
	p.rows.Choose(i)
}

// part gives when an entry plays.
func part(d *document.Document, entry int) (motion.Part, bool) {
	for _, q := range d.Result().Trajectory.Parts {
		if q.Index == entry && entry < len(d.File().Sequence) {
			return q, true
		}
	}
	return motion.Part{}, false
}

// goTo takes an entry, and the time to where it begins.
func (p *Panel) goTo(d *document.Document, at *document.Place, i int) {
	p.choose(i)
	if q, ok := part(d, i); ok {
		at.Playing = false
		at.GoTo(d, q.From)
	}
}

// change makes one undo step, after which entry chosen is looked at. What is
// refused is said.
func (p *Panel) change(d *document.Document, at *document.Place, label string, chosen int, do func(*workfile.File)) {
	if err := d.Change(label, do); err != nil {
		p.said = document.Reason(err)
		return
	}
	p.said = ""
	p.choose(max(0, min(chosen, len(d.File().Sequence)-1)))
	if q, ok := part(d, p.chosen); ok && (at.Time < q.From || at.Time >= q.To) {
		at.GoTo(d, q.From)
	}
}

// empty is shown where nothing is played: what to do then.
func (p *Panel) empty(gtx layout.Context, th *look.Theme, d *document.Document) {
	gtx.Constraints.Min = image.Point{}
	layout.UniformInset(16).Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		text := th.Para("The sequence is what the robot does, one entry after the other. Begin with one of these:")
		text.Color = th.Dim
		parts := []layout.Widget{control.Natural(th.Head("Nothing is played yet").Layout), control.Natural(text.Layout)}
		for i, kind := range edit.Kinds() {
			if kind == "change" {
				continue // goes on with a walk
			}
			err := edit.CanAdd(d.File(), kind, -1)
			note := means(kind)
			if err != nil {
				note = document.Reason(err)
			}
			parts = append(parts, func(gtx layout.Context) layout.Dimensions {
				return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
					layout.Rigid(func(gtx layout.Context) layout.Dimensions {
						gtx.Constraints.Min.X = gtx.Dp(96)
						return control.Push(th, &p.first[i], kind).When(err == nil).Layout(gtx)
					}),
					look.Gap(3),
					layout.Flexed(1, th.Quiet(note).Layout))
			})
		}
		if p.said != "" {
			parts = append(parts, func(gtx layout.Context) layout.Dimensions { return refusal(gtx, th, p.said) })
		}
		return control.Column(gtx, 2, parts...)
	})
}

// bar is what is done with entries.
func (p *Panel) bar(gtx layout.Context, th *look.Theme, d *document.Document, at *document.Place) layout.Dimensions {
	f := d.File()
	n := len(f.Sequence)
	var items []control.MenuItem
	for _, kind := range edit.Kinds() {
		it := control.MenuItem{Text: kind, Note: means(kind)}
		if err := edit.CanAdd(f, kind, p.chosen); err != nil {
			it.Off, it.Note = true, cannot(err)
		}
		items = append(items, it)
	}
	total := fmt.Sprintf("%d entries, %s s", n, draw.Number(d.Result().Trajectory.Duration(), 2))
	if n == 1 {
		total = "1 entry, " + draw.Number(d.Result().Trajectory.Duration(), 2) + " s"
	}
	return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
		layout.Rigid(control.Drop(th, &p.add, "Add", items...).Layout),
		look.Gap(1),
		layout.Rigid(control.Push(th, &p.double, "Duplicate").Layout),
		look.Gap(1),
		layout.Rigid(control.Sign(th, &p.up, look.ArrowUp, "earlier (Alt+↑)").When(p.chosen > 0).Layout),
		layout.Rigid(control.Sign(th, &p.down, look.ArrowDown, "later (Alt+↓)").When(p.chosen < n-1).Layout),
		layout.Rigid(control.Sign(th, &p.remove, look.Bin, "delete the entry (Delete)").Layout),
		look.Gap(1),
		layout.Rigid(p.editButton(th, d)),
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min.X = gtx.Constraints.Max.X
			if gtx.Constraints.Max.X < gtx.Dp(totalWidth) {
				total = draw.Number(d.Result().Trajectory.Duration(), 2) + " s"
			}
			return layout.E.Layout(gtx, th.Note(total).Layout)
		}),
	)
}

// totalWidth is what the count of entries and their time take.
const totalWidth unit.Dp = 110

// editButton opens what the chosen entry plays.
func (p *Panel) editButton(th *look.Theme, d *document.Document) layout.Widget {
	e := &d.File().Sequence[p.chosen]
	hint := "Go to the page of its gait (Enter, or a double click)"
	if e.Kind == "move" {
		hint = "Go to the page of its move (Enter, or a double click)"
	}
	b := control.Push(th, &p.shape, "Edit it").WithHint(hint).When(p.Open != nil && Opens(d.File(), p.chosen))
	b.Label = "edit what the entry plays"
	return b.Layout
}

// Opens tells whether an entry plays a move or a gait of the file.
func Opens(f *workfile.File, entry int) bool {
	if entry < 0 || entry >= len(f.Sequence) {
		return false
	}
	e := &f.Sequence[entry]
	return e.Kind == "move" || edit.Walks(e) || e.Kind == "recover" && e.Gait != ""
}

// Typing tells whether a field of the panel has the keys.
func (p *Panel) Typing(gtx layout.Context) bool {
	for i := range p.numbers {
		if p.numbers[i].Focused(gtx) {
			return true
		}
	}
	return p.name.Focused(gtx)
}
