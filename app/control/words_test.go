// SPDX-License-Identifier: MIT

package control

import (
	"image"
	"testing"

	"gioui.org/layout"

	"gaitwright/app/drive"
	"gaitwright/app/look"
)

func TestSentence(t *testing.T) {
	for in, want := range map[string]string{
		"": "", "a foot slides": "A foot slides.", " ends already. ": "Ends already.", "µs are short": "µs are short.",
		"really?": "Really?", "wait …": "Wait …", "éclat": "Éclat.", "\xff": "\xff.",
	} {
		if got := Sentence(in); got != want {
			t.Errorf("%q: got %q, want %q", in, got, want)
		}
	}
}

// What wraps stays within the room, and is told whole.
func TestParagraphsWrap(t *testing.T) {
	th := look.New(true)
	const says = "Nothing carries this: no foot is on the ground, and the robot falls freely."
	for name, w := range map[string]layout.Widget{
		"para": Para(th, says), "quiet": QuietPara(th, says), "strong": StrongPara(th, says), "note": NotePara(th, says),
		"remark": Remark(th, look.Info, th.Dim, says), "refusal": Refusal(th, says),
	} {
		var size image.Point
		d := drive.For(t, drive.New(image.Pt(120, 300), func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min = image.Point{}
			size = w(gtx).Size
			return layout.Dimensions{Size: gtx.Constraints.Max}
		}))
		d.Settle()
		d.MustFind(says)
		if line := int(look.Small); size.X > 120 || size.Y < 2*line {
			t.Errorf("%s takes %v", name, size)
		}
	}
}
