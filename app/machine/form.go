// SPDX-License-Identifier: MIT

package machine

import (
	"image"

	"gioui.org/layout"

	"gaitwright/app/control"
	"gaitwright/app/look"
)

// sheet collects the rows of a form.
type sheet struct {
	th   *look.Theme
	rows []layout.Widget
}

func (s *sheet) add(w ...layout.Widget) { s.rows = append(s.rows, w...) }

// head begins a section.
func (s *sheet) head(title string, trailing ...layout.Widget) {
	first := len(s.rows) == 0
	s.add(func(gtx layout.Context) layout.Dimensions {
		in := layout.Inset{Top: look.Unit * 2, Bottom: look.Unit}
		if first {
			in.Top = 0
		}
		return in.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
			return control.Header(gtx, s.th, title, trailing...)
		})
	})
}

// line has a name at the left and a control at the right end.
func (s *sheet) line(name string, w ...layout.Widget) {
	s.add(func(gtx layout.Context) layout.Dimensions {
		return layout.Inset{Bottom: look.Unit}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min.Y = 0
			all := []layout.FlexChild{layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
				size := image.Pt(gtx.Constraints.Max.X, gtx.Dp(look.Control))
				gtx.Constraints = layout.Exact(size)
				return layout.W.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
					gtx.Constraints.Min = image.Point{}
					l := s.th.Quiet(name)
					l.Truncator = "…"
					return l.Layout(gtx)
				})
			})}
			for _, w := range w {
				all = append(all, layout.Rigid(w))
			}
			return layout.Flex{Gap: gtx.Dp(look.Unit)}.Layout(gtx, all...)
		})
	})
}

// say is a paragraph of second rank.
func (s *sheet) say(text string) {
	s.add(func(gtx layout.Context) layout.Dimensions {
		return layout.Inset{Bottom: look.Unit * 2}.Layout(gtx, control.NotePara(s.th, text))
	})
}

// warn is a sentence with a sign.
func (s *sheet) warn(text string) {
	s.add(func(gtx layout.Context) layout.Dimensions { return sentence(gtx, s.th, text) })
}

// act has buttons in a row.
func (s *sheet) act(w ...layout.Widget) {
	s.add(func(gtx layout.Context) layout.Dimensions {
		return layout.Inset{Bottom: look.Unit * 2}.Layout(gtx, control.Natural(func(gtx layout.Context) layout.Dimensions {
			return control.Bar(gtx, 1, w...)
		}))
	})
}

// sentence shows a remark with a sign that says the same as its colour.
func sentence(gtx layout.Context, th *look.Theme, text string) layout.Dimensions {
	return layout.Inset{Bottom: look.Unit}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		return layout.Flex{Gap: gtx.Dp(look.Unit)}.Layout(gtx,
			layout.Rigid(func(gtx layout.Context) layout.Dimensions { return th.Glyph(gtx, look.Warning, 14, th.Caution.Ink) }),
			layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
				l := th.Label(look.Small, th.Caution.Ink, text)
				l.MaxLines = 0
				return l.Layout(gtx)
			}),
		)
	})
}
