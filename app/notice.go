// SPDX-License-Identifier: MIT

package app

import (
	"image"
	"time"

	"gioui.org/layout"
	"gioui.org/op"

	"gaitwright/app/look"
)

// noticeTime is how long a notice of success stays; one of failure stays
// until the next.
const noticeTime = 8 * time.Second

// notice is what the last action has to say.
type notice struct {
	text  string
	bad   bool
	till  time.Time
	live  bool
	holds func() bool // tells whether what it says still holds, nil for always
}

func (n *notice) say(text string) { *n = notice{text: text, live: true} }

// about says what holds only until it is taken back.
func (n *notice) about(text string, holds func() bool) {
	*n = notice{text: text, live: true, holds: holds}
}

func (n *notice) fail(err error) { *n = notice{text: err.Error(), bad: true, live: true} }

func (n *notice) layout(gtx layout.Context, w *Workbench) layout.Dimensions {
	room := layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, 0)}
	if n.holds != nil && !n.holds() {
		*n = notice{}
	}
	if n.text == "" {
		return room
	}
	if n.live {
		n.live = false
		n.till = gtx.Now.Add(noticeTime)
	}
	c := w.th.Dim
	if n.bad {
		c = w.th.Stop.Ink
	} else if gtx.Now.After(n.till) {
		n.text = ""
		return room
	} else {
		gtx.Execute(op.InvalidateCmd{At: n.till})
	}
	l := w.th.Label(look.Body, c, n.text)
	l.MaxLines = 2
	gtx.Constraints.Min.X = gtx.Constraints.Max.X
	return l.Layout(gtx)
}
