// SPDX-License-Identifier: MIT

package limits

import (
	"image"
	"strings"
	"testing"

	"gioui.org/io/key"
	"gioui.org/layout"

	"gaitwright/app/document"
	"gaitwright/app/drive"
	"gaitwright/app/look"
	"gaitwright/assets"
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

func open(t testing.TB, text []byte) *rig {
	t.Helper()
	return openAt(t, text, image.Pt(484, 346), 1)
}

func openAt(t testing.TB, text []byte, size image.Point, scale float32) *rig {
	t.Helper()
	d, err := document.Open("", "demo", text)
	if err != nil {
		t.Fatal(err)
	}
	r := &rig{th: look.New(false), doc: d}
	r.at.Finding = -1
	size = image.Pt(int(float32(size.X)*scale), int(float32(size.Y)*scale))
	r.Tester = drive.For(t, drive.NewScaled(size, scale, func(gtx layout.Context) layout.Dimensions {
		return r.panel.Layout(gtx, r.th, r.doc, &r.at)
	}))
	r.Settle()
	return r
}

// reach goes on by Tab until a field has the keys.
func (r *rig) reach(name string) {
	r.T.Helper()
	for i := range r.panel.all {
		if r.panel.all[i].Name != name {
			continue
		}
		for range 60 {
			if r.Focused(r.panel.rows[i].field.Tag()) {
				return
			}
			r.Tab(false)
			r.Settle()
		}
	}
	r.T.Fatalf("Tab does not reach %q", name)
}

// Every setting is reached by Tab, takes a number, is one undo step, can be set
// back, and can be taken back.
func TestSetAndSetBack(t *testing.T) {
	r := open(t, assets.Demo)
	was := r.doc.File().Clone()
	for i := range r.panel.all {
		s := &r.panel.all[i]
		text := "0.9"
		switch {
		case s.Key == "review_hz":
			text = "120"
		case s.Key == "voltage_v":
			text = "7.1"
		}
		_, given := s.Value(was)
		r.reach(s.Name)
		r.Type(text)
		r.Press(key.NameReturn, 0)
		r.Settle()
		v, set := s.Value(r.doc.File())
		if !set || strings.TrimRight(amount(s, v), " mVHzAΩs/°") == "" || v == 0 || r.doc.File().Equal(was) {
			t.Errorf("%s: %v, set %v (%s)", s.Key, v, set, r.panel.said)
			continue
		}
		if label, _ := r.doc.CanUndo(); label != "set the "+s.Name {
			t.Errorf("%s: the step is called %q", s.Key, label)
		}
		r.MustFind("set the " + s.Name + " back")
		r.Tab(false)
		r.Settle()
		if !r.Focused(r.panel.rows[i].back.Tag()) {
			t.Fatalf("%s: Tab does not go on to what sets it back", s.Key)
		}
		r.Press(key.NameReturn, 0)
		r.Settle()
		if _, set := s.Value(r.doc.File()); set {
			t.Errorf("%s: not set back (%s)\n%+v", s.Key, r.panel.said, r.MustFind("set the "+s.Name+" back").Desc)
		}
		if !given && !r.doc.File().Equal(was) {
			t.Errorf("%s: the file is not as it was", s.Key)
		}
		r.doc.Undo()
		r.doc.Undo()
		if _, more := r.doc.CanUndo(); more || !r.doc.File().Equal(was) {
			t.Errorf("%s: two undos do not take both edits back", s.Key)
		}
		r.Settle()
	}
}

// A limit changes what the review says, and setting it back takes that away.
func TestLimitChangesTheReview(t *testing.T) {
	r := open(t, assets.Demo)
	if n := len(r.doc.Result().Findings); n != 0 {
		t.Fatalf("the demo has %d findings", n)
	}
	r.reach("stability margin")
	r.Type("90")
	r.Press(key.NameReturn, 0)
	r.Settle()
	found := r.doc.Result().Findings
	if len(found) == 0 || found[0].Word != "tips-slow" {
		t.Errorf("%+v", found)
	}
	// An emptied field sets back too.
	r.Press(key.NameEscape, 0)
	r.reach("stability margin")
	for range 8 {
		r.Press(key.NameDeleteBackward, 0)
	}
	r.Press(key.NameReturn, 0)
	r.Settle()
	if _, set := r.panel.all[0].Value(r.doc.File()); set || len(r.doc.Result().Findings) != 0 {
		t.Errorf("set %v, %d findings", set, len(r.doc.Result().Findings))
	}
}

// What the workfile does not take is refused with a sentence, and the file
// stays as it was.
func TestRefusal(t *testing.T) {
	r := open(t, assets.Demo)
	was := r.doc.File().Clone()
	r.reach("share of the no-load speed") // (0,1]: the field lets 0 through
	r.Type("0")
	r.Press(key.NameReturn, 0)
	r.Settle()
	if !r.doc.File().Equal(was) || !strings.HasPrefix(r.panel.said, "0 is out of range; ") {
		t.Errorf("%q", r.panel.said)
	}
	r.MustFind(r.panel.said)
	// Mixed servos and a resistance, without a voltage: nobody knows what sags.
	if err := r.doc.Change("mixed", func(f *workfile.File) {
		for name, s := range f.Servos {
			s.Voltage++
			f.Servos["other"] = s
			_ = name
			break
		}
		f.Legs[0].Coxa.Servo, f.Supply = "other", workfile.Supply{}
	}); err != nil {
		t.Fatal(err)
	}
	r.Settle()
	r.reach("resistance")
	r.Type("30")
	r.Press(key.NameReturn, 0)
	r.Settle()
	if r.doc.File().Supply.Resistance != nil || !strings.Contains(r.panel.said, "nobody knows what sags") {
		t.Errorf("%q", r.panel.said)
	}
}
