// SPDX-License-Identifier: MIT

package timeline

import (
	"image"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"gioui.org/f32"
	"gioui.org/io/key"
	"gioui.org/io/pointer"

	"gaitwright/motion/review"
	"gaitwright/motion/workfile"
)

func middle(r image.Rectangle) f32.Point {
	return f32.Pt(float32(r.Min.X+r.Max.X)/2, float32(r.Min.Y+r.Max.Y)/2)
}

// x gives the pixel of a time while all shows, from the sizes that the picture
// shows: 92 dp of names, 22 dp of margin.
func (r *rig) x(t float64) float32 {
	k := float64(r.Metric.PxPerDp)
	w := float64(r.Size.X) - 114*k
	return float32(92*k + t/r.doc.Result().Trajectory.Duration()*w)
}

// ruler and legs are heights on the panel, px.
func (r *rig) ruler() float32   { return 48 * r.Metric.PxPerDp }
func (r *rig) entries() float32 { return 67 * r.Metric.PxPerDp }
func (r *rig) legs() float32    { return 150 * r.Metric.PxPerDp }

func TestScrub(t *testing.T) {
	for _, scale := range []float32{1, 1.5, 2, 3} {
		r := open(t, demo, scale, image.Pt(int(1280*scale), int(190*scale)))
		end := r.doc.Result().Trajectory.Duration()
		px := end / (1166 * float64(scale)) // s a pixel
		for _, y := range []float32{r.ruler(), r.entries()} {
			r.Drag(f32.Pt(r.x(1), y), f32.Pt(r.x(5.5), y), 6)
			near(t, "the time after a drag", r.at.Time, 5.5, px)
			r.Drag(f32.Pt(r.x(5), y), f32.Pt(-50, y-400), 3)
			near(t, "the time dragged off to the left", r.at.Time, 0, 0)
			r.Drag(f32.Pt(r.x(5), y), f32.Pt(float32(r.Size.X)+99, y), 3)
			near(t, "the time dragged off to the right", r.at.Time, end, 0)
			r.ClickAt(f32.Pt(r.x(2.25), y))
			near(t, "the time clicked", r.at.Time, 2.25, px)
		}
		if !r.Focused(r.panel.Tag()) {
			t.Error("a press on the canvas does not take the keys")
		}
		r.Settle()
	}
}

// While the cursor is held it stays, and playing goes on when it is let go.
func TestScrubWhilePlaying(t *testing.T) {
	r := open(t, demo, 1, usual)
	r.Click("play")
	at := f32.Pt(r.x(4), r.ruler())
	ev := pointer.Event{Kind: pointer.Press, Source: pointer.Mouse, Buttons: pointer.ButtonPrimary, Position: at, Time: time.Minute}
	r.Queue(ev)
	r.Frame()
	held := r.at.Time
	near(t, "the time pressed", held, 4, 0.012)
	r.pass(time.Second, 4)
	near(t, "the time held", r.at.Time, held, 0)
	ev.Kind, ev.Buttons = pointer.Release, 0
	r.Queue(ev)
	r.Frame()
	r.pass(time.Second, 4)
	near(t, "the time let go", r.at.Time, held+1, 1e-9)
}

func TestLegNames(t *testing.T) {
	r := open(t, demo, 1, usual)
	for i := range r.doc.Result().Built.Robot.Legs {
		name := r.doc.Result().Built.Robot.Legs[i].Name
		r.Click(name)
		if r.at.Leg != i {
			t.Errorf("a click on %s chooses leg %d, want %d", name, r.at.Leg, i)
		}
		if n, _ := r.Clickable(name); !n.Desc.Selected {
			t.Errorf("%s does not say that it is chosen", name)
		}
		near(t, "the time", r.at.Time, 0, 0)
	}
}

func TestMarks(t *testing.T) {
	r := open(t, demo, 1, usual)
	for _, m := range r.doc.Result().Trajectory.Marks {
		r.at.Playing = true
		r.Click(m.Name)
		near(t, "the time of mark "+m.Name, r.at.Time, m.At, 0)
		if r.at.Playing {
			t.Error("a click on a mark leaves it playing")
		}
	}
}

// texts gives the words on everything that can be seen.
func (r *rig) texts() (out []string) {
	for _, n := range r.Nodes() {
		out = append(out, n.Desc.Label)
	}
	return out
}

func TestFindings(t *testing.T) {
	r := open(t, faulty(t), 1, usual)
	found := r.doc.Result().Findings
	if len(found) < 10 {
		t.Fatalf("the faulty demo has %d findings", len(found))
	}
	clicked, stops, cautions := 0, 0, 0
	for _, text := range r.texts() {
		for i := range found {
			f := &found[i]
			if r.panel.derived.texts[i] != text {
				continue
			}
			r.at.Leg, r.at.Finding, r.at.Playing = 0, -1, true
			r.at.GoTo(r.doc, 0)
			r.Frame()
			r.Click(text)
			if r.at.Finding != i || r.at.Time != f.Worst || r.at.Leg != max(f.Leg, 0) || r.at.Playing {
				t.Errorf("a click on %q goes to finding %d, leg %d, %v s (playing %v); want %d, %d, %v s",
					text, r.at.Finding, r.at.Leg, r.at.Time, r.at.Playing, i, f.Leg, f.Worst)
			}
			clicked++
			if f.Level == review.Stop {
				stops++
			} else {
				cautions++
			}
		}
	}
	if stops == 0 || cautions == 0 {
		t.Errorf("%d stops and %d cautions to click on, want some of both", stops, cautions)
	}
	t.Logf("%d of %d findings seen", clicked, len(found))
	r.Settle()
}

// Findings that share a place are taken in turn by further clicks; each
// finding can be reached.
func TestPile(t *testing.T) {
	r := open(t, faulty(t), 1, usual)
	found := r.doc.Result().Findings
	reached := map[int]bool{}
	for _, s := range slices.Clone(r.panel.spots) {
		if s.kind != findingSpot || s.row >= 0 {
			continue
		}
		r.at.Finding = -1
		r.at.GoTo(r.doc, 0)
		r.Frame()
		p := middle(s.box)
		p.Y += 38
		for i := range found {
			r.ClickAt(p)
			if i > 0 && r.at.Finding == s.index {
				break // once round
			}
			reached[r.at.Finding] = true
		}
	}
	for i, text := range r.panel.derived.texts {
		if !reached[i] {
			t.Errorf("no click reaches %q", text)
		}
	}
}

func TestHover(t *testing.T) {
	r := open(t, faulty(t), 1, usual)
	m := r.doc.Result().Trajectory.Marks[0]
	r.MoveTo(r.Centre(m.Name))
	found := false
	for _, s := range r.texts() {
		found = found || strings.HasPrefix(s, m.Name+", ") && strings.Contains(s, " s, at ")
	}
	if !found {
		t.Errorf("the pointer on a mark shows no text:\n%s", r.Dump())
	}
	for _, s := range r.panel.spots {
		if s.kind == findingSpot {
			before := strings.Count(strings.Join(r.texts(), "\n"), r.panel.derived.texts[s.index])
			p := middle(s.box)
			r.MoveTo(f32.Pt(p.X, p.Y+38))
			if after := strings.Count(strings.Join(r.texts(), "\n"), r.panel.derived.texts[s.index]); after != before+1 {
				t.Errorf("the pointer on a finding shows %d texts with its words, before it %d", after, before)
			}
			break
		}
	}
	r.Settle()
}

func TestZoomAndPan(t *testing.T) {
	r := open(t, demo, 1, usual)
	end := r.doc.Result().Trajectory.Duration()
	under := func(x float32) float64 { return r.panel.axis(end).time(float64(x)) }
	x := r.x(4)
	before := under(x)
	r.Scroll(f32.Pt(x, r.legs()), -10, 0)
	near(t, "the time under the pointer", under(x), before, 1e-9)
	from, to := r.panel.window.bounds(end)
	near(t, "the length that shows", to-from, end/1.25, 1e-9)
	r.Scroll(f32.Pt(x, r.legs()), -30, 0) // one event is a step and a half at most
	from, to = r.panel.window.bounds(end)
	near(t, "the length that shows", to-from, end/math.Pow(1.25, 2.5), 1e-9)

	held := under(600)
	r.DragWith(pointer.ButtonSecondary, 0, f32.Pt(600, r.legs()), f32.Pt(500, r.legs()), 5)
	near(t, "the time under the dragging pointer", under(500), held, 1e-9)
	near(t, "the present time", r.at.Time, 0, 0)
	f0, t0 := r.panel.window.bounds(end)
	r.Scroll(f32.Pt(x, r.legs()), -10, key.ModShift)
	f1, t1 := r.panel.window.bounds(end)
	near(t, "the length after a pan", t1-f1, t0-f0, 1e-9)
	near(t, "the shift of a pan", f1-f0, -(t0-f0)/10, 1e-9)

	r.Click("show all")
	from, to = r.panel.window.bounds(end)
	if from != 0 || to != end {
		t.Errorf("show all shows %v to %v of %v", from, to, end)
	}
	r.Scroll(f32.Pt(x, r.legs()), -40, 0)
	r.DoubleClickAt(f32.Pt(x, r.legs()))
	if !r.panel.window.all() {
		t.Error("a double click does not show all")
	}
	for range 100 {
		r.Scroll(f32.Pt(x, r.legs()), -120, 0)
	}
	from, to = r.panel.window.bounds(end)
	near(t, "the shortest length", to-from, leastWindow, 1e-9)
	r.Settle()
	for range 100 {
		r.Scroll(f32.Pt(x, r.legs()), 120, 0)
	}
	if !r.panel.window.all() {
		t.Error("zooming out does not end at all")
	}
}

// The present time comes into view when it is set from elsewhere or plays on.
func TestPresentTimeStaysInView(t *testing.T) {
	r := open(t, demo, 1, usual)
	end := r.doc.Result().Trajectory.Duration()
	for range 8 {
		r.Scroll(f32.Pt(r.x(6), r.legs()), -10, 0)
	}
	visible := func() bool { return r.panel.axis(end).shows(r.at.Time) }
	for _, at := range []float64{end, 0, 7, 6.9, 1} {
		r.at.GoTo(r.doc, at)
		r.Frame()
		if !visible() {
			t.Errorf("%v s is not in view: %v", at, r.panel.window)
		}
	}
	r.Click("play")
	for range 40 {
		r.pass(200*time.Millisecond, 1)
		if !visible() {
			t.Fatalf("while playing %v s is not in view: %v", r.at.Time, r.panel.window)
		}
	}
}

// Rows that do not fit scroll, and the chosen one comes into view.
func TestRowsScroll(t *testing.T) {
	r := open(t, demo, 1, image.Pt(900, 150))
	if r.panel.lanes.overflow() == 0 {
		t.Fatal("six rows fit into 150 px")
	}
	for _, i := range []int{5, 0, 3} {
		r.at.Choose(r.doc, i)
		r.Frame()
		if row := r.panel.lanes.leg(i); !row.In(r.panel.lanes.rows) {
			t.Errorf("row %d at %v is not in %v", i, row, r.panel.lanes.rows)
		}
	}
	r.at.Choose(r.doc, 0)
	r.Frame()
	for range 5 {
		r.Scroll(f32.Pt(20, 140), 10, 0)
	}
	r.Click("RR")
	if r.at.Leg != 5 {
		t.Errorf("after scrolling down, a click on RR chooses leg %d", r.at.Leg)
	}
	if !r.panel.window.all() {
		t.Error("scrolling over the names zooms")
	}
	r.Settle()
}

// Any size is laid out without harm.
func TestSizes(t *testing.T) {
	for _, scale := range []float32{1, 2, 3} {
		for _, size := range []image.Point{{}, {1, 1}, {60, 30}, {300, 90}, {640, 190}, {4000, 600}} {
			r := open(t, faulty(t), scale, size)
			r.ClickAt(f32.Pt(float32(size.X)/2, float32(size.Y)*0.8))
			r.Settle()
		}
	}
}

// A change of the workfile shows at once.
func TestFollowsTheDocument(t *testing.T) {
	r := open(t, demo, 1, usual)
	long := r.doc.Result().Trajectory.Duration()
	r.at.GoTo(r.doc, long)
	r.Frame()
	if err := r.doc.Change("shorten", func(f *workfile.File) { f.Sequence = f.Sequence[:2] }); err != nil {
		t.Fatal(err)
	}
	r.Settle()
	short := r.doc.Result().Trajectory.Duration()
	if short >= long || r.at.Time != short {
		t.Errorf("the time is %v of %v, before %v", r.at.Time, short, long)
	}
	r.MustMiss("hit")
	r.doc.Undo()
	r.Settle()
	r.MustFind("hit")
}
