// SPDX-License-Identifier: MIT

package machine

import (
	"image"
	"testing"
	"time"

	"gioui.org/f32"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/layout"

	"gaitwright/app/document"
	"gaitwright/app/drive"
	"gaitwright/app/look"
)

// rig is a panel under test.
type rig struct {
	*drive.Tester
	panel Panel
	th    *look.Theme
	doc   *document.Document
	at    document.Place
	clock time.Duration // of the pointer held by press

	typing bool // what the panel said in the last frame
	away   bool // the panel is not laid out
}

// usual is the room that the panel has in a window of 1280 by 800.
func usual() image.Point { return image.Pt(484, 380) }

func open(t testing.TB, text []byte, page int) *rig {
	t.Helper()
	return openAs(t, text, page, false, usual(), 1)
}

func openAs(t testing.TB, text []byte, page int, dark bool, size image.Point, scale float32) *rig {
	t.Helper()
	d, err := document.Open("", "demo", text)
	if err != nil {
		t.Fatal(err)
	}
	r := &rig{th: look.New(dark), doc: d, clock: time.Hour}
	r.at = document.Place{Finding: -1, Speed: 1}
	r.panel.pages.Value = page
	r.Tester = drive.For(t, drive.NewScaled(size, scale, func(gtx layout.Context) layout.Dimensions {
		r.at.Tidy(r.doc)
		r.typing = r.panel.Typing(gtx)
		if r.away {
			r.panel.Update(gtx, r.doc)
			return layout.Dimensions{Size: gtx.Constraints.Max}
		}
		return r.panel.Layout(gtx, r.th, r.doc, &r.at)
	}))
	r.Settle()
	return r
}

// spot gives the centre of what is drawn under a name.
func (r *rig) spot(name string) f32.Point {
	r.T.Helper()
	b := r.MustFind(name).Desc.Bounds
	return f32.Pt(float32(b.Min.X+b.Max.X)/2, float32(b.Min.Y+b.Max.Y)/2)
}

// enter types a number or a text into the field with a spoken name.
func (r *rig) enter(field, text string) {
	r.T.Helper()
	r.Click(field)
	r.Press("A", key.ModShortcut)
	if text == "" {
		r.Press(key.NameDeleteBackward, 0)
	}
	r.Type(text)
	r.Press(key.NameReturn, 0)
	r.Settle()
}

func (r *rig) pointer(k pointer.Kind, p f32.Point, b pointer.Buttons) {
	r.clock += 16 * time.Millisecond
	r.Queue(pointer.Event{Kind: k, Source: pointer.Mouse, Buttons: b, Position: p, Time: r.clock})
	r.Frame()
}

// file is the workfile as text.
func (r *rig) file() string {
	r.T.Helper()
	b, err := r.doc.File().Encode()
	if err != nil {
		r.T.Fatalf("%v", err)
	}
	return string(b)
}
