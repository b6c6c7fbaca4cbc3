// SPDX-License-Identifier: MIT

package sequence

import (
	"image"
	"testing"

	"gioui.org/layout"

	"gaitwright/app/document"
	"gaitwright/app/drive"
	"gaitwright/app/look"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/workfile"
)

// rig is a panel under test.
type rig struct {
	*drive.Tester
	panel Panel
	th    *look.Theme
	doc   *document.Document
	at    document.Place
}

// The panel's room in the usual window and in a small one, dp.
var (
	usual = image.Pt(484, 346)
	small = image.Pt(389, 302)
)

func open(t testing.TB, text []byte) *rig {
	t.Helper()
	return openAt(t, text, usual, 1)
}

func openAt(t testing.TB, text []byte, size image.Point, scale float32) *rig {
	t.Helper()
	d, err := document.Open("", "demo", text)
	if err != nil {
		t.Fatal(err)
	}
	r := &rig{th: look.New(false), doc: d}
	r.at.Finding = -1
	r.panel.Open = func(int) {}
	size = image.Pt(int(float32(size.X)*scale), int(float32(size.Y)*scale))
	r.Tester = drive.For(t, drive.NewScaled(size, scale, func(gtx layout.Context) layout.Dimensions {
		return r.panel.Layout(gtx, r.th, r.doc, &r.at)
	}))
	r.Settle()
	return r
}

// entry is the chosen entry of the file.
func (r *rig) entry() *workfile.Entry {
	r.T.Helper()
	if r.panel.chosen >= len(r.doc.File().Sequence) {
		r.T.Fatalf("entry %d of %d is chosen", r.panel.chosen, len(r.doc.File().Sequence))
	}
	return &r.doc.File().Sequence[r.panel.chosen]
}

// kinds lists what is played.
func (r *rig) kinds() []string {
	var out []string
	for i := range r.doc.File().Sequence {
		out = append(out, r.doc.File().Sequence[i].Kind)
	}
	return out
}

// plays fails when the file as it stands cannot be written, read and played.
func (r *rig) plays() {
	r.T.Helper()
	text, err := r.doc.File().Encode()
	if err != nil {
		r.T.Fatalf("%v", err)
	}
	f, err := workfile.Read("again", text)
	if err != nil {
		r.T.Fatalf("%v", err)
	}
	if _, err := rehearsal.Run(f, rehearsal.Options{Rate: 50}); err != nil {
		r.T.Fatalf("%v", err)
	}
}

// undone takes one step back and fails when that is not the file as it was.
func (r *rig) undone(was *workfile.File) {
	r.T.Helper()
	r.doc.Undo()
	if _, more := r.doc.CanUndo(); more || !r.doc.File().Equal(was) {
		r.T.Errorf("one undo does not take the edit back")
	}
	r.Settle()
}
