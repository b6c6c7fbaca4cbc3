// SPDX-License-Identifier: MIT

package app

import (
	"image"

	"gioui.org/layout"

	"gaitwright/app/camera"
	"gaitwright/app/control"
	"gaitwright/app/draw"
	"gaitwright/app/look"
)

// topBar holds what concerns the file.
type topBar struct {
	open, save, saveAs, undo, redo, weigh, export, light control.Button
}

// button makes the button of an action.
func (w *Workbench) button(b *control.Button, id string, text bool) layout.Widget {
	a := w.act(id)
	return func(gtx layout.Context) layout.Dimensions {
		if b.Update(gtx) && w.able(a) {
			a.do()
		}
		hint := a.words + " (" + a.say + ")"
		if text {
			return control.Push(w.th, b, a.words).WithGlyph(a.glyph).WithHint(hint).When(w.able(a)).Layout(gtx)
		}
		return control.Sign(w.th, b, a.glyph, a.words).WithHint(hint).When(w.able(a)).Layout(gtx)
	}
}

func (t *topBar) layout(gtx layout.Context, w *Workbench) layout.Dimensions {
	size := image.Pt(gtx.Constraints.Max.X, gtx.Dp(44))
	gtx.Constraints = layout.Exact(size)
	if t.light.Update(gtx) {
		w.th = look.New(!w.th.Dark)
	}
	draw.Rect(gtx.Ops, image.Rectangle{Max: size}, w.th.Panel)
	return inMiddle(gtx, func(gtx layout.Context) layout.Dimensions {
		return layout.Inset{Left: 12, Right: 12}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
			return layout.Flex{Alignment: layout.Middle}.Layout(gtx,
				layout.Rigid(func(gtx layout.Context) layout.Dimensions {
					l := w.th.Strong(w.Name())
					l.TextSize = look.Title
					return l.Layout(gtx)
				}),
				look.Gap(2),
				layout.Rigid(func(gtx layout.Context) layout.Dimensions {
					s := "saved"
					if w.doc.Dirty() {
						s = "not saved"
					} else if w.doc.Path == "" {
						s = "built in; saving makes a file of it"
					}
					return w.th.Label(look.Small, w.th.Dim, s).Layout(gtx)
				}),
				layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
					return layout.Inset{Left: 16, Right: 16}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
						return w.notice.layout(gtx, w)
					})
				}),
				layout.Rigid(w.button(&t.undo, "undo", false)),
				look.Gap(1),
				layout.Rigid(w.button(&t.redo, "redo", false)),
				look.Gap(4),
				layout.Rigid(w.button(&t.open, "open", true)),
				look.Gap(1),
				layout.Rigid(w.button(&t.save, "save", true)),
				look.Gap(1),
				layout.Rigid(w.button(&t.saveAs, "save as", true)),
				look.Gap(4),
				layout.Rigid(w.button(&t.weigh, "weigh", true)),
				look.Gap(1),
				layout.Rigid(func(gtx layout.Context) layout.Dimensions {
					a := w.act("export")
					if t.export.Update(gtx) && w.able(a) {
						a.do()
					}
					return control.Push(w.th, &t.export, "Table for the firmware").As(control.Primary).When(w.able(a)).Layout(gtx)
				}),
				look.Gap(2),
				layout.Rigid(func(gtx layout.Context) layout.Dimensions {
					g, s := look.Sun, "Light look"
					if !w.th.Dark {
						g, s = look.Moon, "Dark look"
					}
					return control.Sign(w.th, &t.light, g, s).Layout(gtx)
				}),
			)
		})
	})
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
