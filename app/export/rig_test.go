// SPDX-License-Identifier: MIT

package export

import (
	"image"
	"strings"
	"testing"
	"time"

	"gioui.org/io/key"
	"gioui.org/layout"

	"gaitwright/app/control"
	"gaitwright/app/document"
	"gaitwright/app/drive"
	"gaitwright/app/look"
)

// rig is a card under test.
type rig struct {
	*drive.Tester
	card   Card
	modal  control.Modal
	doc    *document.Document
	folder string
	answer Answer // the last one but Open
}

func open(t testing.TB, text []byte) *rig {
	t.Helper()
	return openAs(t, text, true, image.Pt(1280, 800), 1)
}

func openAs(t testing.TB, text []byte, dark bool, size image.Point, scale float32) *rig {
	t.Helper()
	d, err := document.Open("", "demo", text)
	if err != nil {
		t.Fatal(err)
	}
	r := &rig{doc: d}
	th := look.New(dark)
	r.modal.Open(r.card.Open(d, "demo", true, nil))
	r.Tester = drive.For(t, drive.NewScaled(size, scale, func(gtx layout.Context) layout.Dimensions {
		if r.modal.IsOpen() {
			if a := r.card.Layout(gtx, th, &r.modal); a != Open {
				r.answer = a
				r.modal.Close()
			}
		}
		return layout.Dimensions{Size: gtx.Constraints.Max}
	}))
	r.folder = t.TempDir()
	r.card.folder.Value = r.folder
	r.wait()
	return r
}

// wait lets what is chosen be worked out.
func (r *rig) wait() {
	r.T.Helper()
	for range 3000 {
		r.Settle()
		if r.card.Ready() {
			r.Settle()
			return
		}
		time.Sleep(5 * time.Millisecond)
	}
	r.T.Fatalf("nothing comes of the choices")
}

// choose presses what is named, one after the other.
func (r *rig) choose(labels ...string) {
	r.T.Helper()
	for _, l := range labels {
		r.Click(l)
		r.Settle()
	}
	r.wait()
}

// enter types into the field with a spoken name.
func (r *rig) enter(field, text string) {
	r.T.Helper()
	r.Click(field)
	r.Press("A", key.ModShortcut)
	r.Type(text)
	r.Press(key.NameReturn, 0)
	r.wait()
}

// texts is all that is written on the card.
func (r *rig) texts() string {
	var b strings.Builder
	for _, n := range r.Nodes() {
		b.WriteString(n.Desc.Label + "\n" + n.Desc.Description + "\n")
	}
	return b.String()
}

// says looks for words on the card.
func (r *rig) says(words ...string) {
	r.T.Helper()
	all := r.texts()
	for _, s := range words {
		if !strings.Contains(all, s) {
			r.T.Fatalf("the card does not say %q:\n%s", s, all)
		}
	}
}
