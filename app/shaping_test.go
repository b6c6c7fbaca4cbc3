// SPDX-License-Identifier: MIT

package app

import (
	"math"
	"strings"
	"testing"

	"gioui.org/f32"
	"gioui.org/io/key"
	"gioui.org/io/pointer"

	"gaitwright/assets"
)

// The first tour: a control point of the strike is dragged until a finding
// appears, and undone.
func TestDragUntilFindingAndUndo(t *testing.T) {
	r := atHit(t)
	before := r.text()
	r.MustFind("The review found nothing.")
	p := r.point("end point", hit, "from the side")
	r.press(p)
	var found int
	for range 100 {
		p.Y++
		r.move(p)
		if found = r.stops(); found > 0 {
			break
		}
	}
	if found == 0 {
		t.Fatal("the foot goes 100 px down and nothing is found")
	}
	r.Frame() // the frame that the change asked for
	r.MustFind("Do not run this on the robot: " + count(found, "stop") + ".")
	r.release(p)
	f := r.doc.Result().Findings[0]
	if f.Word != "low-strike" {
		t.Errorf("%+v", f)
	}
	r.MustFind("low-strike " + r.where(&f))
	r.MustFind("not saved")
	r.Press("Z", key.ModShortcut)
	r.Settle()
	r.MustFind("The review found nothing.")
	r.MustMiss("low-strike " + r.where(&f))
	if r.text() != before {
		t.Error("undo did not bring the file back")
	}
	if r.doc.Dirty() {
		t.Error("dirty after everything is undone")
	}
}

// The point stays under the pointer on every plate, and the coordinate that
// the plate does not show stays.
func TestPointStaysUnderThePointer(t *testing.T) {
	t.Parallel()
	for side, keeps := range map[string]int{"from the side": 1, "from the front": 0, "from above": 2} {
		for _, part := range []string{"end point", "start handle", "end handle"} {
			r := atHit(t)
			r.Click(map[string]string{"end point": "end", "start handle": "start handle", "end handle": "end handle"}[part])
			r.Settle()
			was, end := r.text(), *r.span(hit).End
			from := r.point(part, hit, side)
			to := from.Add(f32.Pt(-13, -9))
			// On the point that was chosen: of two at one place that one wins
			// only if it belongs to the chosen span.
			// The modifier keeps it from catching on anything.
			r.DragWith(pointer.ButtonPrimary, key.ModShortcut, from, to, 5)
			r.Settle()
			if r.text() == was {
				t.Errorf("%s %s: nothing moved", part, side)
				continue
			}
			if got := r.point(part, hit, side); part == "end point" && (math.Abs(float64(got.X-to.X)) > 1.5 || math.Abs(float64(got.Y-to.Y)) > 1.5) {
				t.Errorf("%s %s: is at %v, pointer at %v", part, side, got, to)
			}
			if part == "end point" && r.span(hit).End[keeps] != end[keeps] {
				t.Errorf("%s: %v became %v", side, end, *r.span(hit).End)
			}
			r.Press("Z", key.ModShortcut)
			r.Settle()
			if r.text() != was {
				t.Errorf("%s %s: one undo does not take the drag back", part, side)
			}
		}
	}
}

// A drag keeps its span although playing goes on into the next one.
func TestDragWhilePlayingKeepsItsSpan(t *testing.T) {
	r := atHit(t)
	next := *r.span(hit + 1).End
	p := r.point("end point", hit, "from the side")
	r.press(p)
	r.TogglePlay()
	for range 40 {
		p = p.Add(f32.Pt(-0.5, -0.25))
		r.Now = r.Now.Add(20e6)
		r.move(p)
	}
	if r.at.Span == hit {
		t.Fatalf("playing stayed in the span: %+v", r.at)
	}
	r.at.Playing = false
	r.release(p)
	if got := *r.span(hit + 1).End; got != next {
		t.Errorf("the next span's end went from %v to %v", next, got)
	}
	if got := *r.span(hit).End; got[0] >= 66 || got[2] <= 60 {
		t.Errorf("the dragged end stands at %v", got)
	}
}

// TogglePlay is what the Space key does.
func (r *rig) TogglePlay() { r.time.TogglePlay(r.doc, &r.at); r.Frame() }

// Undo under the hand ends the drag: what the pointer does afterwards changes
// nothing.
func TestUndoDuringDragEndsIt(t *testing.T) {
	r := atHit(t)
	before := r.text()
	for _, from := range []f32.Point{r.point("end point", hit, "from the side"), r.handle(0.45, 0)} {
		r.press(from)
		r.move(from.Add(f32.Pt(10, -30)))
		if r.text() == before || !r.doc.Dragging() {
			t.Fatal("nothing is dragged")
		}
		r.Press("Z", key.ModShortcut)
		if r.text() != before || r.doc.Dragging() {
			t.Fatalf("dragging=%v after undo", r.doc.Dragging())
		}
		r.move(from.Add(f32.Pt(20, -40)))
		r.release(from.Add(f32.Pt(20, -40)))
		if r.text() != before || r.doc.Dragging() {
			t.Error("the drag went on after undo")
		}
		r.press(from)
		r.move(from.Add(f32.Pt(10, -30)))
		r.Press(key.NameEscape, 0)
		r.release(from)
		if r.text() != before {
			t.Error("escape did not take the drag back")
		}
	}
}

func TestNudgeByArrowKeys(t *testing.T) {
	r := atHit(t)
	end := *r.span(hit).End
	r.ClickAt(r.point("end point", hit, "from the side"))
	r.Settle()
	if *r.span(hit).End != end {
		t.Fatalf("a click moved the point to %v", *r.span(hit).End)
	}
	for _, s := range []struct {
		name key.Name
		mod  key.Modifiers
		want [3]float64
	}{
		{key.NameUpArrow, 0, [3]float64{66, -70, 61}},
		{key.NameRightArrow, key.ModShift, [3]float64{66.1, -70, 61}},
		{key.NameLeftArrow, 0, [3]float64{65.1, -70, 61}},
		{key.NameDownArrow, key.ModShift, [3]float64{65.1, -70, 60.9}},
	} {
		at := r.at.Time
		r.Press(s.name, s.mod)
		r.Settle()
		if *r.span(hit).End != s.want {
			t.Errorf("%s: %v, want=%v", s.name, *r.span(hit).End, s.want)
		}
		if r.at.Time != at {
			t.Errorf("%s on a plate also moved the time", s.name)
		}
	}
	for range 4 {
		r.Press("Z", key.ModShortcut)
	}
	r.Settle()
	if *r.span(hit).End != end {
		t.Errorf("four undos give %v", *r.span(hit).End)
	}
}

func TestDragTimingHandle(t *testing.T) {
	r := atHit(t)
	from := r.handle(0.45, 0)
	r.Drag(from, r.handle(0.7, 0.2), 6)
	r.Settle()
	if got := r.span(hit).Timing; !strings.HasPrefix(got, "cubic-bezier(0.7, 0.2, 0.7, 1)") &&
		!strings.HasPrefix(got, "cubic-bezier(0.69") && !strings.HasPrefix(got, "cubic-bezier(0.70") {
		t.Errorf("timing %q", got)
	}
	if label, _ := r.doc.CanUndo(); label != "shape the timing" {
		t.Errorf("label %q", label)
	}
	// Far outside it stays within 0 and 1.
	r.Drag(r.handle(0.7, 1), r.handle(5, -3), 3)
	r.Settle()
	if got := r.span(hit).Timing; !strings.HasSuffix(got, ", 1, 0)") {
		t.Errorf("timing %q", got)
	}
	r.Press("Z", key.ModShortcut)
	r.Press("Z", key.ModShortcut)
	r.Settle()
	if got := r.span(hit).Timing; got != "cubic-bezier(0.45, 0, 0.7, 1)" {
		t.Errorf("after undo %q", got)
	}
	r.Click("ease-in")
	r.Settle()
	if got := r.span(hit).Timing; got != "ease-in" {
		t.Errorf("timing %q", got)
	}
}

func TestTypeNumber(t *testing.T) {
	r := atHit(t)
	r.Click("z of the end point")
	r.Type("50")
	r.Press(key.NameReturn, 0)
	r.Settle()
	if got := r.span(hit).End[2]; got != 50 {
		t.Fatalf("z=%v, want=50", got)
	}
	if r.stops() == 0 {
		t.Error("a strike 10 mm too low is not found")
	}
	if r.at.Playing || r.doc.OnStand() {
		t.Error("typing played or hung the robot")
	}
	// Undo from within the field undoes the change, not the letters.
	r.Press("Z", key.ModShortcut)
	r.Settle()
	if got := r.span(hit).End[2]; got != 60 || r.stops() != 0 {
		t.Errorf("after undo z=%v, %d stops", got, r.stops())
	}
	// What is no number changes nothing and says why.
	r.Click("z of the end point")
	r.Type("high")
	r.Press(key.NameReturn, 0)
	r.Settle()
	if got := r.span(hit).End[2]; got != 60 {
		t.Errorf("z=%v", got)
	}
	r.MustFind("“high” is not a number")
}

// A number that was typed but not entered counts when the file is saved.
func TestSaveTakesTypedNumber(t *testing.T) {
	path, r := opened(t)
	r.Click("x of the end point")
	r.Type("12.5")
	r.Press("S", key.ModShortcut)
	r.Settle()
	if got := reread(t, path).File().Moves[0].Feet[0].Spans[1].End[0]; got != 12.5 {
		t.Errorf("the file has %v, want=12.5", got)
	}
}

// The mirrored leg follows its pair: the right front foot goes the mirror of
// the left one's way, before and after.
func TestMirroredLegFollows(t *testing.T) {
	r := atHit(t)
	lf, rf := 0, 3
	mirrored := func() (worst float64) {
		tr := r.doc.Result().Trajectory
		from := r.strike()
		start := r.doc.Result().Plan.BodyAt(from).Start
		for k := tr.Index(from); k < tr.Index(from+4); k++ {
			a, b := start.Into(tr.FootAt(k, lf)), start.Into(tr.FootAt(k, rf))
			worst = max(worst, math.Abs(a.X-b.X), math.Abs(a.Y+b.Y), math.Abs(a.Z-b.Z))
		}
		return worst
	}
	if w := mirrored(); w > 1e-9 {
		t.Fatalf("the demo's feet differ by %v m from a mirror", w)
	}
	k := r.doc.Result().Trajectory.Index(r.strike() + 1.71)
	was := r.doc.Result().Trajectory.FootAt(k, rf)
	from := r.point("end point", hit, "from the side")
	r.Drag(from, from.Add(f32.Pt(10, -15)), 4)
	r.Settle()
	if w := mirrored(); w > 1e-9 {
		t.Errorf("after the drag the feet differ by %v m from a mirror", w)
	}
	if now := r.doc.Result().Trajectory.FootAt(k, rf); math.Abs(now.Z-was.Z) < 0.005 {
		t.Errorf("the right foot stayed at %v", now)
	}
	// The same from the other side: the mirrored leg is dragged on its plate.
	r.at.Choose(r.doc, rf)
	r.Settle()
	y := r.span(hit).End[1]
	p := r.point("end point", hit, "from above")
	r.Drag(p, p.Add(f32.Pt(0, -12)), 4) // up on the paper: to the left, inward for the right leg
	r.Settle()
	if r.span(hit).End[1] >= y {
		t.Errorf("y went from %v to %v; inward is negative", y, r.span(hit).End[1])
	}
	if w := mirrored(); w > 1e-9 {
		t.Errorf("dragging the right leg leaves %v m", w)
	}
	if got := r.point("end point", hit, "from above"); math.Abs(float64(got.Y-(p.Y-12))) > 1.5 {
		t.Errorf("the point is at %v, pointer at %v", got.Y, p.Y-12)
	}
}

// Another workfile is fitted anew on the plates.
func TestPlatesFitAnotherFile(t *testing.T) {
	r := open(t, assets.Walker)
	r.Settle()
	want := r.points()
	q := open(t, assets.Demo)
	w, err := New(Config{Text: assets.Walker})
	if err != nil {
		t.Fatal(err)
	}
	q.take(w.doc)
	q.Settle()
	if got := q.points(); got != want || want == "" {
		t.Errorf("drawn at\n%s\nwant\n%s", got, want)
	}
}

// points lists the control points that show.
func (r *rig) points() string {
	var s strings.Builder
	for _, n := range r.Nodes() {
		if strings.Contains(n.Desc.Label, " of span ") {
			s.WriteString(n.Desc.Label + " " + n.Desc.Bounds.String() + "\n")
		}
	}
	return s.String()
}

func TestWalkThroughSpans(t *testing.T) {
	r := atHit(t)
	r.Click("next span")
	r.Settle()
	if r.at.Span != hit+1 {
		t.Errorf("span %d", r.at.Span)
	}
	if want := r.strike() + 2.11; math.Abs(r.at.Time-want) > 1e-9 {
		t.Errorf("time %v, want the mark's %v", r.at.Time, want)
	}
	r.Click("planted")
	r.Settle()
	if s := r.span(hit + 1); s.Hold != "planted" && r.doc.Err() == nil {
		t.Errorf("neither taken nor refused: %+v", s)
	}
}

// Two clicks at one place show a plate alone, and all again; two drags from
// one place do not.
func TestDoubleClickEnlarges(t *testing.T) {
	r := atHit(t)
	r.DoubleClickAt(r.spot("plate from above"))
	r.Settle()
	r.MustMiss("plate from the side")
	r.DoubleClickAt(r.spot("plate from above"))
	r.Settle()
	r.MustFind("plate from the side")
	r.MustFind("timing curve")
	p := r.point("end point", hit, "from the side")
	for range 2 {
		r.press(p)
		r.move(p.Add(f32.Pt(5, -20)))
		r.release(p.Add(f32.Pt(5, -20)))
		r.Press("Z", key.ModShortcut)
		r.Settle()
	}
	r.MustFind("plate from above")
}
