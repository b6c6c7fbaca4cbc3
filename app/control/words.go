// SPDX-License-Identifier: MIT

package control

import (
	"image/color"
	"strings"
	"unicode"
	"unicode/utf8"

	"gioui.org/layout"

	"gaitwright/app/look"
)

// Para lays a text out over as many lines as it takes.
func Para(th *look.Theme, s string) layout.Widget { return th.Para(s).Layout }

// QuietPara is a text of second rank over as many lines as it takes.
func QuietPara(th *look.Theme, s string) layout.Widget {
	l := th.Para(s)
	l.Color = th.Dim
	return l.Layout
}

// StrongPara is a bold text over as many lines as it takes.
func StrongPara(th *look.Theme, s string) layout.Widget {
	l := th.Strong(s)
	l.MaxLines = 0
	return l.Layout
}

// NotePara is a small text of second rank over as many lines as it takes.
func NotePara(th *look.Theme, s string) layout.Widget {
	l := th.Note(s)
	l.MaxLines = 0
	return l.Layout
}

// Remark is a text in a colour behind a sign that says the same.
func Remark(th *look.Theme, g look.Glyph, ink color.NRGBA, s string) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		return layout.Flex{Gap: gtx.Dp(look.Unit * 2)}.Layout(gtx,
			layout.Rigid(func(gtx layout.Context) layout.Dimensions { return th.Glyph(gtx, g, 16, ink) }),
			layout.Flexed(1, func(gtx layout.Context) layout.Dimensions {
				l := th.Para(s)
				l.Color = ink
				return l.Layout(gtx)
			}),
		)
	}
}

// Refusal says why something was not done.
func Refusal(th *look.Theme, s string) layout.Widget {
	return Remark(th, look.Warning, th.Stop.Ink, s)
}

// Capital begins a text with a capital letter, but for the sign of a millionth,
// whose capital means another thing.
func Capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 || r == utf8.RuneError || r == 'µ' {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}

// Sentence is a text with a capital letter and an end, which it may have.
func Sentence(s string) string {
	s = Capital(strings.TrimSpace(s))
	if s == "" || strings.ContainsRune(".!?…", rune(s[len(s)-1])) || strings.HasSuffix(s, "…") {
		return s
	}
	return s + "."
}
