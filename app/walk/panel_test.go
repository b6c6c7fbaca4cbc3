// SPDX-License-Identifier: MIT

package walk

import (
	"image"
	"math"
	"strings"
	"testing"
	"time"

	"gioui.org/f32"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"

	"gaitwright/app/document"
	"gaitwright/app/drive"
	"gaitwright/app/look"
	"gaitwright/assets"
	"gaitwright/motion/pace"
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

func open(t testing.TB, text []byte, page int) *rig {
	t.Helper()
	return openAt(t, text, page, image.Pt(480, 400), 1)
}

func openAt(t testing.TB, text []byte, page int, size image.Point, scale float32) *rig {
	t.Helper()
	size = image.Pt(int(float32(size.X)*scale), int(float32(size.Y)*scale))
	d, err := document.Open("", "demo", text)
	if err != nil {
		t.Fatal(err)
	}
	r := &rig{th: look.New(false), doc: d}
	r.at.Finding = -1
	r.panel.pages.Value = page
	r.Tester = drive.For(t, drive.NewScaled(size, scale, func(gtx layout.Context) layout.Dimensions {
		return r.panel.Layout(gtx, r.th, r.doc, &r.at)
	}))
	r.Settle()
	return r
}

// add takes a gait from the library.
func (r *rig) add(name string) {
	r.T.Helper()
	r.Click("add a gait")
	r.Settle()
	r.Click(name)
	r.Settle()
}

// paceOf works the pace out afresh.
func (r *rig) paceOf(gait int) *pace.Pace {
	r.T.Helper()
	b := r.doc.Result().Built
	p, err := pace.New(&b.Robot, b.Height, &b.Gaits[gait], pace.Limits{SpeedShare: b.Limits.SpeedShare, Clearance: b.Limits.Clearance})
	if err != nil {
		r.T.Fatalf("%v", err)
	}
	return p
}

// text is all that the numbers say.
func (r *rig) text() string {
	var s strings.Builder
	for _, f := range r.panel.facts.rows() {
		s.WriteString(f.name + " " + f.value + " " + f.unit + "\n")
	}
	return s.String()
}

// The numbers are those of package pace: with three cycles of a second at 80
// mm/s and a duty factor of a half, stride and stroke are those of the textbook
// (stride = speed x period, stroke = stride x duty).
func TestNumbers(t *testing.T) {
	r := open(t, assets.Demo, gaitPage)
	for _, line := range []string{"speed 80.0 mm/s", "stride 80.0 mm", "stroke 40.0 mm", "mean duty 0.500", "feet down 3", "cost of transport ", "step-down reserve "} {
		if !strings.Contains(r.text(), line) {
			t.Errorf("no %q in\n%s", line, r.text())
		}
	}
	v := r.paceOf(0).Judge(r.panel.facts.command)
	said := About(&v, &r.doc.Result().Built.Robot)
	r.MustFind(said)
	if !strings.Contains(said, " % of the fastest, limited by ") {
		t.Errorf("%q", said)
	}
	for _, name := range []string{"speed", "fastest this way", "longitudinal margin", "Froude number"} {
		r.MustFind(name)
	}
}

// A command beyond says by how much, and what is in the way.
func TestNumbersBeyond(t *testing.T) {
	r := open(t, assets.Demo, gaitPage)
	fast := 400.0
	if err := r.doc.Change("fast", func(f *workfile.File) { f.Sequence[1].Forward = &fast }); err != nil {
		t.Fatal(err)
	}
	r.Settle()
	v := r.paceOf(0).Judge(r.panel.facts.command)
	if v.Can || v.Factor < 2 {
		t.Fatalf("%+v", v)
	}
	r.says(About(&v, &r.doc.Result().Built.Robot))
	if s := About(&v, &r.doc.Result().Built.Robot); !strings.Contains(s, "times the fastest: beyond it, limited by "+v.Limit.Word) {
		t.Errorf("%q", s)
	}
}

func TestAbout(t *testing.T) {
	b := open(t, assets.Demo, gaitPage).doc.Result().Built
	l := &pace.Limit{Word: "legs-touch", Leg: 0, Other: 1}
	for want, v := range map[string]pace.Verdict{
		"stepping on the spot":                                                                  {Can: true},
		"61 % of the fastest, nothing limits it":                                                {Can: true, Factor: 0.6199},
		"100 % of the fastest, limited by legs-touch of leg LF and leg LM":                      {Can: true, Factor: 1, Limit: l},
		"just beyond the fastest, nothing limits it":                                            {Factor: 1.001},
		"1.20 times the fastest: beyond it, nothing limits it":                                  {Factor: 1.2},
		"not even stepping on the spot can be done, limited by legs-touch of leg LF and leg LM": {Factor: math.Inf(1), Limit: l},
	} {
		if got := About(&v, &b.Robot); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// The plot is that of pace.Polar, is made over several frames, and only when
// robot or gait changed.
func TestPolarIsPaces(t *testing.T) {
	r := open(t, assets.Demo, commandPage)
	want := r.paceOf(0).Polar(directions)
	got := r.panel.polar.shown
	if len(got.all) != directions {
		t.Fatalf("%d directions", len(got.all))
	}
	for i := range want {
		if math.Abs(got.all[i].Speed-want[i].Speed) > 1e-9 || wordOf(&got.all[i]) != wordOf(&want[i]) {
			t.Errorf("direction %d: %+v, want %+v", i, got.all[i], want[i])
		}
	}
	slower := 60.0
	r.doc.Change("slower", func(f *workfile.File) { f.Sequence[1].Forward = &slower })
	r.Frame()
	if r.panel.polar.shown.of != got.of || r.panel.polar.lost {
		t.Error("another command made another plot")
	}
	r.doc.Change("longer", func(f *workfile.File) { f.Gaits[0].Period = 1400 })
	r.Frame()
	if !r.panel.polar.lost {
		t.Error("the plot of the gait before is not told to be that")
	}
	frames := r.Frames
	r.Settle()
	if r.panel.polar.lost || r.Frames-frames < directions/perFrame-3 {
		t.Errorf("lost %v after %d frames", r.panel.polar.lost, r.Frames-frames)
	}
	now := r.paceOf(0).Fastest(pace.Ahead(0))
	if math.Abs(r.panel.polar.shown.all[0].Speed-now.Speed) > 1e-9 {
		t.Error("the plot is not that of the new gait")
	}
}

// dot gives where the command is drawn on the window.
func (r *rig) dot() f32.Point {
	b := r.MustFind("fastest in each direction").Desc.Bounds
	c := r.panel.facts.command
	p := r.panel.polar.px(c.Forward, c.Side)
	return f32.Pt(float32(b.Min.X)+float32(p.X), float32(b.Min.Y)+float32(p.Y))
}

// The dot stays under the pointer, and a drag is one undo step.
func TestDragDot(t *testing.T) {
	r := open(t, assets.Demo, commandPage)
	was := r.doc.File().Clone()
	from := r.dot()
	scale := r.panel.polar.scale
	r.Drag(from, from.Add(f32.Pt(-12, 8)), 5)
	r.Settle()
	e := &r.doc.File().Sequence[1]
	wantX, wantY := 80-8/scale*1000, 12/scale*1000
	if math.Abs(*e.Forward-wantX) > 0.51 || math.Abs(*e.Side-wantY) > 0.51 {
		t.Errorf("%v and %v mm/s, want %v and %v", *e.Forward, *e.Side, wantX, wantY)
	}
	r.doc.Undo()
	if _, more := r.doc.CanUndo(); more || !r.doc.File().Equal(was) {
		t.Error("one undo does not take the drag back")
	}
	r.Settle()
	r.Focus(&r.panel.polar)
	r.Press(key.NameLeftArrow, 0)
	r.Press(key.NameDownArrow, key.ModShift)
	r.Settle()
	if e := &r.doc.File().Sequence[1]; *e.Side != 5 || *e.Forward != 79 {
		t.Errorf("by keys: %v and %v mm/s", *e.Forward, *e.Side)
	}
}

// A gait that is being dragged keeps the plot, labelled, until it is dropped.
func TestPlotWhileDragging(t *testing.T) {
	r := open(t, assets.Demo, commandPage)
	old := r.panel.polar.shown.of
	r.doc.Drag("duty", func(f *workfile.File) { f.Gaits[0].Duty = 0.6 })
	for range 20 {
		r.Frame()
	}
	if r.panel.polar.shown.of != old || !r.panel.polar.lost {
		t.Error("the plot changed under the hand")
	}
	r.doc.Drop()
	r.Settle()
	if r.panel.polar.shown.of == old || r.panel.polar.lost {
		t.Error("the plot is not made anew")
	}
}

// In a change of gait the command is that of the walk before: nothing to drag.
func TestChangeKeepsTheCommand(t *testing.T) {
	r := open(t, assets.Demo, commandPage)
	parts := r.doc.Result().Trajectory.Parts
	r.at.GoTo(r.doc, parts[2].From+0.5)
	r.Settle()
	if c := r.panel.facts.command; math.Abs(c.Forward-0.08) > 1e-12 {
		t.Errorf("%+v", c)
	}
	was := r.doc.File().Clone()
	from := r.dot()
	r.Drag(from, from.Add(f32.Pt(10, 10)), 3)
	r.Settle()
	if !r.doc.File().Equal(was) {
		t.Error("the command was dragged")
	}
}

// A gait that cannot be stepped at all says so, without a number that is none.
func TestImpossibleGait(t *testing.T) {
	r := open(t, assets.Demo, commandPage)
	if err := r.doc.Change("high", func(f *workfile.File) { f.Gaits[0].StepHeight = 400 }); err != nil {
		t.Fatal(err)
	}
	r.Settle()
	v := r.panel.facts.verdict
	if v.Can || !math.IsInf(v.Factor, 1) {
		t.Fatalf("%+v", v)
	}
	r.says(About(&v, &r.doc.Result().Built.Robot))
	if s := r.text(); strings.Contains(s, "NaN") || strings.Contains(s, "Inf") {
		t.Error(s)
	}
}

// Escape takes a drag of the dot back.
func TestEscapeDot(t *testing.T) {
	r := open(t, assets.Demo, commandPage)
	was := r.doc.File().Clone()
	ev := pointer.Event{Kind: pointer.Press, Source: pointer.Mouse, Buttons: pointer.ButtonPrimary, Position: r.dot(), Time: time.Hour}
	r.Queue(ev)
	r.Frame()
	ev.Kind, ev.Position.X = pointer.Move, ev.Position.X+20
	r.Queue(ev)
	r.Frame()
	if r.doc.File().Equal(was) {
		t.Error("nothing is dragged")
	}
	r.Press(key.NameEscape, 0)
	ev.Kind, ev.Buttons = pointer.Release, 0
	r.Queue(ev)
	r.Settle()
	if _, can := r.doc.CanUndo(); can || !r.doc.File().Equal(was) {
		t.Error("escape did not take it back")
	}
}

// Each page has its fields.
func TestPages(t *testing.T) {
	for page, labels := range [][]string{gaitPage: {"gait diagram", "period", "duty factor"}, legsPage: {"phase of LF", "duty factor of RR"}, swingPage: {"swing", "step height", "sway", "early lift", "late touch", "timing of the swing"}, commandPage: {"fastest in each direction", "forward", "turn left", "cycles"}} {
		r := openAt(t, assets.Walker, page, image.Pt(389, 302), 1) // the room of a small window
		for _, l := range labels {
			r.MustFind(l)
			for _, n := range r.Nodes() {
				in := n.Desc.Bounds.In(image.Rectangle{Max: r.Size})
				if n.Desc.Label == l && n.Desc.Class == semantic.Editor && page != swingPage && !in { // the swing's fields scroll
					t.Errorf("%s is at %v", l, n.Desc.Bounds)
				}
			}
		}
	}
}

// says demands a text in what is shown, alone or behind how many stops there
// are.
func (r *rig) says(text string) {
	r.T.Helper()
	for _, n := range r.Nodes() {
		if n.Desc.Label == text || strings.HasPrefix(n.Desc.Label, "the review stops this walk: ") && strings.HasSuffix(n.Desc.Label, "; "+text) {
			return
		}
	}
	r.T.Errorf("nothing says %q in\n%s", text, r.Dump())
}
