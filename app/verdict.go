// SPDX-License-Identifier: MIT

package app

import (
	"errors"
	"fmt"
	"image"

	"gioui.org/layout"

	"gaitwright/app/document"
	"gaitwright/app/draw"
	"gaitwright/app/look"
	"gaitwright/motion/review"
)

// verdictLine is the line that is always visible: may this run on the robot,
// and what stops it.
type verdictLine struct {
	robot robotSign
}

// verdict says what the line says: a glyph, a tone, and a sentence.
func (w *Workbench) judge() (g look.Glyph, tone look.Tone, head, rest string) {
	th := w.th
	if err := w.doc.Err(); err != nil {
		return look.Warning, th.Caution, "Not taken.", w.whyRefused(err)
	}
	found := w.doc.Result().Findings
	stops := review.Stops(found)
	cautions := len(found) - stops
	rest = w.aside()
	if w.doc.OnStand() {
		rest += "On the stand: checks that need the ground are off. "
	}
	if w.doc.Coarse() {
		rest += "Sampled coarsely while dragging. "
	}
	switch {
	case stops > 0:
		f := &found[0] // what others follow from comes first
		return look.Halt, th.Stop, fmt.Sprintf("Do not run this on the robot: %s.", count(stops, "stop")),
			rest + fmt.Sprintf("First: %s, %s", f.Word, w.where(f))
	case cautions > 0:
		return look.Warning, th.Caution, fmt.Sprintf("Nothing forbids a run; look first at %s.", count(cautions, "caution")), rest
	}
	if w.doc.OnStand() {
		return look.Info, th.Accent, "On the stand: nothing found in reach, joints and legs.",
			w.aside() + "Standing, sliding and touching the ground are not judged."
	}
	if len(w.doc.File().Sequence) == 0 && !w.doc.Showing() {
		rest += "The robot only stands: nothing is played yet. "
	}
	return look.Tick, th.Fine, "The review found nothing.", rest + "First run on a stand, at low speed, hands and face away."
}

// whyRefused says in plain words why a change was not taken.
func (w *Workbench) whyRefused(err error) string {
	if !errors.Is(err, document.ErrShowing) {
		return onScreen(document.Reason(err))
	}
	switch {
	case w.snapshotShows():
		return "A snapshot shows. Go back to the file (C), then change it."
	case w.liveOn():
		return "The robot walks live. Go back to the file (Esc), then change it."
	case w.trying():
		return "A change is tried. Go back to the file (Esc), then change it."
	}
	return "It can be changed now: try again."
}

// aside says what shows in place of the file's motion.
func (w *Workbench) aside() string {
	switch {
	case w.liveOn():
		return "Walking live, last 8 s. "
	case w.trying():
		return "Trying " + w.trialTitle() + ". "
	case w.snapshotShows():
		return "This is " + snapshotName(w.versus.shows) + ", not the file. "
	}
	return ""
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// where says in which entry, leg and joint a finding is, and when.
func (w *Workbench) where(f *review.Finding) string {
	s := f.Entry
	if s == "" {
		s = "robot"
	}
	if leg := w.legName(f.Leg); leg != "" {
		s += ", leg " + leg
		if f.Joint >= 0 {
			s += " " + jointName(f.Joint)
		}
	}
	if f.Part >= 0 {
		s += fmt.Sprintf(", %.2f s", f.Worst)
	}
	return s
}

func (w *Workbench) legName(i int) string {
	legs := w.doc.Result().Built.Robot.Legs
	if i < 0 || i >= len(legs) {
		return ""
	}
	return legs[i].Name
}

func (v *verdictLine) layout(gtx layout.Context, w *Workbench) layout.Dimensions {
	g, tone, head, rest := w.judge()
	size := image.Pt(gtx.Constraints.Max.X, gtx.Dp(w.low(32, 28)))
	gtx.Constraints = layout.Exact(size)
	draw.Rect(gtx.Ops, image.Rectangle{Max: size}, tone.Wash)
	draw.Rect(gtx.Ops, image.Rect(0, 0, gtx.Dp(5), size.Y), tone.Ink)
	return inMiddle(gtx, func(gtx layout.Context) layout.Dimensions {
		return layout.Inset{Left: 16, Right: 12}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
			return v.robot.beside(gtx, w, layout.Flex{Alignment: layout.Middle},
				layout.Rigid(func(gtx layout.Context) layout.Dimensions { return w.th.Glyph(gtx, g, 20, tone.Ink) }),
				look.Gap(2),
				layout.Rigid(func(gtx layout.Context) layout.Dimensions {
					l := w.th.Strong(head)
					l.TextSize, l.Color = look.Title, tone.Ink
					return l.Layout(gtx)
				}),
				look.Gap(3),
				layout.Flexed(1, w.th.Label(look.Body, w.th.Text, rest).Layout),
			)
		})
	})
}
