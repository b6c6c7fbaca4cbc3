// SPDX-License-Identifier: MIT

package app

import (
	"errors"
	"fmt"
	"image"

	"gioui.org/io/key"
	"gioui.org/layout"

	"gaitwright/app/changes"
	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/sweep"
)

// trial is the mode in which a change of the map shows in place of the file's
// motion.
type trial struct {
	on    bool
	name  string // of the change
	cell  sweep.Cell
	asked float64        // when it is asked for, s
	rest  document.Place // where the person looked before

	start, worst, again, end control.Button
}

// trying tells whether a change of the map shows.
func (w *Workbench) trying() bool { return w.trial.on }

// every opens the map of every change.
func (w *Workbench) every() {
	w.endTrial()
	w.doc.Drop()
	w.modal.kind = changesModal
	w.modal.card.Open(w.modal.changes.Open(w.doc, w.cfg.Wake))
}

func (m *modal) layoutChanges(gtx layout.Context, w *Workbench) {
	switch m.changes.Layout(gtx, w.th, &m.card, w.doc) {
	case changes.Left:
		m.close()
	case changes.Chosen:
		name, c, ok := m.changes.Chosen()
		if !ok {
			return
		}
		if err := w.try(name, c); err != nil {
			m.changes.Fail(err)
			return
		}
		m.close()
		gtx.Execute(key.FocusCmd{}) // the keys are the window's again
	}
}

var errNoScript = errors.New("the file has no such change")

// try shows a change of the map at the instant at which it is asked for.
func (w *Workbench) try(name string, c sweep.Cell) error {
	f := w.doc.File().Clone()
	f.Sequence = sweep.Script(f, c)
	if f.Sequence == nil {
		return errNoScript
	}
	r, err := rehearsal.Run(f, rehearsal.Options{OnStand: w.doc.OnStand()})
	if err != nil {
		return err
	}
	asked, ok := requested(r, &c)
	if !ok {
		return errNoScript
	}
	w.endLive()
	w.endTrial()
	w.trial = trial{on: true, name: name, cell: c, asked: asked, rest: w.at}
	w.at.Held, w.at.Finding, w.at.Playing = nil, -1, false
	w.shapes.Value = -1
	w.time.ShowAll()
	w.doc.Show(r)
	w.at.GoTo(w.doc, asked)
	return nil
}

// requested gives when the change of a cell is asked for, s: where the second
// walk of its run begins, or by the time that the way into the move takes.
func requested(r *rehearsal.Rehearsal, c *sweep.Cell) (at float64, ok bool) {
	parts := r.Trajectory.Parts
	if len(parts) < 3 {
		return 0, false
	}
	if c.To < 0 && c.Time == c.Time {
		return parts[2].From - c.Time, true
	}
	return parts[1].To, true
}

// endTrial shows the file's motion again.
func (w *Workbench) endTrial() {
	w.endFlip()
	if !w.trying() {
		return
	}
	w.doc.Show(nil)
	w.at = w.trial.rest
	w.at.Playing = false
	w.trial = trial{}
	w.shapes.Value = w.shaped
	w.time.ShowAll()
	w.at.Tidy(w.doc)
}

// trialTitle names what is tried.
func (w *Workbench) trialTitle() string { return changes.Title(w.trial.name, &w.trial.cell) }

// trialActions are what a person can do while a change is tried.
func (w *Workbench) trialActions() []action {
	return []action{{
		id: "end trial", words: "Back to the file", glyph: look.Close, say: "Esc", can: always, do: w.endTrial,
		keys: []key.Filter{{Name: key.NameEscape}}, plain: true, mode: whileTrying,
	}}
}

// layout draws the right column while a change is tried.
func (p *trial) layout(gtx layout.Context, w *Workbench) layout.Dimensions {
	th := w.th
	size := gtx.Constraints.Max
	draw.Rect(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	if p.start.Update(gtx) {
		w.at.Playing = false
		w.at.GoTo(w.doc, p.asked)
	}
	known := p.cell.At == p.cell.At
	if p.worst.Update(gtx) && known {
		w.at.Playing = false
		w.at.GoTo(w.doc, p.asked+p.cell.At)
	}
	row := func(c layout.Widget) layout.FlexChild {
		return layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			return layout.Inset{Left: 10, Right: 10, Top: 8}.Layout(gtx, c)
		})
	}
	title := th.Head("Trying " + w.trialTitle())
	title.MaxLines = 3
	sign, ink := look.Tick, th.Fine.Ink
	switch {
	case p.cell.Bad():
		sign, ink = look.Halt, th.Stop.Ink
	case p.cell.Cautions > 0:
		sign, ink = look.Warning, th.Caution.Ink
	}
	rows := []layout.FlexChild{row(title.Layout), row(func(gtx layout.Context) layout.Dimensions {
		return layout.Flex{}.Layout(gtx,
			layout.Rigid(func(gtx layout.Context) layout.Dimensions { return th.Glyph(gtx, sign, 15, ink) }),
			look.Gap(1.5), layout.Flexed(1, th.Para(sentence(changes.Said(&p.cell))).Layout))
	})}
	for _, f := range changes.Facts(&p.cell) {
		rows = append(rows, layout.Rigid(func(gtx layout.Context) layout.Dimensions {
			return layout.Inset{Left: 10, Right: 10, Top: 4}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
				return layout.Flex{Alignment: layout.Baseline}.Layout(gtx,
					layout.Flexed(1, th.Quiet(f.Name).Layout), layout.Rigid(th.Plain(f.Value).Layout))
			})
		}))
	}
	wide := func(b layout.Widget) layout.FlexChild {
		return layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min.X = gtx.Constraints.Max.X
			return b(gtx)
		})
	}
	pair := func(a, b layout.Widget) layout.FlexChild {
		return row(func(gtx layout.Context) layout.Dimensions {
			return layout.Flex{Gap: gtx.Dp(6)}.Layout(gtx, wide(a), wide(b))
		})
	}
	again, end := w.act("changes"), w.act("end trial")
	said := th.Note(fmt.Sprintf("Asked for at %s s of what plays here. The numbers are those of the map: on the ground, from the request on. "+
		"The list of findings is of all that plays. The file stays as it is; it cannot be changed meanwhile.", draw.Number(p.asked, 2)))
	said.MaxLines = 0
	rows = append(rows,
		pair(control.Push(th, &p.start, "To the request").Layout,
			control.Push(th, &p.worst, "To the smallest margin").When(known).Layout),
		pair(control.Push(th, &p.again, "Back to the map").WithHint(again.words+" ("+again.say+")").Layout,
			control.Push(th, &p.end, end.words).WithHint(end.words+" ("+end.say+")").As(control.Primary).Layout),
		row(said.Layout),
	)
	layout.Flex{Axis: layout.Vertical}.Layout(gtx, rows...)
	switch { // last: both end what is drawn here
	case p.again.Update(gtx):
		again.do()
	case p.end.Update(gtx):
		end.do()
	}
	return layout.Dimensions{Size: size}
}
