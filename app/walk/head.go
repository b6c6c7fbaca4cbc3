// SPDX-License-Identifier: MIT

package walk

import (
	"errors"
	"fmt"
	"image"
	"slices"
	"strings"

	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/motion/fit"
	"gaitwright/motion/workfile"
	"gaitwright/motion/workfile/edit"
)

// question is what the head asks in place of its buttons.
type question uint8

const (
	nothing question = iota
	rename
	waveDuty
)

// What is done with a gait.
const (
	actRename = iota
	actDuplicate
	actDelete
)

// known are the gaits that can be added, made anew when the document was
// rehearsed since.
type known struct {
	doc    *document.Document
	serial int
	all    []workfile.Gait
	why    error // there are no others
}

func (k *known) update(d *document.Document) {
	if k.doc == d && (k.serial == d.Serial() || d.Dragging()) {
		return
	}
	k.doc, k.serial = d, d.Serial()
	if k.all, k.why = edit.Library(d.File()); k.why != nil {
		k.all = []workfile.Gait{edit.OneByOne(d.File())}
	}
}

// update answers menus, buttons and what was asked.
func (p *Panel) update(gtx layout.Context, d *document.Document, at *document.Place) {
	f := d.File()
	p.known.update(d)
	w, found := p.find(d, at)
	if i, ok := p.gaits.Update(gtx); ok {
		p.shape(d, at, i)
	}
	if i, ok := p.library.Update(gtx); ok {
		switch {
		case i < len(p.known.all):
			p.add(d, at, p.known.all[i])
		case p.known.why == nil:
			p.ask(gtx, waveDuty, "")
		}
	}
	if i, ok := p.acts.Update(gtx); ok && found {
		switch i {
		case actRename:
			p.ask(gtx, rename, f.Gaits[w.gait].Name)
		case actDuplicate:
			to := w.gait
			if p.change(d, "duplicate a gait", func(f *workfile.File) { to = edit.DuplicateGait(f, w.gait) }) {
				p.shape(d, at, to)
			}
		case actDelete:
			p.remove(d, w)
		}
	}
	if p.play.Update(gtx) && found && w.entry < 0 {
		p.playIt(d, at, w)
	}
	p.answered(gtx, d, at, w, found)
}

// ask puts a question in place of the buttons.
func (p *Panel) ask(gtx layout.Context, q question, text string) {
	p.asked, p.said = q, ""
	if q == rename {
		p.answer = control.Text{Value: text}
	} else {
		p.duty = control.Number{Value: 0.75, Min: 0.5, Max: 0.999, Step: 0.01, Decimals: 3}
	}
}

// answered takes the answer to a question.
func (p *Panel) answered(gtx layout.Context, d *document.Document, at *document.Place, w place, found bool) {
	yes := p.agreed // a frame ago, so that the field has been left
	if p.agreed = p.yes.Update(gtx); p.agreed {
		gtx.Execute(key.FocusCmd{Tag: p.yes.Tag()}) // a push leaves the keys with the field
		gtx.Execute(op.InvalidateCmd{})
	}
	switch p.asked {
	case rename:
		p.answer.Check = func(s string) error { return nameFree(d.File(), w, s) }
		p.answer.Update(gtx)
		if (p.answer.Entered() || yes && p.answer.Err() == nil) && found {
			to := strings.TrimSpace(p.answer.Typed())
			if nameFree(d.File(), w, to) == nil && p.change(d, "rename a gait", func(f *workfile.File) { edit.RenameGait(f, w.gait, to) }) {
				p.asked = nothing
				if p.alone != "" {
					p.alone = to
				}
			}
		}
	case waveDuty:
		p.duty.Update(gtx)
		if yes && p.duty.Err() == nil {
			g, err := edit.Wave(d.File(), p.duty.Value)
			if p.said = document.Reason(err); err == nil {
				p.asked = nothing
				p.add(d, at, g)
			}
		}
	}
	if p.no.Update(gtx) {
		p.asked = nothing
	}
}

// nameFree tells why a gait cannot have a name.
func nameFree(f *workfile.File, w place, name string) error {
	name = strings.TrimSpace(name)
	if name == "" {
		return errors.New("type a name")
	}
	if i := edit.GaitIndex(f, name); i >= 0 && i != w.gait {
		return errors.New("another gait has this name")
	}
	return nil
}

// Add puts a gait into the file as one undo step, and shapes it.
func (p *Panel) Add(d *document.Document, at *document.Place, g workfile.Gait) { p.add(d, at, g) }

// add makes a gait fit the robot, puts it into the file and shapes it.
func (p *Panel) add(d *document.Document, at *document.Place, g workfile.Gait) {
	fitted, err := fit.Gait(d.File(), g)
	if err == nil {
		g = fitted.Gait
	}
	to := 0
	if p.change(d, "add a gait", func(f *workfile.File) { to = edit.AddGait(f, g) }) {
		p.shape(d, at, to)
		if err == nil {
			p.news, p.newsFine = news(d.File().Gaits[to].Name, fitted), fitted.Walks()
		}
	}
}

// news says how a gait does on the robot.
func news(name string, f *fit.Fit) string {
	with := ""
	if f.Gait.Sway > 0 {
		with = fmt.Sprintf(" with %s mm of sway", draw.Number(f.Gait.Sway, 0))
	}
	switch {
	case f.Walks():
		return fmt.Sprintf("Added %s%s: straight ahead it walks at %s mm/s without a stop.", name, with, draw.Number(f.Speed, 0))
	case f.Speed > 0:
		return fmt.Sprintf("Added %s. At every speed and period that was tried, the review stops a walk in it: %s.", name, f.Findings[0].Why)
	}
	return fmt.Sprintf("Added %s. This robot cannot walk in it, not even on the spot: see what limits it under “command”.", name)
}

// remove deletes a gait that nothing plays.
func (p *Panel) remove(d *document.Document, w place) {
	if err := edit.DeleteGait(d.File().Clone(), w.gait); err != nil {
		p.said = document.Reason(err)
		return
	}
	if p.change(d, "delete a gait", func(f *workfile.File) { edit.DeleteGait(f, w.gait) }) {
		p.alone = ""
	}
}

// playIt adds a walk with the gait to the sequence, behind the entry at the
// present time, and goes there.
func (p *Panel) playIt(d *document.Document, at *document.Place, w place) {
	after := min(present(d, at), len(d.File().Sequence)-1)
	e := edit.NewWalk(d.File(), w.gait)
	if p.change(d, "add a walk", func(f *workfile.File) { edit.AddEntry(f, after, e) }) {
		for _, part := range d.Result().Trajectory.Parts {
			if part.Index == after+1 {
				at.Playing = false
				at.GoTo(d, part.From)
			}
		}
	}
}

const playWords = "Add a walk with it to the sequence"

func (p *Panel) playButton(th *look.Theme) layout.Widget {
	b := control.Push(th, &p.play, "Add a walk with it").As(control.Primary).WithHint(playWords)
	b.Label = playWords
	return b.Layout
}

// played says where a gait is played.
func played(f *workfile.File, g int) string {
	uses := edit.GaitUses(f, f.Gaits[g].Name)
	switch len(uses) {
	case 0:
		return "not played"
	case 1:
		return fmt.Sprintf("entry %d", uses[0]+1)
	}
	var n []string
	for _, i := range uses {
		n = append(n, fmt.Sprint(i+1))
	}
	return "entries " + strings.Join(n, ", ")
}

// items are the gaits that can be added, as a menu has them.
func (k *known) items() []control.MenuItem {
	var items []control.MenuItem
	for i := range k.all {
		items = append(items, control.MenuItem{Text: k.all[i].Name, Note: "duty factor " + draw.Number(k.all[i].Duty, 2)})
	}
	if k.why != nil {
		return append(items, control.MenuItem{Text: "by rows", Note: "the legs do not stand in two even rows", Off: true, Apart: true})
	}
	return append(items, control.MenuItem{Text: "wave of a duty factor", Apart: true})
}

// head chooses the gait, and says where it is played.
func (p *Panel) head(gtx layout.Context, th *look.Theme, d *document.Document, w place) layout.Dimensions {
	if p.asked != nothing {
		return p.asking(gtx, th)
	}
	f := d.File()
	var items []control.MenuItem
	for i := range f.Gaits {
		items = append(items, control.MenuItem{Text: f.Gaits[i].Name, Note: played(f, i), On: i == w.gait})
	}
	where := "not played yet"
	if w.entry >= 0 {
		where = fmt.Sprintf("entry %d", w.entry+1)
		if name := f.Sequence[w.entry].Name; name != "" {
			where += ", " + name
		}
	} else if slices.Contains(kindsOf(f, edit.GaitUses(f, f.Gaits[w.gait].Name)), "recover") {
		where = "recovers only"
	}
	choose := control.Drop(th, &p.gaits, f.Gaits[w.gait].Name, items...)
	choose.Face.Label = "gait that is shaped"
	return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Max.X = min(gtx.Constraints.Max.X, gtx.Dp(150))
			return choose.Layout(gtx)
		}),
		look.Gap(1),
		layout.Rigid(control.DropSign(th, &p.library, look.Plus, "add a gait", p.known.items()...).Layout),
		layout.Rigid(control.DropSign(th, &p.acts, look.More, "more for this gait",
			control.MenuItem{Text: "Rename"}, control.MenuItem{Text: "Duplicate"}, control.MenuItem{Text: "Delete", Glyph: look.Bin, Apart: true},
		).Layout),
		look.Gap(2),
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min.X = gtx.Constraints.Max.X
			return layout.E.Layout(gtx, th.Note(where).Layout)
		}),
	)
}

func kindsOf(f *workfile.File, entries []int) []string {
	var out []string
	for _, i := range entries {
		out = append(out, f.Sequence[i].Kind)
	}
	return out
}

// asking is the head while something is asked.
func (p *Panel) asking(gtx layout.Context, th *look.Theme) layout.Dimensions {
	label, do := "name of the gait", "Rename"
	var field layout.Widget = func(gtx layout.Context) layout.Dimensions {
		gtx.Constraints.Min.X = gtx.Constraints.Max.X
		return control.Words(th, &p.answer, label).Layout(gtx)
	}
	if p.asked == waveDuty {
		label, do = "duty factor of the wave", "Add"
		field = func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min.X = 0
			return control.Amount(th, &p.duty, label).Layout(gtx)
		}
	}
	return layout.Flex{Alignment: layout.Start}.Layout(gtx,
		layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			return layout.Inset{Top: 6}.Layout(gtx, th.Quiet(label).Layout)
		}), look.Gap(2),
		layout.Flexed(1, field), look.Gap(2),
		layout.Rigid(control.Push(th, &p.yes, do).As(control.Primary).Layout), look.Gap(1),
		layout.Rigid(control.Push(th, &p.no, "Cancel").Layout))
}

// empty is shown where the file has no gait.
func (p *Panel) empty(gtx layout.Context, th *look.Theme, d *document.Document) layout.Dimensions {
	size := gtx.Constraints.Max
	gtx.Constraints.Min = image.Point{}
	layout.UniformInset(16).Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		text := th.Para("A gait says when each leg stands and swings. Begin with one of those that are known for the robot's legs, and shape it then.")
		text.Color = th.Dim
		parts := []layout.Widget{
			control.Natural(th.Head("There is no gait yet").Layout), control.Natural(text.Layout),
			control.Natural(control.Drop(th, &p.library, "Add a gait", p.known.items()...).Layout),
		}
		if p.asked != nothing {
			parts = append(parts, func(gtx layout.Context) layout.Dimensions { return p.asking(gtx, th) })
		}
		if p.said != "" {
			parts = append(parts, func(gtx layout.Context) layout.Dimensions { return p.refusal(gtx, th) })
		}
		return control.Column(gtx, 2, parts...)
	})
	return layout.Dimensions{Size: size}
}
