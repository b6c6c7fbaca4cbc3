// SPDX-License-Identifier: MIT

package app

import (
	"image"

	"gioui.org/layout"
	"gioui.org/unit"

	"gaitwright/app/camera"
	"gaitwright/app/control"
	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// topBar holds what concerns the file.
type topBar struct {
	fresh, open, save, saveAs, undo, redo, weigh, export, light, find control.Button

	told control.Tip // the notice in full
}

// button makes the button of an action.
func (w *Workbench) button(b *control.Button, id string, text bool) layout.Widget {
	a := w.act(id)
	return func(gtx layout.Context) layout.Dimensions {
		if b.Update(gtx) && w.able(a) {
			a.do()
		}
		hint := a.words + " (" + a.say + ")"
		if text && !(w.tight && a.glyph != look.NoGlyph) {
			s := control.Push(w.th, b, a.words).WithHint(hint).When(w.able(a))
			if id == "find" { // few signs beside words: this one is looked for
				s = s.WithGlyph(a.glyph)
			}
			return s.Layout(gtx)
		}
		return control.Sign(w.th, b, a.glyph, a.words).WithHint(hint).When(w.able(a)).Layout(gtx)
	}
}

// low gives a height, or a lesser one in a low window.
func (w *Workbench) low(usual, less unit.Dp) unit.Dp {
	if w.isLow {
		return less
	}
	return usual
}

// lowWindow is the height below which bars are lower, dp.
const lowWindow unit.Dp = 420

// Widths of the window, dp, below which the bar leaves out words, and then
// what the search also finds.
const (
	wordyBar unit.Dp = 1180
	wholeBar unit.Dp = 620
)

func (t *topBar) layout(gtx layout.Context, w *Workbench) layout.Dimensions {
	size := image.Pt(gtx.Constraints.Max.X, gtx.Dp(w.low(40, 32)))
	gtx.Constraints = layout.Exact(size)
	if t.light.Update(gtx) {
		w.turnLook()
	}
	w.tight = size.X < gtx.Dp(wordyBar)
	tiny := size.X < gtx.Dp(wholeBar)
	draw.Rect(gtx.Ops, image.Rectangle{Max: size}, w.th.Panel)
	parts := []layout.FlexChild{
		layout.Rigid(w.place(placeFind, w.button(&t.find, "find", true))),
		look.Gap(4),
		layout.Rigid(w.place(placeUndo, w.button(&t.undo, "undo", false))),
		look.Gap(1),
		layout.Rigid(w.button(&t.redo, "redo", false)),
		look.Gap(4),
	}
	add := func(child layout.Widget, gap float32, spare bool) {
		if !spare || !tiny {
			parts = append(parts, layout.Rigid(child), look.Gap(gap))
		}
	}
	add(w.button(&t.fresh, "new", true), 1, true)
	add(w.button(&t.open, "open", true), 1, false)
	add(w.button(&t.save, "save", true), 1, false)
	add(w.button(&t.saveAs, "save as", true), 4, true)
	add(w.button(&t.weigh, "weigh", true), 1, true)
	add(w.place(placeTable, func(gtx layout.Context) layout.Dimensions { return t.table(gtx, w, tiny) }), 2, false)
	add(func(gtx layout.Context) layout.Dimensions {
		g, s := look.Sun, "Light look"
		if !w.th.Dark {
			g, s = look.Moon, "Dark look"
		}
		return control.Sign(w.th, &t.light, g, s).Layout(gtx)
	}, 0, true)
	return inMiddle(gtx, func(gtx layout.Context) layout.Dimensions {
		return layout.Inset{Left: 12, Right: 12}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
			return layout.Flex{Alignment: layout.Middle}.Layout(gtx, append([]layout.FlexChild{
				layout.Flexed(1, func(gtx layout.Context) layout.Dimensions { return t.title(gtx, w, tiny) }),
			}, parts...)...)
		})
	})
}

// title is the file's name, whether it is saved, and the last notice. In little
// room the notice takes the place of the name.
func (t *topBar) title(gtx layout.Context, w *Workbench, tiny bool) layout.Dimensions {
	notice := func(gtx layout.Context) layout.Dimensions {
		// Where there is little room the rest of it shows under the pointer.
		return t.told.Layout(gtx, w.th, w.notice.text, func(gtx layout.Context) layout.Dimensions { return w.notice.layout(gtx, w) })
	}
	if tiny && w.notice.text != "" {
		told := []layout.FlexChild{layout.Flexed(1, notice), look.Gap(2)}
		if w.doc.Dirty() {
			told = append([]layout.FlexChild{layout.Rigid(w.th.Note("not saved").Layout), look.Gap(2)}, told...)
		}
		return layout.Flex{Alignment: layout.Middle}.Layout(gtx, told...)
	}
	l := w.th.Strong(w.Name())
	l.TextSize = look.Title
	s := "saved"
	if w.doc.Dirty() {
		s = "not saved"
	} else if w.doc.Path == "" {
		s = "built in; saving makes a file of it"
	}
	if (tiny || w.tight && w.notice.text != "") && !w.doc.Dirty() {
		s = "" // the title of the window says it too
	}
	return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
		layout.Rigid(l.Layout),
		look.Gap(2),
		layout.Rigid(w.th.Note(s).Layout),
		layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
			return layout.Inset{Left: look.Unit * 4, Right: look.Unit * 4}.Layout(gtx, notice)
		}),
	)
}

// table is the button of the table for the firmware, which stands out.
func (t *topBar) table(gtx layout.Context, w *Workbench, tiny bool) layout.Dimensions {
	a := w.act("export")
	if t.export.Update(gtx) && w.able(a) {
		a.do()
	}
	b := control.Push(w.th, &t.export, "Table for the firmware").As(control.Primary).When(w.able(a)).WithHint(a.hint())
	if tiny {
		b.Label, b.Text, b.Glyph = b.Text, "", look.Paper
	}
	return b.Layout(gtx)
}

// viewBar chooses where the robot view looks from.
type viewBar struct {
	from  control.Choice
	fit   control.Button
	stand control.Toggle
}

var viewOrder = [...]camera.View{camera.Free, camera.Front, camera.Left, camera.Right, camera.Back, camera.Above}

// viewOptions names the views.
func viewOptions() []control.Option {
	o := control.Options("free", "front", "left", "right", "back", "above")
	o[0].Hint = "Drag to look from anywhere; Shift or the second button moves, the wheel zooms"
	return o
}

func (v *viewBar) layout(gtx layout.Context, w *Workbench) layout.Dimensions {
	if v.from.Update(gtx) {
		w.view.Look(viewOrder[v.from.Value])
	}
	now := w.view.Camera.View()
	for i, o := range viewOrder {
		if o == now {
			v.from.Value = i
		}
	}
	if v.stand.Update(gtx) && v.stand.Value != w.doc.OnStand() && !w.doc.Showing() {
		w.toggleStand()
	}
	v.stand.Value = w.doc.OnStand()
	narrow := gtx.Constraints.Max.X < gtx.Dp(viewBarWidth)
	from := layout.Rigid(control.Pick(w.th, &v.from, viewOptions()...).Layout)
	rest := []layout.FlexChild{
		layout.Rigid(w.button(&v.fit, "fit", false)),
		look.Gap(2),
		layout.Rigid(control.Check(w.th, &v.stand, "on a stand").WithHint("Hang the robot: no checks that need the ground (H)").When(!w.doc.Showing()).Layout),
	}
	if narrow {
		return layout.Flex{Axis: layout.Vertical, Gap: gtx.Dp(look.Unit)}.Layout(gtx, from,
			layout.Rigid(func(gtx layout.Context) layout.Dimensions {
				return layout.Flex{Alignment: layout.Middle}.Layout(gtx, rest...)
			}))
	}
	return layout.Flex{Alignment: layout.Middle}.Layout(gtx, append([]layout.FlexChild{from, look.Gap(2)}, rest...)...)
}

// viewBarWidth is what the bar takes on one line.
const viewBarWidth = 400
